/* begin_amount.c - grams, litres or panels to grams of colour. */
#include "bench/begin_parts.h"

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

/* Volume solids of the ready-to-spray mix, per cent; what goes on top without a figure holds none. NaN: not known. */
static double ready_solids_pct(const struct beginning *c)
{
    const struct recipe *r = &c->begun->recipe;
    struct batch b;
    struct batch_sum sum;
    double solids = 0;
    as_batch(c, &b);
    batch_clean(&b, 1, &sum);
    for (size_t p = 0; p < r->parts; p++) {
        const struct recipe_part *part = &r->part[p];
        if (part->role == PART_COLOUR)
            solids += part->share / part->density_g_per_ml * part->solids_vol_pct;
        else if (part->role == PART_HARDENER && r->by_volume && !isnan(part->solids_vol_pct))
            solids += part->per_base * (1 / r->part[0].density_g_per_ml) * part->solids_vol_pct;
    }
    return solids / sum.ml;
}

static bool panel_area(struct beginning *c, const json_t *panel, double *area)
{
    struct panel known;
    const json_t *m2 = json_object_get(panel, "area_m2"), *share = json_object_get(panel, "share");
    const char *name = json_string_value(json_object_get(panel, "name"));
    if (json_is_number(m2))
        *area = json_number_value(m2);
    else if (name && catalogue_panel(c->d->store, name, &known))
        *area = known.area_m2;
    else
        return fault_said(c->fault, FAULT_INVALID, "panels", "area", "panel_unknown panel=%s", name ? name : "?");
    if (json_is_number(share))
        *area *= json_number_value(share);
    if (*area > 0 && *area < 1000)
        return true;
    return fault_said(c->fault, FAULT_INVALID, "panels", "area", "panel_area");
}

static bool panels_ml(struct beginning *c, const json_t *panels, double *ml)
{
    double film, transfer, loss, solids = ready_solids_pct(c);
    if (!begin_number(c, "film_um", 0.1, 2000, &film) || !begin_number(c, "transfer_pct", 1, 100, &transfer) ||
        !begin_number(c, "loss_ml", 0, 1e5, &loss))
        return false;
    if (!(solids > 0))
        return fault_said(c->fault, FAULT_INVALID, "panels", "no_solids", "panels_no_solids");
    if (json_array_size(panels) == 0)
        return fault_said(c->fault, FAULT_INVALID, "panels", "empty", "panels_empty");
    *ml = isnan(loss) ? 0 : loss;
    for (size_t i = 0; i < json_array_size(panels); i++) {
        const json_t *panel = json_array_get(panels, i), *n = json_object_get(panel, "coats");
        struct mix_spread spread;
        double area = 0, coats = n ? json_number_value(n) : 2;
        if (!panel_area(c, panel, &area))
            return false;
        if (!(coats >= 1 && coats <= 50) ||
            !mix_spread(area, coats, isnan(film) ? usual_film_um(c->begun->recipe.coat) : film, solids,
                        isnan(transfer) ? 65 : transfer, 0, &spread))
            return fault_said(c->fault, FAULT_INVALID, "panels", "coats", "panel_coats");
        *ml += spread.volume_ml;
    }
    return true;
}

bool begin_amount(struct beginning *c)
{
    double grams, ml;
    const json_t *panels = json_object_get(c->params, "panels");
    bool by_panels = panels && !json_is_null(panels);
    if (!begin_number(c, "grams", 0, GRAMS_MOST, &grams) || !begin_number(c, "ml", 0, GRAMS_MOST, &ml))
        return false;
    int given = !isnan(grams) + !isnan(ml) + by_panels;
    if (given == 0 && c->source)
        grams = c->source->wanted_g;
    else if (given != 1)
        return fault_said(c->fault, FAULT_INVALID, "grams", given ? "several" : "missing", "amount_one");
    if (by_panels && !panels_ml(c, panels, &ml))
        return false;
    if (isnan(grams)) {
        struct batch b;
        struct batch_sum one;
        as_batch(c, &b);
        batch_clean(&b, 1, &one);
        if (isnan(one.ml))
            return fault_said(c->fault, FAULT_INVALID, by_panels ? "panels" : "ml", "no_density", "amount_no_density");
        grams = ml / one.ml;
    }
    if (!(grams > 0))
        return fault_said(c->fault, FAULT_INVALID, isnan(ml) ? "grams" : "ml", "zero", "amount_zero");
    c->begun->wanted_g = grams;
    return true;
}
