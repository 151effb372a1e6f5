/* bench_view.c - see bench_view.h. It must not know a page. */
#include "tests/e2e/bench_view.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* An Enter that was refused as too early is pressed again after so long: a second one on a slow machine would be for
 * the page that the first one brings. */
enum { AGAIN_MS = 5000, QUIET_MS = 450 };

int64_t bench_now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

bool bench_seen(struct harness *h, struct terminal *t, const char *text, int64_t until_ms)
{
    for (;;) {
        terminal_drain(t);
        if (strstr(terminal_page(t), text))
            return true;
        if (bench_now_ms() >= until_ms)
            return false;
        harness_step(h, until_ms + 60000, text);
    }
}

void bench_sees(struct harness *h, struct terminal *t, const char *text)
{
    if (!bench_seen(h, t, text, harness_deadline()))
        fail_msg("no \"%s\" on\n%s", text, terminal_page(t));
}

void bench_enter(struct harness *h, struct terminal *t, const char *text)
{
    (void)bench_seen(h, t, "\001",
                     bench_now_ms() + QUIET_MS); /* the page has stood: nobody presses what they have not read */
    for (int64_t deadline = harness_deadline(); bench_now_ms() < deadline;) {
        terminal_press(t, "\r");
        if (bench_seen(h, t, text, bench_now_ms() + AGAIN_MS))
            return;
    }
    fail_msg("no \"%s\" on\n%s", text, terminal_page(t));
}

void bench_keys(struct harness *h, struct terminal *t, const char *keys, const char *text)
{
    terminal_press(t, keys);
    bench_sees(h, t, text);
}

void bench_leave(struct harness *h, struct terminal *t)
{
    int status = 0;
    terminal_press(t, "\003");
    for (int64_t deadline = harness_deadline(); waitpid(t->pid, &status, WNOHANG) == 0;) {
        terminal_drain(t);
        harness_step(h, deadline, "the end of poise bench");
    }
    t->pid = 0;
    close(t->fd);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}
