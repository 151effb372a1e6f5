/* bench_top.h - a bench with no daemon behind it: a batch, a tracker and a scale that shows what a test says.
 *
 * Every command goes the way of the real one: decide, fold on the batch and its tracker. Weights in grams.
 */
#pragma once

#include "front/front.h"
#include "station/aims.h"
#include "station/decide.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct bench_top {
    struct batch batch;
    struct track track;
    double shows_g;
    int64_t now_ms;
    struct fault fault;
    struct event last; /* the last event decided, finished by the next */
};

struct bench_part {
    const char *toner;
    double parts;
    enum part_role role;
    double per_base;
};

/* A batch of these parts in state cup: d 0.01, a 0.05, r 0.5 %, grows by itself up to 5 %, density 1, 10 a kg. */
static inline void bench_begin(struct bench_top *t, const struct bench_part *parts, size_t n, double grams)
{
    struct event e;
    memset(t, 0, sizeof *t);
    track_init(&t->track);
    event_init(&t->last, EVENT_NOTED);
    event_init(&e, EVENT_BEGUN);
    e.begun = calloc(1, sizeof *e.begun);
    e.begun->rules = EVENT_RULES;
    e.settings = calloc(1, sizeof *e.settings);
    *e.settings = (struct event_settings){
        .d_g = 0.01, .capacity_g = 3000, .tolerance_g = 0.05, .tolerance_pct = 0.5, .auto_grow_pct = 5, .error_pct = 5};
    struct event_begun *g = e.begun;
    struct recipe *r = &g->recipe;
    strcpy(g->batch, "1");
    strcpy(r->code, "T-1");
    g->wanted_g = grams;
    g->cup_ml = g->kind_tare_g = NAN;
    g->fill_pct = 95;
    r->by_volume = true;
    r->hardener_tolerance = 0.03;
    r->reducer_tolerance = 0.05;
    r->pot_life_min = r->reduce_pct = NAN;
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += parts[i].role == PART_COLOUR ? parts[i].parts : 0;
    for (size_t i = 0; i < n; i++) {
        int at = recipe_find(r, parts[i].toner);
        if (at < 0) {
            at = (int)r->parts++;
            struct recipe_part *p = &r->part[at];
            strcpy(p->toner, parts[i].toner);
            strcpy(p->name, parts[i].toner);
            p->role = parts[i].role;
            p->per_base = parts[i].role == PART_COLOUR ? NAN : parts[i].per_base;
            p->density_g_per_ml = 1;
            p->price_per_kg = 10;
            p->voc_pct = p->water_pct = p->exempt_pct = p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
        }
        if (parts[i].role == PART_COLOUR)
            r->part[at].share += parts[i].parts / sum;
        r->step[r->steps++] =
            (struct recipe_step){.part = at, .share = parts[i].role == PART_COLOUR ? parts[i].parts / sum : 0};
    }
    batch_init(&t->batch);
    assert_true(batch_fold(&t->batch, &t->track, &e));
    event_finish(&e);
}

static inline void bench_end(struct bench_top *t)
{
    event_finish(&t->last);
    batch_finish(&t->batch);
}

/* The scale shows this now; ms have passed since the reading before. */
static inline enum track_note bench_reads(struct bench_top *t, double grams, int stable, int64_t ms)
{
    struct track_context c = {.d_ug = 10000, .tare_ug = -1};
    batch_track_context(&t->batch, &c);
    t->now_ms += ms;
    t->shows_g = grams;
    struct track_reading r = {.weight_ug = llround(grams * 1e6), .stable = stable, .at_ms = t->now_ms};
    return track_add(&t->track, &r, &c);
}

static inline void bench_shows(struct bench_top *t, double grams)
{
    bench_reads(t, grams, 1, 100);
}

static inline void bench_add(struct bench_top *t, double grams)
{
    bench_shows(t, t->shows_g + grams);
}

static inline enum decision bench_try(struct bench_top *t, const struct command *c)
{
    event_finish(&t->last);
    enum decision d = decide(&t->batch, &t->track, c, &t->last, &t->fault);
    if (d == DECIDED)
        assert_true(batch_fold(&t->batch, &t->track, &t->last));
    return d;
}

static inline struct command bench_command_of(enum command_kind kind)
{
    struct command c;
    memset(&c, 0, sizeof c);
    c.kind = kind;
    c.uncounted_g = c.lost_g = NAN;
    return c;
}

static inline void bench_do(struct bench_top *t, enum command_kind kind)
{
    struct command c = bench_command_of(kind);
    if (bench_try(t, &c) != DECIDED)
        fail_msg("refused: %s (%s)", t->fault.message, t->fault.why);
}

static inline void bench_refused(struct bench_top *t, const struct command *c, const char *why)
{
    assert_int_equal(bench_try(t, c), REFUSED);
    assert_string_equal(t->fault.why, why);
}

static inline void bench_choose(struct bench_top *t, enum event_remedy remedy)
{
    struct command c = bench_command_of(COMMAND_REMEDY);
    c.remedy = remedy;
    if (bench_try(t, &c) != DECIDED)
        fail_msg("refused: %s (%s)", t->fault.message, t->fault.why);
}

/* Cup of 30 g on, accepted. */
static inline void bench_cup(struct bench_top *t)
{
    bench_shows(t, 30);
    bench_do(t, COMMAND_ACCEPT);
}

/* Pours onto the cup and accepts. */
static inline void bench_pour(struct bench_top *t, double grams)
{
    bench_add(t, grams);
    bench_do(t, COMMAND_ACCEPT);
}

static inline void assert_grams(double got, double want)
{
    if (!(fabs(got - want) <= 0.0005))
        fail_msg("got %.6f g, want %.6f g", got, want);
}

static inline const char *bench_open_toner(const struct bench_top *t)
{
    return t->batch.open < 0 ? "" : t->batch.recipe.part[t->batch.recipe.step[t->batch.open].part].toner;
}
