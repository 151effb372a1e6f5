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

/* What a cup holds by its tins, and so much more of one toner, however it came in. */
struct held {
    double tin[RECIPE_PARTS]; /* grams by part */
    int part;
    double off_g;
};

/* The same by toner: a premix is what it is made of. */
static void by_toners(const struct recipe *r, const struct held *h, double toners[RECIPE_PARTS])
{
    const double *tins = h->tin;
    for (size_t p = 0; p < RECIPE_PARTS; p++)
        toners[p] = p < r->parts && !recipe_part_is_mix(r, (int)p) ? tins[p] : 0;
    toners[h->part] += h->off_g;
    for (size_t i = 0; i < r->mixes; i++)
        toners[r->mix[i].toner] += r->mix[i].share * tins[r->mix[i].of];
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

/* What the doubt of the weighings makes of the colour: each tin off by its own, all together by their squares. */
static double weighing_spread(const struct batch *b, const struct held *held, const struct mix_optics *const optics[],
                              struct mix_lab at)
{
    double squares = 0, off[RECIPE_PARTS], share[RECIPE_PARTS], u_g = batch_pour_u_g(b);
    struct held h = *held;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        struct mix_lab lab;
        if (b->recipe.part[p].role != PART_COLOUR || !(held->tin[p] > 0))
            continue;
        h.tin[p] = held->tin[p] + u_g;
        by_toners(&b->recipe, &h, off);
        shares_of(b, off, share);
        if (mix_km_lab(share, optics, b->recipe.parts, &lab)) {
            double de = mix_de00(at, lab);
            squares += de * de;
        }
        h.tin[p] = held->tin[p];
    }
    return sqrt(squares);
}

/* The colour that the shares make against the one that they should make. Both are films that hide their ground: a thin
 * coat over another colour is beyond this. */
static struct shade by_optics(const struct batch *b, const struct held *held, const double share[],
                              const double target[])
{
    const struct mix_optics *optics[RECIPE_PARTS];
    struct mix_lab shall, is;
    if (!measured(b, share, target, optics) || !mix_km_lab(target, optics, b->recipe.parts, &shall) ||
        !mix_km_lab(share, optics, b->recipe.parts, &is))
        return unknown;
    bool flakes = b->recipe.finish[0] && strcmp(b->recipe.finish, "solid") != 0;
    struct shade s = {.known = true, .value = mix_de00(shall, is)};
    s.spread = of_both((flakes ? MODEL_MISSES_FLAKE : MODEL_MISSES) * s.value, weighing_spread(b, held, optics, is));
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
static struct shade between(const struct batch *b, const struct held *held, const double target[])
{
    double toners[RECIPE_PARTS], share[RECIPE_PARTS];
    by_toners(&b->recipe, held, toners);
    shares_of(b, toners, share);
    struct shade s = by_optics(b, held, share, target);
    return s.known || b->recipe.cards < 2 ? s : by_cards(b, share, target);
}

/* Against the formula's own figures: a premix is never made to the last of them. */
struct shade batch_shade(const struct batch *b, const double grams[RECIPE_PARTS])
{
    double target[RECIPE_PARTS] = {0};
    struct held held = {.off_g = 0};
    memcpy(held.tin, grams, sizeof held.tin);
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role == PART_COLOUR)
            target[p] = fmax(0, batch_toner_share(b, (int)p));
    return between(b, &held, target);
}

/* What is off is added at the total that the cup is judged by, so that all other toners are exactly right. */
struct shade batch_part_shade(const struct batch *b, int part, double off_g)
{
    double target[RECIPE_PARTS], k_g = batch_k_lo(b);
    struct held held = {.off_g = 0};
    if (b->recipe.part[part].role != PART_COLOUR || isnan(off_g))
        return unknown;
    recipe_shares(b, held.tin);
    by_toners(&b->recipe, &held, target); /* what the premix itself is off by is no fault of this part */
    for (size_t p = 0; p < b->recipe.parts; p++)
        held.tin[p] *= k_g;
    held.part = part;
    if (recipe_part_is_mix(&b->recipe, part))
        held.tin[part] += off_g;
    else
        held.off_g = off_g;
    return between(b, &held, target);
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
