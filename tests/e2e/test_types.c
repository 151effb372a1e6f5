/* Every method is called with every member of another JSON type: -32602 or -32005, never a crash, never an internal
 * error. A method that is new in daemon.info is tried with all names known here, whatever they mean to it. */
#include "tests/e2e/harness.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define ACT "\"station\":\"bench\",\"request\":\"r\",\"revision\":0,\"person\":\"Ines\""
#define AMOUNT                                                                                                         \
    "\"formula\":\"TI-207\",\"variant\":\"standard\",\"coat\":\"ground\",\"grams\":100,\"cup_ml\":750,"                \
    "\"reducer\":\"THN-S\",\"reduce_pct\":10"

/* Members of the right type, after sections 4, 5 and 7 of the contract. */
static const struct {
    const char *method, *params;
} methods[] = {
    {"watch", "{\"station\":\"bench\"}"},
    {"toner.list", "{\"text\":\"white\"}"},
    {"toner.get", "{\"toner\":\"N10\"}"},
    {"toner.put", "{\"id\":\"X1\",\"name\":\"Tried\",\"role\":\"toner\",\"line\":\"solvent\",\"pigment\":\"PW6\","
                  "\"density_g_per_ml\":1.2,\"voc_pct\":40,\"water_pct\":0,\"exempt_pct\":0,\"solids_vol_pct\":30,"
                  "\"price_per_kg\":10,\"bank\":\"A1\",\"request\":\"r\","
                  "\"person\":\"Ines\",\"reason\":\"a try\"}"},
    {"toner.remove", "{\"toner\":\"X1\",\"request\":\"r\"}"},
    {"formula.list", "{\"text\":\"copper\"}"},
    {"formula.get", "{\"formula\":\"TI-207\",\"revision\":1}"},
    {"formula.put", "{\"code\":\"X-1\",\"name\":\"Tried\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[],"
                    "\"reason\":\"a try\",\"request\":\"r\"}"},
    {"formula.check", "{\"formula\":\"TI-207\"}"},
    {"product.list", "{\"text\":\"clear\"}"},
    {"product.get", "{\"product\":\"CLEAR-40\"}"},
    {"product.put", "{\"id\":\"X-2\",\"name\":\"Tried\",\"role\":\"clear\",\"line\":\"two-pack\",\"basis\":\"volume\","
                    "\"parts\":[\"CLEAR-40\",\"HARD-2\"],\"ratio\":[4,1],\"pot_life_min\":90,\"request\":\"r\"}"},
    {"cup.put", "{\"id\":\"X3\",\"ml\":500,\"tare_g\":20,\"fill_pct\":95,\"request\":\"r\"}"},
    {"panel.put", "{\"id\":\"X4\",\"area_m2\":1,\"request\":\"r\"}"},
    {"catalogue.import", "{\"files\":[\"/nowhere\"],\"person\":\"Ines\",\"request\":\"r\"}"},
    {"mix.plan", "{" AMOUNT "}"},
    {"mix.remedies", "{\"parts\":[1,1],\"total_g\":100,\"poured_g\":[1,1],\"tolerance_g\":0.1,\"tolerance_pct\":0.5,"
                     "\"cup_g\":500}"},
    {"mix.ratio", "{\"parts\":[4,1],\"basis\":\"volume\",\"densities_g_per_ml\":[1,1],\"total_g\":100}"},
    {"mix.reduce", "{\"paint_g\":260,\"paint_density_g_per_ml\":1.05,\"pct\":10,\"basis\":\"weight\","
                   "\"reducer_density_g_per_ml\":0.88}"},
    {"mix.weighable", "{\"parts\":[1,1],\"d_g\":0.1,\"error_pct\":5,\"half_drop_g\":0.03}"},
    {"mix.premix", "{\"grams\":[0.12],\"d_g\":0.1,\"error_pct\":5,\"half_drop_g\":0,\"diluent_g_max\":200}"},
    {"batch.begin", "{" ACT "," AMOUNT ",\"order\":\"4417\",\"painter\":\"Ines\",\"have\":[]}"},
    {"batch.accept", "{" ACT ",\"short\":false,\"tared\":false,\"lot\":\"A17\",\"really\":\"N10\"}"},
    {"batch.undo", "{" ACT "}"},
    {"batch.remedy", "{" ACT ",\"choice\":\"grow\"}"},
    {"batch.retare", "{" ACT ",\"uncounted_g\":1,\"lost_g\":1}"},
    {"batch.tint", "{" ACT ",\"toner\":\"N10\"}"},
    {"batch.hold", "{" ACT "}"},
    {"batch.resume", "{" ACT ",\"batch\":\"1\"}"},
    {"batch.note", "{" ACT ",\"text\":\"words\"}"},
    {"batch.finish", "{" ACT "}"},
    {"batch.scrap", "{" ACT ",\"why\":\"words\"}"},
    {"batch.get", "{\"batch\":\"1\"}"},
    {"batch.find", "{\"text\":\"copper\",\"order\":\"4417\",\"from\":\"2026-01-01\",\"to\":\"2026-12-31\","
                   "\"state\":\"open\",\"limit\":10}"},
    {"batch.label", "{\"batch\":\"1\",\"copies\":1,\"request\":\"r\"}"},
};

/* One of each JSON type but null, which counts as left out. */
static const char *const values[] = {"\"text\"", "5", "true", "[true]", "{\"x\":1}"};

static json_t *value_of(const char *text)
{
    json_t *v = json_loads(text, JSON_DECODE_ANY, NULL);
    assert_non_null(v);
    return v;
}

static bool same_kind(const json_t *a, const json_t *b)
{
    return json_typeof(a) == json_typeof(b) || (json_is_number(a) && json_is_number(b)) ||
           (json_is_boolean(a) && json_is_boolean(b));
}

static int code_of(json_t *answer)
{
    return (int)json_integer_value(json_object_get(json_object_get(answer, "error"), "code"));
}

/* `short` may be a flag or a text, `ratio` a list or a text: such a text is a bad value, not a bad type. */
static bool both_kinds(const char *member)
{
    return strcmp(member, "short") == 0 || strcmp(member, "ratio") == 0;
}

static int try_member(struct harness *h, const char *method, const json_t *params, const char *member)
{
    int tried = 0;
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        json_t *wrong = value_of(values[i]);
        if (same_kind(wrong, json_object_get(params, member)) || (both_kinds(member) && json_is_string(wrong))) {
            json_decref(wrong);
            continue;
        }
        json_t *with = json_deep_copy(params);
        if (json_object_get(with, "request")) /* a new one each time, else the answer to another is given again */
            json_object_set_new(with, "request", json_sprintf("types-%d", ++h->next_request));
        json_object_set_new(with, member, wrong);
        json_t *answer = harness_ask(h, method, with);
        const char *field =
            json_string_value(json_object_get(json_object_get(json_object_get(answer, "error"), "data"), "field"));
        if (code_of(answer) != -32602 || !field || strcmp(field, member) != 0)
            fail_msg("%s with %s as %s: code %d, field %s", method, member, values[i], code_of(answer),
                     field ? field : "none");
        tried++;
    }
    return tried;
}

static void a_member_of_another_type_is_named(void **state)
{
    struct harness *h = *state;
    int tried = 0;
    for (size_t i = 0; i < sizeof methods / sizeof *methods; i++) {
        json_t *params = value_of(methods[i].params);
        const char *member;
        json_t *value;
        json_object_foreach(params, member, value) tried += try_member(h, methods[i].method, params, member);
        json_decref(params);
    }
    assert_true(tried > 500);
    assert_int_equal(harness_number(h, "bench", "revision"), 0);
}

/* A request of 1 to 64 printable ASCII characters, else -32602; contract, section 1. */
static void a_malformed_request_is_refused_by_all_that_take_one(void **state)
{
    static const char *const malformed[] = {
        "\"\"",
        "\"caf\xc3\xa9\"",
        "\"a\\nb\"",
        "\"\\u007f\"",
        "\"01234567890123456789012345678901234567890123456789012345678901234\"",
    };
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof methods / sizeof *methods; i++) {
        json_t *params = value_of(methods[i].params);
        for (size_t k = 0; json_object_get(params, "request") && k < sizeof malformed / sizeof *malformed; k++) {
            json_t *with = json_copy(params);
            json_object_set_new(with, "request", value_of(malformed[k]));
            json_t *answer = harness_ask(h, methods[i].method, with);
            json_t *data = json_object_get(json_object_get(answer, "error"), "data");
            const char *field = json_string_value(json_object_get(data, "field"));
            if (code_of(answer) != -32602 || !field || strcmp(field, "request") != 0)
                fail_msg("%s with request %s: %d", methods[i].method, malformed[k], code_of(answer));
        }
        json_decref(params);
    }
}

/* All names that stand in the table, once each, as the members of one object. */
static json_t *all_names(void)
{
    json_t *names = json_object();
    for (size_t i = 0; i < sizeof methods / sizeof *methods; i++) {
        json_t *params = value_of(methods[i].params);
        json_object_update(names, params);
        json_decref(params);
    }
    return names;
}

/* What is refused is refused with one of the documented errors; what is done is done. -32603 is a defect. */
static void no_method_fails_by_itself(void **state)
{
    struct harness *h = *state;
    json_t *info = json_incref(harness_call(h, "daemon.info", NULL)), *names = all_names(), *known, *method;
    size_t i;
    json_array_foreach(json_object_get(info, "methods"), i, method)
    {
        const char *name = json_string_value(method), *member;
        json_object_foreach(names, member, known)
        {
            for (size_t k = 0; k < sizeof values / sizeof *values; k++) {
                json_t *answer = harness_ask(h, name, json_pack("{s:o}", member, value_of(values[k])));
                int code = code_of(answer);
                bool fine = code == 0 || code == -32602 || (code <= -32001 && code >= -32008 && code != -32007);
                if (!fine || (code == 0 && !json_object_get(answer, "result")))
                    fail_msg("%s with %s as %s: %d", name, member, values[k], code);
            }
        }
    }
    assert_true(json_array_size(json_object_get(info, "methods")) >= sizeof methods / sizeof *methods);
    json_decref(info);
    json_decref(names);
    harness_call(h, "scale.list", NULL);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_member_of_another_type_is_named),
        cmocka_unit_test(a_malformed_request_is_refused_by_all_that_take_one),
        cmocka_unit_test(no_method_fails_by_itself),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
