/* `poise bench` in a terminal of the test's own (a pty), against the real daemon: what a painter sees and presses. */
#include "tests/e2e/bench_view.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { QUIET_MS = 450 }; /* a little more than Enter is refused after a page has changed */

/* Enter is refused for a moment after a page has changed: it is pressed until the text is seen. */
static void enter_until(struct harness *h, struct terminal *t, const char *text)
{
    for (int64_t deadline = harness_deadline(); bench_now_ms() < deadline;) {
        terminal_press(t, "\r");
        if (bench_seen(h, t, text, bench_now_ms() + 2 * QUIET_MS))
            return;
    }
    fail_msg("no \"%s\" on\n%s", text, terminal_page(t));
}

/* The program's exit code once it has ended. */
static int ended(struct harness *h, struct terminal *t)
{
    int status = 0;
    for (int64_t deadline = harness_deadline(); waitpid(t->pid, &status, WNOHANG) == 0;) {
        terminal_drain(t);
        harness_step(h, deadline, "the end of poise bench");
    }
    t->pid = 0;
    close(t->fd);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static void leave(struct harness *h, struct terminal *t)
{
    terminal_press(t, "\003"); /* Ctrl-C */
    assert_int_equal(ended(h, t), 0);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

static int end(void **state)
{
    return harness_end(state);
}

static void a_batch_is_poured_by_keys_alone(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 0);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "nothing was mixed today");
    enter_until(h, &t, "code or name");
    terminal_press(&t, "207");
    bench_sees(h, &t, "[Enter]    ground: how much?"); /* the only one: straight on */
    enter_until(h, &t, "grams of colour");
    terminal_press(&t, "276.7");
    bench_sees(h, &t, "276.70 g colour, "); /* the daemon's plan, while it is written */
    bench_sees(h, &t, "begin TI-207 ground, 276.7 g colour");
    enter_until(h, &t, "put an empty cup on");
    harness_weigh(h, "bench", 31.2);
    bench_sees(h, &t, "this is the cup, 31.20 g");
    enter_until(h, &t, "pour N10");
    harness_weigh(h, "bench", 31.2 + 200);
    bench_sees(h, &t, "in cup 200.00");
    bench_sees(h, &t, ". tin is empty");
    harness_weigh(h, "bench", 31.2 + 212);
    bench_sees(h, &t, "O N   A I M");
    enter_until(h, &t, "pour M42");
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    harness_weigh(h, "bench", 31.2 + 212 + 70); /* 8.5 g over: beyond what grows by itself */
    bench_sees(h, &t, "accept 70.00 g, 8.50 g too much");
    enter_until(h, &t, "to spray");
    bench_sees(h, &t, "[1 2 3");
    assert_string_equal(harness_text(h, "bench", "state"), "over");
    terminal_press(&t, "3");
    bench_sees(h, &t, "leave it");
    enter_until(h, &t, "pour K01");
    harness_weigh(h, "bench", 31.2 + 212 + 70 + 3.2);
    bench_sees(h, &t, "accept 3.20 g");
    leave(h, &t);
}

/* By a reader of bar codes: the label's code, and Enter at once. */
static void a_held_batch_goes_on_by_its_code(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    char code[64];
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 100.0));
    snprintf(code, sizeof code, "POISE:%s", harness_text(h, "bench", "batch"));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_act(h, "bench", "batch.hold", NULL);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "find a colour");
    strcat(code, "\r");
    terminal_press(&t, code);
    bench_sees(h, &t, "print the label again");
    bench_sees(h, &t, "[Enter]    resume");
    enter_until(h, &t, "this is the cup, 31.20 g");
    code[strlen(code) - 1] = '\0';
    assert_string_equal(harness_text(h, "bench", "batch"), code + 6);
    leave(h, &t);
}

/* What the scale does not say is not shown: stale, then live again, without a key. */
static void a_silent_scale_looks_dead(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_weigh(h, "bench", 131.2);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "in cup 100.00");
    fake_scale_mute(harness_scale(h, "bench"));
    bench_sees(h, &t, "N O   W E I G H T");
    bench_sees(h, &t, "he scale sends nothing");
    bench_sees(h, &t, "is the scale on, is its cable in?");
    assert_null(strstr(terminal_page(&t), "in cup 100.00   ")); /* only the last weight, told as such */
    assert_null(strstr(terminal_page(&t), "##"));
    harness_weigh(h, "bench", 151.2);
    bench_sees(h, &t, "in cup 120.00");
    fake_scale_unplug(harness_scale(h, "bench"));
    bench_sees(h, &t, "scale gone");
    assert_true(fake_scale_plug(harness_scale(h, "bench")));
    bench_sees(h, &t, "in cup 120.00");
    leave(h, &t);
}

static void a_lost_daemon_is_found_again(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "pour N10");
    harness_stop(h, SIGKILL);
    bench_sees(h, &t, "No link to Poise");
    assert_null(strstr(terminal_page(&t), "##"));
    harness_start(h);
    bench_sees(h, &t, "[by hand]  pour N10");
    harness_weigh(h, "bench", 31.2 + 212);
    bench_sees(h, &t, "O N   A I M");
    enter_until(h, &t, "pour M42"); /* the keys work as before */
    leave(h, &t);
}

static void another_screen_moves_this_one(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 0);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "find a colour");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 100.0));
    bench_sees(h, &t, "put an empty cup on");
    terminal_press(&t, "09");
    bench_sees(h, &t, "the cup is waste");
    terminal_press(&t, "4");
    bench_sees(h, &t, "not needed");
    enter_until(h, &t, "find a colour");
    assert_string_equal(harness_text(h, "bench", "state"), "idle");
    leave(h, &t);
}

/* A reader's keys come at once: a wrong tin stops, the right one gives its lot; no digit of a code chooses, and its
 * Enter accepts nothing. */
static void a_scanned_tin_is_held_against_the_step(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_call(h, "toner.put", json_pack("{s:s, s:[s]}", "id", "N10", "codes", "4012001*"));
    harness_call(h, "toner.put", json_pack("{s:s, s:[s]}", "id", "M42", "codes", "4012002*"));
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", json_object());
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "pour N10");
    harness_weigh(h, "bench", 31.2 + 212);
    bench_sees(h, &t, "O N   A I M");
    double revision = harness_number(h, "bench", "revision");
    (void)bench_seen(h, &t, "never", bench_now_ms() + QUIET_MS); /* an Enter would be taken now */
    terminal_press(&t, "4012002B3\r");
    bench_sees(h, &t, "W R O N G   T I N");
    bench_sees(h, &t, "Wrong tin: this is M42, take N10.");
    assert_true(harness_number(h, "bench", "revision") == revision);
    terminal_press(&t, "4012001A17\r");
    bench_sees(h, &t, "lot A17");
    assert_true(harness_number(h, "bench", "revision") == revision + 1);
    terminal_press(&t, "999123\r");
    bench_sees(h, &t, "999123");
    enter_until(h, &t, "pour M42");
    assert_string_equal(json_string_value(json_object_get(
                            json_array_get(json_object_get(harness_screen(h, "bench"), "steps"), 0), "lot")),
                        "A17");
    harness_weigh(h, "bench", 31.2 + 212 + 70);
    enter_until(h, &t, "to spray");
    terminal_press(&t, "3333\r"); /* as digits they would choose `leave`, and Enter would take it */
    bench_sees(h, &t, "3333");
    (void)bench_seen(h, &t, "never", bench_now_ms() + QUIET_MS);
    assert_string_equal(harness_text(h, "bench", "state"), "over");
    bench_sees(h, &t, "[1 2 3");
    leave(h, &t);
}

static void a_small_terminal_has_one_line(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    struct winsize small = {.ws_row = 4, .ws_col = 40}, large = {.ws_row = TERMINAL_ROWS, .ws_col = TERMINAL_COLS};
    harness_weigh(h, "bench", 0);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "0 menu");
    assert_int_equal(ioctl(t.fd, TIOCSWINSZ, &small), 0);
    for (int64_t deadline = harness_deadline(); strstr(terminal_page(&t), "0 menu");) {
        terminal_drain(&t);
        harness_step(h, deadline, "the small page");
    }
    bench_sees(h, &t, "idle");
    assert_int_equal(ioctl(t.fd, TIOCSWINSZ, &large), 0);
    bench_sees(h, &t, "0 menu");
    terminal_press(&t, "\033Op"); /* 0 of a number pad in application mode */
    bench_sees(h, &t, "leave this screen");
    terminal_press(&t, "q");
    assert_int_equal(ended(h, &t), 0);
}

/* Somebody changes it at another screen: this one is told, and speaks and writes otherwise at once, even in idle. */
static void a_changed_setting_is_seen_at_once(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 12.5);
    terminal_open(&t, h->socket);
    bench_sees(h, &t, "12.50 g");
    bench_sees(h, &t, "nothing was mixed today");
    harness_call(h, "settings.put", json_pack("{s:s, s:s}", "key", "shop.language", "value", "de"));
    bench_sees(h, &t, "heute noch nichts gemischt");
    harness_call(h, "settings.put", json_pack("{s:s, s:s}", "key", "shop.decimal", "value", "comma"));
    bench_sees(h, &t, "12,50 g");
    harness_call(h, "settings.put", json_pack("{s:s, s:n}", "key", "shop.language", "value"));
    bench_sees(h, &t, "nothing was mixed today"); /* as the terminal's environment has it */
    leave(h, &t);
}

static void what_is_no_terminal_is_64(void **state)
{
    struct harness *h = *state;
    char out[1024], err[1024];
    const char *const argv[] = {"poise", "bench", NULL};
    assert_int_equal(harness_run(h, argv, "", out, sizeof out, err, sizeof err), 64);
    assert_non_null(strstr(err, "poise: bench: "));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_batch_is_poured_by_keys_alone, begin, end),
        cmocka_unit_test_setup_teardown(a_held_batch_goes_on_by_its_code, begin, end),
        cmocka_unit_test_setup_teardown(a_silent_scale_looks_dead, begin, end),
        cmocka_unit_test_setup_teardown(a_lost_daemon_is_found_again, begin, end),
        cmocka_unit_test_setup_teardown(another_screen_moves_this_one, begin, end),
        cmocka_unit_test_setup_teardown(a_scanned_tin_is_held_against_the_step, begin, end),
        cmocka_unit_test_setup_teardown(a_small_terminal_has_one_line, begin, end),
        cmocka_unit_test_setup_teardown(a_changed_setting_is_seen_at_once, begin, end),
        cmocka_unit_test_setup_teardown(what_is_no_terminal_is_64, begin, end),
    };
    return cmocka_run_group_tests_name("bench screen", tests, NULL, NULL);
}
