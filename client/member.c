#include "client/member.h"

#include <math.h>

const char *member_text(const json_t *object, const char *name)
{
    const char *text = json_string_value(json_object_get(object, name));
    return text ? text : "";
}

double member_number(const json_t *object, const char *name)
{
    const json_t *value = json_object_get(object, name);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

const json_t *member_list(const json_t *object, const char *name)
{
    const json_t *list = json_object_get(object, name);
    return json_is_array(list) ? list : NULL;
}

const json_t *member_first_list(const json_t *object)
{
    const char *name;
    json_t *value;
    json_object_foreach((json_t *)object, name, value)
    {
        if (json_is_array(value))
            return value;
    }
    return NULL;
}
