/* Commands against a daemon played by this test. */
#include "tests/unit/client/played.h"

static const char one_station[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"stations\":[\"bench\"]}}";
static const char screen_5[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"pour\","
                               "\"revision\":5}}";
static const char screen_6[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"done\","
                               "\"revision\":6}}";

static void an_act_names_station_revision_and_request(void **state)
{
    struct played p = {.answers = {one_station, screen_5, screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept --lot A17 --json");
    assert_int_equal(h.code, 0);
    assert_int_equal(p.count, 3);
    expect(&p, 2, "method", "\"batch.accept\"");
    expect(&p, 2, "station", "\"bench\"");
    expect(&p, 2, "revision", "5");
    expect(&p, 2, "lot", "\"A17\"");
    char *request = member(&p, 2, "request");
    assert_int_equal(strlen(request), 33 + 2);
    free(request);
    assert_string_equal(h.out, "{\"station\":\"bench\",\"state\":\"done\",\"revision\":6}\n");
    play_end(&p);
}

static void a_lost_answer_is_asked_for_once_more(void **state)
{
    struct played p = {.answers = {one_station, screen_5, "hang up", screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept --json");
    assert_int_equal(h.code, 0);
    assert_int_equal(p.count, 4);
    char *first = member(&p, 2, "request"), *second = member(&p, 3, "request");
    assert_string_equal(first, second);
    expect(&p, 3, "method", "\"batch.accept\"");
    expect(&p, 3, "revision", "5");
    free(first);
    free(second);
    play_end(&p);
}

static void lost_twice_is_69(void **state)
{
    struct played p = {.answers = {one_station, screen_5, "hang up", "hang up"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept");
    assert_int_equal(h.code, 69);
    assert_int_equal(p.count, 4); /* and not a fifth time */
    assert_non_null(strstr(h.err, "poise: accept: poised was lost before it answered"));
    play_end(&p);
}

static void a_refusal_is_its_exit_code_and_no_second_try(void **state)
{
    struct played p = {.answers = {one_station, screen_5,
                                   "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32003,\"message\":\"moved on\","
                                   "\"data\":{\"help\":\"Look again.\",\"revision\":6}}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "undo");
    assert_int_equal(h.code, 75);
    assert_string_equal(h.err, "poise: undo: moved on. Look again.\n");
    assert_string_equal(h.out, "");
    play_end(&p);
}

static void several_stations_must_be_told_apart(void **state)
{
    struct played p = {.answers = {"{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"stations\":[\"bench\",\"back\"]}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "status");
    assert_int_equal(h.code, 64);
    assert_non_null(strstr(h.err, "bench, back"));
    assert_non_null(strstr(h.err, "--station"));
    play_end(&p);
}

static void notes_and_other_answers_are_no_answer(void **state)
{
    static const char mixed[] = "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"bench\"}}\n"
                                "{\"jsonrpc\":\"2.0\",\"id\":999,\"result\":{\"stations\":[]}}\n"
                                "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"scales\":[{\"station\":\"x\"}]}}";
    struct played p = {.answers = {mixed}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "scales --json");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"station\":\"x\"}\n");
    play_end(&p);
}

static void what_is_no_json_is_no_daemon(void **state)
{
    struct played p = {.answers = {"HTTP/1.1 400 Bad Request"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "scales");
    assert_int_equal(h.code, 69);
    assert_non_null(strstr(h.err, "is not poised"));
    play_end(&p);
}

static void a_code_may_be_a_product(void **state)
{
    static const char unknown[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32001,\"message\":\"no formula\"}}";
    static const char product[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"id\":\"CLEAR-40\"}}";
    struct played p = {.answers = {unknown, product, one_station, screen_5, screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "begin CLEAR-40 --ml 400 --json");
    assert_int_equal(h.code, 0);
    expect(&p, 0, "method", "\"formula.get\"");
    expect(&p, 1, "method", "\"product.get\"");
    expect(&p, 4, "product", "\"CLEAR-40\"");
    expect(&p, 4, "formula", "(none)");
    expect(&p, 4, "ml", "400");
    play_end(&p);
}

static void a_code_that_is_neither_is_65(void **state)
{
    static const char unknown[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32001,\"message\":\"no formula X\"}}";
    struct played p = {.answers = {unknown, unknown}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "begin X --grams 100");
    assert_int_equal(h.code, 65);
    assert_string_equal(h.err, "poise: begin: no formula X.\n");
    play_end(&p);
}

static void lists_are_read_to_their_end(void **state)
{
    static const char page_1[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"formulas\":[{\"code\":\"A\"}],\"next\":\"A\"}}";
    static const char page_2[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"formulas\":[{\"code\":\"B\"}],\"next\":null}}";
    struct played p = {.answers = {page_1, page_2}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "formulas --json");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"code\":\"A\"}\n{\"code\":\"B\"}\n");
    expect(&p, 1, "after", "\"A\"");
    play_end(&p);
}

static void call_hands_through_result_and_error(void **state)
{
    struct played p = {
        .answers = {"{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"reducer_g\":26,\"reducer_ml\":29.545455}}",
                    "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32007,\"message\":\"full\"}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "call mix.reduce {\"pct\":10}");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"reducer_g\":26,\"reducer_ml\":29.545455}\n");
    expect(&p, 0, "pct", "10");
    h = run(&p, "call batch.accept");
    assert_int_equal(h.code, 74);
    assert_string_equal(h.out, "");
    assert_string_equal(h.err, "{\"code\":-32007,\"message\":\"full\"}\n");
    play_end(&p);
}

static void follow_prints_each_note_until_the_daemon_goes(void **state)
{
    static const char notes[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"pour\",\"scale\":null}}\n"
        "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"bench\",\"weight_g\":12.5,\"state\":"
        "\"live\"}}\n"
        "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"bench\",\"weight_g\":12.5,\"state\":"
        "\"live\"}}\n"
        "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"other\",\"weight_g\":1,\"state\":"
        "\"live\"}}\n"
        "{\"jsonrpc\":\"2.0\",\"method\":\"screen\",\"params\":{\"station\":\"bench\",\"state\":\"cup\"}}";
    struct played p = {.answers = {one_station, notes}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "status --follow");
    assert_int_equal(h.code, 69);
    const char *weight = strstr(h.out, "scale 12.50 g\n"), *cup = strstr(h.out, "bench cup");
    assert_true(strstr(h.out, "bench pour") && weight && cup && weight < cup);
    assert_null(strstr(weight + 1, "scale 12.50 g")); /* a scale at rest says it once */
    assert_null(strstr(h.out, "1.00 g"));             /* another bench's weight */
    assert_non_null(strstr(h.err, "poised has ended"));
    play_end(&p);
}

/* Notes that come between the reads are lost; the page waits for one after them. */
static void page_is_drawn_once_with_the_weight_of_now(void **state)
{
    static const char pour[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"pour\",\"revision\":3,"
        "\"formula\":\"TI-207\",\"step\":1,\"steps\":[{\"toner\":\"P31\",\"name\":\"copper pearl\",\"aim_g\":84,"
        "\"poured_g\":0,\"state\":\"now\"}],\"now\":{\"toner\":\"P31\",\"name\":\"copper pearl\",\"aim_g\":84,"
        "\"in_cup_g\":0,\"to_go_g\":84,\"tolerance_g\":0.42,\"cue\":\"pour\",\"scale_shows_g\":115.2},"
        "\"scale\":{\"state\":\"live\",\"why\":null}}}";
    static const char scales[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"scales\":[]}}\n"
        "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"bench\",\"weight_g\":83.8,"
        "\"stable\":false,\"age_ms\":5,\"state\":\"live\",\"to_go_g\":31.4,\"in_cup_g\":52.6,\"cue\":\"pour\"}}";
    struct played p = {.answers = {one_station, pour, one_station, scales}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "status --page");
    assert_int_equal(h.code, 0);
    assert_non_null(strstr(h.out, " now   P31  copper pearl"));
    assert_non_null(strstr(h.out, "in cup 52.6"));
    assert_null(strstr(h.out, "no weight"));
    size_t lines = 0;
    for (const char *at = h.out; (at = strchr(at, '\n')); at++)
        lines++;
    assert_int_equal(lines, 24);
    play_end(&p);
}

/* A dip scales what is in the cup, and brings nothing to a toner poured after it. */
static void why_tells_what_later_changed_a_count(void **state)
{
    static const char batch[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"parts\":[{\"toner\":\"P31\",\"aim_g\":84,\"poured_g\":80},"
        "{\"toner\":\"K01\",\"aim_g\":2,\"poured_g\":2}],\"events\":["
        "{\"revision\":3,\"what\":\"accepted\",\"toner\":\"P31\",\"counted_g\":90},"
        "{\"revision\":5,\"what\":\"taken\",\"counted_g\":10},"
        "{\"revision\":6,\"what\":\"accepted\",\"toner\":\"K01\",\"counted_g\":2}]}}";
    static const char decimal[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"decimal\":\"point\"}}";
    struct played p = {.answers = {batch, decimal, batch, decimal}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "why 7 P31");
    assert_int_equal(h.code, 0);
    assert_true(strstr(h.out, "counted 90 g") && strstr(h.out, "taken") && strstr(h.out, "counted 10 g"));
    assert_null(strstr(h.out, "counted 2 g"));
    h = run(&p, "why 7 K01");
    assert_int_equal(h.code, 0);
    assert_non_null(strstr(h.out, "counted 2 g"));
    assert_null(strstr(h.out, "taken"));
    play_end(&p);
}

static void no_daemon_is_69_and_one_line(void **state)
{
    struct played p = {.path = "/nowhere/poised.sock"};
    (void)state;
    struct heard h = run(&p, "status");
    assert_int_equal(h.code, 69);
    assert_non_null(strstr(h.err, "poise: /nowhere/poised.sock: "));
    assert_ptr_equal(strchr(h.err, '\n'), h.err + strlen(h.err) - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_act_names_station_revision_and_request),
        cmocka_unit_test(a_lost_answer_is_asked_for_once_more),
        cmocka_unit_test(lost_twice_is_69),
        cmocka_unit_test(a_refusal_is_its_exit_code_and_no_second_try),
        cmocka_unit_test(several_stations_must_be_told_apart),
        cmocka_unit_test(notes_and_other_answers_are_no_answer),
        cmocka_unit_test(what_is_no_json_is_no_daemon),
        cmocka_unit_test(a_code_may_be_a_product),
        cmocka_unit_test(a_code_that_is_neither_is_65),
        cmocka_unit_test(lists_are_read_to_their_end),
        cmocka_unit_test(call_hands_through_result_and_error),
        cmocka_unit_test(follow_prints_each_note_until_the_daemon_goes),
        cmocka_unit_test(page_is_drawn_once_with_the_weight_of_now),
        cmocka_unit_test(why_tells_what_later_changed_a_count),
        cmocka_unit_test(no_daemon_is_69_and_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
