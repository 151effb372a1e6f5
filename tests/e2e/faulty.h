/* faulty.h - a poised whose memory and disk fail where the test says (preload/faults.c under it). */
#ifndef TESTS_E2E_FAULTY_H
#define TESTS_E2E_FAULTY_H

#include "tests/e2e/preload/faults.h"
#include "tests/e2e/raw_client.h"

/* Starts poised anew with the shim under it; nothing fails while it starts. *faults is mapped by the first call, and
 * the caller unmaps it at the end. Returns when the scale of `bench` is live. */
void faulty_start(struct harness *h, struct faults **faults);
/* Nothing fails any more. */
void faulty_disarm(struct faults *faults);
/* How poised ended; -1: it runs. */
int faulty_end_code(const struct harness *h);
/* The answer to one line over a connection of its own, for the caller to free; NULL: it was closed. */
json_t *faulty_ask(const struct harness *h, const char *line);
/* A sanitizer's memory is its own, and its runtime wants to come before any shim. */
void faulty_skip_under_sanitizers(void);
/* A number of the environment, else the usual one. */
int faulty_number(const char *name, int usual);

#endif
