/* begin_have.c - what is in the cup already: split into colour and reducer by its own batch. */
#include "bench/begin_parts.h"

#include "bench/batch_journal.h"
#include "bench/under_way.h"

#include "rpc/rpc.h"
#include "station/aims.h"
#include "station/leftover.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A toner that the recipe does not hold stands with share 0: up to the tolerance it asks nothing. */
static int stranger(struct beginning *c, const struct recipe_part *part)
{
    struct recipe *r = &c->begun->recipe;
    /* A toner named many times has many steps: either list may be full first. */
    if (r->parts >= RECIPE_PARTS - 8 || r->steps >= RECIPE_PARTS - 8)
        return -1;
    struct recipe_part *p = &r->part[r->parts];
    *p = *part;
    p->share = 0;
    p->per_base = NAN;
    p->foreign = true;
    r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts, .share = 0};
    return (int)r->parts++;
}

/* The part that this paint counts for; -1: no room left. */
static int place_of(struct beginning *c, const struct recipe_part *part)
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

/* Counts grams of a toner as in the cup already. */
static bool put(struct beginning *c, const struct recipe_part *part, double grams)
{
    int at = place_of(c, part);
    if (at < 0)
        return fault_said(c->fault, FAULT_INVALID, "have", "many", "have_many_toners");
    c->begun->have_g[at] += grams;
    return true;
}

/* What an older cup can still give, as its row tells. */
struct still {
    double left_g;
};

/* A store_batch_get callback. */
static void take_left(void *arg, const struct store_batch *row)
{
    ((struct still *)arg)->left_g = row->left_g;
}

/* Whether the cup still holds so much: what was weighed back, less what was taken since, less what an earlier entry of
 * this `have` and acts that are just being written take. One never weighed back may hold all of its record. */
static bool is_left(struct beginning *c, const struct batch *b, double grams)
{
    struct still still = {.left_g = NAN};
    double content_g = batch_content_g(b), taken_g = under_way_taking_g(c->d, b->id);
    store_batch_get(c->d->store, b->id, take_left, &still); /* unread: catalogue_was_read tells it at the end */
    for (size_t i = 0; i < c->begun->haves; i++)
        if (strcmp(c->begun->have[i].batch, b->id) == 0)
            taken_g += c->begun->have[i].grams;
    if (grams + taken_g > content_g * 1.001 + c->config->d_g)
        return fault_said(c->fault, FAULT_INVALID, "have", "more", "have_more batch=%s content_g=%f", b->id, content_g);
    if (still.left_g <= 0)
        return fault_said(c->fault, FAULT_INVALID, "have", "more", "have_used_up batch=%s", b->id);
    if (grams + taken_g > still.left_g + c->config->d_g + MIX_SLACK_G)
        return fault_said(c->fault, FAULT_INVALID, "have", "more", "have_left batch=%s left_g=%f", b->id,
                          fmax(0, still.left_g - taken_g));
    return true;
}

/* So many grams of an older cup as parts of this one, in the proportion in which they were poured. Hardener in it has
 * begun to set: such a cup is no base for another. */
static bool split(struct beginning *c, const struct batch *b, double grams)
{
    double content = batch_content_g(b);
    if (b->state == BATCH_SCRAPPED)
        return fault_said(c->fault, FAULT_INVALID, "have", "scrapped", "have_scrapped batch=%s", b->id);
    if (b->state != BATCH_FINISHED && b->state != BATCH_HELD)
        return fault_said(c->fault, FAULT_INVALID, "have", "open", "have_open batch=%s", b->id);
    if (batch_activated(b))
        return fault_said(c->fault, FAULT_INVALID, "have", "activated", "have_activated batch=%s", b->id);
    if (!leftover_line_goes(b->recipe.line, c->begun->recipe.line))
        return fault_said(c->fault, FAULT_INVALID, "have", "line", "have_line batch=%s", b->id);
    if (!(content > 0))
        return fault_said(c->fault, FAULT_INVALID, "have", "unknown", "have_empty batch=%s", b->id);
    if (!is_left(c, b, grams))
        return false;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double g = batch_toner_g(b, (int)p);
        if (g > 0 && !put(c, &b->recipe.part[p], grams * g / content))
            return false;
    }
    return true;
}

/* So much of an older cup: its composition as really poured. */
static bool from_batch(struct beginning *c, const char *text, double grams)
{
    struct batch *b = journal_find(c->d, text, "have", c->fault);
    if (!b) {
        if (c->fault->kind == FAULT_UNKNOWN)
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

/* A premix counts as what it is made of. */
static bool put_composed(struct beginning *c, const struct toner *t, double grams)
{
    struct toner one;
    struct recipe_part part;
    for (size_t i = 0; i < t->composition_count; i++) {
        if (!catalogue_toner(c->d->store, t->composition[i].toner, &one))
            return fault_said(c->fault, FAULT_INVALID, "have", "unknown", "have_unknown toner=%s",
                              t->composition[i].toner);
        begin_part_of(&one, &part);
        if (!put(c, &part, grams * t->composition[i].share))
            return false;
    }
    return true;
}

/* So much of one toner, out of its tin. */
static bool from_toner(struct beginning *c, const char *id, double grams)
{
    struct toner t;
    struct recipe_part part;
    if (!catalogue_toner(c->d->store, id, &t))
        return fault_said(c->fault, FAULT_INVALID, "have", "unknown", "have_unknown toner=%s", id);
    if (strcmp(t.role, "hardener") == 0)
        return fault_said(c->fault, FAULT_INVALID, "have", "activated", "have_hardener toner=%s", id);
    if (!leftover_line_goes(t.line, c->begun->recipe.line))
        return fault_said(c->fault, FAULT_INVALID, "have", "line", "have_toner_line toner=%s", id);
    begin_part_of(&t, &part);
    if (t.composition_count ? !put_composed(c, &t, grams) : !put(c, &part, grams))
        return false;
    if (c->begun->haves < EVENT_HAVES)
        c->begun->have[c->begun->haves++].grams = grams;
    return true;
}

/* In the order given. A batch stands for what it holds, a toner for itself; each entry names one of the two. */
bool begin_have(struct beginning *c)
{
    const json_t *list = json_object_get(c->params, "have");
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return fault_said(c->fault, FAULT_PARAMS, "have", "type", "member_not_list field=%s", "have");
    if (json_array_size(list) > EVENT_HAVES)
        return fault_said(c->fault, FAULT_INVALID, "have", "many", "member_many field=%s most=%d", "have", EVENT_HAVES);
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *one = json_array_get(list, i), *g = json_object_get(one, "grams");
        const char *batch = json_string_value(json_object_get(one, "batch"));
        const char *toner = json_string_value(json_object_get(one, "toner"));
        double grams = json_is_number(g) ? json_number_value(g) : NAN;
        if ((!batch && !toner) || (batch && toner))
            return fault_said(c->fault, FAULT_INVALID, "have", "unknown", "have_of_what");
        if (!(grams > 0 && grams < 1e6))
            return fault_said(c->fault, FAULT_INVALID, "have", "grams", "have_grams what=%s", batch ? batch : toner);
        if (batch ? !from_batch(c, batch, grams) : !from_toner(c, toner, grams))
            return false;
    }
    return true;
}
