/* faults.h - refusals that several files of a bench word alike. Each returns false, for `return bench_fault_...`. */
#pragma once

#include "bench/bench.h"

/* The station's state, as a refusal names it. */
void bench_put_state(const struct bench *b, struct fault *f);
/* Not in this state. */
bool bench_fault_state(const struct bench *b, struct fault *f, const char *why, const char *help, const char *message);
/* A port's own words for why it is not live (port_why): what is wrong, and behind a colon what mends it. `before` goes
 * before the first, `help` stands in for the second. */
bool bench_fault_port(struct fault *f, const char *field, const char *state, const char *before, const char *clause,
                      const char *help);
