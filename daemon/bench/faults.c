#include "bench/bench_parts.h"

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

bool bench_fault_port(struct fault *f, const char *field, const char *state, const char *before, const struct said *why,
                      const char *help)
{
    char what[SAID_TEXT_MAX], mend[SAID_TEXT_MAX];
    said_text(why, WORDS_EN, NULL, what, sizeof what);
    said_part(why, "help", WORDS_EN, NULL, mend, sizeof mend);
    fault_set(f, FAULT_SCALE, field, state, mend[0] ? mend : help, "%s%s", before, what);
    f->said = *why;
    return false;
}
