#include "bench/bench_parts.h"

#include "clock.h"
#include "rpc/written.h"
#include "station/aims.h"
#include "text/version.h"

#include <math.h>
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

void bench_act_free(struct bench_act *act)
{
    for (size_t i = 0; i < act->events; i++)
        event_finish(&act->event[i]);
    if (act->after) {
        batch_finish(act->after);
        free(act->after);
    }
    json_decref(act->answer);
    free(act);
}

/* Only an event with a weight carries the frame and the interval: a note says nothing of a scale. */
void bench_stamp(struct bench *b, struct event *e, const char *person, int64_t revision)
{
    e->revision = revision;
    e->wall_ms = clock_wall_ms();
    e->mono_ns = clock_mono_ns();
    clock_boot_id(e->boot);
    snprintf(e->station, sizeof e->station, "%s", b->config->name);
    snprintf(e->person, sizeof e->person, "%s", person ? person : "");
    if (!e->has_weight)
        return;
    bench_frame_hex(b, e->raw);
    memcpy(e->profile, b->profile, sizeof e->profile);
    snprintf(e->port, sizeof e->port, "%.127s", b->config->port);
    e->d_g = config_station_d_g(b->config, (double)e->weight_ug / 1e6);
}

/* The store keeps NULL for what is not known, never an empty text. */
static const char *text_or_null(const char *text)
{
    return text[0] ? text : NULL;
}

/* Toners beside the formula, as a list keeps them: JSON, since an id needs no escape. NULL: none. */
static const char *bits_text(const struct batch_bit *bit, size_t count, char *out, size_t size)
{
    char grams[NUMBER_ROOM];
    size_t used = 0;
    for (size_t i = 0; i < count && used < size; i++)
        used +=
            (size_t)snprintf(out + used, size - used, "%s{\"toner\":\"%s\",\"grams\":%s}", i ? "," : "[", bit[i].toner,
                             number_plain(&(struct number_style){0}, bit[i].grams, grams, sizeof grams));
    if (count && used + 1 < size)
        memcpy(out + used, "]", 2);
    return count ? out : NULL;
}

/* The row repeats what the journal holds, so that find needs to fold nothing. */
void bench_row(const struct batch *batch, struct store_batch *row, struct bench_row_text *text)
{
    memset(row, 0, sizeof *row);
    row->batch = batch->id;
    row->state = batch_state_names[batch->state];
    row->station = batch->station;
    row->formula = batch->recipe.code;
    row->name = batch->recipe.name;
    row->variant = text_or_null(batch->recipe.variant);
    row->coat = text_or_null(batch->recipe.coat);
    row->order = text_or_null(batch->order);
    row->painter = text_or_null(batch->painter);
    clock_text(batch->begun_ms, text->begun);
    row->begun = text->begun;
    if (batch->finished_ms) {
        clock_text(batch->finished_ms, text->finished);
        row->finished = text->finished;
    }
    int64_t use_by_ms = batch_use_by_ms(batch);
    if (use_by_ms) {
        clock_text(use_by_ms, text->use_by);
        row->use_by = text->use_by;
    }
    row->total_g = batch_content_g(batch);
    row->activated = batch_activated(batch);
    row->tinted = bits_text(batch->tinted, batch->tints, text->tinted, sizeof text->tinted);
    row->foreign = bits_text(batch->foreign, batch->foreigns, text->foreign, sizeof text->foreign);
    row->left_g = batch->retired ? row->total_g : NAN;
}

/* On disk: now the station moves. Readings went on meanwhile, so the live tracker folds the event again. */
static void apply(struct bench *b, struct bench_act *act)
{
    for (size_t i = 0; i < act->events; i++) {
        struct event *e = &act->event[i];
        if (e->kind == EVENT_BEGUN || e->kind == EVENT_RESUMED || !b->batch) {
            if (b->batch) {
                batch_finish(b->batch);
                free(b->batch);
            }
            b->batch = act->after;
            act->after = NULL;
            track_stop(&b->track);
        } else {
            batch_fold(b->batch, &b->track, e);
        }
        b->revision = e->revision;
    }
    if (b->batch && b->batch->state >= BATCH_HELD) {
        batch_finish(b->batch);
        free(b->batch);
        b->batch = NULL;
        track_stop(&b->track);
    }
    bench_read_cups(b);
    if (act->event[0].kind == EVENT_NOTED)
        return; /* words, no weight: what flows and what came at once go on */
    b->kept_last_ug = b->track.last_ug;
    b->kept_base_ug = b->track.base_ug;
    mix_flow_forget(&b->flow);
    jump_clear(&b->jump);
    b->cue = front_resting_cue(b->batch, &b->track);
    b->hardener_due = false;
}

/* The store's answer, on the loop. Refused: the station is where it was, and the number of a batch that never began is
 * given back if no later one took its place. */
static void written(void *arg, const struct store_outcome *o)
{
    struct bench_act *act = arg;
    struct bench *b = act->bench;
    b->writing = false;
    if (o->result == STORE_DONE) {
        if (act->event[0].kind == EVENT_ACCEPTED && b->cue != MIX_CUE_POUR)
            mix_flow_stopped(&b->flow, (double)act->event[0].weight_ug / 1e6);
        apply(b, act);
        b->printing = (struct said){.used = 0};
        rpc_answer(act->call, json_incref(act->answer));
        bench_publish_screen(b);
        if (act->then && act->labels > 0 && !b->closing) {
            b->open_handles++; /* until bench_printed */
            act->then(b->daemon, b, act->after->id, act->labels);
        }
    } else {
        if (act->batch_number && act->batch_number == b->daemon->last_batch)
            b->daemon->last_batch--;
        rpc_not_written(act->call, o);
    }
    bench_act_free(act);
    if (!b->closing)
        b->go_on(b);
    bench_back(b);
}

/* One write for the whole act: its events, the rows of its batches, and the answer that the same request gets again. */
void bench_write(struct bench *b, struct bench_act *act)
{
    struct store_event rows[2];
    struct store_batch batches[2];
    struct bench_row_text texts[2];
    char times[2][CLOCK_TEXT], *bodies[2] = {NULL, NULL};
    size_t batch_count = 0;
    struct batch ended;
    bool has_ended = false;
    memset(rows, 0, sizeof rows);
    for (size_t i = 0; i < act->events; i++) {
        struct event *e = &act->event[i];
        json_t *body = event_body(e);
        bodies[i] = json_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(17));
        json_decref(body);
        clock_text(e->wall_ms, times[i]);
        rows[i] = (struct store_event){.kind = event_names[e->kind],
                                       .station = b->config->name,
                                       .batch = e->begun                         ? e->begun->batch
                                                : act->events == 1 && act->after ? act->after->id
                                                                                 : b->batch->id,
                                       .revision = e->revision,
                                       .time = times[i],
                                       .mono_ns = e->mono_ns,
                                       .boot = e->boot,
                                       .person = text_or_null(e->person),
                                       .client = rpc_client(act->call),
                                       .request = i == 0 ? act->request : NULL,
                                       .method = rpc_method_name(act->call),
                                       .version = POISE_VERSION,
                                       .body = bodies[i]};
    }
    /* Begin again writes two batches: the one that ends, and the new one. */
    if (act->events == 2 && batch_copy(&ended, b->batch)) {
        has_ended = batch_fold(&ended, NULL, &act->event[0]);
        if (has_ended)
            bench_row(&ended, &batches[batch_count], &texts[batch_count]);
        batch_count += has_ended;
    }
    bench_row(act->after, &batches[batch_count], &texts[batch_count]);
    batch_count++;
    char *answer = json_dumps(act->answer, JSON_COMPACT | JSON_REAL_PRECISION(15));
    struct store_write w = {.events = rows,
                            .event_count = act->events,
                            .batches = batches,
                            .batch_count = batch_count,
                            .request = act->request,
                            .method = rpc_method_name(act->call),
                            .answer = answer};
    b->writing = true;
    b->open_handles++; /* the bench stays until the store has answered, closing or not */
    store_submit(b->daemon->store, &w, written, act);
    free(answer);
    free(bodies[0]);
    free(bodies[1]);
    if (act->events == 2 && has_ended)
        batch_finish(&ended);
}
