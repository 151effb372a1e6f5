/* faults.h - refusals that several files of a bench word alike. Each returns false, for `return bench_fault_...`. */
#pragma once

#include "bench/bench.h"

/* The station's state, as a refusal names it. */
bool bench_put_state(const struct bench *b, struct fault *f);
/* What a port says of why it is not live (port_why), with what to do. */
bool bench_fault_port(struct fault *f, const char *field, const char *why, const struct said *said);
/* A scale's trouble as a refusal (FAULT_SCALE): what is said and what helps. */
bool bench_fault_said(struct fault *f, const char *why, const struct said *said, const struct said *help);
