/* inquiry.h - a call that reads what grows with the shop: done on a helper thread, answered on the loop.
 *
 * A method makes one (inquiry_new) as the first member of a struct that holds what is asked, reads its params on the
 * loop, and starts it. run() then looks into the store and leaves an answer or a fault.
 * Owner   The inquiry and what its struct points to outside are freed after the answer. Texts borrowed from params live
 *         as long.
 * Thread  run() on a helper thread: it touches its own struct and the view, and nothing of the daemon. All else on the
 *         loop.
 */
#pragma once

#include "rpc/rpc.h"
#include "store/store.h"

struct inquiry {
    struct store_task task;
    struct daemon *daemon; /* the loop's alone */
    struct rpc_call *call; /* NULL: nobody waits, finish() is told */
    json_t *params;        /* a reference; the loop's, but for texts that the struct borrowed before it was started */
    char *answer;          /* JSON; NULL: `fault` says why it is missing */
    char *head, *line;     /* a long answer is put together on the helper thread: 20 MB took the loop 15 ms */
    struct fault fault;
    void (*run)(struct inquiry *r, struct store *view);
    /* In place of the answer, on the loop: it answers the call. NULL: what run() left is the answer. */
    void (*finish)(struct inquiry *r);
};

/* A zeroed struct of `size` bytes that begins with an inquiry. NULL: no memory, and the call is refused so. */
void *inquiry_new(struct daemon *d, struct rpc_call *call, const json_t *params, size_t size);
/* Refuses a call that asks for nonsense, and frees its inquiry; fault NULL: it was answered already. */
void inquiry_refuse(struct inquiry *r, const struct fault *fault);
void inquiry_start(struct inquiry *r, enum store_lane lane, void (*run)(struct inquiry *r, struct store *view));

/* ---- for run() ---- */

/* Words the answer and takes the reference; no memory for it is a fault like others. */
void inquiry_answer(struct inquiry *r, json_t *answer);
/* The same of what was worded already: takes the text. NULL: no memory. */
void inquiry_answer_text(struct inquiry *r, char *json);
/* The store could not be read. */
void inquiry_unread(struct inquiry *r, struct store *view);
