/* rescue_offer.c - an act that leads to an overpour waits here for what the shelf could do about it. It must not know
 * how an act is written, nor how a rescue is worked out.
 *
 * The shelf is read and the program solved on a helper thread, within what a hand does not notice; no other act runs
 * meanwhile. The offer then goes into the act's event, so that the answer, a restart and a repeat all show the same
 * one. Without an answer in time, or without the solver, the other remedies are offered as ever.
 */
#include "bench/bench_parts.h"
#include "bench/shelf_cups.h"
#include "bench/under_way.h"
#include "clock.h"
#include "solver/solver.h"
#include "station/rescue_plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    CUPS = 32,     /* looked at; more are not fetched for one overpour */
    LOOK_MS = 150, /* reading them */
    SOLVE_MS = 250 /* all programs together */
};

struct offer {
    struct store_task task; /* first: the store hands it back */
    struct bench *bench;
    struct bench_act *act;
    struct track track; /* as the act leaves it */
    bench_offered *then;
    char today[CLOCK_TEXT];
    struct leftover cup[CUPS];
    size_t cups;
    struct mix_program room;
    struct batch trial;
    struct event_rescue found;
    bool any;
};

/* On the helper thread. The act is not touched on the loop until end(). */
static void run(struct store_task *task, struct store *view)
{
    struct offer *o = (struct offer *)(void *)task;
    const struct shelf_asked shelf = {
        .recipe = &o->act->after->recipe, .today = o->today, .most = CUPS, .most_ms = LOOK_MS};
    struct solver solver;
    if (shelf_cups(view, &shelf, o->cup, &o->cups) == STORE_UNREAD || o->cups == 0 || store_task_stopping(task))
        return;
    solver_begin(&solver, o->bench->daemon->solver_program, SOLVE_MS, SOLVE_MS);
    batch_try(&o->trial, o->act->after);
    o->any = rescue_plan(&o->trial, o->cup, o->cups, solver_run, &solver, &o->room, &o->found);
    solver_end(&solver);
}

static struct event_rescue *copy_of(const struct event_rescue *r)
{
    struct event_rescue *copy = malloc(sizeof *copy);
    if (copy)
        *copy = *r;
    return copy;
}

/* Into the event that is written, and into the batch that it was tried on. Without memory there is no offer. */
static void attach(struct offer *o)
{
    struct event *e = &o->act->event[o->act->events - 1];
    struct batch *after = o->act->after;
    struct event_rescue *written = copy_of(&o->found), *folded = copy_of(&o->found);
    if (!written || !folded || after->events == 0) {
        free(written);
        free(folded);
        return;
    }
    e->rescue = written;
    after->history[after->events - 1]->rescue = folded;
    fold_offer(after, written);
}

static void end(struct store_task *task)
{
    struct offer *o = (struct offer *)(void *)task;
    struct bench *b = o->bench;
    if (o->any)
        attach(o);
    o->then(b, o->act, &o->track);
    free(o);
    bench_back(b);
}

bool bench_offer_rescue(struct bench *b, struct bench_act *act, const struct track *track, bench_offered *then)
{
    const struct batch *after = act->after;
    bool colour = after->state == BATCH_OVER && after->over >= 0 &&
                  after->recipe.part[after->recipe.step[after->over].part].role == PART_COLOUR;
    bool led = event_may_ask(act->event[act->events - 1].kind);
    struct offer *o = colour && led ? calloc(1, sizeof *o) : NULL;
    if (!o)
        return false;
    o->task.run = run;
    o->task.end = end;
    o->bench = b;
    o->act = act;
    o->track = *track;
    o->then = then;
    clock_text(clock_wall_ms(), o->today);
    o->today[10] = '\0';
    b->writing = true; /* on its way to the disk, by a detour */
    b->open_handles++;
    store_task_start(b->daemon->store, STORE_QUICK, &o->task);
    return true;
}

/* A store_batch_get callback. */
static void take_left(void *arg, const struct store_batch *row)
{
    *(double *)arg = row->left_g;
}

/* Looked at once more when it is chosen. A batch that offers nothing is the station's to refuse. */
bool bench_rescue_stands(struct bench *b, struct fault *fault)
{
    const struct event_rescue *r = &b->batch->rescue;
    for (size_t i = 0; b->batch->state == BATCH_OVER && i < r->cups; i++) {
        double left_g = NAN;
        store_batch_get(b->daemon->store, r->cup[i].batch, take_left, &left_g);
        left_g -= under_way_taking_g(b->daemon, r->cup[i].batch);
        if (r->cup[i].grams > left_g + b->config->d_g + MIX_SLACK_G)
            return fault_said(fault, FAULT_INVALID, "choice", "more", "have_left batch=%s left_g=%f", r->cup[i].batch,
                              fmax(0, left_g));
    }
    return true;
}
