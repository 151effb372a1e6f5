#include "station/record.h"

#include "mix/voc.h"
#include "station/aims.h"
#include "text/number.h"

#include <math.h>

json_t *view_text(const char *text)
{
    return text && *text ? json_string(text) : json_null();
}

json_t *view_voc(const struct recipe *r, const double grams[])
{
    struct mix_voc_part parts[RECIPE_PARTS] = {0};
    struct mix_voc voc;
    size_t n = 0;
    for (size_t p = 0; p < r->parts; p++) {
        const struct recipe_part *part = &r->part[p];
        if (!(grams[p] > 0))
            continue;
        parts[n++] = (struct mix_voc_part){.grams = grams[p],
                                           .density_g_per_ml = part->density_g_per_ml,
                                           .voc_pct = part->voc_pct,
                                           .water_pct = isnan(part->water_pct) ? 0 : part->water_pct,
                                           .exempt_pct = isnan(part->exempt_pct) ? 0 : part->exempt_pct,
                                           .exempt_density_g_per_ml = part->exempt_density_g_per_ml};
    }
    mix_voc(parts, n, &voc);
    if (n == 0 || isnan(voc.actual_g_per_l))
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "actual_g_per_l", number_json(voc.actual_g_per_l),
                     "regulatory_g_per_l", number_json(voc.regulatory_g_per_l), "density_g_per_ml",
                     number_json(voc.density_g_per_ml), "volume_ml", number_json(voc.volume_ml), "voc_g",
                     number_json(voc.voc_g));
}

static json_t *components(const struct batch *b, double g[])
{
    const struct recipe *r = &b->recipe;
    json_t *list = json_array();
    for (size_t s = 0; s < r->steps; s++) {
        const struct recipe_part *p = &r->part[r->step[s].part];
        if (p->role != PART_COLOUR || p->foreign)
            continue;
        double aim = r->step[s].share * b->wanted_g;
        g[r->step[s].part] += aim;
        json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:o, s:o}", "toner", p->toner, "name", p->name, "share",
                                              number_json(r->step[s].share), "aim_g", number_json(aim), "aim_ml",
                                              number_json(aim / p->density_g_per_ml)));
    }
    return list;
}

/* The reducer as its own member; a hardener or another addition as `additions`, in the product's order. */
static void additions(const struct batch *b, double g[], json_t *plan)
{
    const struct recipe *r = &b->recipe;
    json_t *reducer = json_null(), *others = json_array();
    for (size_t p = 0; p < r->parts; p++) {
        const struct recipe_part *part = &r->part[p];
        if (part->role == PART_COLOUR || part->foreign || !(part->per_base > 0))
            continue;
        g[p] = batch_addition_aim_g(b, (int)p);
        json_t *one = json_pack("{s:s, s:s, s:o, s:s, s:o, s:o}", "toner", part->toner, "name", part->name, "pct",
                                number_json(part->per_base * 100), "basis", r->by_volume ? "volume" : "weight", "grams",
                                number_json(g[p]), "ml", number_json(g[p] / part->density_g_per_ml));
        if (part->role == PART_REDUCER && json_is_null(reducer))
            reducer = one;
        else
            json_array_append_new(others, one);
    }
    json_object_set_new(plan, "reducer", reducer);
    json_object_set_new(plan, "additions", others);
}

json_t *view_plan(const struct batch *b, const char *currency)
{
    double g[RECIPE_PARTS] = {0};
    double cost = 0;
    const struct recipe *r = &b->recipe;
    json_t *list = components(b, g);
    json_t *plan = json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "formula", r->code, "name", r->name,
                             "variant", view_text(r->variant), "coat", view_text(r->coat), "finish",
                             view_text(r->finish), "total_g", number_json(b->wanted_g), "total_ml",
                             number_json(batch_colour_ml(b, b->wanted_g)), "components", list, "currency", currency);
    additions(b, g, plan);
    for (size_t p = 0; p < r->parts; p++)
        cost += recipe_price(&r->part[p], g[p]);
    json_object_set_new(plan, "cost", number_json_money(cost));
    json_object_set_new(plan, "voc", view_voc(r, g));
    json_object_set_new(plan, "ready_ml", number_json(batch_volume_ml(b, b->wanted_g)));
    return plan;
}
