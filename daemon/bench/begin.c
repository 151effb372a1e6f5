/* begin.c - a beginning put together from its pieces, for batch.begin, for the plan and for a batch begun again. It
 * must not know a bench: what it makes is only words until somebody journals it. */
#include "bench/begin_parts.h"

#include "bench/batch_journal.h"
#include "bench/bench.h"
#include "rpc/rpc.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What was in the cup went with it, so a batch begun again starts from nothing. */
struct event_begun *begin_again(const struct batch *b)
{
    struct event_begun *g = calloc(1, sizeof *g);
    if (!g)
        return NULL;
    /* As begun, not as it has become: wrong tins and tints are gone with the cup. */
    for (size_t i = 0; i < b->events; i++)
        if (b->history[i]->begun)
            *g = *b->history[i]->begun;
    g->rules = EVENT_RULES;
    memset(g->have_g, 0, sizeof g->have_g);
    g->haves = 0;
    return g;
}

/* Counted in characters, as a person counts; the bytes are bounded by the room for them. */
static bool name_fits(const char *field, const char *text, struct fault *fault)
{
    if (!text || (utf8_count(text) <= EVENT_NAME_CHARACTERS && strlen(text) < EVENT_NAME))
        return true;
    return fault_said(fault, FAULT_INVALID, field, "long", "name_too_long field=%s most=%d", field,
                      EVENT_NAME_CHARACTERS);
}

/* Who and for what. A batch repeated keeps its order unless another one is named, but never its painter. */
static bool texts(struct beginning *c)
{
    const char *order = NULL, *painter = NULL;
    if (!rpc_get_text(c->params, "order", &order, c->fault) || !rpc_get_text(c->params, "painter", &painter, c->fault))
        return false;
    if (c->source && !order) {
        order = c->source->order;
        c->begun->coat_n = c->source->coat_n;
        c->begun->edges = c->source->edges;
    }
    const struct bench *here = daemon_bench(c->d, c->config->name);
    if (!here)
        here = daemon_practice(c->d, c->config->name);
    if (!painter && here)
        painter = bench_signed_in(here);
    if ((!painter || !*painter) && c->order_painter[0])
        painter = c->order_painter;
    if (!name_fits("order", order, c->fault) || !name_fits("painter", painter, c->fault))
        return false;
    snprintf(c->begun->order, sizeof c->begun->order, "%s", order ? order : "");
    snprintf(c->begun->painter, sizeof c->begun->painter, "%s", painter ? painter : "");
    return true;
}

/* The cup asked for, in mL. One of the catalogue brings its tare and how far it may be filled; of any other size 95 %
 * counts as full, and its tare is found when it is put on. */
static bool cup(struct beginning *c)
{
    struct cup_kind kind;
    c->begun->kind_tare_g = NAN;
    c->begun->fill_pct = 95;
    if (!begin_number(c, "cup_ml", 0, 1e6, &c->begun->cup_ml))
        return false;
    if (c->begun->cup_ml == 0)
        return fault_said(c->fault, FAULT_INVALID, "cup_ml", "zero", "cup_of_nothing");
    if (!isnan(c->begun->cup_ml) && catalogue_cup_of_ml(c->d->store, c->begun->cup_ml, &kind)) {
        c->begun->kind_tare_g = kind.tare_g;
        c->begun->fill_pct = kind.fill_pct;
    }
    return true;
}

/* `repeat`: the batch whose colour is mixed once more. */
static bool source(struct beginning *c)
{
    const char *repeat = NULL, *as = "poured";
    if (!rpc_get_text(c->params, "repeat", &repeat, c->fault) || !rpc_get_text(c->params, "as", &as, c->fault))
        return false;
    if (!repeat)
        return true;
    if (strcmp(as, "poured") != 0 && strcmp(as, "corrected") != 0)
        return fault_said(c->fault, FAULT_INVALID, "as", "unknown", "repeat_as");
    c->source = journal_find(c->d, repeat, "repeat", c->fault);
    if (!c->source)
        return false;
    snprintf(c->begun->repeat_of, sizeof c->begun->repeat_of, "%s", c->source->id);
    return true;
}

struct event_begun *begin_plan(struct daemon *d, const struct config_station *config, const json_t *params,
                               struct begin_warnings *warnings, struct fault *fault)
{
    struct beginning c = {.d = d, .config = config, .params = params, .fault = fault, .warnings = warnings};
    uint64_t unread = store_unread(d->store);
    memset(warnings, 0, sizeof *warnings);
    warnings->smallest_g = warnings->estimate.ml = NAN;
    c.begun = calloc(1, sizeof *c.begun);
    if (!c.begun) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        return NULL;
    }
    c.begun->rules = EVENT_RULES;
    bool ok = begin_premix_asked(&c) && begin_coat(&c) && source(&c) && texts(&c) && cup(&c) && begin_recipe(&c) &&
              begin_shade(&c) && begin_bed(&c) && begin_amount(&c) && begin_have(&c) && begin_premix(&c);
    if (ok)
        begin_cautions(&c);
    ok = catalogue_was_read(d->store, unread, fault) && ok; /* nobody pours by what could not be read */
    if (c.source) {
        batch_finish(c.source);
        free(c.source);
    }
    json_decref(c.of_order);
    if (ok)
        return c.begun;
    free(c.begun);
    return NULL;
}

/* A plan and a batch come of one function, so a plan promises nothing that a begin would not do. */
struct event_begun *begin_batch(struct daemon *d, const struct config_station *config, const json_t *params,
                                struct fault *fault)
{
    struct begin_warnings warnings;
    return begin_plan(d, config, params, &warnings, fault);
}
