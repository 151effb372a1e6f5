/* sure.c - the doubt of a cup from what its scale shows. It must not know how the scale was checked: what a check finds
 * wrong is said beside it. */
#include "station/sure.h"

#include "mix/uncertainty.h"
#include "station/aims.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

/* A drop of 0.06 g falls from the lip or does not when the accept is pressed: half of it, as for the smallest batch
 * (mix.weighable). */
#define DROP_G 0.03
/* Drift within one pour is followed by the station's own base (track.h); what is left of it is below an interval. */
#define DRIFT_G 0

/* As the shop says of its scale; else it repeats to about one interval: common practice, no source. */
static struct mix_weighing weighing_of(const struct batch *b)
{
    const struct event_settings *set = &b->set;
    double d_g = batch_d_g(b);
    return (struct mix_weighing){.d_g = d_g,
                                 .repeatability_g = set->repeatability_g > 0 ? set->repeatability_g : d_g,
                                 .drop_g = set->drop_g > 0 ? set->drop_g : DROP_G,
                                 .drift_g = set->drift_g > 0 ? set->drift_g : DRIFT_G};
}

double batch_pour_u_g(const struct batch *b)
{
    struct mix_weighing w = weighing_of(b);
    return mix_pour_u_g(&w);
}

/* In how many pours a part came: of two steps each is weighed by itself. What was in the cup already counts as one. */
static double weighings_of(const struct batch *b, int part)
{
    double n = 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        n += b->recipe.step[s].part == part && b->step_poured[s];
    return n > 0 ? n : batch_part_g(b, part) > 0;
}

/* How much of a toner a gram of a tin brings: all of it, or its share of a premix. What a premix is made of counts as
 * known: how it was poured stands in its own record. */
static double brings(const struct recipe *r, int tin, int toner)
{
    double share = tin == toner && !recipe_part_is_mix(r, tin) ? 1 : 0;
    for (size_t i = 0; i < r->mixes; i++)
        if (r->mix[i].of == tin && r->mix[i].toner == toner)
            share += r->mix[i].share;
    return share;
}

/* mix/uncertainty.h toner by toner, with a premix among the tins: a toner's share is the sum of c g over G, where c is
 * what each tin brings of it, so its doubt is u/G times the root of the sum of (c - share)^2 over all pours. */
static void toner_sure(const struct batch *b, int toner, double grams, struct batch_sure *out)
{
    double content = batch_content_g(b), share = grams / content, own = 0, squares = 0, u = batch_pour_u_g(b);
    for (size_t tin = 0; tin < b->recipe.parts; tin++) {
        double c = brings(&b->recipe, (int)tin, toner), n = weighings_of(b, (int)tin);
        own += n * c * c;
        squares += n * (c - share) * (c - share);
    }
    out->u_g[toner] = u * sqrt(own);
    out->share_u_pct[toner] = 100 * u / content * sqrt(squares);
}

/* Two digits are all that an uncertainty bears. */
static double two_digits(double value)
{
    return value > 0 ? number_round(value, pow(10, floor(log10(value)) - 1)) : 0;
}

/* The share that is least sure of the cup, and the one that is least sure of itself: a small toner errs by more of its
 * own than a large one. */
static struct said said_of(const struct batch *b, const double grams[], const struct batch_sure *s)
{
    size_t of_cup = 0, of_itself = 0;
    for (size_t p = 1; p < b->recipe.parts; p++) {
        if (s->share_u_pct[p] > s->share_u_pct[of_cup])
            of_cup = p;
        if (s->share_u_pct[p] * grams[of_itself] > s->share_u_pct[of_itself] * grams[p])
            of_itself = p;
    }
    double content = batch_content_g(b), own = 100 * grams[of_itself] / content;
    return say("sure most=%f toner=%s share=%f u=%f", two_digits(s->share_u_pct[of_cup]),
               b->recipe.part[of_itself].toner, number_round(own, own < 10 ? 0.01 : 0.1),
               two_digits(s->share_u_pct[of_itself]));
}

bool batch_sure(const struct batch *b, struct batch_sure *out)
{
    double grams[RECIPE_PARTS] = {0};
    memset(out, 0, sizeof *out);
    if (!(batch_content_g(b) > 0))
        return false;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        grams[p] = fmax(0, batch_toner_g(b, (int)p));
        if (grams[p] > 0)
            toner_sure(b, (int)p, grams[p], out);
    }
    out->said = said_of(b, grams, out);
    return true;
}
