#include "bench/compose_parts.h"

#include "bench/bench_parts.h"
#include "rpc/rpc.h"
#include "text/utf8.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

bool compose_number(struct composing *c, const char *name, double least, double most, double *out)
{
    *out = NAN;
    if (!rpc_get_number(c->params, name, out, c->fault))
        return false;
    if (isnan(*out) || (*out >= least && *out <= most))
        return true;
    return fault_said(c->fault, FAULT_INVALID, name, *out < 0 ? "negative" : "range",
                      "member_from_to field=%s least=%f most=%f", name, least, most);
}

void compose_warn(struct composing *c, const char *code, const char *toner, struct said said)
{
    if (c->warnings->count == COMPOSE_WARNINGS)
        return;
    struct compose_warning *w = &c->warnings->warning[c->warnings->count++];
    struct number_style style = {.point = '.', .d_g = config_station_d_g(c->config, c->begun->wanted_g)};
    w->said = said;
    said_text(&said, WORDS_EN, &style, w->text, sizeof w->text);
    utf8_copy(w->code, sizeof w->code, code);
    utf8_copy(w->toner, sizeof w->toner, toner ? toner : "");
}

void compose_part_of(const struct toner *t, struct recipe_part *out)
{
    size_t used = 0;
    memset(out, 0, sizeof *out);
    snprintf(out->toner, sizeof out->toner, "%s", t->id);
    snprintf(out->name, sizeof out->name, "%.95s", t->name[0] ? t->name : t->id);
    snprintf(out->pigment, sizeof out->pigment, "%.47s", t->pigment);
    for (size_t i = 0; i < t->hazard_count && used < sizeof out->hazards; i++)
        used +=
            (size_t)snprintf(out->hazards + used, sizeof out->hazards - used, "%s%s", used ? " " : "", t->hazards[i]);
    out->role = strcmp(t->role, "reducer") == 0    ? PART_REDUCER
                : strcmp(t->role, "hardener") == 0 ? PART_HARDENER
                                                   : PART_COLOUR;
    out->per_base = NAN;
    out->density_g_per_ml = t->density_g_per_ml;
    out->price_per_kg = t->price_per_kg;
    out->voc_pct = t->voc_pct;
    out->water_pct = t->water_pct;
    out->exempt_pct = t->exempt_pct;
    out->exempt_density_g_per_ml = t->exempt_density_g_per_ml;
    out->solids_vol_pct = t->solids_vol_pct;
}

bool compose_part(struct daemon *d, const char *toner, const char *field, struct recipe_part *out, struct fault *fault)
{
    struct toner t;
    if (!catalogue_toner(d->store, toner, &t))
        return fault_said(fault, FAULT_UNKNOWN, field, "unknown", "toner_unknown toner=%s", toner);
    compose_part_of(&t, out);
    return true;
}

struct batch *compose_load(struct daemon *d, const char *text, const char *field, struct fault *fault)
{
    const char *digits = text;
    if (strncmp(digits, "POISE:", 6) == 0)
        digits += 6;
    else if (*digits == '#')
        digits++;
    bool sound = *digits && strlen(digits) < 19;
    for (const char *p = digits; *p; p++)
        sound = sound && isdigit((unsigned char)*p);
    struct batch *b = NULL;
    enum store_found found = sound ? bench_load(d->store, digits, NULL, &b) : STORE_NONE;
    if (found == STORE_NONE)
        fault_said(fault, FAULT_UNKNOWN, field, "unknown", "batch_unknown batch=%s", text);
    else if (found == STORE_UNREAD)
        fault_said(fault, FAULT_STORE, field, "io", "journal_unreadable batch=%s", digits);
    return b;
}

struct batch *compose_held(struct daemon *d, const json_t *params, struct fault *fault)
{
    const char *text = NULL;
    if (!rpc_get_text(params, "batch", &text, fault))
        return NULL;
    struct batch *b = compose_load(d, text ? text : "", "batch", fault);
    if (b && b->state != BATCH_HELD) {
        fault_said(fault, FAULT_STATE, "batch", "not_held", "batch_not_held batch=%s state=%s", b->id,
                   batch_state_names[b->state]);
        batch_finish(b);
        free(b);
        return NULL;
    }
    return b;
}

struct event_begun *compose_again(const struct batch *b)
{
    struct event_begun *g = calloc(1, sizeof *g);
    if (!g)
        return NULL;
    /* As begun, not as it has become: wrong tins and tints are gone with the cup. */
    for (size_t i = 0; i < b->events; i++)
        if (b->history[i].begun)
            *g = *b->history[i].begun;
    g->rules = EVENT_RULES;
    memset(g->have_g, 0, sizeof g->have_g);
    g->haves = 0;
    return g;
}

static bool texts(struct composing *c)
{
    const char *order = NULL, *painter = NULL;
    if (!rpc_get_text(c->params, "order", &order, c->fault) || !rpc_get_text(c->params, "painter", &painter, c->fault))
        return false;
    if (c->source && !order)
        order = c->source->order;
    if (order && strlen(order) >= sizeof c->begun->order)
        return fault_said(c->fault, FAULT_INVALID, "order", "long", "member_too_long field=%s most=%d", "order", 63);
    if (painter && strlen(painter) >= sizeof c->begun->painter)
        return fault_said(c->fault, FAULT_INVALID, "painter", "long", "member_too_long field=%s most=%d", "painter",
                          63);
    snprintf(c->begun->order, sizeof c->begun->order, "%s", order ? order : "");
    snprintf(c->begun->painter, sizeof c->begun->painter, "%s", painter ? painter : "");
    return true;
}

static bool cup(struct composing *c)
{
    struct cup_kind kind;
    c->begun->kind_tare_g = NAN;
    c->begun->fill_pct = 95;
    if (!compose_number(c, "cup_ml", 0, 1e6, &c->begun->cup_ml))
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
static bool source(struct composing *c)
{
    const char *repeat = NULL, *as = "poured";
    if (!rpc_get_text(c->params, "repeat", &repeat, c->fault) || !rpc_get_text(c->params, "as", &as, c->fault))
        return false;
    if (!repeat)
        return true;
    if (strcmp(as, "poured") != 0 && strcmp(as, "corrected") != 0)
        return fault_said(c->fault, FAULT_INVALID, "as", "unknown", "repeat_as");
    c->source = compose_load(c->d, repeat, "repeat", c->fault);
    if (!c->source)
        return false;
    snprintf(c->begun->repeat_of, sizeof c->begun->repeat_of, "%s", c->source->id);
    return true;
}

struct event_begun *compose_plan(struct daemon *d, const struct config_station *config, const json_t *params,
                                 struct compose_warnings *warnings, struct fault *fault)
{
    struct composing c = {.d = d, .config = config, .params = params, .fault = fault, .warnings = warnings};
    memset(warnings, 0, sizeof *warnings);
    warnings->smallest_g = NAN;
    c.begun = calloc(1, sizeof *c.begun);
    if (!c.begun) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        return NULL;
    }
    c.begun->rules = EVENT_RULES;
    bool ok = source(&c) && texts(&c) && cup(&c) && compose_recipe(&c) && compose_amount(&c) && compose_have(&c);
    if (ok)
        compose_cautions(&c);
    if (c.source) {
        batch_finish(c.source);
        free(c.source);
    }
    if (ok)
        return c.begun;
    free(c.begun);
    return NULL;
}

struct event_begun *compose_begin(struct daemon *d, const struct config_station *config, const json_t *params,
                                  struct fault *fault)
{
    struct compose_warnings warnings;
    return compose_plan(d, config, params, &warnings, fault);
}
