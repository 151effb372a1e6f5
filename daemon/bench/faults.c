#include "bench/bench_parts.h"

#include <ctype.h>
#include <string.h>

void bench_put_state(const struct bench *b, struct fault *f)
{
    snprintf(f->state, sizeof f->state, "%s", b->batch ? screen_state_names[b->batch->state] : "idle");
}

bool bench_fault_state(const struct bench *b, struct fault *f, const char *why, const char *help, const char *message)
{
    fault_set(f, FAULT_STATE, NULL, why, help, "%s", message);
    bench_put_state(b, f);
    return false;
}

bool bench_fault_port(struct fault *f, const char *field, const char *state, const char *before, const char *clause,
                      const char *help)
{
    const char *mend = strstr(clause, ": ");
    fault_set(f, FAULT_SCALE, field, state, mend ? mend + 2 : help, "%s%.*s", before,
              (int)(mend ? (size_t)(mend - clause) : strlen(clause)), clause);
    f->help[0] = (char)toupper((unsigned char)f->help[0]);
    return false;
}
