/* compose_have.c - what is in the cup already: split into colour and reducer by its own batch. */
#include "bench/compose_parts.h"

#include "rpc/rpc.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool refuse(struct composing *c, const char *why, const char *help, const char *message, const char *what)
{
    return fault_set(c->fault, FAULT_INVALID, "have", why, help, "%s%.60s", message, what);
}

static bool lines_go(const char *a, const char *b)
{
    return !*a || !*b || strcmp(a, b) == 0;
}

/* A toner that the recipe does not hold stands with share 0: up to the tolerance it asks nothing. */
static int stranger(struct composing *c, const struct recipe_part *part)
{
    struct recipe *r = &c->begun->recipe;
    if (r->parts >= RECIPE_PARTS - 8)
        return -1;
    struct recipe_part *p = &r->part[r->parts];
    *p = *part;
    p->share = 0;
    p->per_base = NAN;
    p->foreign = true;
    r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts, .share = 0};
    return (int)r->parts++;
}

static int place_of(struct composing *c, const struct recipe_part *part)
{
    struct recipe *r = &c->begun->recipe;
    int at = recipe_find(r, part->toner);
    /* Reducer inside counts as reducer, whichever it was. */
    for (size_t p = 0; at < 0 && part->role == PART_REDUCER && p < r->parts; p++)
        if (r->part[p].role == PART_REDUCER && !r->part[p].foreign)
            at = (int)p;
    if (at >= 0)
        return at;
    at = stranger(c, part);
    if (at >= 0 && part->role == PART_REDUCER)
        r->part[at].foreign = false; /* nothing is asked about it: the recipe wants none */
    return at;
}

static bool put(struct composing *c, const struct recipe_part *part, double grams)
{
    int at = place_of(c, part);
    if (at < 0)
        return refuse(c, "many", "Begin with fewer leftovers.", "too many toners in the cup", "");
    c->begun->have_g[at] += grams;
    return true;
}

static bool split(struct composing *c, const struct batch *b, double grams)
{
    double content = batch_content_g(b);
    if (b->state == BATCH_SCRAPPED)
        return refuse(c, "scrapped", "Use another cup.", "that cup was scrapped: batch ", b->id);
    if (b->state != BATCH_FINISHED && b->state != BATCH_HELD)
        return refuse(c, "open", "Finish that batch first.", "still being poured: batch ", b->id);
    if (batch_activated(b))
        return refuse(c, "activated", "Activated paint never enters another cup.", "activated: batch ", b->id);
    if (!lines_go(b->recipe.line, c->begun->recipe.line))
        return refuse(c, "line", "Solvent and waterborne paint must not stand in one cup.", "of another line: batch ",
                      b->id);
    if (!(content > 0))
        return refuse(c, "unknown", "Use a cup whose content is known.", "nothing is known to be in batch ", b->id);
    if (grams > content * 1.001 + c->config->d_g)
        return refuse(c, "more", "Weigh what is left in that cup.", "more than it ever held: batch ", b->id);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double g = batch_part_g(b, (int)p);
        if (g > 0 && !put(c, &b->recipe.part[p], grams * g / content))
            return false;
    }
    return true;
}

static bool from_batch(struct composing *c, const char *text, double grams)
{
    struct batch *b = compose_load(c->d, text, "have", c->fault);
    if (!b) {
        c->fault->kind = FAULT_INVALID; /* paint of unknown make */
        return false;
    }
    bool ok = split(c, b, grams);
    if (ok && c->begun->haves < EVENT_HAVES) {
        struct event_have *h = &c->begun->have[c->begun->haves++];
        snprintf(h->batch, sizeof h->batch, "%s", b->id);
        h->grams = grams;
    }
    batch_finish(b);
    free(b);
    return ok;
}

static bool from_toner(struct composing *c, const char *id, double grams)
{
    struct toner t;
    struct recipe_part part;
    if (!catalogue_toner(c->d->store, id, &t))
        return refuse(c, "unknown", "Name a toner that toner.list shows.", "paint of unknown make: ", id);
    if (strcmp(t.role, "hardener") == 0)
        return refuse(c, "activated", "Activated paint never enters another cup.", "a hardener: ", id);
    if (!lines_go(t.line, c->begun->recipe.line))
        return refuse(c, "line", "Solvent and waterborne paint must not stand in one cup.", "of another line: ", id);
    compose_part_of(&t, &part);
    if (!put(c, &part, grams))
        return false;
    if (c->begun->haves < EVENT_HAVES)
        c->begun->have[c->begun->haves++].grams = grams;
    return true;
}

bool compose_have(struct composing *c)
{
    const json_t *list = json_object_get(c->params, "have");
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return fault_set(c->fault, FAULT_PARAMS, "have", "type", "Give a list.", "have is a list");
    if (json_array_size(list) > EVENT_HAVES)
        return refuse(c, "many", "Begin with at most 8 leftovers.", "too many leftovers", "");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *one = json_array_get(list, i), *g = json_object_get(one, "grams");
        const char *batch = json_string_value(json_object_get(one, "batch"));
        const char *toner = json_string_value(json_object_get(one, "toner"));
        double grams = json_is_number(g) ? json_number_value(g) : NAN;
        if ((!batch && !toner) || (batch && toner))
            return refuse(c, "unknown", "Say which batch or which toner it is.", "paint of unknown make", "");
        if (!(grams > 0 && grams < 1e6))
            return refuse(c, "grams", "Give a weight above 0 g.", "no sensible weight of ", batch ? batch : toner);
        if (batch ? !from_batch(c, batch, grams) : !from_toner(c, toner, grams))
            return false;
    }
    return true;
}
