/* commit.c - what a bench writes: the events of an act with its row and answer, and what the station notes alone: the
 * last reading, the first hardener, a lifted cup. It must not know how an act is decided.
 *
 * Three kinds of write, by what a kill may cost:
 *   an act       nothing: it is answered only when it is on disk. It raises the revision.
 *   a note       what somebody could see (pot life, a lifted cup) is journalled, but moves no revision, since nobody
 *                asked for it; a disk that refuses it is told as trouble and the pour goes on.
 *   a reading    one row, overwritten (station/keep.h): up to a second of a pour, or what the tolerance does not see.
 */
#include "bench/bench_parts.h"
#include "bench/journal_rows.h"
#include "bench/practice_parts.h"
#include "bench/premix_kept.h"

#include "clock.h"
#include "log.h"
#include "rpc/rpc.h"
#include "station/aims.h"
#include "station/batch_record.h"
#include "text/json_write.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { KEEP_MS = 1000, IDLE_MS = 60000 }; /* between two looks; a reading is kept at most that often */

/* Only an event with a weight carries the frame and the interval: a note says nothing of a scale. */
void bench_stamp(struct bench *b, struct event *e, const char *person, int64_t revision)
{
    e->revision = revision;
    e->wall_ms = clock_wall_ms();
    e->mono_ns = clock_mono_ns();
    snprintf(e->boot, sizeof e->boot, "%s", b->daemon->boot);
    snprintf(e->station, sizeof e->station, "%s", b->config->name);
    snprintf(e->person, sizeof e->person, "%s", person ? person : "");
    if (!e->has_weight)
        return;
    bench_frame_hex(b, e->raw);
    memcpy(e->profile, b->profile, sizeof e->profile);
    snprintf(e->port, sizeof e->port, "%.127s", b->config->port);
    e->d_g = config_station_d_g(b->config, (double)e->weight_ug / 1e6);
}

/* On disk: now the station moves. Readings went on meanwhile, so the live tracker folds the event again. */
static void apply(struct bench *b, struct bench_act *act)
{
    for (size_t i = 0; i < act->events; i++) {
        struct event *e = &act->event[i];
        if (e->kind == EVENT_BEGUN || e->kind == EVENT_RESUMED || !b->batch) {
            if (b->batch)
                bench_let_batch_go(b);
            b->batch = act->after;
            act->after = NULL;
            track_stop(&b->track);
            b->clock_due = b->daemon->clock.wrong;
        } else if (!batch_fold(b->batch, &b->track, e) && act->events == 1) {
            struct batch *tried = act->after; /* no memory: the copy has folded it, and the track has moved along */
            act->after = b->batch;
            b->batch = tried;
        }
        b->revision = e->revision;
    }
    if (b->batch && b->batch->state >= BATCH_HELD) {
        bench_let_batch_go(b);
        track_stop(&b->track);
    }
    bench_read_cups(b);
    if (act->event[0].kind != EVENT_ACCEPTED || act->event[0].glance[0])
        bench_read_glances(b);
    if (!bench_act_weighs(act->event[0].kind))
        return;
    keep_known(&b->keep, &b->track);
    mix_flow_forget(&b->flow);
    jump_clear(&b->jump);
    b->cue = front_resting_cue(b->batch, &b->track);
    b->hardener_due = false;
}

/* A painter may stand at two benches: what one of them counted down, the other must see. */
void bench_person_changed(struct daemon *d)
{
    for (size_t i = 0; i < d->config.station_count; i++)
        if (d->bench[i]) {
            bench_read_glances(d->bench[i]);
            bench_follow(d->bench[i]);
        }
}

/* What one bench holds or takes up again, all others may or may not take up: their screens say so. What cannot be read
 * might be there. */
static void look_at_held(struct daemon *d)
{
    bool held = d->holds;
    d->holds = store_any_held(d->store) != STORE_NONE;
    for (size_t i = 0; d->holds != held && i < d->config.station_count; i++)
        if (d->bench[i])
            bench_follow(d->bench[i]);
}

/* The store's answer, on the loop. Refused: the station is where it was, and the number of a batch that never began is
 * given back if no later one took its place. */
static void written(void *arg, const struct store_outcome *o)
{
    struct bench_act *act = arg;
    struct bench *b = act->bench;
    if (o->result == STORE_DONE)
        bench_act_answer(act);
    b->writing = false;
    b->act = NULL;
    if (o->result == STORE_DONE) {
        if (act->event[0].kind == EVENT_ACCEPTED && b->cue != MIX_CUE_POUR)
            mix_flow_stopped(&b->flow, (double)act->event[0].weight_ug / 1e6);
        apply(b, act);
        if (!b->practice && (act->event[0].kind == EVENT_HELD || act->event[0].kind == EVENT_RESUMED))
            look_at_held(b->daemon);
        bench_look_soon(b);
        b->printing = (struct said){.used = 0};
        if (b->practice)
            practice_keep_answer(b->practice, act->request, act->screen);
        if (act->call) /* there was no memory for it before */
            rpc_answer(act->call, bench_screen(b));
        if (act->event[0].glance[0])
            bench_person_changed(b->daemon);
        bench_publish_screen(b);
        if (act->then && act->labels > 0 && !b->closing && !b->practice) {
            b->open_handles++; /* until bench_printed */
            act->then(b->daemon, b, act->after->id, act->labels);
        }
    } else {
        if (act->batch_number && act->batch_number == b->daemon->last_batch)
            b->daemon->last_batch--;
        if (act->call)
            rpc_not_written(act->call, o);
        else
            bench_count_stop(b);
    }
    bench_act_free(act);
    if (!b->closing)
        b->go_on(b);
    bench_back(b);
}

/* The batch that an event of an act belongs to: a beginning brings its own. */
static const char *batch_of(const struct bench_act *act, const struct event *e)
{
    if (e->begun)
        return e->begun->batch;
    return act->events == 1 ? act->after->id : act->bench->batch->id;
}

/* What a beginning takes out of cups of the shelf, or a rescue pours out of one; what undo takes back goes back. */
static void find_takes(struct bench_act *act)
{
    const struct batch *before = act->bench->batch;
    bool poured = before && bench_cup_taken(before, &act->event[0], &act->take[0]);
    act->takes = poured ? 1 : 0;
    for (size_t i = 0; i < act->events; i++)
        for (size_t h = 0; act->event[i].begun && h < act->event[i].begun->haves; h++)
            if (act->event[i].begun->have[h].batch[0])
                act->take[act->takes++] = (struct store_take){.batch = act->event[i].begun->have[h].batch,
                                                              .grams = act->event[i].begun->have[h].grams};
}

/* One write for the whole act: its events, the rows of its batches, and that the same request is answered by them
 * again. Begin again writes two batches: the one that ends, and the new one. What memory did not suffice for is left
 * empty, and the store refuses such a write whole. */
void bench_write(struct bench *b, struct bench_act *act)
{
    struct store_event rows[2];
    struct store_batch batches[2];
    struct bench_row_text texts[2];
    struct bench_event_text event_texts[2] = {{.body = NULL}, {.body = NULL}};
    size_t batch_count = 0;
    /* The station itself has no call, no request, and nobody who could ask again. */
    const char *method = act->call ? rpc_method_name(act->call) : NULL;
    const char *request = act->request[0] ? act->request : NULL;
    struct batch ended;
    bool has_ended = act->events == 2 && batch_copy(&ended, b->batch);
    for (size_t i = 0; i < act->events; i++) {
        bench_event_row(&act->event[i], batch_of(act, &act->event[i]), &event_texts[i], &rows[i]);
        rows[i].client = act->call ? rpc_client(act->call) : "poised:station";
        rows[i].method = method;
    }
    rows[0].request = request;
    if (has_ended && batch_fold(&ended, NULL, &act->event[0]))
        bench_row(&ended, &batches[batch_count++], &texts[0]);
    bench_row(act->after, &batches[batch_count++], &texts[1]);
    struct store_move moves[RECIPE_PARTS];
    struct premix_kept kept;
    char day[CLOCK_TEXT], time[CLOCK_TEXT];
    find_takes(act);
    clock_text(act->event[0].wall_ms, day);
    utf8_copy(time, sizeof time, day);
    day[10] = '\0';
    if (!premix_kept(act->after, &act->event[0], day, time, &kept))
        rows[0].body = NULL; /* the store refuses it whole */
    if (kept.body)
        moves[0] = kept.tin;
    char *owed = NULL; /* a person with one glance less, or one more again */
    bool owes = !kept.body && bench_glance_item(b, &act->event[0], time, &kept.item, &owed);
    struct store_write w = {.events = rows,
                            .event_count = act->events,
                            .batches = batches,
                            .batch_count = batch_count,
                            .takes = act->take,
                            .take_count = act->takes,
                            .moves = moves,
                            .move_count =
                                kept.body ? 1 : bench_stock_taken(b->batch, act->after, &act->event[0], day, moves),
                            .stirs = &kept.stir,
                            .stir_count = kept.body ? 1 : 0,
                            .items = &kept.item,
                            .item_count = kept.body || owes ? 1 : 0,
                            .request = request,
                            .method = method,
                            .answer = act->call ? STORE_AGAIN : NULL};
    b->writing = true;
    b->act = act;
    b->open_handles++; /* the bench stays until the store has answered, closing or not */
    bench_submit(b, &w, written, act);
    for (size_t i = 0; i < act->events; i++)
        free(event_texts[i].body);
    premix_kept_free(&kept);
    free(owed);
    if (has_ended)
        batch_finish(&ended);
}

/* ---- what the station journals alone ---- */

/* Shown as trouble until a write succeeds again. */
static void bench_disk(struct bench *b, const struct store_outcome *o)
{
    enum front_disk was = b->disk;
    b->disk = o->result == STORE_FULL       ? FRONT_DISK_FULL
              : o->result == STORE_READONLY ? FRONT_DISK_READONLY
              : o->result == STORE_DEAD     ? FRONT_DISK_FAILED
                                            : FRONT_DISK_GOOD;
    if (b->disk != was && !b->closing)
        bench_publish_screen(b);
}

/* A note that was not kept costs at most a second of a pour after a power cut: logged once each way, never answered. */
static void note_written(void *arg, const struct store_outcome *o)
{
    struct bench *b = arg;
    bench_disk(b, o);
    bool failed = o->result != STORE_DONE;
    if (failed && !b->note_failed)
        log_warnx("station %s: a reading could not be kept: %s", b->config->name, o->why ? o->why : "disk");
    if (!failed && b->note_failed)
        log_info("station %s: readings are kept again", b->config->name);
    b->note_failed = failed;
    bench_back(b);
}

/* Journals what the station noted alone; it never raises the revision. `as` is the batch as its row shall stand; NULL
 * leaves the row alone. */
static void write_note(struct bench *b, const struct event *e, const struct batch *as, store_done *done)
{
    struct store_event row;
    struct bench_event_text text;
    struct store_batch batch;
    struct bench_row_text text_of_row;
    struct store_write w = {.events = &row, .event_count = 1, .batches = &batch, .batch_count = as ? 1 : 0};
    bench_event_row(e, b->batch->id, &text, &row);
    if (as)
        bench_row(as, &batch, &text_of_row);
    b->open_handles++;
    bench_submit(b, &w, done, b);
    free(text.body);
}

/* The weight that stands, with what a lift needs to go on from after a restart. */
static void weight_stands(const struct bench *b, struct event *e, enum event_kind kind)
{
    event_init(e, kind);
    e->has_weight = true;
    e->weight_ug = b->track.last_ug;
    e->base_ug = b->track.base_ug;
    e->stable = true;
    e->lifted = b->track.lifted;
    if (b->track.has_low) {
        e->low_ug = b->track.low_ug;
        e->fall_ug = b->track.fall_ug;
    }
}

/* The same as an event of now; what is folded and what is written tell the same time. */
static void weight_note(struct bench *b, struct event *e, enum event_kind kind)
{
    weight_stands(b, e, kind);
    bench_stamp(b, e, NULL, b->revision);
}

/* A port tells a new state at once, but not that the same state has another reason by now: a cable that was put in
 * again may end at a node that we have no right to. */
static void follow_why(struct bench *b)
{
    if (!b->port || b->lent || b->closing || b->scale == PORT_LIVE || said_same(port_why(b->port), &b->why))
        return;
    bench_scale_says(b, port_why(b->port));
    bench_note_scale(b);
}

/* A reading that the disk refused is tried again with the next second. */
static void kept_written(void *arg, const struct store_outcome *o)
{
    struct bench *b = arg;
    b->keep.kept = b->keep.kept && o->result == STORE_DONE;
    note_written(b, o);
}

/* The last steady reading of the open step, in the station's one row: no event, since nothing happened. Only what a
 * restart goes on from is in it; the frame and the port it came by stand with the event that counts it. */
static void keep_reading(struct bench *b)
{
    struct event e;
    weight_stands(b, &e, EVENT_KEPT);
    json_t *body = event_body(&e);
    char *text = body ? json_write(body, JSON_COMPACT) : NULL;
    json_decref(body);
    struct store_kept kept = {.station = b->config->name, .batch = b->batch->id, .body = text};
    b->open_handles++;
    bench_submit(b, &(struct store_write){.kept = &kept}, kept_written, b);
    free(text);
}

/* How long nothing needs a look: with a batch, a check weight, or a scale that is to come back a second; else what
 * falls due in days can wait a minute, and the machine sleeps. */
static uint64_t rest_ms(const struct bench *b)
{
    bool checks = b->check.call || b->check.watching || bench_check_running(&b->check);
    return b->batch || checks || b->scale != PORT_LIVE ? KEEP_MS : IDLE_MS;
}

/* The timer `slow`, which each look starts anew. */
static void bench_keep(uv_timer_t *timer);

/* A look that is due sooner stays; a later one is brought forward. */
void bench_look_soon(struct bench *b)
{
    if (!b->closing && (!uv_is_active((uv_handle_t *)&b->slow) || uv_timer_get_due_in(&b->slow) > KEEP_MS))
        uv_timer_start(&b->slow, bench_keep, KEEP_MS, 0);
}

/* What needs no event of its own to happen, then the last steady reading of an open step. While an act is being written
 * that reading may be of the step that the act ends. */
static void bench_keep(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    uv_timer_start(&b->slow, bench_keep, rest_ms(b), 0);
    bench_note_clock(b);
    follow_why(b);
    bench_check_tick(b);
    bench_follow_clock(b);
    if (b->writing || !b->batch || !b->track.active || b->track.lifted)
        return;
    int64_t d_ug = (int64_t)llround(config_station_d_g(b->config, (double)b->track.last_ug / 1e6) * 1e6);
    if (keep_due(&b->keep, &b->track, d_ug, bench_tolerance_ug(b), (int64_t)uv_now(b->daemon->loop)))
        keep_reading(b);
}

/* The pot life's beginning is on disk: only now does a screen show it, so that none shows another one after a kill. A
 * disk that refuses it must not hide it: hardened paint is no less hardened. */
static void hardener_written(void *arg, const struct store_outcome *o)
{
    struct bench *b = arg;
    b->writing = b->hardener_writing = false;
    b->hardener_due = false; /* readings went on, and each was a first one till now */
    if (b->batch)
        batch_fold(b->batch, NULL, &b->hardener);
    bench_show_all(b);
    if (!b->closing) {
        bench_publish_screen(b);
        b->go_on(b);
    }
    note_written(b, o);
}

/* Takes its turn like an act: an accept that comes meanwhile is answered with the use-by in its screen. */
static void write_hardener(struct bench *b)
{
    b->hardener_due = false;
    weight_note(b, &b->hardener, EVENT_HARDENER);
    struct batch as; /* for its row alone */
    batch_try(&as, b->batch);
    batch_fold(&as, NULL, &b->hardener);
    b->writing = b->hardener_writing = true;
    write_note(b, &b->hardener, &as, hardener_written);
}

/* A disk that refuses it must not hide it: the clock is set all the same. */
static void clock_written(void *arg, const struct store_outcome *o)
{
    struct bench *b = arg;
    b->writing = false;
    if (b->batch)
        batch_fold(b->batch, NULL, &b->clock);
    if (!b->closing) {
        bench_publish_screen(b);
        b->go_on(b);
    }
    note_written(b, o);
}

/* Takes its turn like an act, as the first hardener does: use_by is another one from here on. */
static void write_clock(struct bench *b)
{
    char text[TIMESTAMP_ROOM], before[TIMESTAMP_ROOM], after[TIMESTAMP_ROOM]; /* in the zone of the shop */
    struct event *e = &b->clock;
    event_init(e, EVENT_CLOCK);
    bench_stamp(b, e, NULL, b->revision);
    e->step_ms = b->clock_due_ms;
    b->clock_due = false;
    b->clock_due_ms = 0;
    timestamp_text(e->wall_ms - e->step_ms, text);
    timestamp_readable(text, before);
    timestamp_text(e->wall_ms, text);
    timestamp_readable(text, after);
    e->said = e->step_ms ? say("clock_set before=%s after=%s", before, after) : say("fact_clock_wrong");
    struct batch as; /* for its row alone */
    batch_try(&as, b->batch);
    batch_fold(&as, NULL, e);
    b->writing = true;
    write_note(b, e, &as, clock_written);
}

/* An act is on its way to the disk: what was noted since comes after it. */
void bench_note_due(struct bench *b)
{
    struct event e;
    if (b->writing || !b->batch)
        return;
    if (b->hardener_due) {
        write_hardener(b);
        return; /* what else is due follows when that is on disk */
    }
    if (b->clock_due) {
        write_clock(b);
        return;
    }
    if (!b->lift_due)
        return;
    b->lift_due = false;
    weight_note(b, &e, EVENT_LIFTED);
    e.lifted = b->lift_now;
    e.said = !e.lifted ? say("cup_back") : b->track.now_ug < b->track.last_ug ? say("cup_lifted") : say("cup_changed");
    struct track kept = b->track;
    batch_fold(b->batch, &b->track, &e);
    b->track = kept; /* the live tracker knows more than the note */
    write_note(b, &e, NULL, note_written);
    bench_publish_screen(b);
}

void bench_note_clock(struct bench *b)
{
    bench_look_at_clock(b->daemon);
    bench_note_due(b);
}

/* Only the newest lift or return is written: one that an act overtook on the way to the disk tells nothing any more. */
__attribute__((hot)) void bench_note_lift(struct bench *b, enum track_note note)
{
    if (note == TRACK_NOTHING)
        return;
    b->lift_due = true;
    b->lift_now = b->track.lifted;
    bench_note_due(b);
}
