/* begin_premix.c - toners too small for the scale: which they are, a premix of them as a batch of its own, and a batch
 * that doses them out of a premix of the bank. It must not know how a premix is reckoned (mix/weighable.h).
 *
 * Which way a batch goes:
 *   `premix` an object   the batch is a premix, of what is too small in the amount that the object names
 *   an id                it takes from that premix, or is refused
 *   left out             from the newest of the bank that fits; none fits: each toner is poured by itself, with a
 * warning false                each toner by itself, whatever the bank holds
 *
 * A premix that is used becomes a part of the recipe with its step, and its toners keep theirs with share 0: what the
 * fold aims, grows and judges is the weight of the premix, as of any toner. What it is made of stands in recipe.mix, by
 * which contents.c tells the cup toner by toner.
 */
#include "bench/begin_parts.h"

#include "clock.h"
#include "rpc/rpc.h"
#include "station/aims.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DILUENT_G_MAX 200.0 /* as mix.premix has it where nobody says */
enum { CANDIDATES = 16 };   /* kept premixes that are looked at; the shop uses one up before the next */

/* The small toners of a batch as planned. */
struct small {
    int part[MIX_MAX];     /* indices in the recipe, in its order */
    double grams[MIX_MAX]; /* still to be poured of each */
    size_t n;              /* 0: the scale weighs them all */
    int diluent;           /* the largest other part; -1: there is none */
    double total_g;        /* colour, as the batch will become */
};

/* ---- `premix` of the call ---- */

/* `premix`: {…} begins one, so its members are the batch's; who mixes it, and where, stands beside it. */
bool begin_premix_asked(struct beginning *c)
{
    static const char *const beside[] = {"station", "painter", "order", "cup_ml", "person", "revision", "request"};
    const json_t *premix = json_object_get(c->params, "premix");
    if (!premix || json_is_null(premix) || json_is_boolean(premix) || json_is_string(premix))
        return true;
    if (!json_is_object(premix))
        return fault_said(c->fault, FAULT_PARAMS, "premix", "type", "member_not_object field=%s", "premix");
    if (!json_is_string(json_object_get(premix, "formula")))
        return fault_said(c->fault, FAULT_PARAMS, "formula", "missing", "member_missing field=%s", "formula");
    json_decref(c->of_order);
    c->of_order = json_pack("{s:i}", "reduce_pct", 0);
    static const char *const own[] = {"formula", "variant", "coat", "grams"};
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
        if (json_object_get(premix, own[i]))
            json_object_set(c->of_order, own[i], json_object_get(premix, own[i]));
    for (size_t i = 0; i < sizeof beside / sizeof *beside; i++)
        if (json_object_get(c->params, beside[i]))
            json_object_set(c->of_order, beside[i], json_object_get(c->params, beside[i]));
    c->params = c->of_order;
    c->makes_premix = true;
    return true;
}

/* ---- which toners are too small ---- */

/* Judged by what is still to be poured: a leftover that brings a toner leaves nothing of it to weigh. The largest part
 * that can be weighed is the diluent, since a premix then brings only what the formula holds. */
static void find_small(struct beginning *c, struct small *s)
{
    const struct recipe *r = &c->begun->recipe;
    double least_g =
        mix_weighable_g(config_station_d_g(c->config, c->begun->wanted_g), BEGIN_HALF_DROP_G, c->config->error_pct);
    s->n = 0;
    s->diluent = -1;
    s->total_g = begin_total_g(c);
    for (size_t p = 0; p < r->parts; p++) {
        if (begin_too_small(c, p, s->total_g, least_g) && s->n < MIX_MAX) {
            s->grams[s->n] = r->part[p].share * s->total_g - c->begun->have_g[p];
            s->part[s->n++] = (int)p;
        } else if (r->part[p].role == PART_COLOUR && r->part[p].share > 0 &&
                   (s->diluent < 0 || r->part[p].share > r->part[s->diluent].share)) {
            s->diluent = (int)p;
        }
    }
}

/* What the batch still takes of its main component must hold the diluent that comes with one dose. */
static bool reckon(const struct beginning *c, const struct small *s, struct mix_premix *out)
{
    double d_g = config_station_d_g(c->config, c->begun->wanted_g), small_g = 0;
    if (s->diluent < 0 || s->n >= COMPOSITION_MAX ||
        !mix_premix(s->grams, s->n, d_g, BEGIN_HALF_DROP_G, c->config->error_pct, DILUENT_G_MAX, out))
        return false;
    for (size_t i = 0; i < s->n; i++)
        small_g += s->grams[i];
    const struct recipe_part *diluent = &c->begun->recipe.part[s->diluent];
    return out->take_g - small_g <= diluent->share * s->total_g - c->begun->have_g[s->diluent] + MIX_SLACK_G;
}

/* For the plan. */
static void tell(struct beginning *c, const struct small *s, const struct mix_premix *mix)
{
    struct begin_premix *told = &c->warnings->premix;
    /* Names, since the recipe is changed after this: the small toners may stand in it without a step. */
    told->toners = s->n;
    told->mix = *mix;
    for (size_t i = 0; i < s->n; i++)
        utf8_copy(told->toner[i], sizeof told->toner[i], c->begun->recipe.part[s->part[i]].toner);
    utf8_copy(told->diluent, sizeof told->diluent, c->begun->recipe.part[s->diluent].toner);
}

/* ---- a premix as a batch: the small toners, then the diluent, nothing on top ---- */

/* What goes on top of the colour goes on top of the batch that takes from the premix, so here is none: it must keep.
 * Figures come from mix_premix; good: it found a way. */
static bool make(struct beginning *c, const struct small *s, bool good, const struct mix_premix *mix)
{
    struct event_begun *g = c->begun;
    struct recipe *r = &g->recipe;
    struct recipe_part part[COMPOSITION_MAX];
    if (s->n == 0)
        return fault_said(c->fault, FAULT_INVALID, "premix", "not_needed", "premix_not_needed formula=%s grams=%f",
                          r->code, g->wanted_g);
    if (!good)
        return fault_said(c->fault, FAULT_INVALID, "premix", "diluent", "premix_no_way formula=%s grams=%f", r->code,
                          g->wanted_g);
    for (size_t i = 0; i < s->n; i++) {
        part[i] = r->part[s->part[i]];
        part[i].share = mix->toner_g[i] / mix->total_g;
    }
    part[s->n] = r->part[s->diluent];
    part[s->n].share = mix->diluent_g / mix->total_g;
    r->parts = r->steps = s->n + 1;
    for (size_t i = 0; i < r->parts; i++) {
        r->part[i] = part[i];
        r->step[i] = (struct recipe_step){.part = (int)i, .share = part[i].share};
    }
    r->product[0] = '\0';
    r->cards = 0; /* no card shows a premix */
    r->reduce_pct = 0;
    r->pot_life_min = NAN;
    /* What the finished screen says: how much of it is one dose, and of how much colour. */
    r->premix_take_g = mix->take_g;
    r->premix_for_g = g->wanted_g;
    r->made = say("made_premix grams=%f", g->wanted_g);
    g->wanted_g = mix->total_g;
    c->warnings->count = 0; /* of the formula's own batch */
    return true;
}

/* ---- a batch that takes from a premix of the bank ---- */

/* Grams that a tin list adds up to; NaN: nobody ever counted them. */
static void add_tin(void *arg, const struct store_tin *tin)
{
    double *grams = arg;
    *grams = isnan(*grams) ? tin->grams : *grams + tin->grams;
}

/* How much of this premix doses the small toners; NaN: it cannot. A toner counts as dosed that it brings within what a
 * small one may err by; of any other it must not bring more than the batch takes. */
static double dose_g(struct beginning *c, const struct small *s, const struct toner *t)
{
    const struct recipe *r = &c->begun->recipe;
    double error = c->config->error_pct / 100, wanted = 0, held = 0;
    /* All small toners together set how much is taken, so that what one is too strong another is too weak. */
    for (size_t i = 0; i < s->n; i++)
        for (size_t k = 0; k < t->composition_count; k++)
            if (strcmp(t->composition[k].toner, r->part[s->part[i]].toner) == 0) {
                wanted += s->grams[i];
                held += t->composition[k].share;
            }
    double take_g = wanted / held;
    if (!(held > 0) || take_g < mix_weighable_g(config_station_d_g(c->config, c->begun->wanted_g), BEGIN_HALF_DROP_G,
                                                c->config->error_pct))
        return NAN;
    /* No toner that the formula does not hold, and of none more than the batch wants. */
    for (size_t k = 0; k < t->composition_count; k++) {
        int p = recipe_find(r, t->composition[k].toner);
        if (p < 0 || r->part[p].role != PART_COLOUR || !(r->part[p].share > 0))
            return NAN;
        double open_g = r->part[p].share * s->total_g - c->begun->have_g[p];
        if (take_g * t->composition[k].share > open_g * (1 + error))
            return NAN;
    }
    /* And each small one within its own error. */
    for (size_t i = 0; i < s->n; i++) {
        double brought = 0;
        for (size_t k = 0; k < t->composition_count; k++)
            if (strcmp(t->composition[k].toner, r->part[s->part[i]].toner) == 0)
                brought = take_g * t->composition[k].share;
        if (fabs(brought - s->grams[i]) > error * s->grams[i])
            return NAN;
    }
    return take_g;
}

/* Less is left than a dose. What was never counted is believed to be there. */
static bool used_up(struct beginning *c, const char *id, double take_g)
{
    double left_g = NAN;
    return store_tins(c->d->store, id, add_tin, &left_g) && left_g < take_g;
}

/* Kept premixes that hold a toner, as the store's search finds them. */
struct candidates {
    struct toner toner[CANDIDATES]; /* in the order of ids */
    size_t count;                   /* those beyond the room are not looked at */
};

/* A store_item_list callback. The word of the search may stand in a name as well, so the composition is what counts. */
static void take_candidate(void *arg, const struct store_item *item)
{
    struct candidates *all = arg;
    struct fault ignored = {0};
    json_t *body = json_read_text(item->body);
    if (body && all->count < CANDIDATES && toner_from_json(body, &all->toner[all->count], &ignored) &&
        all->toner[all->count].composition_count > 0)
        all->count++;
    json_decref(body);
}

/* The newest that fits and is not used up. False: there is none. */
static bool find_kept(struct beginning *c, const struct small *s, struct toner *out)
{
    char words[RECIPE_ID + 16];
    struct candidates *all = calloc(1, sizeof *all);
    bool found = false;
    /* A premix that lacks the first small toner doses none of them whole. */
    snprintf(words, sizeof words, CATALOGUE_PREMIX " %s", c->begun->recipe.part[s->part[0]].toner);
    if (all)
        store_item_list(c->d->store, "toner", words, take_candidate, all);
    for (size_t i = 0; all && i < all->count; i++) {
        double take_g = dose_g(c, s, &all->toner[i]);
        if (isnan(take_g) || used_up(c, all->toner[i].id, take_g) ||
            (found && strcmp(all->toner[i].made, out->made) <= 0))
            continue;
        *out = all->toner[i];
        found = true;
    }
    free(all);
    return found;
}

/* Takes so much of the colour off a part's steps, the last first; those of which nothing is left go. */
static void take_off(struct recipe *r, int part, double share)
{
    for (size_t s = r->steps; s > 0; s--) {
        struct recipe_step *step = &r->step[s - 1];
        if (step->part != part || !(share > 0))
            continue;
        double off = fmin(share, step->share);
        step->share -= off;
        share -= off;
        if (step->share > 1e-9)
            continue;
        memmove(step, step + 1, (r->steps - s) * sizeof *step);
        r->steps--;
    }
}

/* The premix is poured where the first of its small toners would have been. */
static void add_premix_step(struct recipe *r, int part, size_t at)
{
    memmove(&r->step[at + 1], &r->step[at], (r->steps - at) * sizeof r->step[0]);
    r->step[at] = (struct recipe_step){.part = part, .share = r->part[part].share};
    r->steps++;
}

/* r->steps: the part has no step. */
static size_t step_of(const struct recipe *r, int part)
{
    size_t s = 0;
    while (s < r->steps && r->step[s].part != part)
        s++;
    return s;
}

/* The premix becomes a part with a step; toners that it brings whole lose theirs, and the others' aims are less by what
 * it brings. Each keeps beside its share what the formula wants of it, for the record. */
static void use(struct beginning *c, const struct small *s, const struct toner *t)
{
    struct recipe *r = &c->begun->recipe;
    double take_g = dose_g(c, s, t);
    int premix = (int)r->parts;
    r->cards = 0; /* what a deviation looks like is told by part, and a premix is several toners in one */
    size_t at = step_of(r, s->part[0]);
    /* Density, price and the rest are those of the premix as it was kept: what the fold sums for the cup is right. */
    begin_part_of(t, &r->part[r->parts++]);
    r->part[premix].role = PART_COLOUR;
    r->part[premix].share = take_g / s->total_g;
    for (size_t k = 0; k < t->composition_count; k++) {
        int p = recipe_find(r, t->composition[k].toner);
        double share = r->part[p].share, open = share - c->begun->have_g[p] / s->total_g,
               brought = take_g * t->composition[k].share / s->total_g;
        bool all = !(c->begun->have_g[p] > 0) && fabs(open - brought) <= c->config->error_pct / 100 * open;
        r->mix[r->mixes++] =
            (struct recipe_mix){.of = premix, .toner = p, .share = t->composition[k].share, .wanted = share};
        size_t steps = r->steps, first = step_of(r, p);
        take_off(r, p, all ? share : brought);
        at -= r->steps < steps && first < at; /* one before it went */
        r->part[p].share = all ? 0 : fmax(0, share - brought);
    }
    add_premix_step(r, premix, at < r->steps ? at : recipe_colour_steps(r));
    char until[11], today[CLOCK_TEXT];
    clock_text(clock_wall_ms(), today);
    if (config_keeps_until(&c->d->config, t->line, t->made, until) && strncmp(until, today, 10) < 0)
        begin_warn(c, "premix_past", t->id, say("premix_past toner=%s day=%s", t->id, until));
    begin_level(r); /* what a premix brings is never exact to the last figure */
    utf8_copy(c->warnings->premix.kept, sizeof c->warnings->premix.kept, t->id);
}

/* A premix named must do; else the newest that does is taken by itself, and `premix: false` says to take none. */
static bool use_kept(struct beginning *c, const struct small *s)
{
    const json_t *asked = json_object_get(c->params, "premix");
    const char *named = json_string_value(asked);
    struct toner t;
    if (named && !catalogue_toner(c->d->store, named, &t))
        return catalogue_unknown(c->d->store, "toner", "premix", named, c->fault);
    bool room = c->begun->recipe.parts < RECIPE_PARTS - 16 && c->begun->recipe.steps < RECIPE_PARTS - 16 &&
                c->begun->recipe.mixes + COMPOSITION_MAX <= RECIPE_MIXES;
    for (size_t i = 0; i < s->n && !named; i++)
        room = room && !(c->begun->have_g[s->part[i]] > 0);
    if (named && (s->n == 0 || !room || isnan(dose_g(c, s, &t))))
        return fault_said(c->fault, FAULT_INVALID, "premix", "unfit", "premix_unfit toner=%s", named);
    if (named || (!json_is_false(asked) && s->n > 0 && room && find_kept(c, s, &t)))
        use(c, s, &t);
    return true;
}

/* Told of the formula's own batch, whichever way it is then mixed. */
bool begin_premix(struct beginning *c)
{
    struct small s;
    struct mix_premix mix;
    find_small(c, &s);
    bool good = s.n > 0 && reckon(c, &s, &mix);
    if (good)
        tell(c, &s, &mix);
    return c->makes_premix ? make(c, &s, good, &mix) : use_kept(c, &s);
}
