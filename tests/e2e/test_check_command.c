/* `poise check-weight` on a terminal, led by its own words, and `poise checks`, the log for whoever asks later. */
#include "tests/e2e/harness.h"
#include "tests/e2e/raw_client.h"
#include "tests/e2e/terminal.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static int end(void **state)
{
    return harness_end(state);
}

/* ---- the terminal ---- */

static void wait_page(struct harness *h, struct terminal *t, const char *words)
{
    terminal_drain(t);
    for (int64_t until = harness_deadline(); !strstr(terminal_page(t), words); terminal_drain(t))
        harness_step(h, until, words);
}

/* Its exit code, or -signal; all that it drew is on the page. */
static int wait_end(struct harness *h, struct terminal *t)
{
    int status = 0;
    for (int64_t until = harness_deadline(); waitpid(t->pid, &status, WNOHANG) == 0; terminal_drain(t))
        harness_step(h, until, "the command's end");
    terminal_drain(t);
    close(t->fd);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static void start(struct harness *h, struct terminal *t)
{
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    terminal_run(t, h->socket, (const char *const[]){"poise", "check-weight", "bench", "200", NULL});
    wait_page(h, t, "your name, Enter: ");
}

/* The whole check with a hand that is called Ines: the exit code. */
static int check(struct harness *h, struct terminal *t, double shows_g, double again_g)
{
    start(h, t);
    terminal_press(t, " Ines\r");
    wait_page(h, t, "put the check weight of 200 g on");
    harness_weigh(h, "bench", shows_g);
    wait_page(h, t, "take the check weight of 200 g off again");
    harness_weigh(h, "bench", again_g);
    return wait_end(h, t);
}

/* ---- what the daemon says ---- */

static const char *text(const json_t *o, const char *name)
{
    const char *t = json_string_value(json_object_get(o, name));
    return t ? t : "";
}

/* The next move that a check leads to, in idle; "": the bench leads nothing. */
static const char *lead(json_t *screen)
{
    const json_t *next = json_object_get(screen, "next");
    return strcmp(text(next, "kind"), "hand") == 0 ? text(json_object_get(next, "said"), "text") : "";
}

static bool says(json_t *screen, const void *with)
{
    return strcmp(lead(screen), with) == 0;
}

/* In idle it is the trouble that the screen tells, and no caution: those are of a batch. */
static bool has_trouble(json_t *screen, const char *words)
{
    const char *told = text(json_object_get(json_object_get(screen, "trouble"), "said"), "text");
    assert_int_equal(json_array_size(json_object_get(screen, "caution")), 0);
    return strstr(told, words) != NULL;
}

static bool failed(json_t *screen, const void *with)
{
    (void)with;
    return has_trouble(screen, "check weight failed: 200 g read +0.52 g (52 d) off, ");
}

static bool clean(json_t *screen, const void *with)
{
    (void)with;
    return json_is_null(json_object_get(screen, "trouble"));
}

/* How many are in the log. Writes are done in the order they came: what was under way is on disk with an act's answer.
 */
static size_t kept(struct harness *h)
{
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "a test"));
    return json_array_size(json_object_get(harness_call(h, "report.checks", json_object()), "checks"));
}

static const char *run(struct harness *h, int code, const char *const words[])
{
    static char out[1 << 14], err[1024];
    int got = harness_run(h, words, NULL, out, sizeof out, err, sizeof err);
    if (got != code)
        fail_msg("%s %s: %d\n%s%s", words[1], words[2] ? words[2] : "", got, out, err);
    return code ? err : out;
}
#define RUN(h, code, ...) run(h, code, (const char *const[]){"poise", __VA_ARGS__, NULL})

/* A cup and a first pour, then given up: one batch in the records. */
static void weigh_a_batch(struct harness *h, char id[24])
{
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    snprintf(id, 24, "%s", harness_text(h, "bench", "batch"));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "a test"));
    harness_weigh(h, "bench", 0);
}

/* ---- the stories ---- */

static void a_good_check(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    assert_int_equal(check(h, &t, 200.02, 0), 0);
    assert_non_null(strstr(terminal_page(&t), "the scale is good: 200 g read +0.02 g (2 d) off, 0.05 g allowed"));
    const json_t *line = json_array_get(json_object_get(harness_call(h, "report.checks", json_object()), "checks"), 0);
    assert_string_equal(text(line, "who"), "Ines");
    assert_true(json_is_true(json_object_get(line, "passed")));
    assert_int_equal(json_array_size(json_object_get(line, "batches")), 0);
}

static void a_failed_check_is_said_everywhere(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    char before[24], meanwhile[24], after[24], words[64];
    weigh_a_batch(h, before);
    assert_int_equal(check(h, &t, 200.52, 0), 65);
    assert_non_null(strstr(terminal_page(&t), "check weight failed: 200 g read +0.52 g (52 d) off"));
    harness_wait_screen(h, "bench", failed, NULL);
    assert_non_null(strstr(RUN(h, 0, "scales"), "FAILED: +0.52 g off"));
    assert_non_null(strstr(RUN(h, 0, "status"), "scale ok: check weight failed: 200 g read +0.52 g"));
    weigh_a_batch(h, meanwhile);
    harness_stop(h, SIGKILL);
    harness_start(h);
    harness_wait_scale(h, "bench", "live");
    harness_wait_screen(h, "bench", failed, NULL);
    assert_int_equal(check(h, &t, 200, 0), 0);
    harness_wait_screen(h, "bench", clean, NULL);
    weigh_a_batch(h, after);
    assert_non_null(strstr(RUN(h, 0, "show", meanwhile), "caution: check weight failed: 200 g read +0.52 g"));
    assert_null(strstr(RUN(h, 0, "show", before), "check weight"));
    assert_null(strstr(RUN(h, 0, "show", after), "check weight"));
    snprintf(words, sizeof words, "FAILED\n    weighed meanwhile: %s\n", meanwhile);
    const char *log = RUN(h, 0, "checks");
    assert_non_null(strstr(log, words));
    assert_non_null(strstr(log, "2 made, 1 failed\n"));
}

static void a_pan_that_does_not_come_back(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    assert_int_equal(check(h, &t, 200, 0.3), 65);
    assert_non_null(strstr(terminal_page(&t), "the empty pan came back at 0.30 g"));
    assert_non_null(strstr(RUN(h, 0, "scales"), "FAILED: the empty pan came back at +0.30 g"));
}

static void the_weight_lies_there_already(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    start(h, &t);
    harness_weigh(h, "bench", 200);
    terminal_press(&t, "\r");
    wait_page(h, &t, "waiting: the check weight is on the pan already");
    harness_weigh(h, "bench", 31.2); /* and a cup below it */
    wait_page(h, &t, "put the check weight of 200 g on; 31.20 g counts as the empty pan");
    harness_weigh(h, "bench", 0); /* which is taken off only now */
    harness_wait_screen(h, "bench", says, "put the check weight of 200 g on");
    harness_weigh(h, "bench", 200);
    wait_page(h, &t, "take the check weight of 200 g off again");
    harness_weigh(h, "bench", 0);
    assert_int_equal(wait_end(h, &t), 0);
    const json_t *line = json_array_get(json_object_get(harness_call(h, "report.checks", json_object()), "checks"), 0);
    assert_true(json_is_null(json_object_get(line, "who"))); /* no name was given */
    assert_true(json_number_value(json_object_get(line, "empty_g")) == 0);
}

/* How far the hand gets before Ctrl-C. */
static void leave_after(struct harness *h, int readings)
{
    struct terminal t;
    start(h, &t);
    json_t *screen = harness_wait_screen(h, "bench", says, "check weight: take everything off the pan");
    assert_string_equal(text(json_object_get(json_object_get(screen, "next"), "said"), "code"), "check_empty");
    if (readings > 0) {
        terminal_press(&t, "\r");
        wait_page(h, &t, "put the check weight of 200 g on");
    }
    if (readings > 1) {
        harness_weigh(h, "bench", 200);
        wait_page(h, &t, "take the check weight of 200 g off again");
    }
    terminal_press(&t, "\3");
    assert_int_equal(wait_end(h, &t), -SIGINT);
    assert_non_null(strstr(terminal_page(&t), "nothing is kept"));
    harness_wait_screen(h, "bench", says, "");
    assert_int_equal(kept(h), 0);
}

static void ctrl_c_leaves_nothing(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    for (int readings = 0; readings <= 2; readings++)
        leave_after(h, readings);
    assert_int_equal(check(h, &t, 200, 0), 0); /* the bench is free: a new one begins at its beginning */
    assert_int_equal(kept(h), 1);
}

/* A program that was killed could take nothing back; the daemon sees that nobody waits for the reading any more. */
static void a_caller_that_is_gone_leaves_nothing(void **state)
{
    struct harness *h = *state;
    static const char ask[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"scale.check\","
                              "\"params\":{\"station\":\"bench\",\"grams\":200}}";
    harness_weigh(h, "bench", 0);
    struct raw_client *caller = raw_client_open(h);
    assert_true(raw_client_say(caller, ask));
    assert_int_equal(raw_client_code(caller), 0);
    harness_wait_screen(h, "bench", says, "put the check weight of 200 g on");
    assert_true(raw_client_say(caller, ask)); /* waits for the weight */
    raw_client_close(caller);
    harness_wait_screen(h, "bench", says, "");
    assert_int_equal(kept(h), 0);
}

static bool watches(json_t *screen, const void *with)
{
    (void)with;
    return strstr(lead(screen), "watching the empty pan") != NULL;
}

static void ctrl_c_ends_a_watch(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    terminal_run(&t, h->socket, (const char *const[]){"poise", "check-weight", "bench", "--drift", NULL});
    harness_wait_screen(h, "bench", watches, NULL);
    terminal_press(&t, "\3");
    assert_int_equal(wait_end(h, &t), -SIGINT);
    harness_wait_screen(h, "bench", says, "");
    assert_non_null(strstr(RUN(h, 0, "check-weight", "bench", "--drift", "--seconds", "1"), "steady"));
}

/* As behind nohup, or in the background of a script: such a program is not to be ended so. */
static void a_signal_that_is_ignored_ends_nothing(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    signal(SIGINT, SIG_IGN); /* the program inherits it */
    terminal_run(&t, h->socket,
                 (const char *const[]){"poise", "check-weight", "bench", "--drift", "--seconds", "2", NULL});
    signal(SIGINT, SIG_DFL);
    harness_wait_screen(h, "bench", watches, NULL);
    terminal_press(&t, "\3");
    assert_int_equal(wait_end(h, &t), 0);
    assert_non_null(strstr(terminal_page(&t), "steady"));
    harness_wait_screen(h, "bench", says, "");
}

static void a_cable_pulled_in_the_middle_ends_it(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    start(h, &t);
    terminal_press(&t, "\r");
    wait_page(h, &t, "put the check weight of 200 g on");
    fake_scale_unplug(harness_scale(h, "bench"));
    assert_int_equal(wait_end(h, &t), 75);
    assert_true(strstr(terminal_page(&t), "closed the connection") || strstr(terminal_page(&t), "nothing answers"));
    harness_wait_screen(h, "bench", says, "");
    fake_scale_plug(harness_scale(h, "bench"));
    harness_wait_scale(h, "bench", "live");
    assert_int_equal(kept(h), 0);
}

static void without_a_terminal_it_waits_as_long_as_told(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 0.5);
    harness_weigh(h, "bench", 0);
    assert_non_null(strstr(RUN(h, 65, "check-weight", "bench", "200", "--seconds", "1"), "is not on the pan"));
    harness_wait_screen(h, "bench", says, "");
    static const struct {
        const char *bench, *grams;
        int code;
    } rows[] = {{"nobody", "200", 65}, {"bench", "0", 65},   {"bench", "-200", 65},
                {"bench", "3001", 65}, {"bench", "two", 64}, {"bench", NULL, 64}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        RUN(h, rows[i].code, "check-weight", rows[i].bench, rows[i].grams);
    assert_int_equal(kept(h), 0);
}

/* ---- the log ---- */

/* Empty, loaded, empty again, by calls. */
static void check_by_calls(struct harness *h, const char *who, double shows_g)
{
    const double shows[] = {0, shows_g, 0};
    harness_weigh(h, "bench", 0.5);
    for (size_t i = 0; i < 3; i++) {
        harness_weigh(h, "bench", shows[i]);
        harness_call(h, "scale.check", json_pack("{s:s,s:i,s:s}", "station", "bench", "grams", 200, "painter", who));
    }
}

static void the_log_as_csv(void **state)
{
    struct harness *h = *state;
    char last[160];
    const char *csv = RUN(h, 1, "checks", "--csv"); /* nothing found: a line on stderr, and 1 */
    static const char head[] = "time,station,who,grams,tolerance_g,d_g,empty_g,loaded_g,again_g,error_g,error_d,"
                               "zero_g,zero_d,passed,batches\r\n"; /* lines end so by RFC 4180, 2.1 */
    assert_non_null(strstr(csv, "no check weight yet"));
    check_by_calls(h, "Bo \"the eye\", senior", 199.4);
    csv = RUN(h, 0, "checks", "--csv");
    assert_int_equal(strncmp(csv, head, sizeof head - 1), 0);
    /* A field with a comma or a quote stands in quotes, a quote in it twice: RFC 4180, 2.6 and 2.7. */
    snprintf(last, sizeof last, "%s",
             ",bench,\"Bo \"\"the eye\"\", senior\",200,0.05,0.01,0,199.4,0,-0.6,-60,0,0,no,\r\n");
    const char *line = csv + sizeof head - 1;
    assert_non_null(strchr(line, ','));
    assert_string_equal(strchr(line, ','), last);
    const char *json = RUN(h, 0, "checks", "--json");
    json_t *object = json_loads(json, 0, NULL);
    assert_string_equal(text(object, "who"), "Bo \"the eye\", senior");
    json_decref(object);
    RUN(h, 64, "checks", "--json", "--csv");
}

static void days_are_those_of_the_shop(void **state)
{
    struct harness *h = *state;
    char utc[16], day[16];
    time_t now = time(NULL);
    struct tm tm;
    gmtime_r(&now, &tm);
    strftime(utc, sizeof utc, "%F", &tm);
    harness_stop(h, SIGTERM);
    /* Far enough east or west to be on another day than Greenwich. */
    setenv("TZ", tm.tm_hour >= 10 ? "EAST-14" : "WEST+12", 1);
    harness_start(h);
    unsetenv("TZ");
    harness_wait_scale(h, "bench", "live");
    check_by_calls(h, "Ines", 200);
    const json_t *line = json_array_get(json_object_get(harness_call(h, "report.checks", json_object()), "checks"), 0);
    snprintf(day, sizeof day, "%.10s", text(line, "time"));
    assert_string_not_equal(day, utc);
    assert_non_null(strstr(RUN(h, 0, "checks", "--from", day, "--to", day, "--station", "bench"), "1 made, 0 failed"));
    assert_non_null(strstr(RUN(h, 1, "checks", "--from", utc, "--to", utc), "no check weight in these days"));
    assert_non_null(strstr(RUN(h, 65, "checks", "--station", "nobody"), "no station nobody"));
}

static void a_date_that_is_none_is_refused(void **state)
{
    struct harness *h = *state;
    static const struct {
        const char *from, *to, *field;
    } rows[] = {
        {"2026-02-29", "2026-12-31", "from"}, {"2026-13-01", "2026-12-31", "from"}, {"", "2026-12-31", "from"},
        {"2026-01-01", "2026-04-31", "to"},   {"2026-01-01", "2026-1-31", "to"},    {"2026-01-01", "today", "to"},
        {"2026-01-02", "2026-01-01", "to"},   {"2100-02-29", "2100-12-31", "from"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const json_t *error = json_object_get(
            harness_ask(h, "report.checks", json_pack("{s:s,s:s}", "from", rows[i].from, "to", rows[i].to)), "error");
        int code = (int)json_integer_value(json_object_get(error, "code"));
        const char *field = text(json_object_get(error, "data"), "field");
        if (code != -32005 || strcmp(field, rows[i].field) != 0)
            fail_msg("%s to %s: %d, field %s", rows[i].from, rows[i].to, code, field);
    }
    harness_call(h, "report.checks", json_pack("{s:s,s:s}", "from", "2028-02-29", "to", "2028-02-29"));
    RUN(h, 64, "checks", "--from", "yesterday");
}

int main(void)
{
#define STORY(f) cmocka_unit_test_setup_teardown(f, harness_begin_live, end)
    const struct CMUnitTest tests[] = {
        STORY(a_good_check),
        STORY(a_failed_check_is_said_everywhere),
        STORY(a_pan_that_does_not_come_back),
        STORY(the_weight_lies_there_already),
        STORY(ctrl_c_leaves_nothing),
        STORY(a_caller_that_is_gone_leaves_nothing),
        STORY(ctrl_c_ends_a_watch),
        STORY(a_signal_that_is_ignored_ends_nothing),
        STORY(a_cable_pulled_in_the_middle_ends_it),
        STORY(without_a_terminal_it_waits_as_long_as_told),
        STORY(the_log_as_csv),
        STORY(days_are_those_of_the_shop),
        STORY(a_date_that_is_none_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
