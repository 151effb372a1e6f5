/* faults.c - refusals that several files of a bench word alike. */
#include "bench/bench_parts.h"

#include <string.h>

bool bench_put_state(const struct bench *b, struct fault *f)
{
    snprintf(f->state, sizeof f->state, "%s", b->batch ? screen_state_names[b->batch->state] : "idle");
    return false;
}

bool bench_fault_said(struct fault *f, const char *why, const struct said *said, const struct said *help)
{
    fault_said(f, FAULT_SCALE, NULL, why, "scale_absent");
    f->said = *said;
    said_text(said, WORDS_EN, NULL, f->message, sizeof f->message);
    said_text(help, WORDS_EN, NULL, f->help, sizeof f->help);
    return false;
}

bool bench_fault_port(struct fault *f, const char *field, const char *why, const struct said *said)
{
    struct said help = port_mend(said);
    const struct said look = say("scale_absent.help");
    bench_fault_said(f, why, said, help.code[0] ? &help : &look);
    snprintf(f->field, sizeof f->field, "%s", field ? field : "");
    return false;
}
