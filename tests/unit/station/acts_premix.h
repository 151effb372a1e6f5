/* acts_premix.h - of the random walk: a batch one of whose tins is a premix, and what its cup holds toner by toner.
 *
 * The model knows of the hand that so much ran out of each tin; a premix is 7 parts of the first toner and 3 of one
 * that has no step of its own, which a hand may all the same take by mistake or for a tint.
 */
#pragma once

#include "tests/unit/station/acts_world.h"

static const double premix_shares[2] = {0.7, 0.3};

/* Sometimes one of the colour's tins, never the first, becomes a premix. */
static inline void premix(struct world *w, struct recipe *r)
{
    size_t colours = 0;
    while (colours < r->parts && r->part[colours].role == PART_COLOUR)
        colours++;
    w->premix = -1;
    if (colours < 2 || colours >= TONERS || !(chance(w) < 0.3))
        return;
    /* The toner that only the premix brings: no share, no step. Its letter is the next one of the colour. */
    int of = 1 + (int)below(w, colours - 1), brought = (int)r->parts++;
    struct recipe_part *p = &r->part[brought];
    *p = r->part[of];
    name_of((int)colours, p->toner);
    name_of((int)colours, p->name);
    p->share = 0;
    r->mix[r->mixes++] = (struct recipe_mix){.of = of, .toner = 0, .share = premix_shares[0], .wanted = NAN};
    r->mix[r->mixes++] = (struct recipe_mix){.of = of, .toner = brought, .share = premix_shares[1], .wanted = NAN};
    w->premix = part_of(r->part[of].toner);
    w->brought = (int)colours;
    note(w, "premix", w->premix);
}

/* While nothing is open: every toner is in the cup as it ran out of its own tin and of the premix, and no premix is. */
static inline void check_contents(struct world *w)
{
    const struct batch *b = &w->t.batch;
    double sum = 0;
    if (w->premix < 0 || b->state == BATCH_POUR)
        return;
    for (size_t i = 0; i < b->recipe.parts; i++) {
        int part = part_of(b->recipe.part[i].toner);
        double grams = batch_toner_g(b, (int)i), want = part == w->premix ? 0 : w->in_g[part];
        want += part == 0 ? premix_shares[0] * w->in_g[w->premix] : 0;
        want += part == w->brought ? premix_shares[1] * w->in_g[w->premix] : 0;
        sum += grams;
        if (fabs(grams - want) > w->slack_g)
            FAIL(w, "of %s the cup holds %.3f g, %.3f are told", b->recipe.part[i].toner, want, grams);
    }
    if (fabs(sum - batch_content_g(b)) > 1e-6)
        FAIL(w, "%.6f g are told toner by toner, %.6f in all", sum, batch_content_g(b));
}
