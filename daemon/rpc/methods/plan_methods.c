/* plan_methods.c - mix.plan: what a batch would be. It must not begin one. */
#include "bench/begin.h"
#include "bench/bench.h"
#include "catalogue/catalogue.h"
#include "rpc/methods/cards.h"
#include "rpc/methods/methods.h"
#include "station/aims.h"

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
    struct fault f;
    json_t *body = json_loads(item->body, 0, NULL);
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

/* A plan is a beginning that is folded and thrown away, so that it can never differ from what the station would do.
 * Without a station the first one's scale counts, and without any a common one: d 0.1 g, 0.5 %. */
void method_mix_plan(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    static const struct config_station no_station = {
        .d_g = 0.1, .capacity_g = NAN, .tolerance_g = 0.1, .tolerance_pct = 0.5, .error_pct = 5};
    const struct config_station *config = d->config.station_count ? &d->config.station[0] : &no_station;
    const char *station = json_string_value(json_object_get(params, "station"));
    struct begin_warnings warnings;
    struct fault f;
    if (station && !method_bench(d, call, params))
        return;
    if (station)
        config = config_station_find(&d->config, station);
    struct event e;
    event_init(&e, EVENT_BEGUN);
    e.begun = begin_plan(d, config, params, &warnings, &f);
    e.settings = calloc(1, sizeof *e.settings);
    struct batch *b = malloc(sizeof *b);
    if (!e.begun || !e.settings || !b) {
        rpc_fail(call, &f);
        free(b);
        event_finish(&e);
        return;
    }
    *e.settings = bench_settings(d, config);
    snprintf(e.begun->batch, sizeof e.begun->batch, "plan");
    batch_init(b);
    json_t *plan = NULL;
    if (batch_fold(b, NULL, &e)) {
        plan = view_plan(b, d->config.currency);
        json_object_set_new(plan, "cup", cup_of(d, b));
        json_object_set_new(plan, "smallest_g", number_json(warnings.smallest_g));
        json_t *list = warnings_of(&warnings);
        json_object_set_new(plan, "card", card_of(d, b, list));
        json_object_set_new(plan, "warnings", list);
    }
    rpc_answer(call, plan);
    batch_finish(b);
    free(b);
    event_finish(&e);
}
