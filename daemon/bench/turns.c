/* turns.c - one call after the other: who may move the station, and when. It must not know how an act is written.
 *
 * A turn ends in one of three ways: refused (nothing is kept, its request may be used again), made an act (the store
 * answers the call), or it waits for a steady weight and stays first in the row.
 * An act is made in the same steps each time: its event, stamped; the batch as it will be, folded on a copy; the
 * answer, which is the screen of that copy. So what does not fold is refused before anybody has seen it.
 */
#include "bench/batch_journal.h"
#include "bench/begin.h"
#include "bench/bench_parts.h"
#include "bench/practice_parts.h"
#include "bench/premix_kept.h"
#include "bench/under_way.h"
#include "text/json_write.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PATIENCE_MS 3000 /* an accept waits this long for a steady weight */

/* The call is not the turn's: it was answered, or handed to the act. */
static void turn_free(struct bench_turn *t)
{
    json_decref(t->params);
    free(t->command.part);
    memset(t, 0, sizeof *t);
}

/* The first turn is over: whoever called it has been answered, or the store will answer. */
static void pop(struct bench *b)
{
    turn_free(&b->turn[0]);
    b->turns--;
    memmove(&b->turn[0], &b->turn[1], b->turns * sizeof b->turn[0]);
}

/* Answers the first turn with a fault (an accept by itself has nobody to tell, and is not tried again) and lets the
 * next one come up. Nothing of it is kept, so its request may be used again. */
static void refuse(struct bench *b, const struct fault *f)
{
    if (b->practice)
        practice_refused(b->practice, f);
    if (b->turn[0].call)
        rpc_fail(b->turn[0].call, f);
    else
        bench_count_stop(b);
    pop(b);
}

/* The scale's own word that it has no weight: over, under, an error. */
static bool limit_refused(const struct bench *b, struct fault *f)
{
    static const char *const why[] = {
        [FRONT_OVER] = "over", [FRONT_UNDER] = "under", [FRONT_ERROR] = "error", [FRONT_NO_UNIT] = "no_unit"};
    struct front front;
    struct front_trouble trouble;
    bench_front(b, &front);
    front_scale_trouble(&front, &trouble);
    return bench_fault_said(f, why[b->limit], &trouble.said, &trouble.fix);
}

/* Whether a weight can be taken, now or once it rests: one in motion is waited for. */
static bool scale_lives(struct bench *b, struct fault *f)
{
    if (b->scale != PORT_LIVE || (!b->track.has_now && b->limit != FRONT_MOVING))
        return bench_not_live(b, f);
    if (b->limit == FRONT_MOVING || b->limit == FRONT_MIXED)
        return true;
    if (b->limit)
        return limit_refused(b, f);
    if ((int64_t)uv_now(b->daemon->loop) - b->read_ms > BENCH_READING_MS)
        return fault_said(f, FAULT_SCALE, NULL, "stale", "reading_old");
    return true;
}

/* Who calls, by the member that the connection may carry; NULL: nobody said. */
static const char *person_of(const struct bench_turn *t)
{
    const char *person = NULL;
    struct fault ignored = {0};
    rpc_get_text(t->params, "person", &person, &ignored);
    return person;
}

/* Whom the journal names: the caller, else the painter of the batch. */
static const char *painter(struct bench *b, const struct bench_turn *t)
{
    const char *person = person_of(t);
    return person ? person : b->batch ? b->batch->painter : NULL;
}

/* The screen as it will be once the act is on disk: the answer that the journal keeps. After words alone the pour goes
 * on as it was. */
static json_t *screen_after(struct bench *b, const struct batch *after, const struct track *track, bool words_alone)
{
    struct batch *now = b->batch;
    struct track live = b->track;
    int64_t at = b->revision;
    enum mix_cue cue = b->cue;
    struct jump jump = b->jump;
    b->batch = (struct batch *)after;
    b->track = *track;
    b->revision++;
    if (!words_alone) {
        jump_clear(&b->jump);
        b->cue = front_resting_cue(after, track);
    }
    json_t *screen = bench_screen(b);
    b->batch = now;
    b->track = live;
    b->revision = at;
    b->cue = cue;
    b->jump = jump;
    return screen;
}

/* Memory ran out, or an event of ours did not fold: the act is refused, and what it owned is freed. act may be NULL. */
static void internal(struct bench *b, struct bench_act *act)
{
    struct fault f = {0};
    if (act && act->batch_number)
        b->daemon->last_batch--; /* the number was given in this very turn */
    if (act)
        bench_act_free(act);
    fault_said(&f, FAULT_INTERNAL, NULL, NULL, "act_failed");
    refuse(b, &f);
}

/* The answer is the screen of the batch as it will be. It is made while the disk writes: an accept waits for the longer
 * of the two, not for both. */
static void write_act(struct bench *b, struct bench_act *act, const struct track *track)
{
    bench_write(b, act);
    if (!act->call && !b->practice)
        return;
    act->screen = screen_after(b, act->after, track, !bench_act_weighs(act->event[0].kind));
    act->answer = rpc_answer_form(act->screen);
}

/* The last step of each act. folded: its events are in act->after, and track has moved along; else it is refused. */
static void hand_over(struct bench *b, struct bench_act *act, bool folded, const struct track *track)
{
    if (!folded) {
        internal(b, act);
        return;
    }
    if (!bench_offer_rescue(b, act, track, write_act))
        write_act(b, act, track);
    pop(b);
}

/* A copy of a batch, an empty one of NULL; for the caller to own. NULL: no memory. */
static struct batch *copy_of(const struct batch *from)
{
    struct batch *copy = malloc(sizeof *copy);
    if (copy && !from)
        batch_init(copy);
    if (!copy || !from || batch_copy(copy, from))
        return copy;
    free(copy);
    return NULL;
}

/* This station's settings, for an event to own. NULL: no memory. */
static struct event_settings *settings_of(const struct bench *b)
{
    struct event_settings *settings = malloc(sizeof *settings);
    if (settings)
        *settings = bench_settings(b->daemon, b->config);
    return settings;
}

/* Tries the act on a copy, then hands it to the store. Takes what *e owns. */
static void commit_command(struct bench *b, struct event *e)
{
    struct bench_act *act = bench_act_new(b, &b->turn[0]);
    struct track track = b->track;
    if (!act) {
        event_finish(e);
        internal(b, NULL);
        return;
    }
    act->event[act->events++] = *e;
    bench_stamp(b, &act->event[0], painter(b, &b->turn[0]), b->revision + 1);
    batch_scale_left_out(b->batch, &act->event[0]);
    act->after = copy_of(b->batch);
    hand_over(b, act, act->after && batch_fold(act->after, &track, &act->event[0]), &track);
}

/* A begin, with the event before it where `again` ends the old batch in the same write. Takes begun. The number is
 * counted here and given back by commit.c where the disk refuses. */
static void commit_begin(struct bench *b, struct event_begun *begun, const struct event *first)
{
    struct bench_act *act = bench_act_new(b, &b->turn[0]);
    struct track none;
    if (!act) {
        free(begun);
        internal(b, NULL);
        return;
    }
    if (first)
        act->event[act->events++] = *first;
    struct event *e = &act->event[act->events++];
    event_init(e, EVENT_BEGUN);
    e->begun = begun;
    e->settings = settings_of(b);
    act->after = copy_of(NULL);
    if (b->practice) {
        snprintf(begun->batch, sizeof begun->batch, "L%lld", (long long)++b->daemon->last_practice_batch);
    } else {
        act->batch_number = ++b->daemon->last_batch;
        snprintf(begun->batch, sizeof begun->batch, "%lld", (long long)act->batch_number);
    }
    for (size_t i = 0; i < act->events; i++)
        bench_stamp(b, &act->event[i], begun->painter[0] ? begun->painter : person_of(&b->turn[0]), b->revision + 1);
    track_init(&none);
    bool folded = e->settings && act->after && batch_fold(act->after, NULL, e);
    if (folded)
        e->said = act->after->said = act->after->history[0]->said = decide_begin_said(act->after);
    hand_over(b, act, folded, &none);
}

/* `again` retires this batch and begins another one in one act: either both are on disk or neither. */
static void run_again(struct bench *b, struct event *e)
{
    struct event_begun *begun = begin_again(b->batch);
    struct fault f = {0};
    if (begun) {
        commit_begin(b, begun, e);
        return;
    }
    fault_said(&f, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    refuse(b, &f);
}

/* True: the turn is over, answered or being written. False: it waits for a steady weight. */
static bool run_command(struct bench *b)
{
    struct bench_turn *t = &b->turn[0];
    struct fault f = {0};
    struct event e;
    if (!b->batch) {
        fault_said(&f, FAULT_STATE, NULL, "idle", "no_batch_here");
        bench_put_state(b, &f);
        refuse(b, &f);
        return true;
    }
    if (command_weighs(b->batch, &t->command) && !scale_lives(b, &f)) {
        refuse(b, &f);
        return true;
    }
    if (t->command.kind == COMMAND_REMEDY && t->command.remedy == REMEDY_RESCUE && !bench_rescue_stands(b, &f)) {
        refuse(b, &f);
        return true;
    }
    t->command.cups = &b->cups; /* by which the tare of a cup is known, should this accept take one */
    if (t->command.kind == COMMAND_ACCEPT && b->batch->state == BATCH_CUP)
        bench_read_cups(b);              /* the list may have been changed since */
    if (t->command.kind == COMMAND_TINT) /* decide() asks whether its line goes, and reads no catalogue */
        begin_line_of(b->daemon, t->command.really, t->command.line, sizeof t->command.line);
    enum decision d = decide(b->batch, &b->track, &t->command, &e, &f);
    if (d == DECIDED && e.kept_as[0] && !premix_id_free(b->daemon, e.kept_as, &f))
        d = REFUSED;
    if (d == DECIDED && e.kind == EVENT_ACCEPTED && !bench_glance(b, &t->command, &e, &f)) {
        bench_put_state(b, &f);
        d = REFUSED;
    }
    if (d == DECIDED && e.kind == EVENT_REMEDY && e.remedy == REMEDY_AGAIN) {
        run_again(b, &e);
    } else if (d == DECIDED) {
        if (e.kind == EVENT_ACCEPTED)
            e.jump_g = jump_g(&b->jump);
        commit_command(b, &e);
    } else if (d == REFUSED) {
        event_finish(&e);
        refuse(b, &f);
    } else {
        return false;
    }
    return true;
}

/* The refusal of a begin or resume where a batch stands already. False always. */
static bool batch_open(const struct bench *b, struct fault *f)
{
    return fault_said(f, FAULT_STATE, NULL, "busy", "batch_open_here batch=%s", b->batch->id) || bench_put_state(b, f);
}

/* A begin is decided here and now: it needs no weight. */
static void run_begin(struct bench *b)
{
    struct bench_turn *t = &b->turn[0];
    struct fault f = {0};
    struct event_begun *begun = NULL;
    if (b->batch)
        batch_open(b, &f);
    else
        begun = begin_batch(b->daemon, b->config, t->params, &f);
    if (begun)
        commit_begin(b, begun, NULL);
    else
        refuse(b, &f);
}

/* Of a practice: what was held there, and no batch of the shop's. */
static struct batch *held_here(struct bench *b, struct fault *f)
{
    const char *id = json_string_value(json_object_get(b->turn[0].params, "batch"));
    struct batch *held = id ? practice_held(b->practice, id) : NULL;
    if (!held)
        fault_said(f, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", id ? id : "");
    return held;
}

/* A held batch comes to this station with this station's settings: its scale may be another one. */
static void run_resume(struct bench *b)
{
    struct bench_turn *t = &b->turn[0];
    struct fault f = {0};
    struct track none;
    struct batch *held = NULL;
    if (b->batch)
        batch_open(b, &f);
    else
        held = b->practice ? held_here(b, &f) : journal_held(b->daemon, t->params, &f);
    bool free_to_take = held && (b->practice || !under_way_resumed(b->daemon, held->id) ||
                                 fault_said(&f, FAULT_STATE, "batch", "not_held", "batch_not_held batch=%s state=%s",
                                            held->id, "open"));
    struct bench_act *act = free_to_take ? bench_act_new(b, t) : NULL;
    if (!act) {
        if (held)
            batch_finish(held);
        free(held);
        if (free_to_take)
            internal(b, NULL);
        else
            refuse(b, &f);
        return;
    }
    struct event *e = &act->event[act->events++];
    event_init(e, EVENT_RESUMED);
    e->settings = settings_of(b);
    act->after = held;
    bench_stamp(b, e, person_of(t) ? person_of(t) : held->painter, b->revision + 1);
    track_init(&none);
    hand_over(b, act, batch_fold(held, &none, e), &none);
}

/* The timer `patience`. */
static void bench_wait_over(uv_timer_t *timer);

/* Runs turns until one must wait for the disk or for a steady weight. Never called from itself: a turn that ends at
 * once leaves the loop to go on.
 * A request that was answered before is not looked up here. Either it is refused, mostly for its old revision, and
 * every refusal looks for a first answer (rpc_fail); or it gets as far as the store, which looks within its
 * transaction. */
void bench_next_turn(struct bench *b)
{
    struct fault f = {0};
    if (b->turns > 0 && !b->writing)
        bench_note_clock(b); /* first what the act's own time would be read by */
    while (b->turns > 0 && !b->writing && !b->waiting) {
        if (!bench_revision_holds(b, &f)) {
            refuse(b, &f);
            continue;
        }
        if (b->turn[0].kind == TURN_BEGIN)
            run_begin(b);
        else if (b->turn[0].kind == TURN_RESUME)
            run_resume(b);
        else if (!run_command(b)) {
            b->waiting = true;
            uv_timer_start(&b->patience, bench_wait_over, PATIENCE_MS, 0);
        }
    }
}

/* The accept that waited is over, either way. */
static void bench_turn_done(struct bench *b)
{
    b->waiting = false;
    uv_timer_stop(&b->patience);
    bench_next_turn(b);
}

/* Each reading tries the accept that waits; it is taken with the first that stands. */
__attribute__((hot)) void bench_try_waiting(struct bench *b)
{
    if (!b->waiting || b->writing)
        return;
    /* Still the same call: its state cannot have moved, only the weight. */
    if (run_command(b))
        bench_turn_done(b);
}

/* 3 s are up and the weight never rested: said as unsteady, but a scale that went away meanwhile says so itself. */
static void bench_wait_over(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    struct fault f = {0};
    if (!b->waiting)
        return;
    if (scale_lives(b, &f)) {
        fault_said(&f, FAULT_STATE, NULL, "unsteady", "weight_unsteady");
        bench_put_state(b, &f);
    }
    refuse(b, &f);
    bench_turn_done(b);
}

/* The turn as it stands in the row; NULL: refused. It runs with bench_next_turn. */
static struct bench_turn *join(struct bench *b, struct rpc_call *call, const json_t *params, enum turn_kind kind,
                               struct command *command)
{
    struct fault f = {0};
    char request[65];
    bool ok = bench_read_request(params, request, &f);
    json_t *again = ok && b->practice ? practice_answer(b->practice, request) : NULL;
    if (again) {
        rpc_answer(call, json_incref(again));
        if (command)
            free(command->part);
        return NULL;
    }
    /* An accept is waiting for a steady weight: nothing else moves the station, but the same accept may ask again. */
    if (ok && b->waiting && strcmp(request, b->turn[0].request) != 0)
        ok = fault_said(&f, FAULT_STATE, NULL, "busy", "accept_waits") || bench_put_state(b, &f);
    if (ok && b->turns == BENCH_WAITING)
        ok = fault_said(&f, FAULT_STATE, NULL, "busy", "calls_wait") || bench_put_state(b, &f);
    json_t *copy = ok ? json_whole_copy(params) : NULL;
    if (ok && !copy)
        ok = fault_said(&f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    if (!ok) {
        rpc_fail(call, &f);
        if (command)
            free(command->part);
        return NULL;
    }
    struct bench_turn *t = &b->turn[b->turns++];
    memset(t, 0, sizeof *t);
    t->call = call;
    t->kind = kind;
    t->params = copy;
    memcpy(t->request, request, sizeof request);
    if (command)
        t->command = *command;
    return t;
}

/* A call that may not join is answered there; else it runs now, or when those before it are on disk. */
void bench_command(struct bench *b, struct rpc_call *call, const json_t *params, struct command *command)
{
    if (join(b, call, params, TURN_COMMAND, command))
        bench_next_turn(b);
}

/* The row is empty and nothing is being written, or it would not be due. The tolerance has been kept for seconds, so
 * there is no weight to wait for either: one that does not stand is refused. */
void bench_accept_by_itself(struct bench *b)
{
    struct bench_turn *t = &b->turn[b->turns++];
    memset(t, 0, sizeof *t);
    t->command.kind = COMMAND_ACCEPT;
    t->command.uncounted_g = t->command.lost_g = NAN;
    t->params = json_pack("{s:I, s:s}", "revision", (json_int_t)b->revision, "person", "station");
    bench_next_turn(b);
}

void bench_finish(struct bench *b, struct rpc_call *call, const json_t *params, struct command *command, int labels,
                  bench_then *then)
{
    struct bench_turn *t = join(b, call, params, TURN_COMMAND, command);
    if (!t)
        return;
    t->labels = labels;
    t->then = then;
    bench_next_turn(b);
}

void bench_begin(struct bench *b, struct rpc_call *call, const json_t *params)
{
    if (join(b, call, params, TURN_BEGIN, NULL))
        bench_next_turn(b);
}

void bench_resume(struct bench *b, struct rpc_call *call, const json_t *params)
{
    if (join(b, call, params, TURN_RESUME, NULL))
        bench_next_turn(b);
}

/* The act that is being written is not among them: it is on its way, and is answered when the disk has spoken. */
void bench_drop_turns(struct bench *b, const struct fault *why)
{
    b->waiting = false;
    while (b->turns > 0)
        refuse(b, why);
}
