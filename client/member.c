/* member.c - members of the daemon's objects. It must not know what an object is for. */
#include "client/member.h"

#include <math.h>

/* "" stands for all that is no text: null is how the daemon says `not known`, and a newer or older daemon may leave
 * a member out. A caller that must tell null from "" asks jansson itself. */
const char *member_text(const json_t *object, const char *name)
{
    const char *text = json_string_value(json_object_get(object, name));
    return text ? text : "";
}

/* NaN stands for null and for what is missing, so that every figure prints "-" and every comparison with it is
 * false: nobody takes what is not known for 0. */
double member_number(const json_t *object, const char *name)
{
    const json_t *value = json_object_get(object, name);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

/* NULL where it is no list: an older daemon may lack it. */
const json_t *member_list(const json_t *object, const char *name)
{
    const json_t *list = json_object_get(object, name);
    return json_is_array(list) ? list : NULL;
}
