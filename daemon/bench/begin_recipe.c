/* begin_recipe.c - the recipe of a beginning: of a formula, a product, or an older batch. It must not know amounts. */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct recipe *recipe_of(struct beginning *c)
{
    return &c->begun->recipe;
}

/* A toner named again adds to its part and gets a step of its own. */
static bool add_colour(struct beginning *c, const char *toner, double parts)
{
    struct recipe *r = recipe_of(c);
    struct toner t;
    int part = recipe_find(r, toner);
    if (part < 0) {
        part = (int)r->parts;
        if (catalogue_toner(c->d->store, toner, &t)) {
            begin_part_of(&t, &r->part[part]);
        } else {
            /* Nothing describes it any more: it can be weighed, but neither sized nor priced. */
            struct recipe_part *p = &r->part[part];
            memset(p, 0, sizeof *p);
            snprintf(p->toner, sizeof p->toner, "%s", toner);
            snprintf(p->name, sizeof p->name, "%s", toner);
            p->per_base = p->density_g_per_ml = p->price_per_kg = p->voc_pct = p->water_pct = p->exempt_pct =
                p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
        }
        r->part[part].role = PART_COLOUR;
        r->parts++;
    }
    r->part[part].share += parts;
    r->step[r->steps].part = part;
    r->step[r->steps].share = parts;
    r->steps++;
    return true;
}

/* Parts by weight become shares of 1, of steps and parts alike. */
static void normalise(struct recipe *r)
{
    double sum = 0;
    for (size_t s = 0; s < r->steps; s++)
        sum += r->step[s].share;
    for (size_t s = 0; s < r->steps; s++)
        r->step[s].share /= sum;
    for (size_t p = 0; p < r->parts; p++)
        r->part[p].share /= sum;
}

static void head_of(struct recipe *r, const struct formula *f, const struct coat *coat)
{
    snprintf(r->code, sizeof r->code, "%s", f->code);
    snprintf(r->name, sizeof r->name, "%.95s", f->name);
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
    if (!name) {
        for (size_t i = 0; i < f->coat_count; i++) {
            if (name && strcmp(name, f->coats[i].coat) != 0) {
                fault_said(c->fault, FAULT_INVALID, "coat", "missing", "formula_which_coat formula=%s", f->code);
                return NULL;
            }
            name = f->coats[i].coat;
        }
    }
    const struct coat *coat = name ? formula_coat(f, name, variant) : NULL;
    if (coat)
        return coat;
    bool has_coat = name && formula_coat(f, name, "standard");
    for (size_t i = 0; i < f->coat_count && name && !has_coat; i++)
        has_coat = strcmp(f->coats[i].coat, name) == 0;
    if (has_coat)
        fault_said(c->fault, FAULT_UNKNOWN, "variant", "unknown", "formula_no_variant formula=%s", f->code);
    else
        fault_said(c->fault, FAULT_UNKNOWN, "coat", "unknown", "formula_no_coat formula=%s", f->code);
    return NULL;
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
    normalise(recipe_of(c));
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

/* The product named, or the one that gives this coat its ratio; else the reduction. */
static bool on_top(struct beginning *c, const char *product)
{
    struct product p;
    struct recipe *r = recipe_of(c);
    if (product) {
        if (!catalogue_product(c->d->store, product, &p))
            return fault_said(c->fault, FAULT_UNKNOWN, "product", "unknown", "product_unknown product=%s", product);
        return product_goes(c, &p) && begin_product_parts(c, &p);
    }
    if (!r->is_product && catalogue_product_for(c->d->store, r->code, r->coat, &p) && recipe_lines_go(r->line, p.line))
        return begin_product_parts(c, &p);
    return begin_reduction(c);
}

static bool from_formula(struct beginning *c, const char *code, const char *coat, const char *variant,
                         const char *product)
{
    struct formula f;
    if (!catalogue_formula(c->d->store, code, 0, &f))
        return fault_said(c->fault, FAULT_UNKNOWN, "formula", "unknown", "formula_unknown formula=%s", code);
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
        return fault_said(c->fault, FAULT_UNKNOWN, "product", "unknown", "product_unknown product=%s", id);
    const json_t *parts = json_object_get(c->params, "parts");
    const char *first = p.parts[0].id, *asked = json_string_value(json_array_get(parts, 0));
    if (asked)
        first = asked;
    if (strcmp(first, "colour") == 0)
        return fault_said(c->fault, FAULT_INVALID, "formula", "missing", "product_of_colour product=%s", id);
    snprintf(r->code, sizeof r->code, "%s", p.id);
    snprintf(r->name, sizeof r->name, "%.95s", p.name);
    snprintf(r->coat, sizeof r->coat, "%s", p.role);
    snprintf(r->line, sizeof r->line, "%s", p.line);
    snprintf(r->variant, sizeof r->variant, "standard");
    r->is_product = true;
    r->formula_revision = p.revision;
    add_colour(c, first, 1);
    normalise(r);
    return begin_product_parts(c, &p);
}

/* The colour as it was really poured, wrong tins and tints with it. */
static bool as_poured(struct beginning *c)
{
    const struct batch *b = c->source;
    struct recipe *r = recipe_of(c);
    *r = b->recipe;
    r->parts = r->steps = 0;
    double sum = batch_colour_g(b);
    if (!(sum > 0))
        return fault_said(c->fault, FAULT_INVALID, "repeat", "empty", "repeat_empty batch=%s", b->id);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *from = &b->recipe.part[p];
        bool colour = from->role == PART_COLOUR;
        double poured = batch_part_g(b, (int)p);
        if ((colour && !(poured > 0)) || (!colour && (from->foreign || !(from->per_base > 0))))
            continue;
        struct recipe_part *to = &r->part[r->parts];
        *to = *from;
        to->foreign = false;
        to->share = colour ? poured / sum : 0;
        r->parts++;
    }
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
