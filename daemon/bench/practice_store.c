/* practice_store.c - where a bench would write: the store, or for a practice nothing at all. It must not know what is
 * written, nor why.
 */
#include "bench/practice_parts.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

void bench_submit(struct bench *b, const struct store_write *write, store_done *done, void *arg)
{
    struct practice *p = b->practice;
    if (!p) {
        store_submit(b->daemon->store, write, done, arg);
        return;
    }
    /* An act, a note and a reading may be on their way at once; more than the row holds cannot be. */
    if (p->queued == PRACTICE_QUEUE)
        practice_tell(p);
    p->queue[p->queued].done = done;
    p->queue[p->queued++].arg = arg;
}

/* Whoever is told may submit again, so the row is emptied first. */
void practice_tell(struct practice *p)
{
    static const struct store_outcome done = {.result = STORE_DONE};
    struct practice now = {.queued = p->queued};
    memcpy(now.queue, p->queue, sizeof now.queue);
    p->queued = 0;
    for (size_t i = 0; i < now.queued; i++)
        now.queue[i].done(now.queue[i].arg, &done);
}

json_t *practice_answer(const struct practice *p, const char *request)
{
    for (size_t i = 0; i < PRACTICE_ANSWERS; i++)
        if (p->answers[i].answer && strcmp(p->answers[i].request, request) == 0)
            return p->answers[i].answer;
    return NULL;
}

/* The screen as it was then: there is no journal to fold it from again. */
void practice_keep_answer(struct practice *p, const char *request, json_t *answer)
{
    size_t at = p->answered++ % PRACTICE_ANSWERS;
    json_decref(p->answers[at].answer);
    snprintf(p->answers[at].request, sizeof p->answers[at].request, "%s", request);
    p->answers[at].answer = json_incref(answer);
}

void bench_let_batch_go(struct bench *b)
{
    struct practice *p = b->practice;
    if (p && p->ends < PRACTICE_ENDED) {
        p->ended[p->ends++] = b->batch;
    } else if (b->batch) {
        batch_finish(b->batch);
        free(b->batch);
    }
    b->batch = NULL;
}

struct batch *practice_held(struct practice *p, const char *id)
{
    for (size_t i = 0; i < p->ends; i++) {
        struct batch *held = p->ended[i];
        if (held->state != BATCH_HELD || strcasecmp(held->id, id) != 0)
            continue;
        memmove(&p->ended[i], &p->ended[i + 1], (--p->ends - i) * sizeof(struct batch *));
        return held;
    }
    return NULL;
}

bool practice_holds(const struct practice *p)
{
    bool any = false;
    for (size_t i = 0; i < p->ends; i++)
        any = any || p->ended[i]->state == BATCH_HELD;
    return any;
}

/* Only what a painter can learn from. */
void practice_refused(struct practice *p, const struct fault *f)
{
    p->hasty += strcmp(f->why, "unsteady") == 0;
    p->lifted_accepts += strcmp(f->why, "lifted") == 0;
}
