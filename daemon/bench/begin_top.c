/* begin_top.c - what goes on top of the colour: hardener and reducer by a product's ratio, or the reduction. */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* 10 % for a solid, 20 % for metallic and pearl: common practice, no source. */
static double usual_reduction(const char *finish)
{
    return strcmp(finish, "solid") == 0 ? 10 : 20;
}

static struct recipe_part *add_top(struct beginning *c, const char *id, enum part_role otherwise)
{
    struct recipe *r = &c->begun->recipe;
    struct recipe_part *p = &r->part[r->parts];
    struct toner t;
    /* Asked again by id: a part of a product need not be a toner that anything describes. */
    if (catalogue_toner(c->d->store, id, &t)) {
        begin_part_of(&t, p);
        if (p->role == PART_COLOUR)
            p->role = otherwise;
    } else {
        memset(p, 0, sizeof *p);
        snprintf(p->toner, sizeof p->toner, "%s", id);
        snprintf(p->name, sizeof p->name, "%s", id);
        p->role = otherwise;
        p->per_base = p->density_g_per_ml = p->price_per_kg = p->voc_pct = p->water_pct = p->exempt_pct =
            p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
    }
    r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts++, .share = 0};
    return p;
}

static const char *without_density(const struct recipe *r)
{
    for (size_t p = 0; p < r->parts; p++)
        if (isnan(r->part[p].density_g_per_ml))
            return r->part[p].toner;
    return NULL;
}

/* `parts` of the call may name the hardener and reducer really used, in the product's order. */
static bool part_id(struct beginning *c, const struct product *p, size_t i, const char **id)
{
    const json_t *parts = json_object_get(c->params, "parts");
    *id = p->parts[i].id;
    if (!json_is_array(parts))
        return true;
    if (json_array_size(parts) != p->part_count)
        return fault_said(c->fault, FAULT_INVALID, "parts", "count", "parts_count product=%s count=%zu", p->id,
                          p->part_count);
    const char *asked = json_string_value(json_array_get(parts, i));
    if (!asked || !*asked || strlen(asked) >= RECIPE_ID)
        return fault_said(c->fault, FAULT_PARAMS, "parts", "form", "member_not_id field=%s given=%s", "parts",
                          asked ? asked : "?");
    *id = asked;
    return true;
}

static void say_made(struct recipe *r, const struct product *p)
{
    char ratio[48];
    size_t used = 0;
    for (size_t i = 0; i < p->part_count && used < sizeof ratio; i++)
        used += (size_t)snprintf(ratio + used, sizeof ratio - used, "%s%g%s", i ? ":" : "", p->parts[i].ratio,
                                 p->parts[i].per_cent ? "%" : "");
    r->made = p->by_volume ? say("made_volume ratio=%s", ratio) : say("made_weight ratio=%s", ratio);
}

bool begin_product_parts(struct beginning *c, const struct product *p)
{
    struct recipe *r = &c->begun->recipe;
    const char *id;
    snprintf(r->product, sizeof r->product, "%s", p->id);
    r->by_volume = p->by_volume;
    r->reduce_pct = NAN;
    r->hardener_tolerance = (isnan(p->hardener_tolerance_pct) ? 3 : p->hardener_tolerance_pct) / 100;
    r->reducer_tolerance = (isnan(p->reducer_tolerance_pct) ? 5 : p->reducer_tolerance_pct) / 100;
    r->pot_life_min = p->pot_life_min;
    for (size_t i = 1; i < p->part_count; i++) {
        if (!part_id(c, p, i, &id))
            return false;
        if (recipe_find(r, id) >= 0 || r->parts >= RECIPE_PARTS - 16 || r->steps >= RECIPE_PARTS - 16)
            return fault_said(c->fault, FAULT_INVALID, "parts", "twice", "parts_twice toner=%s", id);
        char line[16];
        begin_line_of(c->d, id, line, sizeof line);
        if (!recipe_lines_go(r->line, line))
            return fault_said(c->fault, FAULT_INVALID, "parts", "line", "parts_line toner=%s", id);
        struct recipe_part *top = add_top(c, id, PART_ADDITIVE);
        top->per_base = p->parts[i].per_cent ? p->parts[i].ratio / 100 : p->parts[i].ratio / p->parts[0].ratio;
        top->of_mix = p->parts[i].per_cent && p->of_mix;
        top->share = 0;
    }
    say_made(r, p);
    const char *missing = r->by_volume ? without_density(r) : NULL;
    if (missing)
        return fault_said(c->fault, FAULT_INVALID, "parts", "no_density", "parts_no_density product=%s toner=%s", p->id,
                          missing);
    return true;
}

bool begin_reduction(struct beginning *c)
{
    struct recipe *r = &c->begun->recipe;
    const char *reducer = NULL;
    struct toner t;
    double pct;
    r->by_volume = true;
    r->hardener_tolerance = 0.03;
    r->reducer_tolerance = 0.05;
    r->pot_life_min = NAN;
    if (!begin_number(c, "reduce_pct", 0, 100, &pct) || !rpc_get_text(c->params, "reducer", &reducer, c->fault))
        return false;
    r->reduce_pct = isnan(pct) ? usual_reduction(r->finish) : pct;
    if (reducer && !catalogue_toner(c->d->store, reducer, &t))
        return fault_said(c->fault, FAULT_UNKNOWN, "reducer", "unknown", "toner_unknown toner=%s", reducer);
    if (reducer && recipe_find(r, reducer) >= 0)
        return fault_said(c->fault, FAULT_INVALID, "reducer", "twice", "reducer_in_colour toner=%s", reducer);
    if (reducer && !recipe_lines_go(r->line, t.line))
        return fault_said(c->fault, FAULT_INVALID, "reducer", "line", "reducer_line toner=%s", reducer);
    if (r->reduce_pct == 0)
        return true;
    if (!reducer && !catalogue_reducer(c->d->store, r->line, &t)) {
        begin_warn(c, "no_reducer", NULL, say("no_reducer line=%s", r->line));
        r->reduce_pct = 0;
        return true;
    }
    const char *missing = without_density(r);
    struct recipe_part *p = add_top(c, t.id, PART_REDUCER);
    p->role = PART_REDUCER;
    p->share = 0;
    p->per_base = r->reduce_pct / 100;
    if (!missing && isnan(p->density_g_per_ml))
        missing = p->toner;
    if (missing) {
        r->by_volume = false;
        begin_warn(c, "no_density", missing, say("no_density_reduced toner=%s", missing));
    }
    r->made = say("made_reduced reduced=%f", r->reduce_pct);
    return true;
}
