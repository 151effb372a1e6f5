/* workoff.c - writes the work-off as a linear program and reads its answer. It must not know a shelf, a batch, or how a
 * program is solved.
 */
#include "mix/workoff.h"

#include <math.h>

/* A solver's zero: what it leaves below this is no amount. */
#define ZERO_G 1e-7
/* How much of a sum that was reached may be given up when the next wish is asked; below what an answer shows. */
#define GIVE_G 1e-9

/* The first leftovers of `fixed` stay as they are in `use`; with a sum above 0 the sum stays too. */
struct stage {
    const struct mix_workoff_asked *asked;
    bool additions; /* they too are 0 or smallest_g */
    size_t fixed;
    double sum_g;
    double use[MIX_MAX];
};

static double most_of(const struct mix_workoff_asked *a, size_t i)
{
    double aim_g = a->total_g * a->share[i];
    return aim_g + mix_tolerance_g(a->share[i], a->total_g, a->tol);
}

static bool holds_foreign(const struct mix_workoff_asked *a, const struct mix_leftover *l)
{
    bool foreign = l->foreign > 0;
    for (size_t i = 0; i < a->n; i++)
        foreign = foreign || (l->share[i] > 0 && !(most_of(a, i) > 0));
    return foreign;
}

static bool usable(const struct mix_workoff_asked *a, const struct mix_leftover *l)
{
    return !l->barred && !holds_foreign(a, l) && l->grams > 0 && l->grams >= a->smallest_g - MIX_SLACK_G;
}

/* Column j is y_j. What is decided already is held within GIVE_G, so that a rounded answer stays possible. */
static void amounts(struct mix_program *p, const struct stage *s)
{
    const struct mix_workoff_asked *a = s->asked;
    for (size_t j = 0; j < a->leftovers; j++) {
        double most_g = usable(a, &a->leftover[j]) ? a->leftover[j].grams : 0;
        double low_g = j < s->fixed ? fmax(0, s->use[j] - GIVE_G) : 0;
        mix_program_column(p, fmin(low_g, most_g), most_g, false);
    }
}

/* With a smallest amount each addition is a column too, since it must be 0 or at least that. */
static size_t additions(struct mix_program *p, const struct stage *s)
{
    const struct mix_workoff_asked *a = s->asked;
    size_t first = p->columns;
    for (size_t i = 0; s->additions && i < a->n; i++)
        mix_program_column(p, 0, most_of(a, i), false);
    return first;
}

/* What comes into the cup of each component. Without columns for the additions there is no least: they fill it up. */
static void components(struct mix_program *p, const struct stage *s, size_t first_addition)
{
    const struct mix_workoff_asked *a = s->asked;
    for (size_t i = 0; i < a->n; i++) {
        double least_g = 2 * a->total_g * a->share[i] - most_of(a, i);
        mix_program_row(p, s->additions ? least_g : -MIX_FREE, most_of(a, i));
        for (size_t j = 0; j < a->leftovers; j++)
            mix_program_entry(p, j, a->leftover[j].share[i]);
        if (s->additions)
            mix_program_entry(p, first_addition + i, 1);
    }
}

static void switches(struct mix_program *p, const struct stage *s, size_t first_addition)
{
    const struct mix_workoff_asked *a = s->asked;
    size_t amounts_end = s->additions ? first_addition + a->n : a->leftovers;
    size_t first_switch = p->columns;
    if (!(a->smallest_g > 0))
        return;
    for (size_t c = 0; c < amounts_end; c++)
        mix_program_column(p, 0, 1, true);
    for (size_t c = 0; c < amounts_end; c++)
        mix_program_nothing_or(p, c, first_switch + c, a->smallest_g, p->high[c]);
}

/* Maximises the leftover `wish`, or where that names no leftover the sum of all. */
static bool solve_stage(const struct stage *s, size_t wish, mix_solve *solve, void *solver, struct mix_program *p,
                        double *x)
{
    const struct mix_workoff_asked *a = s->asked;
    mix_program_init(p);
    amounts(p, s);
    size_t first_addition = additions(p, s);
    components(p, s, first_addition);
    if (s->sum_g > 0) {
        mix_program_row(p, s->sum_g - GIVE_G * (double)(s->fixed + 1), MIX_FREE);
        for (size_t j = 0; j < a->leftovers; j++)
            mix_program_entry(p, j, 1);
    }
    switches(p, s, first_addition);
    for (size_t j = 0; j < a->leftovers; j++)
        p->goal[j] = wish >= a->leftovers || j == wish ? -1 : 0;
    return !p->overfull && solve(solver, p, x);
}

static bool any_usable(const struct mix_workoff_asked *a)
{
    bool any = false;
    for (size_t j = 0; j < a->leftovers; j++)
        any = any || usable(a, &a->leftover[j]);
    return any;
}

/* A switch that a solver calls 0 may be a millionth, and lets so much of its amount through. */
static void take(struct stage *s, const double *x)
{
    const struct mix_workoff_asked *a = s->asked;
    for (size_t j = 0; j < a->leftovers; j++)
        s->use[j] = x[j] > fmax(ZERO_G, a->smallest_g / 2) ? fmax(x[j], a->smallest_g) : 0;
}

/* The largest sum, then leftover by leftover. One that is used whole already needs no question. */
static bool decide(struct stage *s, mix_solve *solve, void *solver, struct mix_program *p)
{
    const struct mix_workoff_asked *a = s->asked;
    double x[MIX_COLUMNS];
    s->fixed = 0;
    s->sum_g = 0;
    if (!solve_stage(s, a->leftovers, solve, solver, p, x))
        return false;
    take(s, x);
    for (size_t j = 0; j < a->leftovers; j++)
        s->sum_g += s->use[j];
    if (!(s->sum_g > ZERO_G))
        return true;
    for (; s->fixed + 1 < a->leftovers; s->fixed++) {
        const struct mix_leftover *l = &a->leftover[s->fixed];
        if (!usable(a, l) || s->use[s->fixed] >= l->grams - ZERO_G)
            continue;
        /* A later question that finds no answer in its time leaves the last one standing: it is as good in grams. */
        if (solve_stage(s, s->fixed, solve, solver, p, x))
            take(s, x);
    }
    return true;
}

/* Fresh toner. Between 0 and the smallest amount it is left out where the tolerance allows that, else made the
 * smallest. */
static double addition(const struct mix_workoff_asked *a, size_t i, double have_g, bool weighable)
{
    double need_g = fmax(0, a->total_g * a->share[i] - have_g);
    if (need_g < ZERO_G)
        return 0;
    if (!weighable || need_g >= a->smallest_g - MIX_SLACK_G)
        return need_g;
    return need_g <= mix_tolerance_g(a->share[i], a->total_g, a->tol) + MIX_SLACK_G ? 0 : a->smallest_g;
}

static enum mix_unused why_unused(const struct mix_workoff_asked *a, const struct mix_leftover *l)
{
    if (l->barred)
        return MIX_BARRED;
    if (holds_foreign(a, l))
        return MIX_FOREIGN;
    if (!usable(a, l))
        return MIX_SMALL;
    for (size_t i = 0; i < a->n; i++) {
        if (l->share[i] > a->share[i] * (1 + 1e-9))
            return MIX_TOO_RICH;
    }
    return MIX_USED;
}

bool mix_workoff(const struct mix_workoff_asked *a, mix_solve *solve, void *solver, struct mix_program *room,
                 struct mix_workoff *out)
{
    bool any = any_usable(a);
    struct stage s = {.asked = a, .additions = any && a->smallest_g > 0};
    if (any && !decide(&s, solve, solver, room)) {
        if (!s.additions)
            return false;
        s.additions = false;
        if (!decide(&s, solve, solver, room))
            return false;
    }
    *out = (struct mix_workoff){0};
    for (size_t j = 0; j < a->leftovers; j++) {
        double use_g = fmin(s.use[j], a->leftover[j].grams);
        out->use_g[j] = use_g > ZERO_G ? use_g : 0;
        out->why[j] = out->use_g[j] > 0 ? MIX_USED : why_unused(a, &a->leftover[j]);
        out->total_g += out->use_g[j];
    }
    for (size_t i = 0; i < a->n; i++) {
        double have_g = 0;
        for (size_t j = 0; j < a->leftovers; j++)
            have_g += out->use_g[j] * a->leftover[j].share[i];
        out->add_g[i] = addition(a, i, have_g, s.additions);
        out->total_g += out->add_g[i];
    }
    return true;
}
