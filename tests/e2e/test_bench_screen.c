/* `poise bench` in a terminal of the test's own (a pty), against the real daemon: what a painter sees and presses. */
#include "tests/e2e/harness.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <pty.h>
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

enum { COLS = 80, ROWS = 24, QUIET_MS = 450 };

/* As much of a vt100 as ncurses uses of one. */
struct terminal {
    int fd;
    pid_t pid;
    char cell[ROWS][COLS + 1];
    int row, col;
    char sequence[64]; /* an escape sequence as far as it has come; "" outside one */
    char text[ROWS * (COLS + 1) + 1];
};

static void blank(struct terminal *t, int row, int from, int to)
{
    for (int c = from; c < to; c++)
        t->cell[row][c] = ' ';
}

static int number(const char *sequence, int place, int otherwise)
{
    const char *at = sequence + 2;
    for (; place > 0 && at; place--) {
        at = strchr(at, ';');
        at = at ? at + 1 : NULL;
    }
    return at && isdigit((unsigned char)*at) ? atoi(at) : otherwise;
}

static int within(int value, int max)
{
    return value < 0 ? 0 : value >= max ? max - 1 : value;
}

static void control(struct terminal *t, char last)
{
    const char *s = t->sequence;
    int n = number(s, 0, 1);
    switch (last) {
    case 'H':
        t->row = within(number(s, 0, 1) - 1, ROWS);
        t->col = within(number(s, 1, 1) - 1, COLS);
        break;
    case 'A':
        t->row = within(t->row - n, ROWS);
        break;
    case 'B':
        t->row = within(t->row + n, ROWS);
        break;
    case 'C':
        t->col = within(t->col + n, COLS);
        break;
    case 'D':
        t->col = within(t->col - n, COLS);
        break;
    case 'J':
        blank(t, t->row, number(s, 0, 0) == 2 ? 0 : t->col, COLS);
        for (int r = number(s, 0, 0) == 2 ? 0 : t->row + 1; r < ROWS; r++)
            blank(t, r, 0, COLS);
        break;
    case 'K':
        if (number(s, 0, 0) == 1)
            blank(t, t->row, 0, t->col + 1);
        else
            blank(t, t->row, t->col, COLS);
        break;
    default:
        break; /* colours, modes */
    }
}

static void take(struct terminal *t, char c)
{
    size_t n = strlen(t->sequence);
    if (n > 0) {
        if (n + 1 < sizeof t->sequence) {
            t->sequence[n] = c;
            t->sequence[n + 1] = '\0';
        }
        bool csi = t->sequence[1] == '[', set = strchr("()", t->sequence[1]) != NULL && t->sequence[1];
        if ((csi && n > 1 && c >= '@') || (set && n == 2) || (!csi && !set)) {
            if (csi)
                control(t, c);
            t->sequence[0] = '\0';
        }
        return;
    }
    switch (c) {
    case 27:
        strcpy(t->sequence, "\033");
        break;
    case '\r':
        t->col = 0;
        break;
    case '\n':
        t->row = within(t->row + 1, ROWS);
        break;
    case '\b':
        t->col = within(t->col - 1, COLS);
        break;
    case '\t':
        t->col = within((t->col / 8 + 1) * 8, COLS);
        break;
    default:
        if ((unsigned char)c < 0x20)
            break;
        if (t->col >= COLS) { /* the pending wrap of a vt100 */
            t->col = 0;
            t->row = within(t->row + 1, ROWS);
        }
        t->cell[t->row][t->col++] = c;
    }
}

static void drain(struct terminal *t)
{
    char bytes[4096];
    ssize_t got;
    while ((got = read(t->fd, bytes, sizeof bytes)) > 0)
        for (ssize_t i = 0; i < got; i++)
            take(t, bytes[i]);
}

static const char *page(struct terminal *t)
{
    size_t n = 0;
    for (int r = 0; r < ROWS; r++) {
        memcpy(t->text + n, t->cell[r], COLS);
        n += COLS;
        t->text[n++] = '\n';
    }
    t->text[n] = '\0';
    return t->text;
}

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* True once the page holds the text, false when `until_ms` has passed. */
static bool seen(struct harness *h, struct terminal *t, const char *text, int64_t until_ms)
{
    for (;;) {
        drain(t);
        if (strstr(page(t), text))
            return true;
        if (now_ms() >= until_ms)
            return false;
        harness_step(h, until_ms + 60000, text);
    }
}

static void sees(struct harness *h, struct terminal *t, const char *text)
{
    if (!seen(h, t, text, harness_deadline()))
        fail_msg("no \"%s\" on\n%s", text, page(t));
}

static void press(struct terminal *t, const char *keys)
{
    assert_int_equal(write(t->fd, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* Enter is ignored for a moment after a page has changed: it is pressed until the text is seen. */
static void enter_until(struct harness *h, struct terminal *t, const char *text)
{
    for (int64_t deadline = harness_deadline(); now_ms() < deadline;) {
        press(t, "\r");
        if (seen(h, t, text, now_ms() + 2 * QUIET_MS))
            return;
    }
    fail_msg("no \"%s\" on\n%s", text, page(t));
}

static void open_terminal(struct harness *h, struct terminal *t)
{
    struct winsize size = {.ws_row = ROWS, .ws_col = COLS};
    char program[HARNESS_PATH];
    const char *build = getenv("POISE_BUILD");
    snprintf(program, sizeof program, "%s/poise", build ? build : "build");
    memset(t, 0, sizeof *t);
    for (int r = 0; r < ROWS; r++)
        blank(t, r, 0, COLS);
    t->pid = forkpty(&t->fd, NULL, NULL, &size);
    assert_true(t->pid >= 0);
    if (t->pid == 0) {
        setenv("TERM", "vt100", 1);
        setenv("LC_ALL", "C", 1);
        setenv("POISE_SOCKET", h->socket, 1);
        execl(program, "poise", "bench", (char *)NULL);
        _exit(127);
    }
    fcntl(t->fd, F_SETFL, O_NONBLOCK);
}

/* The program's exit code once it has ended. */
static int ended(struct harness *h, struct terminal *t)
{
    int status = 0;
    for (int64_t deadline = harness_deadline(); waitpid(t->pid, &status, WNOHANG) == 0;) {
        drain(t);
        harness_step(h, deadline, "the end of poise bench");
    }
    t->pid = 0;
    close(t->fd);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static void leave(struct harness *h, struct terminal *t)
{
    press(t, "\003"); /* Ctrl-C */
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
    open_terminal(h, &t);
    sees(h, &t, "nothing was mixed today");
    enter_until(h, &t, "code or name");
    press(&t, "207");
    sees(h, &t, "[Enter]    choose from 1");
    enter_until(h, &t, "how much?");
    press(&t, "1");
    enter_until(h, &t, "grams of colour");
    press(&t, "276.7");
    sees(h, &t, "begin TI-207 ground, 276.7 g");
    enter_until(h, &t, "put an empty cup on");
    harness_weigh(h, "bench", 31.2);
    sees(h, &t, "this is the cup, 31.20 g");
    enter_until(h, &t, "pour N10");
    harness_weigh(h, "bench", 31.2 + 200);
    sees(h, &t, "in cup 200.00");
    sees(h, &t, ". short");
    harness_weigh(h, "bench", 31.2 + 212);
    sees(h, &t, "O N   A I M");
    enter_until(h, &t, "pour M42");
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    harness_weigh(h, "bench", 31.2 + 212 + 70); /* 8.5 g over: beyond what grows by itself */
    sees(h, &t, "accept 70.00 g, 8.50 over");
    enter_until(h, &t, "the batch becomes");
    sees(h, &t, "[1 2 3");
    assert_string_equal(harness_text(h, "bench", "state"), "over");
    press(&t, "3");
    sees(h, &t, "leave it");
    enter_until(h, &t, "pour K01");
    harness_weigh(h, "bench", 31.2 + 212 + 70 + 3.2);
    sees(h, &t, "accept 3.20 g");
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
    open_terminal(h, &t);
    sees(h, &t, "in cup 100.00");
    fake_scale_mute(harness_scale(h, "bench"));
    sees(h, &t, "N O   W E I G H T");
    sees(h, &t, "The scale has sent nothing for");
    sees(h, &t, "plug the scale in again");
    assert_null(strstr(page(&t), "in cup 100.00   ")); /* only the last weight, told as such */
    assert_null(strstr(page(&t), "##"));
    harness_weigh(h, "bench", 151.2);
    sees(h, &t, "in cup 120.00");
    fake_scale_unplug(harness_scale(h, "bench"));
    sees(h, &t, "absent");
    assert_true(fake_scale_plug(harness_scale(h, "bench")));
    sees(h, &t, "in cup 120.00");
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
    open_terminal(h, &t);
    sees(h, &t, "pour N10");
    harness_stop(h, SIGKILL);
    sees(h, &t, "This screen has lost Poise");
    assert_null(strstr(page(&t), "##"));
    harness_start(h);
    sees(h, &t, "[by hand]  pour N10");
    harness_weigh(h, "bench", 31.2 + 212);
    sees(h, &t, "O N   A I M");
    enter_until(h, &t, "pour M42"); /* the keys work as before */
    leave(h, &t);
}

static void another_screen_moves_this_one(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_weigh(h, "bench", 0);
    open_terminal(h, &t);
    sees(h, &t, "find a colour");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 100.0));
    sees(h, &t, "put an empty cup on");
    press(&t, "09");
    sees(h, &t, "what the cup holds is waste");
    press(&t, "4");
    sees(h, &t, "not needed");
    enter_until(h, &t, "find a colour");
    assert_string_equal(harness_text(h, "bench", "state"), "idle");
    leave(h, &t);
}

static void a_small_terminal_has_one_line(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    struct winsize small = {.ws_row = 4, .ws_col = 40}, large = {.ws_row = ROWS, .ws_col = COLS};
    harness_weigh(h, "bench", 0);
    open_terminal(h, &t);
    sees(h, &t, "0 other pages");
    assert_int_equal(ioctl(t.fd, TIOCSWINSZ, &small), 0);
    for (int64_t deadline = harness_deadline(); strstr(page(&t), "0 other pages");) {
        drain(&t);
        harness_step(h, deadline, "the small page");
    }
    sees(h, &t, "idle");
    assert_int_equal(ioctl(t.fd, TIOCSWINSZ, &large), 0);
    sees(h, &t, "0 other pages");
    press(&t, "0");
    sees(h, &t, "leave this screen");
    press(&t, "q");
    assert_int_equal(ended(h, &t), 0);
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
        cmocka_unit_test_setup_teardown(a_silent_scale_looks_dead, begin, end),
        cmocka_unit_test_setup_teardown(a_lost_daemon_is_found_again, begin, end),
        cmocka_unit_test_setup_teardown(another_screen_moves_this_one, begin, end),
        cmocka_unit_test_setup_teardown(a_small_terminal_has_one_line, begin, end),
        cmocka_unit_test_setup_teardown(what_is_no_terminal_is_64, begin, end),
    };
    return cmocka_run_group_tests_name("bench screen", tests, NULL, NULL);
}
