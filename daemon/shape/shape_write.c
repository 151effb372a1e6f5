/* shape_write.c - a struct as the JSON object of its table, and a setting's text as a JSON value.
 *
 * It must not know any thing by name: what a member is stands in its row alone.
 */
#include "shape/shape.h"

#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The reverse of put_count in shape.c. Copied, since a place need not be aligned for the larger type. */
static int64_t count_at(const char *at, size_t size)
{
    int small;
    int64_t large;
    memcpy(&small, at, sizeof small);
    if (size == sizeof small)
        return small;
    memcpy(&large, at, sizeof large);
    return large;
}

static const char *choice_at(const struct shape_member *m, const char *at, size_t size)
{
    if (size != sizeof(int))
        return at;
    for (int64_t i = 0, chosen = count_at(at, size); m->choices[i]; i++)
        if (i == chosen)
            return m->choices[i];
    return "";
}

/* "" is what is not known. */
static json_t *text_json(const struct shape_member *m, const char *text)
{
    return text[0] == '\0' && (m->nullable || m->sparse) ? json_null() : json_string(text);
}

static json_t *time_json(const struct shape_member *m, const char *at, size_t size)
{
    char text[TIMESTAMP_ROOM];
    if (size != sizeof(int64_t))
        return text_json(m, at);
    if (count_at(at, size) < 0)
        return json_null();
    timestamp_text(count_at(at, size), text);
    return json_string(text);
}

/* The value at a place of so many bytes. NULL: no memory, or a text that is no UTF-8. */
static json_t *value_json(const struct shape_member *m, enum shape_type type, const char *at, size_t size)
{
    double number;
    bool flag;
    switch (type) {
    case SHAPE_NUMBER:
        memcpy(&number, at, sizeof number);
        return m->exact && isfinite(number) ? json_real(number) : number_json(number);
    case SHAPE_WEIGHT:
        return number_json_ug(count_at(at, sizeof(int64_t)));
    case SHAPE_COUNT:
        return json_integer(count_at(at, size));
    case SHAPE_FLAG:
        memcpy(&flag, at, sizeof flag);
        return json_boolean(flag);
    case SHAPE_CHOICE:
        return text_json(m, choice_at(m, at, size));
    case SHAPE_TIME:
        return time_json(m, at, size);
    case SHAPE_SAID:
        return m->bare ? said_bare_json((const struct said *)(const void *)at)
                       : said_json((const struct said *)(const void *)at, NULL);
    case SHAPE_OBJECT:
        return shape_write(m->of, at);
    default:
        return text_json(m, at);
    }
}

/* `counted` entries, or all that the place holds. NULL: no memory. */
static json_t *list_json(const struct shape_member *m, const char *from)
{
    size_t n = m->size / m->each;
    json_t *list = json_array();
    if (m->counted)
        memcpy(&n, from + m->count, sizeof n);
    for (size_t i = 0; i < n && i < m->size / m->each; i++)
        if (json_array_append_new(list, value_json(m, m->entry, from + m->offset + i * m->each, m->each)) < 0) {
            json_decref(list);
            return NULL;
        }
    return list;
}

static json_t *member_json(const struct shape_member *m, const char *from)
{
    bool there = true;
    if (m->type == SHAPE_LIST)
        return list_json(m, from);
    if (m->type == SHAPE_OBJECT && m->counted)
        memcpy(&there, from + m->count, sizeof there);
    return there ? value_json(m, m->type, from + m->offset, m->size) : json_null();
}

/* What a sparse member leaves out: a journal of many events holds only what was so. */
static bool says_nothing(const json_t *value)
{
    return json_is_null(value) || json_is_false(value) || (json_is_array(value) && json_array_size(value) == 0) ||
           (json_is_integer(value) && json_integer_value(value) == 0);
}

json_t *shape_write(const struct shape *shape, const void *from)
{
    json_t *object = json_object();
    for (const struct shape_member *m = shape->members; object && m->name; m++) {
        if (m->size == 0)
            continue;
        json_t *value = member_json(m, from);
        if (value && m->sparse && says_nothing(value)) {
            json_decref(value);
        } else if (json_object_set_new(object, m->name, value) < 0) { /* it takes NULL as a failure too */
            json_decref(object);
            object = NULL;
        }
    }
    return object;
}

/* ---- settings ---- */

static json_t *number_of_text(const struct shape_member *m, const char *text, struct fault *fault)
{
    char *end;
    double value = strtod(text, &end);
    /* strtod takes hexadecimal, infinity and a sign that nobody writes in a file of settings. */
    if (end != text && *end == '\0' && strspn(text, "0123456789.-eE") == strlen(text) && isfinite(value))
        return json_real(value);
    fault_said(fault, FAULT_INVALID, m->name, "not a number", "member_no_number field=%s", m->name);
    return NULL;
}

static json_t *flag_of_text(const struct shape_member *m, const char *text, struct fault *fault)
{
    if (strcmp(text, "yes") == 0 || strcmp(text, "true") == 0)
        return json_true();
    if (strcmp(text, "no") == 0 || strcmp(text, "false") == 0)
        return json_false();
    fault_said(fault, FAULT_INVALID, m->name, "not yes or no", "member_no_flag field=%s", m->name);
    return NULL;
}

static json_t *value_of_text(const struct shape_member *m, enum shape_type type, const char *text, struct fault *fault)
{
    if (type == SHAPE_NUMBER || type == SHAPE_WEIGHT || type == SHAPE_COUNT)
        return number_of_text(m, text, fault);
    if (type == SHAPE_FLAG)
        return flag_of_text(m, text, fault);
    json_t *value = json_string(text);
    if (!value)
        fault_said(fault, FAULT_INVALID, m->name, "not UTF-8", "member_unclean field=%s", m->name);
    return value;
}

/* A list is parted at commas, spaces about an entry dropped; an empty entry is passed over, so whoever must know of one
 * looks before. */
json_t *shape_of_text(const struct shape_member *m, const char *text, struct fault *fault)
{
    if (m->type != SHAPE_LIST)
        return value_of_text(m, m->type, text, fault);
    json_t *list = json_array();
    for (const char *p = text + strspn(text, ", \t"); *p; p += strspn(p, ", \t")) {
        size_t len = strcspn(p, ",");
        const char *next = p + len;
        while (len > 0 && strchr(" \t", p[len - 1]))
            len--;
        char *one = strndup(p, len);
        json_t *value = one ? value_of_text(m, m->entry, one, fault) : NULL;
        free(one);
        if (!value || json_array_append_new(list, value) < 0) {
            json_decref(list);
            return NULL;
        }
        p = next;
    }
    return list;
}
