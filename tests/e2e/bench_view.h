/* bench_view.h - what a person sees and presses at `poise bench` in a terminal of the test's own: waits for a text on
 * the page, never for a time.
 */
#ifndef TESTS_E2E_BENCH_VIEW_H
#define TESTS_E2E_BENCH_VIEW_H

#include "tests/e2e/harness.h"
#include "tests/e2e/terminal.h"

/* The clock of the waits below, monotonic. */
int64_t bench_now_ms(void);
/* True once the page holds the text, false when `until_ms` has passed. */
bool bench_seen(struct harness *h, struct terminal *t, const char *text, int64_t until_ms);
/* Waits until the page holds the text; fails the test, with the page, where it never does. */
void bench_sees(struct harness *h, struct terminal *t, const char *text);
/* Enter is refused for a moment after a page has changed: it is pressed until the text is seen. */
void bench_enter(struct harness *h, struct terminal *t, const char *text);
/* Presses keys and waits for the text that they bring. */
void bench_keys(struct harness *h, struct terminal *t, const char *keys, const char *text);
/* Ctrl-C, and the program's end with 0. */
void bench_leave(struct harness *h, struct terminal *t);

#endif
