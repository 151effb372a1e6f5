/* shade.c - a colour difference from optics or from cards. It must not know where either came from. */
#include "station/shade.h"

#include "mix/kubelka.h"
#include "station/aims.h"
#include "station/sure.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

/* What the two-constant theory misses of a difference; of flakes, which it does not describe, twice that. From memory:
 * a third is usual for paints. */
#define MODEL_MISSES       0.3
#define MODEL_MISSES_FLAKE 0.6
/* What an instrument reads again on the same card, as a difference: from memory. */
#define READING_DE 0.2
/* How far a deviation may point away from what the cards span, as the cosine: beyond it they say nothing of it. */
#define ALONG_LEAST 0.8

static const struct shade unknown = {.known = false};

/* Shares of the colour by part; 0 where nothing of it is there. */
static void shares_of(const struct batch *b, const double grams[], double share[RECIPE_PARTS])
{
    double sum = 0;
    for (size_t p = 0; p < b->recipe.parts; p++)
        sum += b->recipe.part[p].role == PART_COLOUR ? fmax(0, grams[p]) : 0;
    for (size_t p = 0; p < RECIPE_PARTS; p++) {
        bool colour = p < b->recipe.parts && b->recipe.part[p].role == PART_COLOUR;
        share[p] = colour && sum > 0 ? fmax(0, grams[p]) / sum : 0;
    }
}

/* What the colour should be: the formula's, or after a tint what the cup has become. */
static void recipe_shares(const struct batch *b, double share[RECIPE_PARTS])
{
    for (size_t p = 0; p < RECIPE_PARTS; p++)
        share[p] = p < b->recipe.parts && b->recipe.part[p].role == PART_COLOUR ? fmax(0, b->recipe.part[p].share) : 0;
}

/* Two errors that know nothing of each other. */
static double of_both(double a, double b)
{
    return sqrt(a * a + b * b);
}

/* ---- by optics ---- */

/* Every toner of either composition must be measured. */
static bool measured(const struct batch *b, const double share[], const double target[],
                     const struct mix_optics *optics[RECIPE_PARTS])
{
    bool all = true;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        optics[p] = &b->recipe.part[p].optics;
        all = all && (b->recipe.part[p].bands == MIX_BANDS || !(share[p] > 0 || target[p] > 0));
    }
    return all;
}

/* What the doubt of the weighings makes of the colour: each toner off by its own, all together by their squares. */
static double weighing_spread(const struct batch *b, const double grams[], const double share[],
                              const struct mix_optics *const optics[], struct mix_lab at)
{
    double sum_g = 0, squares = 0, off[RECIPE_PARTS], u_g = batch_pour_u_g(b);
    for (size_t p = 0; p < b->recipe.parts; p++)
        sum_g += b->recipe.part[p].role == PART_COLOUR ? fmax(0, grams[p]) : 0;
    memcpy(off, share, sizeof off);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        struct mix_lab lab;
        if (!(share[p] > 0))
            continue;
        off[p] = share[p] + u_g / sum_g;
        if (mix_km_lab(off, optics, b->recipe.parts, &lab)) {
            double de = mix_de00(at, lab);
            squares += de * de;
        }
        off[p] = share[p];
    }
    return sqrt(squares);
}

/* The colour that the shares make against the one that they should make. Both are films that hide their ground: a thin
 * coat over another colour is beyond this. */
static struct shade by_optics(const struct batch *b, const double grams[], const double share[], const double target[])
{
    const struct mix_optics *optics[RECIPE_PARTS];
    struct mix_lab shall, is;
    if (!measured(b, share, target, optics) || !mix_km_lab(target, optics, b->recipe.parts, &shall) ||
        !mix_km_lab(share, optics, b->recipe.parts, &is))
        return unknown;
    bool flakes = b->recipe.finish[0] && strcmp(b->recipe.finish, "solid") != 0;
    struct shade s = {.known = true, .value = mix_de00(shall, is)};
    s.spread =
        of_both((flakes ? MODEL_MISSES_FLAKE : MODEL_MISSES) * s.value, weighing_spread(b, grams, share, optics, is));
    return s;
}

/* ---- by cards ---- */

enum { WAYS = RECIPE_CARDS - 1 };

/* Solves gram x t = along, both of n; false where the ways are not independent. */
static bool solve(double gram[WAYS][WAYS], double t[WAYS], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!(fabs(gram[i][i]) > 1e-12))
            return false;
        for (size_t k = i + 1; k < n; k++) {
            double f = gram[k][i] / gram[i][i];
            for (size_t j = i; j < n; j++)
                gram[k][j] -= f * gram[i][j];
            t[k] -= f * t[i];
        }
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t j = i + 1; j < n; j++)
            t[i] -= gram[i][j] * t[j];
        t[i] /= gram[i][i];
    }
    return true;
}

/* The deviation as a sum of the ways from the first card to the others, by least squares: the same sum of their colour
 * differences is what it looks like. What points elsewhere is not told of by any card. */
static struct shade by_cards(const struct batch *b, const double share[], const double target[])
{
    const struct recipe *r = &b->recipe;
    size_t n = r->cards - 1;
    double way[WAYS][RECIPE_PARTS], gram[WAYS][WAYS], t[WAYS] = {0}, all = 0, along = 0, scale = 0;
    for (size_t p = 0; p < r->parts; p++) {
        double off = share[p] - target[p];
        all += off * off;
        for (size_t i = 0; i < n; i++) {
            way[i][p] = r->part[p].in_cards > i + 1 ? r->part[p].card_share[i + 1] - r->part[p].card_share[0] : 0;
            t[i] += way[i][p] * off;
        }
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            gram[i][k] = 0;
            for (size_t p = 0; p < r->parts; p++)
                gram[i][k] += way[i][p] * way[k][p];
        }
    if (!(all > 0) || !solve(gram, t, n))
        return unknown;
    struct mix_lab from = {r->card[0].l, r->card[0].a, r->card[0].b}, to = from;
    for (size_t i = 0; i < n; i++) {
        to.l += t[i] * (r->card[i + 1].l - from.l);
        to.a += t[i] * (r->card[i + 1].a - from.a);
        to.b += t[i] * (r->card[i + 1].b - from.b);
        scale = of_both(scale, t[i]);
    }
    for (size_t p = 0; p < r->parts; p++) {
        double seen = 0;
        for (size_t i = 0; i < n; i++)
            seen += t[i] * way[i][p];
        along += seen * seen;
    }
    double cosine = sqrt(along / all);
    if (!(cosine >= ALONG_LEAST))
        return unknown;
    struct shade s = {.known = true, .value = mix_de00(from, to)};
    s.spread = of_both(s.value * sqrt(fmax(0, 1 - cosine * cosine)) / cosine, scale * READING_DE * sqrt(2));
    return s;
}

/* ---- the two together ---- */

/* Optics first: they tell of every direction, and need nobody who sprayed a card. */
struct shade batch_shade(const struct batch *b, const double grams[RECIPE_PARTS])
{
    double share[RECIPE_PARTS], target[RECIPE_PARTS];
    shares_of(b, grams, share);
    recipe_shares(b, target);
    struct shade s = by_optics(b, grams, share, target);
    return s.known || b->recipe.cards < 2 ? s : by_cards(b, share, target);
}

/* What is off is added at the total that the cup is judged by, so that all other toners are exactly right. */
struct shade batch_part_shade(const struct batch *b, int part, double off_g)
{
    double grams[RECIPE_PARTS], k_g = batch_k_lo(b);
    if (b->recipe.part[part].role != PART_COLOUR || isnan(off_g))
        return unknown;
    recipe_shares(b, grams);
    for (size_t p = 0; p < b->recipe.parts; p++)
        grams[p] *= k_g;
    grams[part] += off_g;
    return batch_shade(b, grams);
}

/* Less than a twentieth is as good as nothing, and not worth a word beside each toner. */
json_t *shade_json(const struct shade *s, bool least, const struct number_style *style)
{
    if (!s->known)
        return json_null();
    double value = number_round(s->value, 0.1), spread = number_round(s->spread, 0.1);
    struct said said =
        least ? say("de00_least value=%f spread=%f", value, spread) : say("de00 value=%f spread=%f", value, spread);
    bool tells = least || value > 0;
    return json_pack("{s:o, s:o, s:o}", "value", number_json(s->value), "spread", number_json(s->spread), "said",
                     tells ? said_json(&said, style) : json_null());
}
