/* begin_cautions.c - what a painter should know before the first drop. */
#include "bench/begin_parts.h"

#include "bench/bench.h"
#include "mix/weighable.h"
#include "station/aims.h"
#include "station/cautions.h"
#include "station/decide.h"

#include <math.h>
#include <string.h>

/* Beyond EVENT_CAUTIONS the rest is left out: the gravest were added first. */
static void caution(struct event_begun *g, struct said said)
{
    if (g->cautions < EVENT_CAUTIONS)
        g->caution[g->cautions++] = said;
}

/* The batch as it will begin, with what is in the cup counted: what that forces and leaves open is the station's to
 * say, not reckoned here once more. */
static void as_begun(const struct beginning *c, struct batch *b)
{
    const struct event_begun *g = c->begun;
    batch_init(b);
    b->recipe = g->recipe;
    b->rules = g->rules;
    b->set = bench_settings(c->d, c->config);
    b->target_g = b->wanted_g = g->wanted_g;
    fold_have(b, g->have_g);
}

/* What the batch becomes with what is in the cup already: content may force more than was asked for. */
double begin_total_g(const struct beginning *c)
{
    struct batch b;
    as_begun(c, &b);
    return batch_k_lo(&b);
}

/* A leftover or a premix brings what it holds; one too rich in a toner raises what the others ask. */
bool begin_too_small(const struct beginning *c, size_t part, double total_g, double least_g)
{
    const struct event_begun *g = c->begun;
    const struct recipe_part *p = &g->recipe.part[part];
    double open_g = p->share * total_g - g->have_g[part];
    bool asks =
        p->role == PART_COLOUR && p->share > 0 && open_g > (g->have_g[part] > 0 ? c->config->tolerance_g : MIX_SLACK_G);
    return asks && open_g < least_g - MIX_SLACK_G;
}

/* The part that asks for the largest batch among those that something is still to be poured of; below 0: every pour
 * can be weighed. */
static int too_small(const struct beginning *c, const struct batch *b, double least_g)
{
    const struct recipe *r = &c->begun->recipe;
    double total_g = batch_k_lo(b);
    int worst = -1;
    for (size_t p = 0; p < r->parts; p++)
        if (begin_too_small(c, p, total_g, least_g) && (worst < 0 || r->part[p].share < r->part[worst].share))
            worst = (int)p;
    return worst;
}

/* What a plan tells as its smallest batch is the recipe's own, whatever is in the cup. */
static void smallest(struct beginning *c, const struct batch *b)
{
    const struct recipe *r = &c->begun->recipe;
    double parts[MIX_MAX], d = config_station_d_g(c->config, c->begun->wanted_g);
    size_t n = 0, which;

    for (size_t p = 0; p < r->parts && n < MIX_MAX; p++)
        if (r->part[p].role == PART_COLOUR && r->part[p].share > 0)
            parts[n++] = r->part[p].share;
    if (!mix_weighable(parts, n, d, BEGIN_HALF_DROP_G, c->config->error_pct, &c->warnings->smallest_g, &which))
        return;
    double least_g = mix_weighable_g(d, BEGIN_HALF_DROP_G, c->config->error_pct);
    int worst = too_small(c, b, least_g);
    if (worst < 0)
        return;
    /* The total that leaves least_g of it to pour onto what the cup holds. */
    double smallest_g = (least_g + c->begun->have_g[worst]) / r->part[worst].share;
    begin_warn(
        c, "below_smallest", r->part[worst].toner,
        say("below_smallest toner=%s error=%f smallest_g=%f", r->part[worst].toner, c->config->error_pct, smallest_g));
}

/* Whether the mix as planned overflows the cup (none named: any that the shop has) or overloads the scale. Both only
 * warn: the painter may know of a larger cup, and the scale says itself when it is over. */
static void room(struct beginning *c)
{
    const struct event_begun *g = c->begun;
    struct batch b;
    struct batch_sum sum;
    batch_init(&b);
    b.recipe = g->recipe;
    b.set.capacity_g = NAN;
    batch_clean(&b, g->wanted_g, &sum);
    struct cup_kind largest;
    if (isnan(g->cup_ml) && !isnan(sum.ml) && catalogue_largest_cup(c->d->store, &largest) &&
        sum.ml > largest.ml * largest.fill_pct / 100 + 1e-6)
        begin_warn(c, "cup_small", NULL,
                   say("cup_none fill_ml=%f cup_ml=%f fill=%f", sum.ml, largest.ml, largest.fill_pct));
    if (!isnan(g->cup_ml) && !isnan(sum.ml) && sum.ml > g->cup_ml * g->fill_pct / 100 + 1e-6)
        begin_warn(c, "cup_small", NULL, say("cup_small fill_ml=%f cup_ml=%f fill=%f", sum.ml, g->cup_ml, g->fill_pct));
    double tare = isnan(g->kind_tare_g) ? 0 : g->kind_tare_g;
    if (!isnan(c->config->capacity_g) && sum.g + tare > c->config->capacity_g)
        begin_warn(c, "over_capacity", NULL,
                   say("over_capacity load_g=%f capacity_g=%f", sum.g + tare, c->config->capacity_g));
}

/* One warning for the first toner without a density, unless the reduction has warned of one already: what it costs is
 * the same for each, no volume of the cup. */
static void densities(struct beginning *c)
{
    const struct recipe *r = &c->begun->recipe;
    for (size_t i = 0; i < c->warnings->count; i++)
        if (strcmp(c->warnings->warning[i].code, "no_density") == 0)
            return;
    for (size_t p = 0; p < r->parts; p++)
        if (isnan(r->part[p].density_g_per_ml)) {
            begin_warn(c, "no_density", r->part[p].toner, say("no_density toner=%s", r->part[p].toner));
            return;
        }
}

/* The mask and the spark are the two points where the screen repeats the sheet. */
static void hazards(struct beginning *c)
{
    const struct recipe *r = &c->begun->recipe;
    bool isocyanate = false, flammable = false;
    for (size_t p = 0; p < r->parts; p++) {
        isocyanate = isocyanate || recipe_part_is_isocyanate(&r->part[p]);
        flammable = flammable || recipe_part_is_flammable(&r->part[p]);
    }
    if (isocyanate)
        caution(c->begun, say("isocyanate"));
    if (flammable)
        caution(c->begun, say("flammable"));
}

/* Warnings of the plan alone: at the bench each of them comes at its own moment (station/cautions.h). */
static void gear(struct beginning *c)
{
    struct said said[2];
    const char *toner[2];
    for (size_t i = 0, n = recipe_cautions(&c->begun->recipe, said, toner, 2); i < n; i++)
        begin_warn(c, said[i].code, toner[i], said[i]);
}

/* Hazards come first, whatever else there is to say: a screen that has room for one line shows the first. */
void begin_cautions(struct beginning *c)
{
    struct batch b;
    as_begun(c, &b);
    hazards(c); /* before anything else */
    densities(c);
    smallest(c, &b);
    room(c);
    begin_stock(c);
    for (size_t i = 0; i < c->warnings->count; i++)
        caution(c->begun, c->warnings->warning[i].said);
    gear(c);
    /* For the plan alone: a batch says it as its first message, and has settled it once the cup is taken. */
    struct said have = decide_begin_said(&b);
    if (have.code[0])
        begin_warn(c, have.code, NULL, have);
}
