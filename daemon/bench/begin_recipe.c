/* begin_recipe.c - the recipe of a beginning: of a formula, a product or an older batch, and what goes on top of the
 * colour: hardener and reducer by a product's ratio, or the reduction. It must not know amounts. */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"
#include "station/aims.h"
#include "text/number.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* The recipe that is being put together. */
static struct recipe *recipe_of(struct beginning *c)
{
    return &c->begun->recipe;
}

/* A part as the catalogue describes it; its share and what it is per base are still open. A toner that nothing
 * describes (any more) is weighed by its id as colour, but can be neither sized nor priced. */
static void describe(struct beginning *c, const char *toner, struct recipe_part *p)
{
    struct toner t;
    if (catalogue_toner(c->d->store, toner, &t)) {
        begin_part_of(&t, p);
        return;
    }
    memset(p, 0, sizeof *p);
    snprintf(p->toner, sizeof p->toner, "%s", toner);
    snprintf(p->name, sizeof p->name, "%s", toner);
    p->role = PART_COLOUR;
    p->per_base = p->density_g_per_ml = p->price_per_kg = p->voc_pct = p->water_pct = p->exempt_pct =
        p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
}

/* parts: by weight. A toner named again adds to its part and gets a step of its own. */
static void add_colour(struct beginning *c, const char *toner, double parts)
{
    struct recipe *r = recipe_of(c);
    int part = recipe_find(r, toner);
    if (part < 0) {
        part = (int)r->parts++;
        describe(c, toner, &r->part[part]);
        r->part[part].role = PART_COLOUR;
    }
    r->part[part].share += parts;
    r->step[r->steps++] = (struct recipe_step){.part = part, .share = parts};
}

/* Whence the recipe is: repeated in the event, so that a record reads without the catalogue. Names are cut to the room
 * of a label. */
static void head_of(struct recipe *r, const struct formula *f, const struct coat *coat)
{
    snprintf(r->code, sizeof r->code, "%s", f->code);
    utf8_copy(r->name, sizeof r->name, f->name);
    snprintf(r->variant, sizeof r->variant, "%s", coat->variant);
    snprintf(r->coat, sizeof r->coat, "%s", coat->coat);
    snprintf(r->finish, sizeof r->finish, "%s", f->finish);
    snprintf(r->line, sizeof r->line, "%s", f->line);
    r->formula_revision = f->revision;
}

/* The coat asked for; left out where the formula has one. */
static const struct coat *choose_coat(struct beginning *c, const struct formula *f, const char *name,
                                      const char *variant)
{
    char names[160];
    if (!name) {
        for (size_t i = 0; i < f->coat_count; i++) {
            if (name && strcmp(name, f->coats[i].coat) != 0) {
                formula_names(f, NULL, names, sizeof names);
                fault_said(c->fault, FAULT_INVALID, "coat", "missing", "formula_which_coat formula=%s names=%s",
                           f->code, names);
                return NULL;
            }
            name = f->coats[i].coat;
        }
    }
    return name ? formula_coat_or_fault(f, name, variant, c->fault) : NULL;
}

/* Colour alone; what goes on top is added by on_top. */
static bool from_coat(struct beginning *c, const struct formula *f, const char *coat_name, const char *variant)
{
    const struct coat *coat = choose_coat(c, f, coat_name, variant);
    if (!coat)
        return false;
    head_of(recipe_of(c), f, coat);
    for (size_t i = 0; i < coat->part_count && i < COAT_PARTS_MAX; i++)
        add_colour(c, coat->parts[i].toner, coat->parts[i].parts);
    if (recipe_of(c)->steps == 0)
        return fault_said(c->fault, FAULT_INVALID, "coat", "empty", "formula_empty_coat formula=%s coat=%s", f->code,
                          coat->coat);
    begin_level(recipe_of(c));
    return true;
}

/* Whether a product named may give this formula its ratio: it is of a line that goes, and is not for another formula.
 */
static bool product_goes(struct beginning *c, const struct product *p)
{
    const struct recipe *r = recipe_of(c);
    const char *first = p->parts[0].id;
    struct formula other;
    if (!recipe_lines_go(r->line, p->line))
        return fault_said(c->fault, FAULT_INVALID, "product", "line", "product_line product=%s formula=%s", p->id,
                          r->code);
    if (strcmp(first, r->code) == 0 || !catalogue_formula(c->d->store, first, 0, &other))
        return true;
    formula_finish(&other);
    return fault_said(c->fault, FAULT_INVALID, "product", "formula", "product_of_other product=%s formula=%s", p->id,
                      first);
}

/* ---- what goes on top ---- */

/* 10 % for a solid, 20 % for metallic and pearl: common practice, no source. */
static double usual_reduction(const char *finish)
{
    return strcmp(finish, "solid") == 0 ? 10 : 20;
}

/* One part and its step, share 0: its amount follows from the colour. otherwise: its role where the catalogue names
 * none of those that go on top. */
static struct recipe_part *add_top(struct beginning *c, const char *id, enum part_role otherwise)
{
    struct recipe *r = recipe_of(c);
    struct recipe_part *p = &r->part[r->parts];
    describe(c, id, p);
    if (p->role == PART_COLOUR)
        p->role = otherwise;
    r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts++, .share = 0};
    return p;
}

/* The first toner that cannot be turned into a volume; NULL: each can. */
static const char *without_density(const struct recipe *r)
{
    for (size_t p = 0; p < r->parts; p++)
        if (isnan(r->part[p].density_g_per_ml))
            return r->part[p].toner;
    return NULL;
}

/* The ratio as its product states it, such as 4:1:1 or 100:50:10%, and never as 1e+06. */
static void say_made(struct recipe *r, const struct product *p)
{
    static const struct number_style style = {.point = '.'};
    char ratio[64], room[NUMBER_ROOM];
    size_t used = 0;
    for (size_t i = 0; i < p->part_count && used < sizeof ratio; i++)
        used += (size_t)snprintf(ratio + used, sizeof ratio - used, "%s%s%s", i ? ":" : "",
                                 number_plain(&style, p->parts[i].ratio, room, sizeof room),
                                 p->parts[i].per_cent ? "%" : "");
    r->made = p->by_volume ? say("made_volume ratio=%s", ratio) : say("made_weight ratio=%s", ratio);
}

/* Whether a toner may join what is in the cup so far; cup: the line of that, "" while none is known. False: refused. */
static bool line_goes(struct beginning *c, const char *toner, char cup[16])
{
    char line[16];
    begin_line_of(c->d, toner, line, sizeof line);
    if (!recipe_lines_go(cup, line))
        return fault_said(c->fault, FAULT_INVALID, "parts", "line", "parts_line toner=%s", toner);
    if (!cup[0])
        memcpy(cup, line, sizeof line);
    return true;
}

/* Whatever a product adds to its first part, as parts of the recipe. False: refused, *c->fault says why. */
static bool product_parts(struct beginning *c, const struct product *p)
{
    struct recipe *r = &c->begun->recipe;
    const char *id;
    char cup[16];
    memcpy(cup, r->line, sizeof cup);
    if ((r->is_product && !line_goes(c, r->part[0].toner, cup)) || !begin_choices_fit(c, p))
        return false;
    snprintf(r->product, sizeof r->product, "%s", p->id);
    r->by_volume = p->by_volume;
    r->reduce_pct = NAN;
    r->hardener_tolerance = (isnan(p->hardener_tolerance_pct) ? 3 : p->hardener_tolerance_pct) / 100;
    r->reducer_tolerance = (isnan(p->reducer_tolerance_pct) ? 5 : p->reducer_tolerance_pct) / 100;
    r->pot_life_min = p->pot_life_min;
    for (size_t i = 1; i < p->part_count; i++) {
        if (!begin_choice(c, p, i, &id))
            return false;
        if (recipe_find(r, id) >= 0 || r->parts >= RECIPE_PARTS - 16 || r->steps >= RECIPE_PARTS - 16)
            return fault_said(c->fault, FAULT_INVALID, "parts", "twice", "parts_twice toner=%s", id);
        if (!line_goes(c, id, cup))
            return false;
        struct recipe_part *top = add_top(c, id, PART_ADDITIVE);
        top->per_base = p->parts[i].per_cent ? p->parts[i].ratio / 100 : p->parts[i].ratio / p->parts[0].ratio;
        top->of_mix = p->parts[i].per_cent && p->of_mix;
    }
    say_made(r, p);
    const char *missing = r->by_volume ? without_density(r) : NULL;
    if (missing)
        return fault_said(c->fault, FAULT_INVALID, "parts", "no_density", "parts_no_density product=%s toner=%s", p->id,
                          missing);
    return true;
}

/* Reducer by `reduce_pct` of the colour: by volume, or by weight where a density is missing. */
static bool reduction(struct beginning *c)
{
    struct recipe *r = &c->begun->recipe;
    const char *reducer = NULL;
    struct toner t;
    double pct;
    r->by_volume = true;
    r->hardener_tolerance = 0.03;
    r->reducer_tolerance = 0.05;
    r->pot_life_min = NAN;
    if (!begin_number(c, "reduce_pct", 0, 100, &pct) || !rpc_get_text(c->params, "reducer", &reducer, c->fault))
        return false;
    r->reduce_pct = isnan(pct) ? usual_reduction(r->finish) : pct;
    if (reducer && !catalogue_toner(c->d->store, reducer, &t))
        return catalogue_unknown(c->d->store, "toner", "reducer", reducer, c->fault);
    if (reducer && recipe_find(r, reducer) >= 0)
        return fault_said(c->fault, FAULT_INVALID, "reducer", "twice", "reducer_in_colour toner=%s", reducer);
    if (reducer && !recipe_lines_go(r->line, t.line))
        return fault_said(c->fault, FAULT_INVALID, "reducer", "line", "reducer_line toner=%s", reducer);
    if (r->reduce_pct == 0)
        return true;
    if (!reducer && !catalogue_reducer(c->d->store, r->line, &t)) {
        begin_warn(c, "no_reducer", NULL, say("no_reducer line=%s", r->line));
        r->reduce_pct = 0;
        return true;
    }
    const char *missing = without_density(r);
    struct recipe_part *p = add_top(c, t.id, PART_REDUCER);
    p->role = PART_REDUCER;
    p->per_base = r->reduce_pct / 100;
    if (!missing && isnan(p->density_g_per_ml))
        missing = p->toner;
    if (missing) {
        r->by_volume = false;
        begin_warn(c, "no_density", missing, say("no_density_reduced toner=%s", missing));
    }
    r->made = say("made_reduced reduced=%f", r->reduce_pct);
    return true;
}

/* ---- which recipe ---- */

/* The product named, or the one that gives this coat its ratio; else the reduction. */
static bool on_top(struct beginning *c, const char *product)
{
    struct product p;
    struct recipe *r = recipe_of(c);
    if (product) {
        if (!catalogue_product(c->d->store, product, &p))
            return catalogue_unknown(c->d->store, "product", "product", product, c->fault);
        return product_goes(c, &p) && product_parts(c, &p);
    }
    if (!r->is_product && catalogue_product_for(c->d->store, r->code, r->coat, &p) && recipe_lines_go(r->line, p.line))
        return product_parts(c, &p);
    return reduction(c);
}

/* The revision of now: the beginning keeps its shares, so a formula that is put meanwhile changes no batch. */
static bool from_formula(struct beginning *c, const char *code, const char *coat, const char *variant,
                         const char *product)
{
    struct formula f;
    if (!catalogue_formula(c->d->store, code, 0, &f))
        return catalogue_unknown(c->d->store, "formula", "formula", code, c->fault);
    bool ok = from_coat(c, &f, coat, variant) && on_top(c, product);
    formula_finish(&f);
    return ok;
}

/* A ratio mix without a formula: its first part is the whole colour. */
static bool from_product(struct beginning *c, const char *id)
{
    struct product p;
    struct recipe *r = recipe_of(c);
    if (!catalogue_product(c->d->store, id, &p))
        return catalogue_unknown(c->d->store, "product", "product", id, c->fault);
    const json_t *parts = json_object_get(c->params, "parts");
    const char *first = p.parts[0].id, *asked = json_string_value(json_array_get(parts, 0));
    if (asked)
        first = asked;
    if (strcmp(first, "colour") == 0)
        return fault_said(c->fault, FAULT_INVALID, "formula", "missing", "product_of_colour product=%s", id);
    snprintf(r->code, sizeof r->code, "%s", p.id);
    utf8_copy(r->name, sizeof r->name, p.name);
    snprintf(r->coat, sizeof r->coat, "%s", p.role);
    snprintf(r->line, sizeof r->line, "%s", p.line);
    snprintf(r->variant, sizeof r->variant, "standard");
    r->is_product = true;
    r->formula_revision = p.revision;
    add_colour(c, first, 1);
    begin_level(r);
    return product_parts(c, &p);
}

/* Whether all that a premix is made of stands in the bank, and finds room among the parts. */
static bool can_resolve(const struct beginning *c, const struct recipe *r, const struct toner *t)
{
    struct toner one;
    bool can = t->composition_count > 0 && r->parts + t->composition_count <= RECIPE_PARTS - 16;
    for (size_t k = 0; can && k < t->composition_count; k++)
        can = catalogue_toner(c->d->store, t->composition[k].toner, &one) && one.composition_count == 0;
    return can;
}

/* A premix that was poured by eye or by mistake is told by its own name, which is what the hand took. When it is mixed
 * again that tin is used up, so what it is made of is poured in its place. */
static void resolve_premixes(const struct beginning *c, struct recipe *r)
{
    struct toner t, one;
    for (size_t p = 0; p < r->parts; p++) {
        double share = r->part[p].share;
        if (r->part[p].role != PART_COLOUR || !catalogue_toner(c->d->store, r->part[p].toner, &t) ||
            !can_resolve(c, r, &t))
            continue;
        for (size_t k = 0; k < t.composition_count; k++) {
            int of = recipe_find(r, t.composition[k].toner);
            if (of < 0 && catalogue_toner(c->d->store, t.composition[k].toner, &one)) {
                of = (int)r->parts++;
                begin_part_of(&one, &r->part[of]);
                r->part[of].role = PART_COLOUR;
                r->part[of].share = 0;
            }
            if (of >= 0)
                r->part[of].share += share * t.composition[k].share;
        }
        memmove(&r->part[p], &r->part[p + 1], (r->parts - p - 1) * sizeof r->part[0]);
        r->parts--;
        p--;
    }
}

/* The colour as it was really poured, wrong tins and tints with it. Without reducer where none is asked for: a tint
 * that was found on a reduced sample is then carried to the paint that waits unreduced. */
static bool as_poured(struct beginning *c)
{
    const struct batch *b = c->source;
    struct recipe *r = recipe_of(c);
    double pct;
    if (!begin_number(c, "reduce_pct", 0, 100, &pct))
        return false;
    *r = b->recipe;
    r->parts = r->steps = r->mixes = 0;
    double sum = batch_colour_g(b);
    if (!(sum > 0))
        return fault_said(c->fault, FAULT_INVALID, "repeat", "empty", "repeat_empty batch=%s", b->id);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *from = &b->recipe.part[p];
        bool colour = from->role == PART_COLOUR;
        double poured = batch_toner_g(b, (int)p);
        if (from->role == PART_REDUCER && pct == 0)
            continue;
        if ((colour && !(poured > 0)) || (!colour && (from->foreign || !(from->per_base > 0))))
            continue;
        struct recipe_part *to = &r->part[r->parts];
        *to = *from;
        to->foreign = false;
        to->share = colour ? poured / sum : 0;
        /* All else is as it was, but a tin may stand elsewhere by now. */
        struct toner t;
        if (catalogue_toner(c->d->store, to->toner, &t))
            utf8_copy(to->place, sizeof to->place, t.bank);
        r->parts++;
    }
    resolve_premixes(c, r);
    /* Steps anew, one a part: colour in the order poured, then what goes on top. */
    for (int colour = 1; colour >= 0; colour--)
        for (size_t p = 0; p < r->parts; p++)
            if ((r->part[p].role == PART_COLOUR) == (colour == 1))
                r->step[r->steps++] = (struct recipe_step){.part = (int)p, .share = r->part[p].share};
    return true;
}

/* Once more: as it was really poured, or as its formula says today. */
static bool repeat(struct beginning *c, const char *product)
{
    const struct recipe *was = &c->source->recipe;
    const char *as = "poured";
    rpc_get_text(c->params, "as", &as, c->fault);
    if (strcmp(as, "poured") == 0)
        return as_poured(c);
    if (was->is_product)
        return from_product(c, was->code);
    return from_formula(c, was->code, was->coat, was->variant,
                        product           ? product
                        : was->product[0] ? was->product
                                          : NULL);
}

/* One of three: an older batch, a formula (with the product that it is reduced by), or a product alone. */
bool begin_recipe(struct beginning *c)
{
    const char *formula = NULL, *product = NULL, *coat = NULL, *variant = "standard";
    if (!rpc_get_text(c->params, "formula", &formula, c->fault) ||
        !rpc_get_text(c->params, "product", &product, c->fault) || !rpc_get_text(c->params, "coat", &coat, c->fault) ||
        !rpc_get_text(c->params, "variant", &variant, c->fault))
        return false;
    if (c->source)
        return repeat(c, product);
    if (formula)
        return from_formula(c, formula, coat, variant, product);
    if (product)
        return from_product(c, product);
    return fault_said(c->fault, FAULT_PARAMS, "formula", "missing", "begin_of_what");
}
