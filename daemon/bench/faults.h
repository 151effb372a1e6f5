/* faults.h - refusals that several files of a bench word alike. Each returns false, for `return bench_fault_...`. */
#pragma once

#include "bench/bench.h"

/* The station's state, as a refusal names it. */
void bench_put_state(const struct bench *b, struct fault *f);
/* Not in this state. */
bool bench_fault_state(const struct bench *b, struct fault *f, const char *why, const char *help, const char *message);
/* What a port says of why it is not live (port_why), with what to do. `before` goes before it, `help` stands in where
 * no fix is known. */
bool bench_fault_port(struct fault *f, const char *field, const char *state, const char *before, const struct said *why,
                      const char *help);
