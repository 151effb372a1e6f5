/* decide_rescue.c - what an accept counts while cups of the shelf are poured in. It must not know how the rescue was
 * worked out, nor a shelf: what each cup held stands in the offer. */
#include "station/decide.h"

#include "mix/aim.h"
#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct said decide_rescue_said(const struct event_rescue *r)
{
    if (r->take_g > 0)
        return say("take_out take_g=%f", r->take_g);
    return say("rescue_pour batch=%s pour_g=%f", r->cup[0].batch, r->cup[0].grams);
}

static enum decision no_memory(struct fault *f)
{
    fault_said(f, FAULT_INTERNAL, NULL, NULL, "accept_failed");
    return REFUSED;
}

/* A tin by mistake: its toner counts, the cup stays open. */
static enum decision wrong_tin(const struct batch *b, const struct command *c, struct event *e, struct fault *f)
{
    snprintf(e->toner, sizeof e->toner, "%s", c->really);
    snprintf(e->lot, sizeof e->lot, "%s", c->lot);
    e->said = say("really_counted toner=%s counted_g=%f", c->really, e->counted_g);
    if (recipe_find(&b->recipe, c->really) >= 0)
        return decide_judge(b, e, -1) ? DECIDED : no_memory(f);
    e->part = malloc(sizeof *e->part);
    if (!e->part)
        return no_memory(f);
    *e->part = *c->part;
    return decide_judge(b, e, -1) ? DECIDED : no_memory(f);
}

/* Less than asked for is taken only as short: the cup is empty then, and nothing of it is left on the shelf. More is
 * counted, and what it makes over asks. */
enum decision decide_cup_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                              struct fault *f)
{
    const struct batch_cup *cup = &b->cup[b->open_cup];
    const struct event_rescue_cup *from = &b->rescue.cup[b->open_cup + b->rescue.cups - b->cups];
    double poured = (double)(t->now_ug - t->base_ug) / 1e6;
    bool nothing = poured <= b->set.d_g / 2;
    decide_weight(e, t);
    e->counted_g = nothing ? fmax(0, poured) : poured;
    snprintf(e->cup, sizeof e->cup, "%s", cup->batch);
    if (c->really[0])
        return nothing ? decide_too_little(b, f, 0, true) : wrong_tin(b, c, e, f);
    double missing = cup->aim_g - cup->poured_g - poured;
    bool wants = missing > batch_cup_tolerance_g(b, cup) + MIX_SLACK_G;
    if (c->short_mode == SHORT_LESS) {
        fault_said(f, FAULT_STATE, NULL, "less", "less_on_top");
        return decide_refuse(f, b);
    }
    if ((wants || nothing) && c->short_mode == SHORT_NO)
        return decide_too_little(b, f, missing, nothing);
    bool empty = wants && c->short_mode != SHORT_NO;
    e->short_mode = empty ? SHORT_COUNTED : SHORT_NO;
    e->closed = empty;
    e->shelf_g = empty ? fmax(e->counted_g, from->left_g - cup->poured_g) : e->counted_g;
    e->said = empty ? say("rescue_cup_empty batch=%s counted_g=%f", cup->batch, e->counted_g)
                    : say("rescue_poured batch=%s counted_g=%f", cup->batch, e->counted_g);
    return decide_judge(b, e, -1) ? DECIDED : no_memory(f);
}
