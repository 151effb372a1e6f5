/* typed.h - a program as a person types it, in one line, and what it said.
 *
 *   typed_says(h, "order 4417 TS-1=50 --vehicle blue~estate", "50 g");   // poise, exit code 0, this in its stdout
 *   assert_int_equal(typed_run(h, "poise plan"), 64);
 *   assert_non_null(strstr(typed.err, "what"));
 */
#ifndef TESTS_E2E_TYPED_H
#define TESTS_E2E_TYPED_H

#include "tests/e2e/harness.h"

/* What the last one said; overwritten by the next. */
extern struct typed {
    char out[16384], err[4096];
} typed;

/* Words apart by spaces, the first one a program of the build folder; `~` within a word stands for a space. Its exit
 * code, or -signal. */
int typed_run(struct harness *h, const char *line);
/* `poise` with these words must end with 0 and say this. */
#define typed_says(h, line, says) typed_says_at(h, line, says, __FILE__, __LINE__)
void typed_says_at(struct harness *h, const char *line, const char *says, const char *file, int at);

#endif
