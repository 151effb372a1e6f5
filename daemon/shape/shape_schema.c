/* shape_schema.c - a table of members as JSON Schema, and its words for papers.
 *
 * It must not know which thing has a member: a name that means two things is told in the rows of their tables.
 */
#include "shape/shape.h"

#include <string.h>

/* What a member of a name means wherever it stands, so that a row of a table says only what is its own. */
static const struct {
    const char *name, *about;
} glossary[] = {
    {"basis", "by weight or by volume"},
    {"batch", "a batch's number, as a text: `1042`"},
    {"begun", "when it was begun"},
    {"cautions", "what to beware of, gravest first"},
    {"coat", "`sealer`, `ground`, `base`, `mid`, `clear` or `single`"},
    {"currency", "of every `cost`"},
    {"finish", "`solid`, `metallic` or `pearl`"},
    {"finished", "when it was ended; null: it is not"},
    {"formula", "a formula's code"},
    {"id", "its id"},
    {"order", "the order or job that the paint is for"},
    {"painter", "who pours"},
    {"passed", "whether the scale is right"},
    {"person", "who does it, where that is not the painter"},
    {"place", "where it stands: a shelf, a rack"},
    {"request", "1 to 64 printable ASCII characters, made by the client, never used twice"},
    {"revision", "the revision of the screen that the person saw"},
    {"said", "its words"},
    {"state", "what it is in now"},
    {"station", "a bench's name"},
    {"toner", "a toner's id"},
    {"use_by", "when its pot life or its shelf life ends"},
    {"variant", "a variant's name; left out: `standard`"},
    {"warnings", "what is doubtful"},
};

/* One phrase of English; "" for a name that means different things. */
static const char *glossary_of(const char *name)
{
    for (size_t i = 0; i < sizeof glossary / sizeof *glossary; i++)
        if (strcmp(glossary[i].name, name) == 0)
            return glossary[i].about;
    return "";
}

/* Longest ends first: `_g_per_ml` ends in `_ml` too. */
const char *shape_unit(const char *name)
{
    static const struct {
        const char *end, *unit;
    } units[] = {
        {"_g_per_ml", "g/mL"}, {"_g_per_l", "g/L"}, {"m2_per_l", "m2/L"}, {"_per_kg", "money per kg"},
        {"_kg", "kg"},         {"_ml", "mL"},       {"_m2", "m2"},        {"_um", "um"},
        {"_mm", "mm"},         {"_ms", "ms"},       {"_min", "min"},      {"_days", "days"},
        {"_pct", "%"},         {"_g", "g"},         {"_s", "s"},          {"_c", "degrees Celsius"},
    };
    size_t len = strlen(name);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t end = strlen(units[i].end);
        if (len >= end && strcmp(name + len - end, units[i].end) == 0)
            return units[i].unit;
    }
    if (strcmp(name, "grams") == 0)
        return "g";
    return strcmp(name, "ml") == 0 ? "mL" : "";
}

const char *shape_about(const struct shape_member *member)
{
    return member->about ? words_of(WORDS_EN, member->about) : glossary_of(member->name);
}

bool shape_is_needed(const struct shape_member *member, const struct shape_member *spread)
{
    if (spread && (spread->required || spread->nullable))
        return spread->required;
    return member->required || member->needed;
}

/* {"type":...} of one value, whether a member or an entry of a list. */
static json_t *type_schema(enum shape_type type)
{
    static const char *const names[] = {
        [SHAPE_ANY] = NULL,        [SHAPE_TEXT] = "string",   [SHAPE_LINES] = "string",  [SHAPE_ID] = "string",
        [SHAPE_NUMBER] = "number", [SHAPE_WEIGHT] = "number", [SHAPE_COUNT] = "integer", [SHAPE_FLAG] = "boolean",
        [SHAPE_CHOICE] = "string", [SHAPE_TIME] = "string",   [SHAPE_DAY] = "string",    [SHAPE_SAID] = "object",
        [SHAPE_OBJECT] = "object", [SHAPE_LIST] = "array",
    };
    return names[type] ? json_pack("{s:s}", "type", names[type]) : json_object();
}

/* The empty name stands for a choice left out, which a caller leaves out as well. */
static void add_choices(json_t *schema, const char *const *choices)
{
    json_t *list = json_array();
    for (; *choices; choices++)
        if (**choices)
            json_array_append_new(list, json_string(*choices));
    json_object_set_new(schema, "enum", list);
}

/* Of a text the range counts its bytes. */
static void add_range(json_t *schema, enum shape_type type, const struct shape_range *r)
{
    bool text = type == SHAPE_TEXT || type == SHAPE_LINES;
    if (!r)
        return;
    json_object_set_new(schema, text ? "minLength" : r->above ? "exclusiveMinimum" : "minimum", number_json(r->least));
    json_object_set_new(schema, text ? "maxLength" : "maximum", number_json(r->most));
}

/* A shape that has a name is written once and referred to. */
static json_t *object_schema(const struct shape *of, json_t *named)
{
    char ref[96];
    if (!of)
        return type_schema(SHAPE_OBJECT);
    if (!of->name || !named)
        return shape_schema(of, named);
    if (!json_object_get(named, of->name)) {
        json_object_set_new(named, of->name, json_null()); /* its place, so that one that names itself ends */
        json_object_set_new(named, of->name, shape_schema(of, named));
    }
    snprintf(ref, sizeof ref, "#/components/schemas/%s", of->name);
    return json_pack("{s:s}", "$ref", ref);
}

static json_t *value_schema(const struct shape_member *m, enum shape_type type, json_t *named)
{
    if (type == SHAPE_OBJECT || (type == SHAPE_ANY && m->of))
        return object_schema(m->of, named);
    json_t *schema = type_schema(type);
    if (type == SHAPE_SAID)
        json_object_set_new(schema, "description", json_string("a said: {\"code\",\"args\",\"text\"}"));
    if (type == SHAPE_CHOICE)
        add_choices(schema, m->choices);
    if (type == SHAPE_TIME || type == SHAPE_DAY)
        json_object_set_new(schema, "format", json_string(type == SHAPE_DAY ? "date" : "date-time"));
    if (type == SHAPE_ID)
        json_object_set_new(schema, "pattern", json_string("^[A-Za-z0-9._-]{1,40}$"));
    add_range(schema, type, m->range);
    return schema;
}

static json_t *or_null(json_t *schema)
{
    return json_pack("{s:[o, {s:s}]}", "anyOf", schema, "type", "null");
}

static json_t *entry_schema(const struct shape_member *m, json_t *named)
{
    json_t *entry = value_schema(m, m->entry, named);
    return m->holes ? or_null(entry) : entry;
}

json_t *shape_member_schema(const struct shape_member *m, json_t *named)
{
    json_t *schema = value_schema(m, m->type, named);
    const char *about = shape_about(m), *unit = shape_unit(m->name);
    if (m->type == SHAPE_LIST && (m->entry != SHAPE_ANY || m->of))
        json_object_set_new(schema, "items", entry_schema(m, named));
    if (m->type == SHAPE_LIST && m->entries_least > 0)
        json_object_set_new(schema, "minItems", json_integer((json_int_t)m->entries_least));
    if (m->type == SHAPE_LIST && m->entries_most > 0)
        json_object_set_new(schema, "maxItems", json_integer((json_int_t)m->entries_most));
    if (m->nullable)
        schema = or_null(schema);
    if (about[0])
        json_object_set_new(schema, "description", json_string(about));
    if (unit[0])
        json_object_set_new(schema, "x-unit", json_string(unit));
    return schema;
}

/* Members into *properties and the names of those that must be there into *required. What is spread stands among the
 * others; where its row is required, all of it is always there, where it is nullable, perhaps none. */
static void add_members(const struct shape *shape, const struct shape_member *spread, json_t *properties,
                        json_t *required, json_t *named)
{
    for (const struct shape_member *m = shape->members; m->name; m++) {
        if (m->spread) {
            add_members(m->of, m, properties, required, named);
            continue;
        }
        json_object_set_new(properties, m->name, shape_member_schema(m, named));
        if (shape_is_needed(m, spread))
            json_array_append_new(required, json_string(m->name));
    }
}

json_t *shape_schema(const struct shape *shape, json_t *named)
{
    json_t *schema = type_schema(SHAPE_OBJECT), *properties = json_object(), *required = json_array();
    add_members(shape, NULL, properties, required, named);
    if (shape->about)
        json_object_set_new(schema, "description", json_string(shape->about));
    json_object_set_new(schema, "properties", properties);
    if (json_array_size(required) > 0)
        json_object_set(schema, "required", required);
    json_decref(required);
    return schema;
}
