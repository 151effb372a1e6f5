/* again.c - the answer to a request that a station has done before: made again by folding its batch to that revision.
 *
 * The journal keeps no screen. What the act put, and the batch, the steps and the totals behind it, follow from its
 * events; scale, cue and moves are as they are now. It must not know what the act was.
 */
#include "bench/batch_journal.h"
#include "bench/bench.h"
#include "rpc/call.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "text/utf8.h"

#include <stdlib.h>

/* What is asked, and what was found. */
struct again {
    struct inquiry inquiry;
    char request[65];
    char batch[STORE_NUMBER], station[RECIPE_ID];
    int64_t seq, revision;
    struct track track; /* as the act left it */
    struct batch *after;
};

/* A store_acted callback: copied, since the row lives no longer. */
static void take_act(void *arg, const struct store_event *e)
{
    struct again *a = arg;
    a->seq = e->seq;
    a->revision = e->revision;
    utf8_copy(a->batch, sizeof a->batch, e->batch ? e->batch : "");
    utf8_copy(a->station, sizeof a->station, e->station ? e->station : "");
}

/* On the helper thread: as long as the batch is. */
static void run_again(struct inquiry *inquiry, struct store *view)
{
    struct again *a = (struct again *)(void *)inquiry;
    if (store_acted(view, a->request, take_act, a) != STORE_FOUND ||
        journal_load_until(view, a->batch, a->seq, &a->track, &a->after) != STORE_FOUND)
        inquiry_unread(inquiry, view);
}

/* A station that is no longer in the configuration has no screen to show. */
static void answer_again(struct inquiry *inquiry)
{
    struct again *a = (struct again *)(void *)inquiry;
    struct bench *bench = a->after ? daemon_bench(inquiry->daemon, a->station) : NULL;
    if (a->after && !bench)
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", a->station);
    if (bench)
        rpc_answer(inquiry->call, bench_screen_of(bench, a->after, &a->track, a->revision));
    else
        rpc_fail(inquiry->call, &inquiry->fault);
    if (a->after) {
        batch_finish(a->after);
        free(a->after);
    }
}

void method_again(struct daemon *d, struct rpc_call *call, const char *request)
{
    struct again *a = inquiry_new(d, call, NULL, sizeof *a);
    if (!a)
        return;
    utf8_copy(a->request, sizeof a->request, request);
    a->inquiry.finish = answer_again;
    inquiry_start(&a->inquiry, STORE_QUICK, run_again);
}
