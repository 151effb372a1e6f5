/* A check weight on a real daemon: the three readings, the journal, the screen, the records, and a restart. */
#include "tests/e2e/harness.h"
#include "tests/e2e/terminal.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

static int end(void **state)
{
    return harness_end(state);
}

static json_t *check(struct harness *h, double grams)
{
    return harness_call(h, "scale.check",
                        json_pack("{s:s,s:f,s:s}", "station", "bench", "grams", grams, "person", "Ines"));
}

static const char *text(const json_t *o, const char *name)
{
    const char *t = json_string_value(json_object_get(o, name));
    return t ? t : "";
}

static double number(const json_t *o, const char *name)
{
    return json_is_number(json_object_get(o, name)) ? json_number_value(json_object_get(o, name)) : (double)NAN;
}

/* Empty, loaded, empty again; the last answer. */
static json_t *whole_check(struct harness *h, double shows_g)
{
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    assert_string_equal(text(check(h, 200), "next"), "loaded");
    harness_weigh(h, "bench", shows_g);
    assert_string_equal(text(check(h, 200), "next"), "again");
    harness_weigh(h, "bench", 0);
    return check(h, 200);
}

/* A check that is led shows by the foot line; in idle there is no message, and so no `said` either. */
static bool says(json_t *screen, const void *with)
{
    const json_t *next = json_object_get(json_object_get(screen, "next"), "said");
    return strstr(text(next, "text"), with) && text(screen, "message")[0] == '\0' &&
           json_is_null(json_object_get(screen, "said"));
}

/* What is said of the scale's checks: in idle as the screen's trouble, with a batch among its cautions. NULL: nothing.
 */
static bool cautions(json_t *screen, const void *with)
{
    const json_t *list = json_object_get(screen, "caution"), *trouble = json_object_get(screen, "trouble"), *one;
    const char *told = text(json_object_get(trouble, "said"), "text");
    size_t i;
    if (!with)
        return json_array_size(list) == 0 && strncmp(text(trouble, "code"), "check_", 6) != 0;
    if (strstr(told, with))
        return json_array_size(list) == 0;
    json_array_foreach(list, i, one) if (strstr(json_string_value(one), with)) return true;
    return false;
}

static int refused(struct harness *h, json_t *params, const char **why)
{
    json_t *error = json_object_get(harness_ask(h, "scale.check", params), "error");
    *why = text(json_object_get(error, "data"), "why");
    return (int)json_integer_value(json_object_get(error, "code"));
}

static void a_good_scale_passes(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    json_t *r = check(h, 200);
    assert_string_equal(text(r, "next"), "loaded");
    assert_true(json_is_null(json_object_get(r, "passed")));
    harness_wait_screen(h, "bench", says, "put the check weight of 200 g on");
    harness_weigh(h, "bench", 200.02);
    r = check(h, 200);
    assert_string_equal(text(r, "next"), "again");
    harness_wait_screen(h, "bench", says, "take the check weight of 200 g off");
    harness_weigh(h, "bench", 0);
    r = check(h, 200);
    assert_string_equal(text(r, "next"), "done");
    assert_true(json_is_true(json_object_get(r, "passed")));
    assert_true(fabs(number(r, "error_g") - 0.02) < 1e-9 && fabs(number(r, "error_d") - 2) < 1e-6);
    harness_wait_screen(h, "bench", cautions, NULL);
    json_t *list = json_object_get(harness_call(h, "report.checks", json_pack("{s:b}", "csv", 1)), "checks");
    assert_int_equal(json_array_size(list), 1);
    const json_t *line = json_array_get(list, 0);
    assert_string_equal(text(line, "station"), "bench");
    assert_string_equal(text(line, "who"), "Ines");
    assert_true(fabs(number(line, "loaded_g") - 200.02) < 1e-9 && number(line, "grams") == 200);
    assert_true(json_is_true(json_object_get(line, "passed")));
}

static const json_t *doubt(struct harness *h)
{
    const json_t *scales = json_object_get(harness_call(h, "scale.list", json_object()), "scales");
    return json_array_get(json_object_get(json_array_get(scales, 0), "doubt"), 0);
}

/* The empty pan shows 0.02 g more after each weight: by five of them a pour repeats to sqrt(0.02^2 - 0.01^2/6) =
 * 0.0196 g, told to two digits. It goes into the cup's doubt, outlives a start, and its source is said. */
static void checks_teach_how_a_scale_repeats(void **state)
{
    struct harness *h = *state;
    assert_string_equal(text(doubt(h), "code"), "doubt_usual");
    for (int i = 0; i < 5; i++) {
        harness_weigh(h, "bench", 0.5);
        harness_weigh(h, "bench", 0);
        check(h, 200);
        harness_weigh(h, "bench", 200);
        check(h, 200);
        harness_weigh(h, "bench", 0.02);
        json_t *r = check(h, 200);
        assert_true(json_is_true(json_object_get(r, "passed")));
        assert_string_equal(text(doubt(h), "code"), i < 4 ? "doubt_usual" : "doubt_checks");
    }
    const json_t *args = json_object_get(doubt(h), "args");
    assert_true(fabs(number(args, "u") - 0.02) < 1e-9 && number(args, "count") == 5);
    harness_stop(h, SIGKILL);
    harness_start(h);
    assert_string_equal(text(doubt(h), "code"), "doubt_checks");
}

/* A figure out of the store: how many of those weight checks there are. */
static int64_t in_store(struct harness *h, const char *sql)
{
    char path[HARNESS_PATH + 32];
    sqlite3 *db;
    sqlite3_stmt *stmt;
    snprintf(path, sizeof path, "%s/state/poise.db", h->dir);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    int64_t number = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return number;
}

/* Figures alone, so that a journal of ten years reads in any language; the answer has the sentence. */
static void the_journal_holds_figures_and_no_sentence(void **state)
{
    struct harness *h = *state;
    json_t *r = whole_check(h, 200.02);
    assert_true(text(r, "message")[0] != '\0');
    assert_true(json_is_object(json_object_get(r, "said")));
    assert_int_equal(in_store(h, "SELECT count(*) FROM event WHERE kind = 'checked'"), 1);
    assert_int_equal(
        in_store(h, "SELECT count(*) FROM event WHERE kind = 'checked' AND json_extract(body, '$.error_g') > 0 "
                    "AND json_extract(body, '$.message') IS NULL AND json_extract(body, '$.said') IS NULL"),
        1);
}

static void a_failed_one_is_said_until_a_good_one(void **state)
{
    struct harness *h = *state;
    json_t *r = whole_check(h, 200.52);
    assert_true(json_is_false(json_object_get(r, "passed")));
    assert_true(fabs(number(r, "error_d") - 52) < 1e-6);
    harness_wait_screen(h, "bench", cautions, "check weight failed: 200 g read +0.52 g (52 d) off");
    harness_stop(h, SIGKILL);
    harness_start(h); /* it stands in the journal */
    harness_wait_screen(h, "bench", cautions, "check weight failed");
    harness_wait_scale(h, "bench", "live");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL); /* it warns, it never blocks */
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    assert_true(cautions(harness_screen(h, "bench"), "check weight failed"));
    char batch[24];
    snprintf(batch, sizeof batch, "%s", harness_text(h, "bench", "batch"));
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "a test"));
    r = whole_check(h, 200);
    assert_true(json_is_true(json_object_get(r, "passed")));
    assert_true(cautions(harness_wait_screen(h, "bench", cautions, NULL), NULL));
    const json_t *record = harness_call(h, "batch.get", json_pack("{s:s}", "batch", batch));
    assert_true(cautions((json_t *)(uintptr_t)record, "check weight failed")); /* what stood then, stands */
    assert_true(json_is_false(json_object_get(json_object_get(record, "check"), "passed")));
}

static void the_terminal_shows_it(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    int status = 0;
    whole_check(h, 200.52);
    terminal_open(&t, h->socket);
    for (int64_t until = harness_deadline(); !strstr(terminal_page(&t), "Check weight failed");) {
        terminal_drain(&t);
        harness_step(h, until, "the failed check on the page");
    }
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    check(h, 200);
    for (int64_t until = harness_deadline(); !strstr(terminal_page(&t), "put the check weight of 200 g on");) {
        terminal_drain(&t);
        harness_step(h, until, "the next move on the page");
    }
    terminal_press(&t, "\3");
    waitpid(t.pid, &status, 0);
    close(t.fd);
}

static void readings_that_are_none_are_refused(void **state)
{
    struct harness *h = *state;
    const char *why;
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    check(h, 100);
    assert_int_equal(refused(h, json_pack("{s:s,s:i}", "station", "bench", "grams", 100), &why), -32004);
    assert_string_equal(why, "nothing"); /* it waited 3 s for a weight that was not put on */
    harness_weigh(h, "bench", 100);
    check(h, 100);
    assert_int_equal(refused(h, json_pack("{s:s}", "station", "bench"), &why), -32004);
    assert_string_equal(why, "loaded");
    json_t *r = harness_call(h, "scale.check", json_pack("{s:s,s:b}", "station", "bench", "cancel", 1));
    assert_string_equal(text(r, "next"), "none");
    static const struct {
        const char *params;
        int code;
        const char *why;
    } bad[] = {
        {"{\"station\":\"bench\"}", -32005, "missing"},
        {"{\"station\":\"bench\",\"grams\":-1}", -32005, "negative"},
        {"{\"station\":\"bench\",\"grams\":0}", -32005, "zero"},
        {"{\"station\":\"bench\",\"grams\":0.05}", -32005, "small"},
        {"{\"station\":\"bench\",\"grams\":5000}", -32008, "scale"},
        {"{\"station\":\"bench\",\"grams\":200,\"tolerance_g\":0.001}", -32005, "small"},
        {"{\"station\":\"nobody\",\"grams\":200}", -32001, "unknown"},
        {"{\"station\":\"bench\",\"drift\":true,\"seconds\":0}", -32005, "range"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        int code = refused(h, json_loads(bad[i].params, 0, NULL), &why);
        if (code != bad[i].code || strcmp(why, bad[i].why) != 0)
            fail_msg("%s: %d %s", bad[i].params, code, why);
    }
}

/* Whoever stands at the bench is told what the call waits for, not only that it waited in vain. */
static void the_screen_says_what_a_first_call_waits_for(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 200); /* it lies there already */
    int id = harness_send(h, "scale.check", json_pack("{s:s,s:i}", "station", "bench", "grams", 200));
    harness_wait_screen(h, "bench", says, "take everything off the pan");
    harness_weigh(h, "bench", 0);
    assert_string_equal(text(json_object_get(harness_answer(h, id), "result"), "next"), "loaded");
    harness_call(h, "scale.check", json_pack("{s:s,s:b}", "station", "bench", "cancel", 1));
}

static void a_batch_in_the_pour_goes_first(void **state)
{
    struct harness *h = *state;
    const char *why;
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    check(h, 200); /* in state cup it may be done */
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    assert_int_equal(refused(h, json_pack("{s:s,s:i}", "station", "bench", "grams", 200), &why), -32004);
    assert_string_equal(why, "busy");
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "a test"));
}

static void a_request_sent_twice_is_taken_once(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    for (int i = 0; i < 2; i++) {
        json_t *r = harness_call(
            h, "scale.check", json_pack("{s:s,s:i,s:s}", "station", "bench", "grams", 50, "request", "check-empty-1"));
        assert_string_equal(text(r, "next"), "loaded");
    }
    harness_call(h, "scale.check", json_pack("{s:s,s:b}", "station", "bench", "cancel", 1));
}

static bool run(const char *const argv[])
{
    int status = 0;
    pid_t pid = fork();
    if (pid == 0) {
        execvp(argv[0], (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

/* The daemon again, so many days later. */
static void days_later(struct harness *h, const char *days)
{
    char shim[HARNESS_PATH + 16], with[512];
    const char *cc = getenv("CC"), *asan = getenv("ASAN_OPTIONS");
    snprintf(shim, sizeof shim, "%s/days.so", h->dir);
    const char *const argv[] = {
        cc && *cc ? cc : "cc", "-D_GNU_SOURCE", "-shared", "-fPIC", "-o", shim, "tests/e2e/preload/days.c", NULL};
    if (!run(argv))
        fail_msg("tests/e2e/preload/days.c cannot be built");
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    snprintf(with, sizeof with, "%s:verify_asan_link_order=0", asan ? asan : "");
    setenv("ASAN_OPTIONS", with, 1);
    setenv("LD_PRELOAD", shim, 1);
    setenv("POISE_DAYS", days, 1);
    harness_start(h);
    unsetenv("LD_PRELOAD");
    harness_wait_scale(h, "bench", "live");
}

static void a_check_falls_due_and_is_done(void **state)
{
    struct harness *h = *state;
    harness_wait_screen(h, "bench", cautions, NULL); /* a new journal owes none yet */
    days_later(h, "1");
    harness_wait_screen(h, "bench", cautions, "no check weight for 1 day");
    whole_check(h, 200);
    harness_wait_screen(h, "bench", cautions, NULL);
    days_later(h, "4");
    harness_wait_screen(h, "bench", cautions, "no check weight for 3 days");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    assert_true(cautions(harness_screen(h, "bench"), "no check weight")); /* in state cup */
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    assert_false(cautions(harness_screen(h, "bench"), "no check weight")); /* the pour is not talked into */
}

static void the_command_leads_through_it(void **state)
{
    struct harness *h = *state;
    char out[2048], err[1024];
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    const char *drift[] = {"poise", "check-weight", "bench", "--drift", "--seconds", "2", NULL};
    assert_int_equal(harness_run(h, drift, NULL, out, sizeof out, err, sizeof err), 0);
    assert_non_null(strstr(out, "steady"));
    const char *none[] = {"poise", "check-weight", "bench", NULL};
    assert_int_equal(harness_run(h, none, NULL, out, sizeof out, err, sizeof err), 64);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_good_scale_passes, begin, end),
        cmocka_unit_test_setup_teardown(the_journal_holds_figures_and_no_sentence, begin, end),
        cmocka_unit_test_setup_teardown(a_failed_one_is_said_until_a_good_one, begin, end),
        cmocka_unit_test_setup_teardown(the_terminal_shows_it, begin, end),
        cmocka_unit_test_setup_teardown(readings_that_are_none_are_refused, begin, end),
        cmocka_unit_test_setup_teardown(the_screen_says_what_a_first_call_waits_for, begin, end),
        cmocka_unit_test_setup_teardown(a_batch_in_the_pour_goes_first, begin, end),
        cmocka_unit_test_setup_teardown(a_request_sent_twice_is_taken_once, begin, end),
        cmocka_unit_test_setup_teardown(checks_teach_how_a_scale_repeats, begin, end),
        cmocka_unit_test_setup_teardown(a_check_falls_due_and_is_done, begin, end),
        cmocka_unit_test_setup_teardown(the_command_leads_through_it, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
