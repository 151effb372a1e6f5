/* notes.c - what the station journals alone: the last reading, the first hardener, a lifted cup. Their words and their
 * showing are not its own. */
#include "bench/bench_parts.h"

#include "clock.h"
#include "log.h"
#include "text/version.h"

#include <stdlib.h>
#include <string.h>

/* Shown as trouble until a write succeeds again. */
void bench_disk(struct bench *b, const struct store_outcome *o)
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
    char time[CLOCK_TEXT];
    json_t *body = event_body(e);
    char *text = json_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(17));
    json_decref(body);
    clock_text(e->wall_ms, time);
    struct store_event row = {.kind = event_names[e->kind],
                              .station = b->config->name,
                              .batch = b->batch->id,
                              .revision = e->revision,
                              .time = time,
                              .mono_ns = e->mono_ns,
                              .boot = e->boot,
                              .client = "poised",
                              .version = POISE_VERSION,
                              .body = text};
    struct store_batch batch;
    struct bench_row_text text_of_row;
    struct store_write w = {.events = &row, .event_count = 1, .batches = &batch, .batch_count = as ? 1 : 0};
    if (as)
        bench_row(as, &batch, &text_of_row);
    b->open_handles++;
    store_submit(b->daemon->store, &w, done, b);
    free(text);
}

/* The weight that stands, with what a lift needs to go on from after a restart. */
static void weight_note(struct bench *b, struct event *e, enum event_kind kind)
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
    bench_stamp(b, e, NULL, b->revision); /* once: what is folded and what is written tell the same time */
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

/* Once a second: what needs no event of its own to happen, then the last stable reading of an open step. */
void bench_keep(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    struct event e;
    follow_why(b);
    bench_check_tick(b);
    bench_follow(b);
    if (b->writing || !b->batch || !b->track.active || b->track.lifted)
        return;
    if (b->track.last_ug == b->kept_last_ug && b->track.base_ug == b->kept_base_ug)
        return;
    b->kept_last_ug = b->track.last_ug;
    b->kept_base_ug = b->track.base_ug;
    weight_note(b, &e, EVENT_KEPT);
    write_note(b, &e, NULL, note_written);
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
    struct batch as = *b->batch; /* for its row alone: no history of its own is touched */
    batch_fold(&as, NULL, &b->hardener);
    b->writing = b->hardener_writing = true;
    write_note(b, &b->hardener, &as, hardener_written);
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

__attribute__((hot)) void bench_note_lift(struct bench *b, enum track_note note)
{
    if (note == TRACK_NOTHING)
        return;
    b->lift_due = true;
    b->lift_now = b->track.lifted;
    bench_note_due(b);
}
