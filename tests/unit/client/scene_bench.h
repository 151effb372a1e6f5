/* scene_bench.h - a bench without a daemon: a batch, a tracker and a front over them, so that a stored page shows what
 * daemon/front says of a station's events and readings.
 *
 * Every act goes the way of the real one: decide, fold, front_screen. Weights in grams, times of the scene.
 * Owner   scene_bench_end frees what scene_bench_begin made. */
#pragma once

#include "front/front.h"
#include "station/decide.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct scene_bench {
    struct batch batch;
    struct track track;
    struct mix_flow flow;
    struct settle settle;
    struct front front;
    struct said why, fix;
    int64_t revision;
};

static inline void scene_bench_init(struct scene_bench *b)
{
    memset(b, 0, sizeof *b);
    track_init(&b->track);
    mix_flow_init(&b->flow);
    b->front = (struct front){.station = "bench",
                              .track = &b->track,
                              .flow = &b->flow,
                              .d_g = 0.1,
                              .currency = "EUR",
                              .scale = {.cause = ""},
                              .holds = true,
                              .wall_ms = 1764067327000};
}

static inline void scene_bench_end(struct scene_bench *b)
{
    if (b->front.batch)
        batch_finish(&b->batch);
    b->front.batch = NULL;
}

static inline const char *scene_text(const json_t *object, const char *key, const char *otherwise)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : otherwise;
}

static inline double scene_number(const json_t *object, const char *key, double otherwise)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : otherwise;
}

/* A part of a recipe: [toner, name, parts], or [toner, name, parts for 1 of the colour, "reducer" or "hardener"]. */
static inline void scene_part(struct recipe *r, const json_t *from, double sum)
{
    const char *role = json_string_value(json_array_get(from, 3));
    double amount = json_number_value(json_array_get(from, 2));
    struct recipe_part *p = &r->part[r->parts];
    snprintf(p->toner, sizeof p->toner, "%s", json_string_value(json_array_get(from, 0)));
    snprintf(p->name, sizeof p->name, "%s", json_string_value(json_array_get(from, 1)));
    p->role = !role ? PART_COLOUR : strcmp(role, "reducer") == 0 ? PART_REDUCER : PART_HARDENER;
    p->share = role ? 0 : amount / sum;
    p->per_base = role ? amount : (double)NAN;
    p->density_g_per_ml = 1;
    p->price_per_kg = 40;
    p->voc_pct = p->water_pct = p->exempt_pct = p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
    r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts++, .share = p->share};
}

static inline void scene_recipe(struct recipe *r, const json_t *from)
{
    const json_t *parts = json_object_get(from, "parts");
    size_t i;
    const json_t *part;
    double sum = 0;
    snprintf(r->code, sizeof r->code, "%s", scene_text(from, "code", "TI-207"));
    snprintf(r->name, sizeof r->name, "%s", scene_text(from, "name", "Copperwing"));
    snprintf(r->variant, sizeof r->variant, "%s", scene_text(from, "variant", "standard"));
    snprintf(r->coat, sizeof r->coat, "%s", scene_text(from, "coat", "mid"));
    snprintf(r->finish, sizeof r->finish, "%s", scene_text(from, "finish", "pearl"));
    r->by_volume = true;
    r->hardener_tolerance = 0.03;
    r->reducer_tolerance = 0.05;
    r->reduce_pct = NAN;
    r->pot_life_min = scene_number(from, "pot_life_min", NAN);
    json_array_foreach(parts, i, part) sum += json_array_get(part, 3) ? 0 : json_number_value(json_array_get(part, 2));
    json_array_foreach(parts, i, part) scene_part(r, part, sum);
}

static inline void scene_fold(struct scene_bench *b, struct event *e)
{
    e->revision = ++b->revision;
    e->wall_ms = b->front.wall_ms;
    if (!batch_fold(&b->batch, &b->track, e))
        fail_msg("an event does not fold");
    event_finish(e);
    mix_flow_forget(&b->flow);
    b->front.cue = front_resting_cue(&b->batch, &b->track);
}

/* recipe: as in scenes.json; how: the step, whose members say the rest. */
static inline void scene_bench_begin(struct scene_bench *b, const json_t *recipe, const json_t *how)
{
    struct event e;
    scene_bench_end(b);
    event_init(&e, EVENT_BEGUN);
    e.begun = calloc(1, sizeof *e.begun);
    e.settings = calloc(1, sizeof *e.settings);
    assert_true(e.begun && e.settings);
    b->front.d_g = scene_number(how, "d_g", 0.1);
    b->front.comma = json_is_true(json_object_get(how, "comma"));
    *e.settings = (struct event_settings){.d_g = b->front.d_g,
                                          .capacity_g = 3000,
                                          .tolerance_g = b->front.d_g,
                                          .tolerance_pct = 0.5,
                                          .auto_grow_pct = 5,
                                          .error_pct = 5,
                                          .comma = b->front.comma};
    snprintf(e.begun->batch, sizeof e.begun->batch, "1042");
    snprintf(e.begun->order, sizeof e.begun->order, "%s", scene_text(how, "order", "4417, van 3"));
    snprintf(e.begun->painter, sizeof e.begun->painter, "Ines");
    e.begun->wanted_g = scene_number(how, "grams", 400);
    e.begun->cup_ml = scene_number(how, "cup_ml", NAN);
    e.begun->fill_pct = 95;
    e.begun->kind_tare_g = NAN;
    if (json_object_get(how, "caution"))
        e.begun->caution[e.begun->cautions++] = say("%s", "");
    if (e.begun->cautions)
        said_read(&e.begun->caution[0], json_object_get(how, "caution"));
    scene_recipe(&e.begun->recipe, recipe);
    batch_init(&b->batch);
    b->front.batch = &b->batch;
    scene_fold(b, &e);
}

/* An act on the batch; a refusal fails the test. */
static inline void scene_bench_act(struct scene_bench *b, struct command *c)
{
    struct event e;
    struct fault fault = {0};
    c->uncounted_g = c->lost_g = NAN;
    if (decide(&b->batch, &b->track, c, &e, &fault) != DECIDED)
        fail_msg("a scene's act is refused: %s", fault.said.code);
    scene_fold(b, &e);
}

/* Cups of the shelf for the overpour that waits: {"take_g", "total_g", "cups": [[batch, grams, share by part...]]}. */
static inline void scene_bench_offer(struct scene_bench *b, const json_t *how)
{
    struct event_rescue r = {.take_g = scene_number(how, "take_g", 0), .total_g = scene_number(how, "total_g", 0)};
    size_t i;
    const json_t *cup;
    json_array_foreach(json_object_get(how, "cups"), i, cup)
    {
        struct event_rescue_cup *to = &r.cup[r.cups++];
        snprintf(to->batch, sizeof to->batch, "%s", json_string_value(json_array_get(cup, 0)));
        to->grams = to->left_g = json_number_value(json_array_get(cup, 1));
        to->parts = json_array_size(cup) - 2;
        for (size_t p = 0; p < to->parts; p++)
            to->share[p] = json_number_value(json_array_get(cup, p + 2));
    }
    fold_offer(&b->batch, &r);
}

/* A reading, wired as the bench wires it. */
static inline void scene_bench_reads(struct scene_bench *b, double grams, bool stable, int64_t at_ms)
{
    struct front *f = &b->front;
    struct track_context c = {.d_ug = llround(f->d_g * 1e6), .tare_ug = -1};
    struct front_now now;
    if (f->batch)
        batch_track_context(&b->batch, &c);
    struct track_reading r = {.weight_ug = llround(grams * 1e6), .stable = stable, .at_ms = at_ms};
    if (track_add(&b->track, &r, &c) != TRACK_NOTHING)
        mix_flow_forget(&b->flow);
    mix_flow_add(&b->flow, grams, at_ms);
    front_now(f, &now);
    bool cued = now.open && !isnan(now.tolerance_g) && b->batch.state == BATCH_POUR && !b->track.lifted;
    double t = cued ? now.tolerance_g : f->d_g;
    f->cue = cued ? mix_cue_of(now.aim_g - now.in_cup_g, t, &b->flow, f->cue) : front_resting_cue(f->batch, &b->track);
    settle_add(&b->settle, &b->track, llround(fmax(t, f->d_g) * 1e6));
    f->settled = b->settle.settled;
}

static inline json_t *scene_grams(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

/* The weight note of the last reading. */
static inline json_t *scene_bench_weight(const struct scene_bench *b, double grams)
{
    struct front_now now;
    front_now(&b->front, &now);
    json_t *note = json_pack("{s:s, s:f, s:b, s:i, s:s, s:b}", "station", "bench", "weight_g", grams, "stable",
                             b->track.now_stable, "age_ms", 0, "state", "live", "settled", b->front.settled);
    json_object_set_new(note, "to_go_g", now.open ? scene_grams(now.to_go_g) : json_null());
    json_object_set_new(note, "in_cup_g", now.open ? scene_grams(now.in_cup_g) : json_null());
    json_object_set_new(note, "landing_g", now.open ? scene_grams(now.landing_g) : json_null());
    json_object_set_new(note, "cue", now.open ? json_string(mix_cue_name(b->front.cue)) : json_null());
    return note;
}
