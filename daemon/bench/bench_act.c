/* bench_act.c - one act from its decision to its answer: what it owns meanwhile. It must not know how it is decided or
 * written. */
#include "bench/bench_parts.h"

#include "rpc/rpc.h"

#include <stdlib.h>
#include <string.h>

/* The turn keeps what it owns; the act takes the call, which is answered once the store has. NULL: no memory. */
struct bench_act *bench_act_new(struct bench *b, struct bench_turn *turn)
{
    struct bench_act *act = calloc(1, sizeof *act);
    if (!act)
        return NULL;
    act->bench = b;
    act->call = turn->call;
    memcpy(act->request, turn->request, sizeof act->request);
    act->labels = turn->labels;
    act->then = turn->then;
    return act;
}

/* The call is not the act's: it is answered before this, or was never taken. */
void bench_act_free(struct bench_act *act)
{
    for (size_t i = 0; i < act->events; i++)
        event_finish(&act->event[i]);
    if (act->after) {
        batch_finish(act->after);
        free(act->after);
    }
    json_decref(act->screen);
    free(act->answer);
    free(act);
}

/* The answer was made while the disk was busy, so it goes out before anything else is done. */
void bench_act_answer(struct bench_act *act)
{
    if (!act->call || !act->answer)
        return;
    rpc_answer_text(act->call, act->answer);
    act->call = NULL;
}
