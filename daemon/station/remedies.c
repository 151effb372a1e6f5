/* remedies.c - the ways out of an overpour, reckoned. It must not choose one. */
#include "station/decide.h"

#include "mix/remedy.h"
#include "station/aims.h"
#include "text/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What mix/ hands back has a place for each of them. */
_Static_assert(RECIPE_PARTS <= MIX_ROOM, "the arithmetic holds every part of a recipe");

/* Colour parts as arrays, and the first step of each. */
struct colour {
    double share[RECIPE_PARTS], poured_g[RECIPE_PARTS];
    bool left[RECIPE_PARTS];
    int part[RECIPE_PARTS], step[RECIPE_PARTS];
    size_t n;
};

/* A part over that was left, or whose error the scale cannot show, is out of the growth. */
static void colour_of(const struct batch *b, struct colour *c)
{
    c->n = 0;
    for (size_t s = 0; s < b->recipe.steps && c->n < RECIPE_PARTS; s++) {
        int part = b->recipe.step[s].part;
        bool seen = b->recipe.part[part].role != PART_COLOUR;
        for (size_t i = 0; i < c->n && !seen; i++)
            seen = c->part[i] == part;
        if (seen)
            continue;
        c->part[c->n] = part;
        c->step[c->n] = (int)s;
        c->share[c->n] = b->recipe.part[part].share;
        c->poured_g[c->n] = batch_part_g(b, part);
        c->left[c->n] = b->part_left[part] || !isnan(b->part_edge_g[part]);
        c->n++;
    }
}

/* What a cup of this colour takes from the shelf, by weight and by price: the colour's parts (grams by the list in `c`)
 * and, for this much colour, what the recipe puts on top. The price is NaN where one of them is not known. */
static void spend(const struct batch *b, const struct colour *c, const double g[], double total_g, struct remedy *out)
{
    double clean[RECIPE_PARTS];
    batch_clean_parts(b, total_g, clean);
    for (size_t i = 0; i < c->n; i++) {
        out->spent_g += g[i];
        out->cost += recipe_price(&b->recipe.part[c->part[i]], g[i]);
    }
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role != PART_COLOUR) {
            out->spent_g += clean[p];
            out->cost += recipe_price(&b->recipe.part[p], clean[p]);
        }
}

/* Grams by the list in `c` as grams by part. */
static struct shade shade_of(const struct batch *b, const struct colour *c, const double g[])
{
    double grams[RECIPE_PARTS] = {0};
    for (size_t i = 0; i < c->n; i++)
        grams[c->part[i]] = g[i];
    return batch_shade(b, grams);
}

/* A component already poured that lacks no more than its tolerance is left out: nobody pours 0.1 g for nothing. So is
 * one that was left short, or ended on an edge in a larger total: it is asked for no more. */
static void grow_colour(const struct batch *b, const struct colour *c, const struct mix_grow *g, struct remedy *out)
{
    double end[RECIPE_PARTS];
    out->possible = g->possible;
    if (!out->possible) {
        out->why = g->foreign ? "foreign" : NULL;
        return;
    }
    out->total_g = g->total_g;
    for (size_t i = 0; i < c->n; i++) {
        bool poured = b->step_poured[c->step[i]];
        bool wants = mix_is_under(c->share[i], c->poured_g[i], g->total_g, batch_tolerance(b));
        double asks = batch_part_asks_g(b, c->part[i], g->total_g);
        out->add_g[c->step[i]] = poured && !wants ? 0 : asks;
        end[i] = c->poured_g[i] + asks;
    }
    out->why = batch_misfit(b, g->total_g);
    out->volume_ml = batch_volume_ml(b, g->total_g);
    spend(b, c, end, g->total_g, out);
    out->shade = shade_of(b, c, end);
}

/* The price holds what was ever poured, the part taken out with it: that paint is bought as well. */
static void dip_colour(const struct batch *b, const struct colour *c, const struct mix_dip *d, struct remedy *out,
                       double *take_g)
{
    double ever[RECIPE_PARTS], colour = 0;
    out->possible = d->possible;
    if (!out->possible)
        return;
    for (size_t i = 0; i < c->n; i++) {
        out->add_g[c->step[i]] = d->add_g[i];
        ever[i] = c->poured_g[i] + d->add_g[i];
        colour += c->poured_g[i];
    }
    /* What is taken is the mix as it stands in the cup, reducer of a leftover with it. */
    *take_g = colour > 0 ? d->take_g * batch_content_g(b) / colour : 0;
    out->total_g = d->total_g;
    out->waste_g = *take_g;
    struct batch_sum clean; /* a dip ends with every part on its share: with what goes on top as well */
    batch_clean(b, d->total_g, &clean);
    out->volume_ml = clean.ml;
    spend(b, c, ever, d->total_g, out);
    for (size_t i = 0; i < c->n; i++) /* what stays of it, and what is poured on */
        ever[i] -= colour > 0 ? d->take_g * c->poured_g[i] / colour : 0;
    out->shade = shade_of(b, c, ever);
}

/* Cups of the shelf in place of fresh toner. What they hold is paid for; what they bring of the reducer need not be
 * poured either. */
static void rescue_colour(const struct batch *b, const struct colour *c, struct batch_remedies *out)
{
    const struct event_rescue *r = &b->rescue;
    struct remedy *way = &out->rescue;
    double ever[RECIPE_PARTS], clean[RECIPE_PARTS], content = batch_content_g(b);
    if (r->cups == 0 || !(content > 0))
        return;
    double keep = 1 - r->take_g / content;
    way->possible = true;
    way->total_g = r->total_g;
    way->waste_g = out->rescue_take_g = r->take_g;
    for (size_t i = 0; i < c->n; i++) {
        double have_g = keep * c->poured_g[i];
        for (size_t j = 0; j < r->cups; j++)
            have_g += r->cup[j].grams * r->cup[j].share[c->part[i]];
        bool closed = b->step_poured[c->step[i]] && !mix_is_under(c->share[i], have_g, r->total_g, batch_tolerance(b));
        double add_g = fmax(0, fmax(0, c->share[i]) * r->total_g - have_g);
        way->add_g[c->step[i]] = closed || add_g < MIX_SLACK_G ? 0 : add_g;
        ever[i] = c->poured_g[i] + add_g;
    }
    struct batch_sum sum;
    batch_clean(b, r->total_g, &sum);
    way->volume_ml = sum.ml;
    spend(b, c, ever, r->total_g, way);
    batch_clean_parts(b, r->total_g, clean);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double brought_g = 0;
        for (size_t j = 0; j < r->cups && b->recipe.part[p].role != PART_COLOUR; j++)
            brought_g += r->cup[j].grams * r->cup[j].share[p];
        way->spent_g -= fmin(brought_g, clean[p]);
        way->cost -= recipe_price(&b->recipe.part[p], fmin(brought_g, clean[p]));
    }
}

/* The others are still poured to their aims at the total agreed to; only what is over stays over. */
static void leave_colour(const struct batch *b, const struct colour *c, double total_g, struct remedy *out)
{
    double end[RECIPE_PARTS];
    out->possible = true;
    for (size_t i = 0; i < c->n; i++) {
        end[i] = fmax(c->poured_g[i], c->share[i] * total_g);
        out->total_g += end[i];
    }
    out->volume_ml = batch_volume_ml(b, total_g);
    spend(b, c, end, total_g, out);
    out->shade = shade_of(b, c, end);
}

/* All three by mix/, which knows no steps; each list is put back into the order of the steps. */
static void over_colour(const struct batch *b, const struct colour *c, struct batch_remedies *out)
{
    struct mix_remedies m;
    double total = b->over_total_g, room = batch_room_g(b);
    mix_remedies(c->share, c->poured_g, c->left, c->n, total, batch_tolerance(b), isinf(room) ? NAN : room, &m);
    grow_colour(b, c, &m.grow, &out->grow);
    dip_colour(b, c, &m.dip, &out->dip, &out->take_g);
    leave_colour(b, c, total, &out->leave);
    rescue_colour(b, c, out);
    for (size_t i = 0; i < c->n; i++)
        out->deviation_pct[c->step[i]] = m.leave.deviation_pct[i];
    out->foreign_pct = m.leave.foreign_pct;
}

/* A part of a ratio to about three digits, and never as 1e+03. */
static const char *ratio_figure(double part, char room[NUMBER_ROOM])
{
    static const struct number_style style = {.point = '.'};
    double step = part >= 100 ? 1 : part >= 10 ? 0.1 : 0.01;
    return number_plain(&style, number_round(part, step), room, NUMBER_ROOM);
}

/* `4:1.2:1`: what is in the cup by the first part's number, in the recipe's basis. */
static void resulting_ratio(const struct batch *b, char *out, size_t size)
{
    const struct recipe *r = &b->recipe;
    double base = 0, first = 1;
    size_t used = 0;
    char room[NUMBER_ROOM];
    for (size_t p = 0; p < r->parts; p++)
        if (r->part[p].role == PART_COLOUR)
            base += r->by_volume ? batch_part_g(b, (int)p) / r->part[p].density_g_per_ml : batch_part_g(b, (int)p);
    for (size_t p = 0; p < r->parts; p++)
        if (r->part[p].role != PART_COLOUR && r->part[p].per_base > 0 && !r->part[p].of_mix) {
            first = 1 / r->part[p].per_base;
            break;
        }
    used += (size_t)snprintf(out, size, "%s", ratio_figure(first, room));
    for (size_t p = 0; p < r->parts && used < size; p++) {
        const struct recipe_part *part = &r->part[p];
        if (part->role == PART_COLOUR || part->foreign)
            continue;
        double g = batch_part_g(b, (int)p);
        if (g <= 0)
            g = batch_addition_aim_g(b, (int)p);
        double amount = r->by_volume ? g / part->density_g_per_ml : g;
        used +=
            (size_t)snprintf(out + used, size - used, ":%s", ratio_figure(base > 0 ? amount / base * first : 0, room));
    }
}

/* By rules before 6: each toner by its share, also one that is asked for no more. */
static double base_of_before(const struct batch *b, int part, double add_g[RECIPE_PARTS])
{
    const struct recipe_part *p = &b->recipe.part[part];
    double aim = batch_addition_aim_g(b, part), poured = batch_part_g(b, part), colour = batch_colour_g(b);
    double total = (b->rules >= 3 ? colour : batch_k_lo(b)) * mix_k_of(1, poured, batch_addition_tolerance(b, p)) / aim;
    for (size_t i = 0; i < b->recipe.parts; i++)
        add_g[i] = b->recipe.part[i].role != PART_COLOUR ? 0
                   : b->rules >= 3                       ? fmax(0, b->recipe.part[i].share) * (total - colour)
                                                         : b->recipe.part[i].share * total - batch_part_g(b, (int)i);
    return total;
}

/* More of the base, so that this much hardener is right for it. price: of what is too much of it. */
static void grow_base(const struct batch *b, const struct colour *c, int part, double price, struct batch_remedies *out)
{
    double add_g[RECIPE_PARTS], more_g = 0, total = 0;
    out->grow.possible = b->rules < 6 || batch_more_base(b, part, add_g, &more_g);
    if (!out->grow.possible)
        return;
    total = b->rules < 6 ? base_of_before(b, part, add_g) : batch_colour_g(b) + more_g;
    out->grow.total_g = total;
    out->grow.cost = price;
    for (size_t i = 0; i < c->n; i++) {
        double g = fmax(0, add_g[c->part[i]]);
        out->grow.add_g[c->step[i]] = g;
        out->grow.spent_g += g;
        out->grow.cost += recipe_price(&b->recipe.part[c->part[i]], g);
    }
    double asked_at = b->rules < 6 ? total : batch_more_base_k_g(b, more_g);
    out->grow.why = batch_misfit(b, asked_at);
    out->grow.volume_ml = batch_volume_ml(b, asked_at);
}

/* Of reducer or hardener: none can be taken out of the mix alone, so there is no dip. */
static void over_addition(const struct batch *b, const struct colour *c, int step, struct batch_remedies *out)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[step].part];
    double aim = batch_addition_aim_g(b, b->recipe.step[step].part),
           poured = batch_part_g(b, b->recipe.step[step].part);
    double colour = batch_colour_g(b), price = recipe_price(p, poured - aim);
    out->leave.possible = true;
    out->leave.total_g = colour;
    out->leave.volume_ml = batch_volume_ml(b, batch_k_lo(b));
    out->leave.cost = price;
    out->deviation_pct[step] = aim > 0 ? 100 * (poured - aim) / aim : NAN;
    resulting_ratio(b, out->ratio, sizeof out->ratio);
    for (size_t i = 0; i < c->n; i++) {
        double right = c->share[i] * batch_k_lo(b);
        out->deviation_pct[c->step[i]] = right > 0 && c->poured_g[i] > 0 ? 100 * (c->poured_g[i] - right) / right : NAN;
    }
    if (p->foreign || !(aim > 0)) {
        /* A hardener that nothing asked for: no amount of the base makes it right. */
        double content = batch_content_g(b);
        out->ratio[0] = '\0';
        out->deviation_pct[step] = NAN;
        out->foreign_pct = content > 0 ? 100 * poured / content : 0;
        out->grow.why = "foreign";
        return;
    }
    grow_base(b, c, b->recipe.step[step].part, price, out);
    if (out->grow.possible)
        out->grow.spent_g += poured - aim;
}

/* Beginning anew gives up the content of this cup, reducer and hardener with it: its weight, and its price into *cost
 * (NaN where one is missing). */
static double content_of(const struct batch *b, double *cost)
{
    *cost = 0;
    for (size_t p = 0; p < b->recipe.parts; p++)
        *cost += recipe_price(&b->recipe.part[p], batch_part_g(b, (int)p));
    return batch_content_g(b);
}

/* Beginning anew is offered where neither growing nor a dip can be done, or where it is cheaper than both. Where a
 * price is missing the grams decide, else a shop without prices would never see the offer. */
static void offer_again(const struct batch *b, struct batch_remedies *out)
{
    double content_g = content_of(b, &out->again_cost);
    bool grow = out->grow.possible && !out->grow.why, dip = out->dip.possible;
    bool priced = !isnan(out->again_cost) && !(grow && isnan(out->grow.cost)) && !(dip && isnan(out->dip.cost));
    double anew = priced ? out->again_cost : content_g, growing = priced ? out->grow.cost : out->grow.spent_g,
           dipping = priced ? out->dip.cost : out->dip.spent_g;
    out->again = (!grow && !dip) || (out->grow.why && strcmp(out->grow.why, "foreign") == 0) ||
                 ((!grow || anew < growing) && (!dip || anew < dipping));
}

/* Marked, not preferred: the ways keep their order, and who wants to save paint may leave what nobody sees. */
static void mark_nearest(struct batch_remedies *out)
{
    const struct remedy *const each[] = {&out->grow, &out->dip, &out->leave};
    for (size_t i = 0; i < sizeof each / sizeof each[0]; i++) {
        bool able = each[i]->possible && !each[i]->why && each[i]->shade.known;
        if (able && (!out->nearest || each[i]->shade.value < out->nearest->shade.value))
            out->nearest = each[i];
    }
}

/* All ways out of the overpour that waits, priced against the batch as it was planned. Nothing of *b changes: what a
 * person chooses comes as an event of its own. Without an overpour none is possible. */
void batch_remedies(const struct batch *b, struct batch_remedies *out)
{
    struct colour c;
    memset(out, 0, sizeof *out);
    for (size_t s = 0; s < RECIPE_PARTS; s++)
        out->deviation_pct[s] = NAN;
    if (b->over < 0)
        return;
    colour_of(b, &c);
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->over].part];
    if (p->role != PART_COLOUR) {
        over_addition(b, &c, b->over, out);
        if (p->role != PART_REDUCER)
            offer_again(b, out);
        return;
    }
    over_colour(b, &c, out);
    /* Activated paint that is taken out hardens in whatever holds it: it is no way to save paint. */
    if (batch_activated(b)) {
        out->dip = (struct remedy){.possible = false};
        out->take_g = 0;
    }
    struct batch_sum plan;
    batch_clean(b, b->over_total_g, &plan);
    enum { WAYS = 4 };
    struct remedy *const each[WAYS] = {&out->grow, &out->dip, &out->leave, &out->rescue};
    for (size_t i = 0; i < WAYS; i++) {
        each[i]->spent_g -= plan.g;
        each[i]->cost -= plan.cost;
    }
    offer_again(b, out);
    mark_nearest(out);
}

/* By how much, against the total before this pour: k_lo has risen with it and would tell of less. */
struct said batch_over_said(const struct batch *b)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->over].part];
    double poured = batch_part_g(b, b->recipe.step[b->over].part);
    double aim = p->role == PART_COLOUR ? fmax(0, p->share) * b->over_total_g
                                        : batch_addition_aim_g(b, b->recipe.step[b->over].part);
    if (p->role == PART_COLOUR && p->share <= 0)
        return say("over_foreign toner=%s in_cup_g=%f", p->toner, poured);
    return say("over toner=%s over_g=%f", p->toner, poured - aim);
}
