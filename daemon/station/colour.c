/* colour.c - tolerances, what is counted, and the colour alone: its totals, aims and lacks. It must not know what goes
 * on top, nor how much of it. */
#include "station/aims.h"

#include <math.h>

/* The colour parts as the arrays that the arithmetic takes; index maps back to the recipe. */
struct colour {
    double share[RECIPE_PARTS], poured_g[RECIPE_PARTS];
    bool out[RECIPE_PARTS]; /* left, or foreign: judged apart */
    int part[RECIPE_PARTS];
    size_t n;
};

bool batch_part_done(const struct batch *b, int part)
{
    bool any = false;
    for (size_t s = 0; s < b->recipe.steps; s++) {
        if (b->recipe.step[s].part != part)
            continue;
        /* What waits for another tin or a top-up is no finished pour: half of it would move every aim. */
        if (!b->step_poured[s] || (b->rules >= 3 && batch_colour_step_wants(b, s)))
            return false;
        any = true;
    }
    return any;
}

/* An overpour that waits for its remedy, or is being taken out, moves no aim yet; nor does what nobody has judged.
 * While a rescue is under way nothing does: its total was worked out with all of them. */
static bool undecided(const struct batch *b, int part)
{
    if (b->rescuing || (b->unjudged >= 0 && b->recipe.step[b->unjudged].part == part))
        return true;
    if (b->dip_held)
        return mix_is_over(b->recipe.part[part].share, batch_part_g(b, part), b->target_g, batch_tolerance(b));
    bool asks = b->state == BATCH_OVER || (b->state == BATCH_POUR && b->now == NOW_TAKE_OUT);
    return asks && b->over >= 0 && b->recipe.step[b->over].part == part;
}

/* While an overpour asks, the total it was judged by stands, though a growth before it lies above the target. */
static double target_of(const struct batch *b)
{
    return b->state == BATCH_OVER ? fmax(b->target_g, b->over_total_g) : b->target_g;
}

/* A toner named twice is one component here: each poured_g is all of it. */
static void colour_of(const struct batch *b, struct colour *c)
{
    c->n = 0;
    for (size_t p = 0; p < b->recipe.parts && c->n < RECIPE_PARTS; p++) {
        if (b->recipe.part[p].role != PART_COLOUR)
            continue;
        c->part[c->n] = (int)p;
        c->share[c->n] = b->recipe.part[p].share;
        c->poured_g[c->n] = batch_part_g(b, (int)p);
        c->out[c->n] =
            b->part_left[p] || !isnan(b->part_edge_g[p]) || b->recipe.part[p].share <= 0 || undecided(b, (int)p);
        c->n++;
    }
}

double batch_d_g(const struct batch *b)
{
    double load_g = batch_content_g(b) + (isnan(b->tare_g) ? 0 : b->tare_g);
    bool second = b->set.d2_g > b->set.d_g && b->set.range1_g > 0 && load_g > b->set.range1_g;
    return second ? b->set.d2_g : b->set.d_g;
}

/* A tolerance with what a small component may err by: since rules 3 error_pct and half an interval, before that half
 * of its aim. */
static struct mix_tolerance tolerance_of(const struct batch *b, double abs_g, double rel)
{
    struct mix_tolerance tol = {.abs_g = abs_g, .rel = rel, .error = 0.5};
    if (b->rules >= 3) {
        tol.d_g = batch_d_g(b);
        tol.error = isnan(b->set.error_pct) ? 0.05 : b->set.error_pct / 100;
    }
    return tol;
}

struct mix_tolerance batch_tolerance(const struct batch *b)
{
    double d_g = batch_d_g(b);
    double abs_g = d_g > b->set.d_g ? fmax(b->set.tolerance_g, d_g) : b->set.tolerance_g;
    return tolerance_of(b, abs_g, b->set.tolerance_pct / 100);
}

/* A reducer may be off by more: it leaves again. The figures are the recipe's, 5 % and 3 % where it says nothing. */
struct mix_tolerance batch_addition_tolerance(const struct batch *b, const struct recipe_part *p)
{
    double rel = p->role == PART_REDUCER ? b->recipe.reducer_tolerance : b->recipe.hardener_tolerance;
    return tolerance_of(b, b->set.tolerance_g, rel);
}

/* A toner named twice has two steps and one weight. */
double batch_part_g(const struct batch *b, int part)
{
    double sum = 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.step[s].part == part)
            sum += b->step_g[s];
    return sum;
}

/* All that is in the cup: colour, strangers, reducer, hardener. */
double batch_content_g(const struct batch *b)
{
    double sum = 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        sum += b->step_g[s];
    return sum;
}

/* Strangers are colour in this sum: they are in the cup and are sprayed. */
double batch_colour_g(const struct batch *b)
{
    double sum = 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.part[b->recipe.step[s].part].role == PART_COLOUR)
            sum += b->step_g[s];
    return sum;
}

/* Total of the colour, grams. Everything that is asked of a person is judged by this one. */
double batch_k_lo(const struct batch *b)
{
    struct colour c;
    colour_of(b, &c);
    return mix_k_lo(c.share, c.poured_g, c.out, c.n, target_of(b), batch_tolerance(b));
}

/* What aims follow and the screen shows as the total: a little above k_lo where the pours so far came out high. */
double batch_k_aim(const struct batch *b)
{
    struct colour c;
    bool done[RECIPE_PARTS];
    colour_of(b, &c);
    for (size_t i = 0; i < c.n; i++)
        done[i] = !c.out[i] && batch_part_done(b, c.part[i]);
    double k_lo = mix_k_lo(c.share, c.poured_g, c.out, c.n, target_of(b), batch_tolerance(b));
    double k_aim = mix_k_aim(c.share, c.poured_g, done, c.n, k_lo, batch_tolerance(b));
    /* Following what was poured never takes the total beyond what a person agreed to. */
    double most = fmax(k_lo, b->wanted_g * (1 + b->set.auto_grow_pct / 100));
    return b->rules >= 3 ? fmin(k_aim, most) : k_aim;
}

/* The last step of a toner named twice takes what the whole toner still lacks; the others stand for themselves. */
bool batch_last_of_part(const struct batch *b, size_t step)
{
    for (size_t s = step + 1; s < b->recipe.steps; s++)
        if (b->recipe.step[s].part == b->recipe.step[step].part)
            return false;
    return true;
}

/* A toner whose step was closed short is asked for no more: its tin is empty. */
bool batch_part_closed(const struct batch *b, int part)
{
    for (size_t s = b->recipe.steps; s > 0; s--)
        if (b->recipe.step[s - 1].part == part)
            return b->step_short[s - 1];
    return true;
}

/* Not poured yet, or open once more because its tin ran empty: the step will still take its own share. */
static bool to_come(const struct batch *b, size_t step)
{
    if (!b->step_poured[step])
        return true;
    return (int)step == b->open && !b->step_short[step] && !batch_last_of_part(b, step) &&
           mix_is_under(b->recipe.step[step].share, b->step_g[step], batch_k_lo(b), batch_tolerance(b));
}

/* Where the last step was closed, one before it that nobody has poured still asks for its own share. */
double batch_part_asks_g(const struct batch *b, int part, double total_g)
{
    double lacks_g = fmax(0, b->recipe.part[part].share * total_g - batch_part_g(b, part)), own_g = 0;
    if (!isnan(b->part_edge_g[part]) && total_g <= b->part_edge_g[part] + MIX_SLACK_G)
        return 0;
    if (!batch_part_closed(b, part))
        return lacks_g;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.step[s].part == part && !b->step_short[s] && to_come(b, s))
            own_g += fmax(0, b->recipe.step[s].share * total_g - b->step_g[s]);
    return fmin(lacks_g, own_g);
}

/* Share of the part's other steps that are to come: what they will take is not this step's. */
static double open_share(const struct batch *b, size_t step)
{
    double share = 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (s != step && b->recipe.step[s].part == b->recipe.step[step].part && to_come(b, s))
            share += fmax(0, b->recipe.step[s].share);
    return share;
}

/* 100, 50, 100 of one toner with 110 poured at first: the last step takes 90. */
double batch_colour_step_aim_g(const struct batch *b, size_t step, double total_g)
{
    const struct recipe_step *s = &b->recipe.step[step];
    if (!batch_last_of_part(b, step)) {
        /* Its other step may hold more than its share already: of the whole no more is poured than it lacks. */
        double lacks = fmax(0, b->recipe.part[s->part].share * total_g - batch_part_g(b, s->part));
        return b->rules >= 6 ? fmin(s->share * total_g, b->step_g[step] + lacks) : s->share * total_g;
    }
    double counted = 0;
    for (size_t i = 0; i < b->recipe.steps; i++) {
        if (i == step || b->recipe.step[i].part != s->part)
            continue;
        if (!to_come(b, i))
            counted += b->step_g[i];
        else if (b->rules >= 6) /* a leftover may have brought more for it than its share: that is there as well */
            counted += fmax(0, b->step_g[i] - fmax(0, b->recipe.step[i].share) * total_g);
    }
    return fmax(0, (b->recipe.part[s->part].share - open_share(b, step)) * total_g - counted);
}

bool batch_colour_step_wants(const struct batch *b, size_t step)
{
    const struct recipe_step *s = &b->recipe.step[step];
    const struct recipe_part *p = &b->recipe.part[s->part];
    /* An excess that was left asks no more, but a lack that came later (growth, a dip) is another matter. */
    if (b->step_short[step] || p->foreign)
        return false;
    if (!isnan(b->part_edge_g[s->part]) && b->step_poured[step] &&
        batch_k_lo(b) <= b->part_edge_g[s->part] + MIX_SLACK_G)
        return false;
    if (p->share <= 0)
        return false;
    if (!batch_last_of_part(b, step))
        return to_come(b, step) && mix_is_under(s->share, b->step_g[step], batch_k_lo(b), batch_tolerance(b)) &&
               (b->rules < 6 || mix_is_under(p->share, batch_part_g(b, s->part), batch_k_lo(b), batch_tolerance(b)));
    /* What the part's other steps will still bring counts as there. */
    double total = batch_k_lo(b);
    double poured = batch_part_g(b, s->part);
    for (size_t i = 0; i < b->recipe.steps; i++)
        if (i != step && b->recipe.step[i].part == s->part && to_come(b, i))
            poured += fmax(0, b->recipe.step[i].share * total - b->step_g[i]);
    return mix_is_under(p->share, poured, total, batch_tolerance(b));
}
