/* shape.c - the walker that checks a JSON object against its table and reads it into a struct.
 *
 * It must not know any thing by name: what a member is stands in its row alone.
 */
#include "shape/shape.h"

#include "id.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <string.h>

const struct shape_range shape_from_0 = {0, 1e9, false};
const struct shape_range shape_above_0 = {0, 1e9, true};
const struct shape_range shape_pct = {0, 100, false};
const struct shape_range shape_pct_above_0 = {0, 100, true};
/* Osmium, the densest of all, is 22.6 g/mL (from memory). */
const struct shape_range shape_density = {0, 25, true};

/* ---- refusals ---- */

/* One code a type, so that each language can say it in its own way. */
static bool wrong_type(const char *name, enum shape_type type, struct fault *fault)
{
    switch (type) {
    case SHAPE_NUMBER:
    case SHAPE_WEIGHT:
    case SHAPE_COUNT:
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_number field=%s", name);
    case SHAPE_FLAG:
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_flag field=%s", name);
    case SHAPE_SAID:
    case SHAPE_OBJECT:
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_object field=%s", name);
    case SHAPE_LIST:
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_list field=%s", name);
    default:
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_text field=%s", name);
    }
}

/* Types whose JSON value is a number: one that is missing is a number not sensible (-32005), not a wrong type. */
static bool is_number(enum shape_type type)
{
    return type == SHAPE_NUMBER || type == SHAPE_WEIGHT || type == SHAPE_COUNT;
}

static bool missing(const struct shape_member *m, struct fault *fault)
{
    return fault_said(fault, is_number(m->type) ? FAULT_INVALID : FAULT_PARAMS, m->name, "missing",
                      "member_missing field=%s", m->name);
}

/* `a, b, c`, as much of it as a said can hold. */
static const char *listed(const char *const *choices, char *out, size_t size)
{
    out[0] = '\0';
    for (; *choices; choices++) {
        size_t used = strlen(out);
        if (**choices && used + strlen(*choices) + 3 < size) {
            utf8_copy(out + used, size - used, used ? ", " : "");
            utf8_copy(out + strlen(out), size - strlen(out), *choices);
        }
    }
    return out;
}

/* ---- one value of each type ---- */

/* Within the range, and finite. Each kind of range is told by a code of its own, so that a sentence names only the ends
 * that hold. */
static bool number_fits(const struct shape_member *m, double value, struct fault *fault)
{
    const struct shape_range *r = m->range;
    if (isfinite(value) && (!r || (value <= r->most && value >= r->least && !(r->above && value <= r->least))))
        return true;
    if (!r)
        return fault_said(fault, FAULT_INVALID, m->name, "no number", "member_no_number field=%s", m->name);
    if (r->above && r->most >= 1e9)
        return fault_said(fault, FAULT_INVALID, m->name, "out of range", "member_above field=%s least=%f given=%f",
                          m->name, r->least, value);
    if (r->most >= 1e9)
        return fault_said(fault, FAULT_INVALID, m->name, "out of range", "member_from field=%s least=%f given=%f",
                          m->name, r->least, value);
    if (r->above)
        return fault_said(fault, FAULT_INVALID, m->name, "out of range",
                          "member_above_to field=%s least=%f most=%f given=%f", m->name, r->least, r->most, value);
    return fault_said(fault, FAULT_INVALID, m->name, "out of range",
                      "member_from_to field=%s least=%f most=%f given=%f", m->name, r->least, r->most, value);
}

/* 250 and 250.0 are the same number (contract 1); above 9e15 a double no longer holds each whole one. */
static bool count_fits(const struct shape_member *m, double value, struct fault *fault)
{
    if (!number_fits(m, value, fault))
        return false;
    if (value == trunc(value) && fabs(value) < 9e15)
        return true;
    return fault_said(fault, FAULT_INVALID, m->name, "not whole", "member_not_whole field=%s", m->name);
}

/* Names all that would have been right: the person at fault sees the list, not a table of ours. */
static bool choice_fits(const struct shape_member *m, const char *text, struct fault *fault)
{
    char words[200];
    for (size_t i = 0; m->choices[i]; i++)
        if (strcmp(m->choices[i], text) == 0)
            return true;
    return fault_said(fault, FAULT_INVALID, m->name, "not known", "member_choice field=%s given=%s choices=%s", m->name,
                      text, listed(m->choices, words, sizeof words));
}

/* The bytes that a text of that member may have. */
static size_t text_most(const struct shape_member *m, bool entry)
{
    size_t room = entry ? m->each : m->size;
    if (m->range)
        return (size_t)m->range->most;
    return room > 0 ? room - 1 : (size_t)-1;
}

/* A choice or a time may be kept as a number: then its text has no room to overflow. */
static bool kept_as_number(enum shape_type type, size_t size)
{
    return (type == SHAPE_CHOICE && size == sizeof(int)) || (type == SHAPE_TIME && size == sizeof(int64_t));
}

/* In the order in which a person would fix them: too long, unclean, then what its type asks. An empty text is no fault
 * here: who must not be empty is `required`. */
static bool text_fits(const struct shape_member *m, enum shape_type type, bool entry, const json_t *value,
                      struct fault *fault)
{
    const char *text = json_string_value(value);
    size_t most = text_most(m, entry);
    if (!kept_as_number(type, entry ? m->each : m->size) && strlen(text) > most)
        return fault_said(fault, FAULT_INVALID, m->name, "too long", "member_too_long field=%s most=%zu", m->name,
                          most);
    if (type != SHAPE_LINES && !utf8_is_clean(text))
        return fault_said(fault, FAULT_INVALID, m->name, "control character", "member_unclean field=%s", m->name);
    if (text[0] == '\0')
        return true;
    if (type == SHAPE_ID && !id_fits(text))
        return fault_said(fault, FAULT_INVALID, m->name, "not an id", "member_not_id field=%s given=%s", m->name, text);
    if (type == SHAPE_DAY && !timestamp_is_day(text))
        return fault_said(fault, FAULT_INVALID, m->name, "date", "member_not_day field=%s given=%s", m->name, text);
    if (type == SHAPE_TIME && timestamp_parse(text) < 0)
        return fault_said(fault, FAULT_INVALID, m->name, "time", "member_not_time field=%s given=%s", m->name, text);
    if (m->fits && !m->fits(text))
        return fault_said(fault, FAULT_INVALID, m->name, "form", m->unfit, m->name, text);
    return type != SHAPE_CHOICE || choice_fits(m, text, fault);
}

static bool is_type(const json_t *value, enum shape_type type)
{
    switch (type) {
    case SHAPE_ANY:
        return true;
    case SHAPE_NUMBER:
    case SHAPE_WEIGHT:
    case SHAPE_COUNT:
        return json_is_number(value);
    case SHAPE_FLAG:
        return json_is_boolean(value);
    case SHAPE_SAID:
    case SHAPE_OBJECT:
        return json_is_object(value);
    case SHAPE_LIST:
        return json_is_array(value);
    default:
        return json_is_string(value);
    }
}

/* An object within one calls the walker again; tables are finite, and JSON is at most 16 levels deep. */
static bool read_object(const struct shape *shape, const json_t *object, char *into, struct fault *fault);

/* ---- into its place ---- */

/* int, size_t and int64_t are told apart by their bytes alone; the range of the row keeps a value within them. */
static void put_count(char *at, size_t size, double value)
{
    int small = (int)value;
    int64_t large = (int64_t)value;
    if (size == sizeof small)
        memcpy(at, &small, sizeof small);
    else
        memcpy(at, &large, sizeof large);
}

/* Its place tells the form: four bytes are an index, eight a time in milliseconds, else it is the text itself. */
static void put_text(const struct shape_member *m, enum shape_type type, const char *text, char *at, size_t size)
{
    if (type == SHAPE_CHOICE && size == sizeof(int)) {
        for (int i = 0; m->choices[i]; i++)
            if (strcmp(m->choices[i], text) == 0)
                memcpy(at, &i, sizeof i);
    } else if (type == SHAPE_TIME && size == sizeof(int64_t)) {
        int64_t ms = timestamp_parse(text);
        memcpy(at, &ms, sizeof ms);
    } else {
        utf8_copy(at, size, text);
    }
}

/* A value that was checked. at: its place, of so many bytes. */
static void put(const struct shape_member *m, enum shape_type type, const json_t *value, char *at, size_t size)
{
    double number = json_number_value(value);
    int64_t ug = llround(number * 1e6);
    bool flag = json_is_true(value);
    switch (type) {
    case SHAPE_NUMBER:
        memcpy(at, &number, sizeof number);
        break;
    case SHAPE_WEIGHT:
        memcpy(at, &ug, sizeof ug);
        break;
    case SHAPE_COUNT:
        put_count(at, size, number);
        break;
    case SHAPE_FLAG:
        memcpy(at, &flag, sizeof flag);
        break;
    case SHAPE_SAID:
        said_read((struct said *)(void *)at, value);
        break;
    case SHAPE_ANY:
    case SHAPE_OBJECT:
    case SHAPE_LIST:
        break;
    default:
        put_text(m, type, json_string_value(value), at, size);
    }
}

/* One value of a type, checked, and into its place where it has one. at NULL: checked alone. */
static bool read_value(const struct shape_member *m, enum shape_type type, bool entry, const json_t *value, char *at,
                       struct fault *fault)
{
    size_t size = entry ? m->each : m->size;
    bool fits = true;
    if (!is_type(value, type))
        return wrong_type(m->name, type, fault);
    if (type == SHAPE_OBJECT)
        return !m->of || read_object(m->of, value, size > 0 ? at : NULL, fault);
    if (type == SHAPE_NUMBER || type == SHAPE_WEIGHT)
        fits = number_fits(m, json_number_value(value), fault);
    else if (type == SHAPE_COUNT)
        fits = count_fits(m, json_number_value(value), fault);
    else if (json_is_string(value) && type != SHAPE_ANY)
        fits = text_fits(m, type, entry, value, fault);
    if (fits && at && size > 0)
        put(m, type, value, at, size);
    return fits;
}

/* A list's entries lie one behind the other from the member's offset. Without a place they are checked alone. */
static bool read_list(const struct shape_member *m, const json_t *list, char *into, struct fault *fault)
{
    size_t n = json_array_size(list), i, room = m->each > 0 ? m->size / m->each : 0;
    size_t most = m->entries_most > 0 ? m->entries_most : room;
    json_t *entry;
    if (n < m->entries_least)
        return fault_said(fault, FAULT_INVALID, m->name, "empty", "member_few field=%s least=%zu", m->name,
                          (size_t)m->entries_least);
    if (most > 0 && n > most)
        return fault_said(fault, FAULT_INVALID, m->name, "too many", "member_many field=%s most=%zu", m->name, most);
    json_array_foreach(list, i, entry)
    {
        /* null among numbers is one that is not known; a place of numbers takes NaN. */
        bool unknown = json_is_null(entry) && m->entry == SHAPE_NUMBER && m->nullable;
        double none = NAN;
        char *at = into && m->each > 0 ? into + m->offset + i * m->each : NULL;
        if (json_is_null(entry) && !unknown && is_number(m->entry))
            return fault_said(fault, FAULT_INVALID, m->name, "missing", "member_no_number field=%s", m->name);
        if (unknown && at)
            memcpy(at, &none, sizeof none);
        else if (!unknown && !read_value(m, m->entry, true, entry, at, fault))
            return false;
    }
    if (into && m->counted && m->size > 0)
        memcpy(into + m->count, &n, sizeof n);
    return true;
}

/* A text that must be there and is empty is missing: nobody means a toner without a name. A choice may be "", which is
 * the name of one left out. */
bool shape_read_member(const struct shape_member *m, const json_t *value, void *into, struct fault *fault)
{
    bool there = true;
    char *at = into && m->size > 0 ? (char *)into + m->offset : NULL;
    if (!value || json_is_null(value))
        return !m->required || (value && m->nullable) || missing(m, fault);
    if (m->type == SHAPE_LIST)
        return is_type(value, SHAPE_LIST) ? read_list(m, value, into, fault) : wrong_type(m->name, SHAPE_LIST, fault);
    if (m->required && m->type != SHAPE_ANY && m->type != SHAPE_CHOICE && json_is_string(value) &&
        json_string_length(value) == 0 && is_type(value, m->type))
        return missing(m, fault);
    if (!read_value(m, m->type, false, value, at, fault))
        return false;
    if (at && m->counted && m->type == SHAPE_OBJECT)
        memcpy((char *)into + m->count, &there, sizeof there);
    return true;
}

static bool read_object(const struct shape *shape, const json_t *object, char *into, struct fault *fault)
{
    for (const struct shape_member *m = shape->members; m->name; m++)
        if (!m->spread && !shape_read_member(m, json_object_get(object, m->name), into, fault))
            return false;
    return true;
}

bool shape_read(const struct shape *shape, const json_t *object, void *into, struct fault *fault)
{
    const char *name = shape->name ? shape->name : "params";
    if (!json_is_object(object))
        return wrong_type(name, SHAPE_OBJECT, fault);
    return read_object(shape, object, into, fault);
}

bool shape_check(const struct shape *shape, const json_t *object, struct fault *fault)
{
    return shape_read(shape, object, NULL, fault);
}

const struct shape_member *shape_find(const struct shape *shape, const char *name)
{
    for (const struct shape_member *m = shape->members; m->name; m++)
        if (strcmp(m->name, name) == 0)
            return m;
    return NULL;
}
