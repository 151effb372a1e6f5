/* A table of members: what it refuses and with which field, what it reads, what it writes, and its schema. */
#include "shape/shape.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum basis { BASIS_NONE, BASIS_WEIGHT, BASIS_VOLUME };
static const char *const basis_names[] = {"", "weight", "volume", NULL};

struct part {
    char toner[12];
    double share;
};
struct thing {
    char id[41], name[10];
    double grams;
    int64_t weight_ug, at_ms;
    int coats;
    bool lid;
    enum basis basis;
    struct part part[3];
    size_t parts;
    double poured_g[3];
    size_t poured;
    struct part spare;
    bool has_spare;
    struct said said;
};

static bool starts_with_a(const char *text)
{
    return text[0] == 'A';
}

static const struct shape_member part_members[] = {
    {.name = "toner", .type = SHAPE_ID, .required = true, SHAPE_AT(struct part, toner)},
    {.name = "share", .type = SHAPE_NUMBER, .required = true, .range = &shape_above_0, SHAPE_AT(struct part, share)},
    {0},
};
static const struct shape part_shape = {"part", part_members, "a part"};
static const struct shape_member thing_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct thing, id)},
    {.name = "name", .type = SHAPE_TEXT, .nullable = true, SHAPE_AT(struct thing, name)},
    {.name = "grams", .type = SHAPE_NUMBER, .required = true, .range = &shape_above_0, SHAPE_AT(struct thing, grams)},
    {.name = "weight_g", .type = SHAPE_WEIGHT, SHAPE_AT(struct thing, weight_ug)},
    {.name = "time", .type = SHAPE_TIME, .nullable = true, SHAPE_AT(struct thing, at_ms)},
    {.name = "coats", .type = SHAPE_COUNT, .sparse = true, SHAPE_AT(struct thing, coats)},
    {.name = "lid", .type = SHAPE_FLAG, .sparse = true, SHAPE_AT(struct thing, lid)},
    {.name = "basis", .type = SHAPE_CHOICE, .nullable = true, .choices = basis_names, SHAPE_AT(struct thing, basis)},
    {.name = "parts",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &part_shape,
     .entries_least = 1,
     SHAPE_LIST_AT(struct thing, part, parts)},
    {.name = "poured_g",
     .type = SHAPE_LIST,
     .entry = SHAPE_NUMBER,
     .nullable = true,
     .sparse = true,
     SHAPE_LIST_AT(struct thing, poured_g, poured)},
    {.name = "spare",
     .type = SHAPE_OBJECT,
     .of = &part_shape,
     .nullable = true,
     SHAPE_OBJECT_AT(struct thing, spare, has_spare)},
    {.name = "said", .type = SHAPE_SAID, .nullable = true, .bare = true, SHAPE_AT(struct thing, said)},
    {.name = "mark", .type = SHAPE_TEXT, .fits = starts_with_a, .unfit = "member_not_id field=%s given=%s"},
    {.name = "from", .type = SHAPE_DAY},
    {0},
};
static const struct shape thing_shape = {"thing", thing_members, "a thing of this test"};

/* A line is a thing; its faults, and the member that is named. */
static const struct {
    const char *line;
    enum fault_kind kind;
    const char *field;
} refused[] = {
    {"{'grams':1}", FAULT_PARAMS, "id"},
    {"{'id':'','grams':1}", FAULT_PARAMS, "id"},
    {"{'id':null,'grams':1}", FAULT_PARAMS, "id"},
    {"{'id':7,'grams':1}", FAULT_PARAMS, "id"},
    {"{'id':'a b','grams':1}", FAULT_INVALID, "id"},
    {"{'id':'a'}", FAULT_INVALID, "grams"},
    {"{'id':'a','grams':'1'}", FAULT_PARAMS, "grams"},
    {"{'id':'a','grams':0}", FAULT_INVALID, "grams"},
    {"{'id':'a','grams':1e308}", FAULT_INVALID, "grams"},
    {"{'id':'a','grams':1,'name':'longer than it'}", FAULT_INVALID, "name"},
    {"{'id':'a','grams':1,'name':'a\\u0007'}", FAULT_INVALID, "name"},
    {"{'id':'a','grams':1,'name':'a\\u202e'}", FAULT_INVALID, "name"},
    {"{'id':'a','grams':1,'coats':1.5}", FAULT_INVALID, "coats"},
    {"{'id':'a','grams':1,'lid':1}", FAULT_PARAMS, "lid"},
    {"{'id':'a','grams':1,'basis':'length'}", FAULT_INVALID, "basis"},
    {"{'id':'a','grams':1,'time':'noon'}", FAULT_INVALID, "time"},
    {"{'id':'a','grams':1,'from':'2026-02-30'}", FAULT_INVALID, "from"},
    {"{'id':'a','grams':1,'mark':'B'}", FAULT_INVALID, "mark"},
    {"{'id':'a','grams':1,'parts':{}}", FAULT_PARAMS, "parts"},
    {"{'id':'a','grams':1,'parts':[]}", FAULT_INVALID, "parts"},
    {"{'id':'a','grams':1,'parts':[1]}", FAULT_PARAMS, "parts"},
    {"{'id':'a','grams':1,'parts':[{'toner':'M1','share':-1}]}", FAULT_INVALID, "share"},
    {"{'id':'a','grams':1,'poured_g':[1,2,3,4]}", FAULT_INVALID, "poured_g"},
    {"{'id':'a','grams':1,'poured_g':['1']}", FAULT_PARAMS, "poured_g"},
    {"{'id':'a','grams':1,'spare':[]}", FAULT_PARAMS, "spare"},
    {"{'id':'a','grams':1,'spare':{'share':1}}", FAULT_PARAMS, "toner"},
    {"[]", FAULT_PARAMS, "thing"},
};

static json_t *json_of(const char *line)
{
    char text[512];
    snprintf(text, sizeof text, "%s", line);
    for (char *c = text; *c; c++)
        if (*c == '\'')
            *c = '"';
    json_t *json = json_loads(text, 0, NULL);
    assert_non_null(json);
    return json;
}

static void names_the_member_that_does_not_fit(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct fault f;
        json_t *json = json_of(refused[i].line);
        if (shape_check(&thing_shape, json, &f))
            fail_msg("taken: %s", refused[i].line);
        if (f.kind != refused[i].kind || strcmp(f.field, refused[i].field) != 0)
            fail_msg("%s: kind %d field %s", refused[i].line, f.kind, f.field);
        assert_true(f.message[0] && f.help[0] && strchr(f.message, '?') == NULL);
        json_decref(json);
    }
}

static const char whole[] =
    "{'id':'TI-1','name':null,'grams':12.5,'weight_g':1.234567,'time':'2026-11-25T14:03:07.412+00:00','coats':2,'lid':"
    "true,"
    "'basis':'volume','parts':[{'toner':'M1','share':1},{'toner':'M2','share':2}],'poured_g':[1,null],"
    "'spare':{'toner':'M3','share':0.5},'said':{'code':'grew','args':{'total_g':306.3}}}";

static void reads_each_type_into_its_place_and_writes_the_same(void **state)
{
    (void)state;
    struct thing t = {.grams = NAN, .coats = 9};
    struct fault f;
    json_t *json = json_of(whole);
    assert_true(shape_read(&thing_shape, json, &t, &f));
    assert_string_equal(t.id, "TI-1");
    assert_true(t.weight_ug == 1234567 && t.coats == 2 && t.lid && t.basis == BASIS_VOLUME);
    assert_true(t.parts == 2 && strcmp(t.part[1].toner, "M2") == 0 && t.poured == 2 && isnan(t.poured_g[1]));
    assert_true(t.has_spare && said_number(&t.said, "total_g") == 306.3);
    assert_int_equal(t.at_ms, 1795615387412);
    json_t *again = shape_write(&thing_shape, &t);
    json_object_del(json, "time"); /* the zone is the machine's */
    json_object_del(again, "time");
    if (!json_equal(json, again))
        fail_msg("%s", json_dumps(again, 0));
    json_decref(json);
    json_decref(again);
}

static void leaves_what_is_left_out_and_writes_it_as_not_known(void **state)
{
    (void)state;
    struct thing t = {.grams = NAN, .coats = 0, .at_ms = -1};
    struct fault f;
    json_t *json = json_of("{'id':'a','grams':1,'coats':null}");
    t.coats = 3;
    assert_true(shape_read(&thing_shape, json, &t, &f));
    assert_int_equal(t.coats, 3);
    t.coats = 0;
    json_t *written = shape_write(&thing_shape, &t);
    assert_true(json_is_null(json_object_get(written, "time")) && json_is_null(json_object_get(written, "spare")));
    assert_true(json_is_null(json_object_get(written, "name")) && json_is_null(json_object_get(written, "said")));
    assert_null(json_object_get(written, "coats"));
    assert_null(json_object_get(written, "lid"));
    assert_null(json_object_get(written, "poured_g"));
    json_decref(json);
    json_decref(written);
}

static void takes_a_setting_as_the_text_of_a_file(void **state)
{
    (void)state;
    struct thing t = {.grams = NAN};
    struct fault f;
    const struct shape_member *grams = shape_find(&thing_shape, "grams"), *lid = shape_find(&thing_shape, "lid");
    json_t *value = shape_of_text(grams, "12.5", &f);
    assert_true(shape_read_member(grams, value, &t, &f) && t.grams == 12.5);
    json_decref(value);
    value = shape_of_text(lid, "yes", &f);
    assert_true(shape_read_member(lid, value, &t, &f) && t.lid);
    json_decref(value);
    value = shape_of_text(shape_find(&thing_shape, "poured_g"), "1, 2 ,3", &f);
    assert_int_equal(json_array_size(value), 3);
    json_decref(value);
    assert_null(shape_of_text(grams, "0x10", &f));
    assert_null(shape_of_text(grams, "12,5", &f));
    assert_null(shape_of_text(lid, "perhaps", &f));
    assert_null(shape_find(&thing_shape, "nothing"));
}

static void tells_its_schema_with_units_and_named_shapes_once(void **state)
{
    (void)state;
    json_t *named = json_object(), *schema = shape_schema(&thing_shape, named);
    json_t *properties = json_object_get(schema, "properties");
    assert_int_equal(json_array_size(json_object_get(schema, "required")), 2);
    assert_string_equal(json_string_value(json_object_get(json_object_get(properties, "weight_g"), "x-unit")), "g");
    json_t *items = json_object_get(json_object_get(properties, "parts"), "items");
    assert_string_equal(json_string_value(json_object_get(items, "$ref")), "#/components/schemas/part");
    assert_int_equal(json_object_size(named), 1);
    assert_string_equal(shape_unit("actual_g_per_l"), "g/L");
    assert_string_equal(shape_unit("toner"), "");
    json_decref(named);
    json_decref(schema);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_the_member_that_does_not_fit),
        cmocka_unit_test(reads_each_type_into_its_place_and_writes_the_same),
        cmocka_unit_test(leaves_what_is_left_out_and_writes_it_as_not_known),
        cmocka_unit_test(takes_a_setting_as_the_text_of_a_file),
        cmocka_unit_test(tells_its_schema_with_units_and_named_shapes_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
