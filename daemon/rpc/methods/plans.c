/* plans.c - what a batch would be: its sums, its cup, what earlier jobs teach of it. It must not begin one, nor know an
 * order. */
#include "rpc/methods/plans.h"

#include "bench/begin.h"
#include "bench/bench.h"
#include "catalogue/catalogue.h"
#include "rpc/methods/cards.h"
#include "rpc/methods/numbers.h"
#include "rpc/methods/touch_up.h"
#include "station/aims.h"
#include "text/json_read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Codes with their texts in English; a toner is null where the warning is of the whole batch. */
static json_t *warnings_of(const struct begin_warnings *w)
{
    json_t *list = json_array();
    const struct number_style style = {.point = '.'};
    for (size_t i = 0; i < w->count; i++) {
        const struct begin_warning *one = &w->warning[i];
        /* `code` is the contract's; the sentence may have a finer one of its own, in `said`. */
        json_array_append_new(list, json_pack("{s:s, s:o, s:o, s:o, s:s}", "code", one->code, "toner",
                                              view_text(one->toner), "args", said_args_json(&one->said), "said",
                                              said_json(&one->said, &style), "text", one->text));
    }
    return list;
}

/* Looking for the smallest kind of cup that holds need_ml when filled no further than its own limit; ml NaN: none yet.
 */
struct smallest_cup {
    double need_ml, ml, fill_pct;
};

/* A store_item_list callback. A cup that today's tables refuse is passed over: the plan is still a plan. */
static void look_at_cup(void *arg, const struct store_item *item)
{
    struct smallest_cup *s = arg;
    struct cup_kind cup;
    struct fault f = {0};
    json_t *body = json_read_text(item->body);
    if (body && cup_from_json(body, &cup, &f) && cup.ml * cup.fill_pct / 100 >= s->need_ml && !(s->ml <= cup.ml))
        s->ml = cup.ml;
    json_decref(body);
}

/* The cup named, or the smallest kind that holds it; null where no volume is known. */
static json_t *cup_of(struct daemon *d, const struct batch *b)
{
    double need = batch_volume_ml(b, b->wanted_g);
    struct smallest_cup s = {.need_ml = need, .ml = NAN};
    if (isnan(need))
        return json_null();
    if (!isnan(b->cup_ml))
        return json_pack("{s:o, s:b}", "ml", number_json(b->cup_ml), "fits",
                         need <= b->cup_ml * b->fill_pct / 100 + 1e-6);
    store_item_list(d->store, "cup", NULL, look_at_cup, &s);
    return isnan(s.ml) ? json_null() : json_pack("{s:o, s:b}", "ml", number_json(s.ml), "fits", 1);
}

/* The newest spray-out card that matched this variant and coat; where none did, null and a warning. A ratio mix has no
 * colour to match. */
static json_t *card_of(struct daemon *d, const struct batch *b, json_t *warnings)
{
    const struct recipe *r = &b->recipe;
    const struct number_style style = {.point = '.'};
    char text[SAID_TEXT_MAX];
    if (r->is_product)
        return json_null();
    json_t *card = cards_matched(d->store, r->code, r->variant, r->coat);
    if (!json_is_null(card))
        return card;
    struct said said = say("no_card variant=%s", r->variant);
    json_array_append_new(warnings, json_pack("{s:s, s:n, s:o, s:o, s:s}", "code", "no_card", "toner", "args",
                                              said_args_json(&said), "said", said_json(&said, &style), "text",
                                              said_text(&said, WORDS_EN, &style, text, sizeof text)));
    return card;
}

/* What the painter's earlier jobs with this coat made of the estimate; null where the amount was not given by panels,
 * or nothing is learnt yet. */
static json_t *correction_of(const struct begin_estimate *e)
{
    if (isnan(e->ml) || e->learnt.jobs == 0)
        return json_null();
    return json_pack("{s:o, s:I}", "factor", number_json(e->factor), "jobs", (json_int_t)e->learnt.jobs);
}

/* How much is worth mixing, and how likely this plan is too little; null where jobs are too few or a price is missing.
 */
static json_t *run_out_of(struct daemon *d, const struct begin_estimate *e, const json_t *plan)
{
    const json_t *cost = json_object_get(plan, "cost"), *ready = json_object_get(plan, "ready_ml");
    if (isnan(e->ml) || !json_is_number(cost) || !json_is_number(ready))
        return json_null();
    double ml = json_number_value(ready);
    struct mix_run_out r = mix_run_out(e->learnt.ratio, e->learnt.jobs, e->ml, ml, json_number_value(cost) / ml,
                                       d->config.second_mix_cost);
    if (isnan(r.ml))
        return json_null();
    return json_pack("{s:o, s:o}", "ml", number_json(r.ml), "chance_pct", number_json(r.chance_pct));
}

/* Both as sentences, so that every screen tells them alike: `Ines, mid: x 0.93 from 6 jobs`. */
static json_t *learnt_said(const struct batch *b, const struct begin_estimate *e, const json_t *run_out)
{
    const struct number_style style = {.point = '.'};
    json_t *list = json_array();
    if (isnan(e->ml) || e->learnt.jobs == 0)
        return list;
    struct said said = say("plan_learnt painter=%s coat=%s factor=%f jobs=%zu", b->painter, b->recipe.coat,
                           number_round(e->factor, 0.01), e->learnt.jobs);
    json_array_append_new(list, said_json(&said, &style));
    if (json_is_object(run_out)) {
        said = say("plan_run_out chance_pct=%f worth_ml=%f", json_number_value(json_object_get(run_out, "chance_pct")),
                   json_number_value(json_object_get(run_out, "ml")));
        json_array_append_new(list, said_json(&said, &style));
    }
    return list;
}

/* mix.premix of the toners that are too small, in the order of `toners`; null: the scale weighs them all, or the batch
 * is too small for any premix. */
static json_t *premix_of(const struct begin_premix *p)
{
    if (p->toners == 0)
        return json_null();
    json_t *toners = json_array();
    for (size_t i = 0; i < p->toners; i++)
        json_array_append_new(toners, json_string(p->toner[i]));
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:s, s:o}", "toner_g", numbers_list(p->mix.toner_g, p->toners),
                     "diluent_g", number_json(p->mix.diluent_g), "take_g", number_json(p->mix.take_g), "total_g",
                     number_json(p->mix.total_g), "dose_error_pct", numbers_list(p->mix.dose_error_pct, p->toners),
                     "toners", toners, "diluent", p->diluent, "kept", view_text(p->kept));
}

/* All that a plan tells beside the batch's own sums. */
static json_t *whole_plan(struct daemon *d, const struct batch *b, const struct begin_warnings *w)
{
    json_t *plan = view_plan(b, d->config.currency), *list = warnings_of(w);
    json_object_set_new(plan, "cup", cup_of(d, b));
    json_object_set_new(plan, "smallest_g", number_json(w->smallest_g));
    json_object_set_new(plan, "correction", correction_of(&w->estimate));
    json_object_set_new(plan, "run_out", run_out_of(d, &w->estimate, plan));
    json_object_set_new(plan, "learnt", learnt_said(b, &w->estimate, json_object_get(plan, "run_out")));
    json_object_set_new(plan, "touch_up", touch_up_of(d, b));
    json_object_set_new(plan, "card", card_of(d, b, list));
    json_object_set_new(plan, "premix", premix_of(&w->premix));
    json_object_set_new(plan, "warnings", list);
    return plan;
}

/* A shop without a scale can plan as well: the numbers of a common bench scale stand in. */
const struct config_station *plans_station(const struct daemon *d, const char *station)
{
    static const struct config_station none = {
        .d_g = 0.1, .capacity_g = NAN, .tolerance_g = 0.1, .tolerance_pct = 0.5, .error_pct = 5};
    if (station && daemon_practice(d, station))
        return bench_config(daemon_practice(d, station));
    if (station)
        return config_station_find(&d->config, station);
    return d->config.station_count ? &d->config.station[0] : &none;
}

/* Folded as a station would, so that growth by what is in the cup and a warning of it are the station's own. */
json_t *plans_make(struct daemon *d, const struct config_station *config, const json_t *params,
                   void (*also)(void *arg, const struct batch *b, json_t *plan), void *arg, struct fault *fault)
{
    struct begin_warnings warnings;
    struct event e;
    json_t *plan = NULL;
    uint64_t before = store_unread(d->store);
    event_init(&e, EVENT_BEGUN);
    e.begun = begin_plan(d, config, params, &warnings, fault);
    e.settings = calloc(1, sizeof *e.settings);
    struct batch *b = malloc(sizeof *b);
    if (e.begun && e.settings && b) {
        *e.settings = bench_settings(d, config);
        snprintf(e.begun->batch, sizeof e.begun->batch, "plan");
        batch_init(b);
        if (batch_fold(b, NULL, &e))
            plan = whole_plan(d, b, &warnings);
        if (plan && also)
            also(arg, b, plan);
        batch_finish(b);
    }
    /* A plan without its cup or card is a plan that says there is none. */
    if (plan && !catalogue_was_read(d->store, before, fault)) {
        json_decref(plan);
        plan = NULL;
    } else if (e.begun && !plan) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    }
    free(b);
    event_finish(&e);
    return plan;
}
