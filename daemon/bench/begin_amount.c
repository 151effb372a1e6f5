/* begin_amount.c - grams, litres or panels to grams of colour. It must not know how the recipe came about. */
#include "bench/begin_parts.h"

#include "bench/learnt.h"
#include "mix/amount.h"
#include "rpc/rpc.h"
#include "station/aims.h"

#include <math.h>
#include <string.h>

#define GRAMS_MOST 1e6

/* Dry film per coat where no product says: um, common practice, no source; a person may give film_um. */
static double usual_film_um(const char *coat)
{
    static const struct {
        const char *coat;
        double um;
    } usual[] = {{"sealer", 20}, {"ground", 15}, {"base", 15},  {"mid", 12},
                 {"clear", 25},  {"single", 30}, {"primer", 50}};
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        if (strcmp(usual[i].coat, coat) == 0)
            return usual[i].um;
    return 20;
}

/* The batch as composed so far, for the sums that aims.h makes. */
static void as_batch(const struct beginning *c, struct batch *b)
{
    batch_init(b);
    b->recipe = c->begun->recipe;
    b->set.capacity_g = NAN;
}

/* Volume solids of the ready-to-spray mix, per cent: over all that goes into it, whatever the basis of the ratio. A
 * reducer without a figure holds none. Where another part has no figure the product's own stands for the whole; without
 * one a hardener's or additive's is taken as none, said in a warning: too much paint is better than too little. NaN:
 * not known. */
static double ready_solids_pct(struct beginning *c, const struct product *p)
{
    const struct recipe *r = &c->begun->recipe;
    double g[RECIPE_PARTS], ml[RECIPE_PARTS], solids[RECIPE_PARTS];
    const char *unknown = NULL;
    struct batch b;
    as_batch(c, &b);
    batch_clean_parts(&b, 1, g);
    for (size_t i = 0; i < r->parts; i++) {
        const struct recipe_part *part = &r->part[i];
        ml[i] = g[i] == 0 ? 0 : g[i] / part->density_g_per_ml;
        solids[i] = part->solids_vol_pct;
        if (!isnan(solids[i]) || part->role == PART_COLOUR)
            continue;
        solids[i] = 0;
        if (part->role != PART_REDUCER)
            unknown = part->toner;
    }
    double pct = mix_solids_vol_pct(ml, solids, r->parts);
    if ((isnan(pct) || unknown) && !isnan(p->solids_vol_pct))
        return p->solids_vol_pct;
    if (unknown)
        begin_warn(c, "no_solids", unknown, say("no_solids toner=%s", unknown));
    return pct;
}

/* Square metres to be painted of one panel: its own area, or that of its kind; of a blend panel the share. */
static bool panel_area(struct beginning *c, const json_t *panel, double *area)
{
    struct panel known;
    const json_t *m2 = json_object_get(panel, "area_m2"), *share = json_object_get(panel, "share_pct");
    const char *name = json_string_value(json_object_get(panel, "name"));
    if (json_is_number(m2))
        *area = json_number_value(m2);
    else if (name && catalogue_panel(c->d->store, name, &known))
        *area = known.area_m2;
    else
        return fault_said(c->fault, FAULT_INVALID, "panels", "area", "panel_unknown panel=%s", name ? name : "?");
    if (!(*area > 0 && *area < 1000))
        return fault_said(c->fault, FAULT_INVALID, "panels", "area", "panel_area");
    double pct = json_is_number(share) ? json_number_value(share) : 100;
    if (!(pct > 0 && pct <= 100))
        return fault_said(c->fault, FAULT_INVALID, "panels", "share", "panel_share");
    *area *= pct / 100;
    return true;
}

/* What a person gives goes before the product's own, and that before what is usual for the coat. */
static double film_of(const struct beginning *c, const struct product *p, double given_um)
{
    if (!isnan(given_um))
        return given_um;
    return isnan(p->film_um) ? usual_film_um(c->begun->recipe.coat) : p->film_um;
}

/* `edges`: jambs and edges alone, or all but them; left out: every panel. */
static bool wanted(const struct beginning *c, const json_t *panel)
{
    const json_t *edges = json_object_get(c->params, "edges");
    return !json_is_boolean(edges) || json_is_true(edges) == json_is_true(json_object_get(panel, "edges"));
}

/* Coats of one panel: as it says, else two; of a mid coat as many as the card had; a control coat is half of one more,
 * misted on. Common practice, no source. */
static double coats_of(const struct beginning *c, const json_t *panel)
{
    const json_t *n = json_object_get(panel, "coats"), *mids = json_object_get(c->params, "mids");
    double coats = json_is_number(n) ? json_number_value(n) : 2;
    if (json_is_number(mids) && json_number_value(mids) > 0 && strcmp(c->begun->recipe.coat, "mid") == 0)
        coats = json_number_value(mids);
    return coats + (json_is_true(json_object_get(c->params, "control_coat")) ? 0.5 : 0);
}

/* How panels are sprayed, as given; NaN: left out. */
struct spraying {
    double film_um, transfer_pct, loss_ml;
};

/* Looked at by whatever amount the call goes: nobody mixes 80 g on a film of -3 um on purpose. */
static bool spraying_of(struct beginning *c, struct spraying *s)
{
    double mids;
    return begin_number(c, "film_um", 0.1, 2000, &s->film_um) &&
           begin_number(c, "transfer_pct", 1, 100, &s->transfer_pct) &&
           begin_number(c, "loss_ml", 0, 1e5, &s->loss_ml) && begin_number(c, "mids", 0, 50, &mids);
}

/* Two coats where a panel names none, 65 % of the paint on it: common practice, no source. */
static bool panels_ml(struct beginning *c, const json_t *panels, const struct spraying *s, double *ml)
{
    struct product p;
    size_t count = 0;
    if (!c->begun->recipe.product[0] || !catalogue_product(c->d->store, c->begun->recipe.product, &p))
        p = (struct product){.film_um = NAN, .solids_vol_pct = NAN};
    double solids = ready_solids_pct(c, &p);
    if (!(solids > 0))
        return fault_said(c->fault, FAULT_INVALID, "panels", "no_solids", "panels_no_solids");
    *ml = isnan(s->loss_ml) ? 0 : s->loss_ml;
    for (size_t i = 0; i < json_array_size(panels); i++) {
        const json_t *panel = json_array_get(panels, i);
        struct mix_spread spread;
        double area = 0, coats = coats_of(c, panel);
        if (!wanted(c, panel))
            continue;
        count++;
        if (!panel_area(c, panel, &area))
            return false;
        if (!(coats >= 1 && coats <= 50.5) || !mix_spread(area, coats, film_of(c, &p, s->film_um), solids,
                                                          isnan(s->transfer_pct) ? 65 : s->transfer_pct, 0, &spread))
            return fault_said(c->fault, FAULT_INVALID, "panels", "coats", "panel_coats");
        *ml += spread.volume_ml;
    }
    return count > 0 || fault_said(c->fault, FAULT_INVALID, "panels", "empty", "panels_empty");
}

/* The estimate is kept as it was, so that the next correction is learnt against it and not against itself. */
static bool correct(struct beginning *c, double *ml)
{
    struct begin_estimate *e = &c->warnings->estimate;
    e->ml = *ml;
    if (!learnt_read(c->d->store, c->begun->painter, c->begun->recipe.coat, &e->learnt))
        return store_say_unread(c->d->store, c->fault);
    e->factor = mix_correction(e->learnt.ratio, e->learnt.jobs);
    *ml *= e->factor;
    return true;
}

/* Grams are colour before reduction; litres and panels are ready to spray, so they are turned by what one gram of
 * colour becomes with all that goes on top (batch_clean of 1 g). */
bool begin_amount(struct beginning *c)
{
    double grams, ml;
    struct spraying s;
    const json_t *panels = json_object_get(c->params, "panels");
    bool by_panels = panels && !json_is_null(panels);
    if (!begin_number(c, "grams", 0, GRAMS_MOST, &grams) || !begin_number(c, "ml", 0, GRAMS_MOST, &ml) ||
        !spraying_of(c, &s))
        return false;
    int given = !isnan(grams) + !isnan(ml) + by_panels;
    if (given == 0 && c->source)
        grams = c->source->wanted_g;
    else if (given != 1)
        return fault_said(c->fault, FAULT_INVALID, "grams", given ? "several" : "missing", "amount_one");
    c->begun->estimate_g = NAN;
    if (by_panels && (!panels_ml(c, panels, &s, &ml) || !correct(c, &ml)))
        return false;
    if (isnan(grams)) {
        struct batch b;
        struct batch_sum one;
        as_batch(c, &b);
        batch_clean(&b, 1, &one);
        if (isnan(one.ml))
            return fault_said(c->fault, FAULT_INVALID, by_panels ? "panels" : "ml", "no_density", "amount_no_density");
        grams = ml / one.ml;
        if (by_panels)
            c->begun->estimate_g = c->warnings->estimate.ml / one.ml * one.g;
    }
    if (!(grams > 0))
        return fault_said(c->fault, FAULT_INVALID, isnan(ml) ? "grams" : "ml", "zero", "amount_zero");
    c->begun->wanted_g = grams;
    return true;
}
