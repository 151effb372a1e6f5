/* Toners, formulas, products, cups and panels over the protocol, on a real store in a folder of its own. */
#include "tests/unit/rpc/shop.h"
#include "text/version.h"

static void a_put_answers_the_thing_as_get_gives_it(void **state)
{
    struct shop *shop = *state;
    static const struct {
        const char *put, *params, *get, *which;
    } rows[] = {
        {"toner.put", WHITE, "toner.get", "{\"id\":\"N10\"}"},
        {"toner.put", VIOLET, "toner.get", "{\"toner\":\"M42\"}"},
        {"formula.put", "{" ROOFSTONE("3") ",\"reason\":\"first\"}", "formula.get", "{\"formula\":\"TI-118\"}"},
        {"formula.put", "{" ROOFSTONE("4") "}", "formula.get", "{\"code\":\"TI-118\",\"revision\":2}"},
        {"product.put",
         "{\"code\":\"CLEAR-40\",\"role\":\"clear\",\"line\":\"two-pack\",\"basis\":\"volume\",\"ratio\":\"4:1\","
         "\"parts\":["
         "\"CLEAR-40\",\"HARD-2\"]}",
         "product.get", "{\"product\":\"CLEAR-40\"}"},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *put = call(shop, rows[i].put, rows[i].params), *got = call(shop, rows[i].get, rows[i].which);

        if (!json_equal(put, got))
            fail_msg("%s: get answers %s", rows[i].params, shop->stub.last);
        json_decref(put);
        json_decref(got);
    }
}

static void revisions_rise_and_old_formulas_stay(void **state)
{
    struct shop *shop = *state;
    json_t *result, *part;

    toners(shop);
    for (int revision = 1; revision <= 3; revision++) {
        char params[600];

        snprintf(params, sizeof params, "{%s,\"reason\":\"take %d\"}", revision == 1 ? ROOFSTONE("3") : ROOFSTONE("4"),
                 revision);
        result = call(shop, "formula.put", params);
        assert_int_equal(revision, number(result, "formula_revision"));
        json_decref(result);
    }
    result = call(shop, "formula.get", "{\"formula\":\"TI-118\",\"revision\":1}");
    part = json_array_get(json_object_get(json_array_get(json_object_get(result, "coats"), 0), "parts"), 0);
    assert_true(json_number_value(json_object_get(part, "parts")) == 3);
    assert_string_equal("take 1", text(result, "reason"));
    json_decref(result);
    result = call(shop, "formula.get", "{\"formula\":\"TI-118\"}");
    assert_int_equal(3, number(result, "formula_revision"));
    json_decref(result);
    refused(shop, "formula.get", "{\"formula\":\"TI-118\",\"revision\":4}", -32001, "revision");
    refused(shop, "formula.get", "{\"formula\":\"TI-118\",\"revision\":1.5}", -32005, "revision");
}

static void a_repeated_request_gets_the_first_answer_whatever_it_carries(void **state)
{
    struct shop *shop = *state;
    json_t *first = call(shop, "toner.put", "{\"id\":\"N10\",\"name\":\"White\",\"request\":\"r-1\"}"), *again;

    json_decref(call(shop, "toner.put", "{\"id\":\"N10\",\"name\":\"Whiter\",\"request\":\"r-2\"}"));
    again = call(shop, "toner.put", "{\"id\":\"N10\",\"name\":\"Black\",\"request\":\"r-1\"}");
    assert_true(json_equal(first, again));
    json_decref(again);
    again = call(shop, "toner.put", "{\"id\":5,\"request\":\"r-1\"}"); /* would be refused by itself */
    assert_true(json_equal(first, again));
    json_decref(again);
    again = call(shop, "toner.put", "{\"id\":\"N10\",\"density_g_per_ml\":-1,\"request\":\"r-1\"}");
    assert_true(json_equal(first, again));
    json_decref(again);
    json_decref(first);
    refused(shop, "cup.put", "{\"id\":\"0.75\",\"ml\":750,\"request\":\"r-1\"}", -32602, "request");
    refused(shop, "cup.put", "{\"id\":\"0.75\",\"ml\":-1,\"request\":\"r-1\"}", -32602, "request");
    again = call(shop, "toner.get", "{\"id\":\"N10\"}");
    assert_string_equal("Whiter", text(again, "name"));
    assert_int_equal(2, number(again, "revision"));
    json_decref(again);
}

static void a_refused_request_may_be_used_again(void **state)
{
    struct shop *shop = *state;

    refused(shop, "toner.put", "{\"id\":\"N10\",\"density_g_per_ml\":0,\"request\":\"r-1\"}", -32005,
            "density_g_per_ml");
    json_decref(call(shop, "toner.put", "{\"id\":\"N10\",\"density_g_per_ml\":1,\"request\":\"r-1\"}"));
}

static void puts_on_their_way_together_know_their_revisions(void **state)
{
    struct shop *shop = *state;
    char one[200];
    json_t *answer;

    for (int i = 1; i <= 5; i++) {
        int len = snprintf(one, sizeof one,
                           "{\"jsonrpc\":\"2.0\",\"method\":\"toner.put\",\"params\":{\"id\":\"N10\",\"name\":\"%d\","
                           "\"request\":\"r-%d\"}}",
                           i, i);

        rpc_dispatch(&shop->stub.caller, one, (size_t)len);
    }
    assert_int_equal(5, shop->stub.caller.open);
    for (int i = 5; i >= 1; i--) {
        snprintf(one, sizeof one, "{\"id\":\"N10\",\"request\":\"r-%d\"}", i);
        answer = call(shop, "toner.put", one);
        assert_int_equal(i, number(answer, "revision"));
        assert_int_equal('0' + i, text(answer, "name")[0]);
        json_decref(answer);
    }
}

static void a_toner_that_was_removed_is_gone_and_may_come_back(void **state)
{
    struct shop *shop = *state;
    json_t *result;

    toners(shop);
    result = call(shop, "toner.remove", "{\"id\":\"N10\",\"request\":\"r-1\"}");
    assert_true(json_is_true(json_object_get(result, "removed")));
    json_decref(result);
    refused(shop, "toner.get", "{\"id\":\"N10\"}", -32001, "id");
    refused(shop, "toner.get", "{\"id\":\"\"}", -32602, "id"); /* a field left empty was forgotten */
    refused(shop, "formula.get", "{\"formula\":\"\"}", -32602, "formula");
    refused(shop, "product.get", "{\"product\":\"\"}", -32602, "product");
    refused(shop, "toner.remove", "{\"id\":\"N10\",\"request\":\"r-2\"}", -32001, "id");
    json_decref(call(shop, "toner.remove", "{\"id\":\"N10\",\"request\":\"r-1\"}"));
    result = call(shop, "toner.put", "{\"id\":\"N10\",\"request\":\"r-3\"}");
    assert_int_equal(3, number(result, "revision")); /* put, removed, put */
    json_decref(result);
    result = call(shop, "toner.put", "{\"id\":\"N10\",\"request\":\"r-3\"}");
    assert_int_equal(3, number(result, "revision"));
    json_decref(result);
}

/* Without it neither could be planned; a variant counts, and what was typed in other case. */
static void a_toner_that_is_needed_stays(void **state)
{
    struct shop *shop = *state;

    toners(shop);
    json_decref(call(shop, "toner.put", "{\"id\":\"RED-1\",\"role\":\"reducer\"}"));
    json_decref(call(shop, "toner.put", "{\"id\":\"HARD-2\",\"role\":\"hardener\"}"));
    json_decref(call(shop, "toner.put", "{\"id\":\"CLEAR-40\",\"role\":\"clear\"}"));
    json_decref(call(shop, "formula.put", "{" ROOFSTONE("3") "}"));
    json_decref(call(shop, "product.put",
                     "{\"id\":\"CLEAR-40\",\"role\":\"clear\",\"basis\":\"volume\",\"ratio\":\"4:1\",\"parts\":"
                     "[\"CLEAR-40\",\"HARD-2\"],\"reducers\":[{\"id\":\"RED-1\"}]}"));
    refused(shop, "toner.remove", "{\"id\":\"N10\",\"request\":\"r-1\"}", -32005, "id");
    refused(shop, "toner.remove", "{\"id\":\"m42\"}", -32005, "id");
    refused(shop, "toner.remove", "{\"id\":\"HARD-2\"}", -32005, "id");
    refused(shop, "toner.remove", "{\"id\":\"RED-1\"}", -32005, "id");
    refused(shop, "toner.remove", "{\"id\":\"CLEAR-40\"}", -32005, "id");
    assert_non_null(strstr(shop->stub.last, "\"why\":\"used\""));
    json_decref(call(shop, "toner.get", "{\"id\":\"N10\"}"));
    /* The formula without it lets it go, and the request that was refused may be used. */
    json_decref(call(shop, "formula.put",
                     "{\"code\":\"TI-118\",\"name\":\"Roofstone\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":"
                     "[{\"coat\":\"ground\",\"parts\":[{\"toner\":\"M42\",\"parts\":1}]}]}"));
    json_decref(call(shop, "toner.remove", "{\"id\":\"N10\",\"request\":\"r-1\"}"));
    refused(shop, "toner.get", "{\"id\":\"N10\"}", -32001, "id");
}

static void lists_hold_what_was_put(void **state)
{
    struct shop *shop = *state;
    json_t *result, *row;

    toners(shop);
    json_decref(call(shop, "formula.put", "{" ROOFSTONE("3") "}"));
    json_decref(call(shop, "cup.put", "{\"id\":\"0.75\",\"ml\":750,\"tare_g\":31.2}"));
    json_decref(call(shop, "panel.put", "{\"id\":\"door\",\"area_m2\":1.0}"));
    result = call(shop, "toner.list", "{}");
    assert_int_equal(2, json_array_size(json_object_get(result, "toners")));
    json_decref(result);
    result = call(shop, "toner.list", "{\"text\":\"pv23\"}");
    assert_int_equal(1, json_array_size(json_object_get(result, "toners")));
    json_decref(result);
    result = call(shop, "toner.list", "{\"limit\":1}");
    assert_int_equal(1, json_array_size(json_object_get(result, "toners")));
    assert_string_equal("M42", text(result, "next"));
    json_decref(result);
    result = call(shop, "toner.list", "{\"limit\":1,\"after\":\"M42\"}");
    assert_string_equal("N10", text(json_array_get(json_object_get(result, "toners"), 0), "id"));
    assert_true(json_is_null(json_object_get(result, "next")));
    json_decref(result);
    result = call(shop, "formula.list", "{\"text\":\"roof\"}");
    row = json_array_get(json_object_get(result, "formulas"), 0);
    assert_string_equal("TI-118", text(row, "code"));
    assert_int_equal(2, json_array_size(json_object_get(row, "variants")));
    assert_int_equal(1, json_array_size(json_object_get(row, "coats")));
    row = json_array_get(json_object_get(row, "coats"), 0);
    assert_string_equal("ground", text(row, "coat"));
    assert_int_equal(2, json_array_size(json_object_get(row, "variants")));
    assert_null(json_object_get(row, "parts"));
    json_decref(result);
    result = call(shop, "cup.list", "{}");
    assert_true(json_number_value(json_object_get(json_array_get(json_object_get(result, "cups"), 0), "ml")) == 750);
    json_decref(result);
    result = call(shop, "panel.list", "{}");
    assert_int_equal(1, json_array_size(json_object_get(result, "panels")));
    json_decref(result);
    result = call(shop, "product.list", "{}");
    assert_int_equal(0, json_array_size(json_object_get(result, "products")));
    json_decref(result);
}

static void formulas_come_in_pages(void **state)
{
    struct shop *shop = *state;
    char params[200], after[48] = "";
    int got = 0;

    toners(shop);
    for (int i = 0; i < 5; i++) {
        snprintf(params, sizeof params,
                 "{\"code\":\"TI-%d\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"single\","
                 "\"parts\":[{\"toner\":\"N10\",\"parts\":1}]}]}",
                 i);
        json_decref(call(shop, "formula.put", params));
    }
    for (;;) {
        json_t *page, *row, *next;
        size_t i;

        snprintf(params, sizeof params, "{\"limit\":2,\"after\":%s}", got ? after : "null");
        page = call(shop, "formula.list", params);
        json_array_foreach(json_object_get(page, "formulas"), i, row)
        {
            assert_int_equal('0' + got, text(row, "code")[3]);
            got++;
        }
        next = json_object_get(page, "next");
        if (json_is_string(next))
            snprintf(after, sizeof after, "\"%s\"", json_string_value(next));
        else
            assert_true(json_is_null(next));
        json_decref(page);
        if (got >= 5)
            break;
    }
    assert_int_equal(5, got);
    refused(shop, "formula.list", "{\"limit\":0}", -32005, "limit");
}

static void what_makes_no_sense_is_refused(void **state)
{
    static const struct {
        const char *method, *params;
        int code;
        const char *field;
    } rows[] = {
        {"toner.get", "{}", -32602, "id"},
        {"toner.get", "{\"id\":1}", -32602, "id"},
        {"toner.get", "{\"id\":\"none\"}", -32001, "id"},
        {"toner.put", "{\"name\":\"no id\"}", -32602, "id"},
        {"toner.put", "{\"id\":\"N10\",\"density_g_per_ml\":0}", -32005, "density_g_per_ml"},
        {"toner.put", "{\"id\":\"N10\",\"voc_pct\":101}", -32005, "voc_pct"},
        {"toner.put", "{\"id\":\"N10\",\"reason\":1}", -32602, "reason"},
        {"formula.get", "{}", -32602, "formula"},
        {"formula.get", "{\"formula\":\"none\"}", -32001, "formula"},
        {"formula.get", "{\"formula\":\"none\",\"revision\":1}", -32001, "formula"},
        {"formula.put", "{" ROOFSTONE("1") "}", -32001, "toner"}, /* nothing describes N10 yet */
        {"formula.check", "{\"formula\":\"none\"}", -32001, "formula"},
        {"product.get", "{\"product\":\"none\"}", -32001, "product"},
        {"cup.put", "{\"id\":\"0.75\",\"ml\":0}", -32005, "ml"},
        {"panel.put", "{\"id\":\"door\",\"area_m2\":-1}", -32005, "area_m2"},
        {"catalogue.import", "{}", -32602, "files"},
        {"catalogue.import", "{\"files\":[]}", -32005, "files"},
        {"catalogue.import", "{\"files\":[1]}", -32602, "files"},
        {"catalogue.import", "{\"files\":[\"toners.ini\"]}", -32005, "files"},
        {"catalogue.import", "{\"files\":[\"/dev/zero\"]}", -32005, "files"},
        {"catalogue.import", "{\"files\":[\"/none/at/all.ini\"]}", -32005, "files"},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        refused(*state, rows[i].method, rows[i].params, rows[i].code, rows[i].field);
}

static void a_check_warns_without_storing(void **state)
{
    struct shop *shop = *state;
    json_t *result;

    toners(shop);
    result = call(shop, "formula.check", "{" ROOFSTONE("1") "}");
    assert_string_equal("TI-118", text(result, "formula"));
    assert_true(json_array_size(json_object_get(result, "warnings")) > 0); /* M42 has no density */
    json_decref(result);
    refused(shop, "formula.get", "{\"formula\":\"TI-118\"}", -32001, "formula");
}

static void info_tells_who_answers(void **state)
{
    struct shop *shop = *state;
    struct config *c = &shop->daemon.config;
    json_t *info;

    c->station_count = 1;
    strcpy(c->station[0].name, "bench");
    c->station[0].d_g = 0.01;
    c->station[0].capacity_g = 3000;
    strcpy(c->currency, "EUR");
    strcpy(shop->daemon.started, "2026-11-25T14:03:07.412+01:00");
    info = call(shop, "daemon.info", "{}");
    assert_string_equal("poised", text(info, "name"));
    assert_string_equal(POISE_VERSION, text(info, "version"));
    assert_int_equal(1, number(info, "protocol"));
    assert_string_equal("bench", json_string_value(json_array_get(json_object_get(info, "stations"), 0)));
    size_t methods = 0;
    while (rpc_methods[methods].name)
        methods++;
    assert_int_equal(methods, json_array_size(json_object_get(info, "methods")));
    assert_string_equal("2026-11-25T14:03:07.412+01:00", text(info, "started"));
    json_decref(info);
}

/* The rule same_pigment: pigment in whatever case, role and line the same, itself never; the nearest density first. */
static void a_substitute_is_of_the_same_pigment_role_and_line(void **state)
{
    struct shop *shop = *state;
    static const char *const bank[] = {
        "{\"id\":\"V1\",\"pigment\":\"PV23\",\"line\":\"solvent\",\"density_g_per_ml\":1.0}",
        "{\"id\":\"V2\",\"pigment\":\"pv23\",\"line\":\"solvent\",\"density_g_per_ml\":1.3}",
        "{\"id\":\"V3\",\"pigment\":\"PV23\",\"line\":\"solvent\",\"density_g_per_ml\":1.1}",
        "{\"id\":\"V4\",\"pigment\":\"PV23\",\"line\":\"waterborne\",\"density_g_per_ml\":1.0}",
        "{\"id\":\"V5\",\"pigment\":\"PV23\",\"line\":\"solvent\",\"role\":\"reducer\"}",
        "{\"id\":\"V6\",\"pigment\":\"PV23\",\"line\":\"solvent\"}",
        "{\"id\":\"B1\",\"line\":\"solvent\"}",
        "{\"id\":\"B2\",\"line\":\"solvent\"}",
    };
    for (size_t i = 0; i < sizeof bank / sizeof *bank; i++)
        json_decref(call(shop, "toner.put", bank[i]));
    json_t *answer = call(shop, "toner.substitute", "{\"toner\":\"V1\",\"grams\":12}"), *one;
    static const char *const want[] = {"V3", "V2", "V6"};
    size_t i;
    assert_int_equal(3, json_array_size(json_object_get(answer, "with")));
    json_array_foreach(json_object_get(answer, "with"), i, one)
    {
        assert_string_equal(want[i], text(one, "toner"));
        assert_string_equal("substitute_same_pigment", text(json_object_get(one, "why"), "code"));
    }
    json_decref(answer);
    answer = call(shop, "toner.substitute", "{\"toner\":\"B1\"}"); /* two binders say nothing of their pigment */
    assert_int_equal(0, json_array_size(json_object_get(answer, "with")));
    json_decref(answer);
    refused(shop, "toner.substitute", "{\"toner\":\"Q9\"}", -32001, "toner");
}

/* Also of two puts in one breath: the second is decided only when the first is on disk. */
static void a_code_is_one_toner_s_alone(void **state)
{
    struct shop *shop = *state;
    static const char *const both[] = {
        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"toner.put\",\"params\":{\"id\":\"A1\",\"codes\":[\"9000\"]}}",
        "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"toner.put\",\"params\":{\"id\":\"A2\",\"codes\":[\"900*\"]}}"};
    json_decref(call(shop, "toner.put", "{\"id\":\"N10\",\"codes\":[\"4012*\",\"77\"]}"));
    refused(shop, "toner.put", "{\"id\":\"K01\",\"codes\":[\"40125\"]}", -32005, "codes");
    refused(shop, "toner.put", "{\"id\":\"K01\",\"code\":\"77\"}", -32005, "codes");
    refused(shop, "toner.put", "{\"id\":\"K01\",\"codes\":[\"4*2\"]}", -32005, "codes");
    refused(shop, "toner.put", "{\"id\":\"K01\",\"code\":\"POISE:7\"}", -32005, "code");
    refused(shop, "toner.get", "{\"id\":\"K01\"}", -32001, "id");
    json_decref(call(shop, "toner.put", "{\"id\":\"N10\",\"codes\":[\"4012*\",\"77\"]}")); /* its own */
    json_t *got = call(shop, "toner.put", "{\"id\":\"N10\",\"code\":\"4012*\",\"codes\":[]}");
    assert_true(json_is_null(json_object_get(got, "code")));
    json_decref(got);
    json_decref(call(shop, "toner.put", "{\"id\":\"K01\",\"codes\":[\"40125\"]}"));
    int before = shop->stub.answers;
    for (size_t i = 0; i < 2; i++)
        rpc_dispatch(&shop->stub.caller, both[i], strlen(both[i]));
    while (shop->stub.answers < before + 2)
        uv_run(&shop->loop, UV_RUN_ONCE);
    json_decref(call(shop, "toner.get", "{\"id\":\"A1\"}"));
    refused(shop, "toner.get", "{\"id\":\"A2\"}", -32001, "id");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_substitute_is_of_the_same_pigment_role_and_line, begin, end),
        cmocka_unit_test_setup_teardown(a_put_answers_the_thing_as_get_gives_it, begin, end),
        cmocka_unit_test_setup_teardown(revisions_rise_and_old_formulas_stay, begin, end),
        cmocka_unit_test_setup_teardown(a_repeated_request_gets_the_first_answer_whatever_it_carries, begin, end),
        cmocka_unit_test_setup_teardown(a_refused_request_may_be_used_again, begin, end),
        cmocka_unit_test_setup_teardown(puts_on_their_way_together_know_their_revisions, begin, end),
        cmocka_unit_test_setup_teardown(a_toner_that_was_removed_is_gone_and_may_come_back, begin, end),
        cmocka_unit_test_setup_teardown(a_toner_that_is_needed_stays, begin, end),
        cmocka_unit_test_setup_teardown(a_code_is_one_toner_s_alone, begin, end),
        cmocka_unit_test_setup_teardown(lists_hold_what_was_put, begin, end),
        cmocka_unit_test_setup_teardown(formulas_come_in_pages, begin, end),
        cmocka_unit_test_setup_teardown(what_makes_no_sense_is_refused, begin, end),
        cmocka_unit_test_setup_teardown(a_check_warns_without_storing, begin, end),
        cmocka_unit_test_setup_teardown(info_tells_who_answers, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
