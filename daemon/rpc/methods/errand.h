/* errand.h - an act outside a station: what the shop's day changes, one after another.
 *
 * What such an act answers follows from what is kept (grams left in a cup, the coats of an order), so each is decided
 * only when the one before it is on disk: two calls sent in one breath never see the same grams twice. Pours go their
 * own way and move grams, so that neither waits for the other.
 * Owner   An errand owns its call, params, answer and body, and frees all after the answer.
 * Thread  The loop's.
 */
#pragma once

#include "clock.h"
#include "rpc/rpc.h"
#include "store/store.h"

struct errand;
/* Decides at its turn: false with *fault refuses, else errand_write was called, once. */
typedef bool errand_run(struct errand *e, struct fault *fault);

struct errand {
    struct errand *next;
    struct daemon *daemon;
    struct rpc_call *call;
    json_t *params;
    errand_run *run;
    void (*then)(struct errand *e); /* once it is on disk, before the answer; may change `answer`. NULL: nothing */
    void *arg;                      /* of then(); borrowed */
    json_t *answer, *body;
    char time[CLOCK_TEXT]; /* of the act, RFC 3339 */
};

/* Takes its place in the row. */
void errand_start(struct daemon *d, struct rpc_call *call, const json_t *params, errand_run *run);
/* Writes the errand: one event `kind` with `body` (taken; `"v":1` is put into it), the rows of *rows, and `answer`
 * (taken), which a repeated request gets again. False: *fault, no memory. */
bool errand_write(struct errand *e, const char *kind, json_t *body, json_t *answer, const struct store_write *rows,
                  struct fault *fault);
/* Who says that it was them: `person`, else `painter`; NULL: nobody. Lives as long as the errand. */
const char *errand_person(const struct errand *e);
