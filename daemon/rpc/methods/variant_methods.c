/* variant_methods.c - formula.keep: a batch as it was poured, kept as a variant of its formula. It must not know how a
 * formula is kept: that is formula.put. */
#include "bench/batch_journal.h"
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "id.h"
#include "rpc/methods/methods.h"
#include "station/aims.h"
#include "text/number.h"
#include "text/utf8.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* `tinted 1042`, where nobody names it: the batch tells who made it, when, and for what. */
static const char *name_of(const json_t *params, const struct batch *b, char room[40])
{
    const char *given = json_string_value(json_object_get(params, "variant"));
    snprintf(room, 40, "tinted %.24s", b->id);
    return given ? given : room;
}

/* Grams of the colour as poured, wrong tins and tints with it; what goes on top is no part of a formula. */
static json_t *parts_of(const struct batch *b)
{
    json_t *parts = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double grams = batch_toner_g(b, (int)p);
        if (b->recipe.part[p].role == PART_COLOUR && grams > 0)
            json_array_append_new(
                parts, json_pack("{s:s, s:o}", "toner", b->recipe.part[p].toner, "parts", number_json(grams)));
    }
    return parts;
}

/* Only what is finished is a recipe, and only of a formula. False: *f. */
static bool may_be_kept(const struct batch *b, const char *variant, struct fault *f)
{
    if (b->state != BATCH_FINISHED) {
        fault_said(f, FAULT_STATE, "batch", batch_state_names[b->state], "batch_not_finished batch=%s", b->id);
        utf8_copy(f->state, sizeof f->state, batch_state_names[b->state]);
        return false;
    }
    if (b->recipe.is_product || !(batch_colour_g(b) > 0))
        return fault_said(f, FAULT_INVALID, "batch", "product", "keep_no_colour batch=%s", b->id);
    if (!variant_fits(variant))
        return fault_said(f, FAULT_INVALID, "variant", "form", "formula_coat_variant given=%s", variant);
    return true;
}

/* The coat's variant of that name, NULL: the name is free. The same request again finds its own there, and the store
 * gives its first answer. */
static const json_t *namesake(const json_t *coats, const json_t *coat)
{
    size_t i;
    const json_t *one;
    json_array_foreach((json_t *)(uintptr_t)coats, i, one)
    {
        if (json_equal(json_object_get(one, "coat"), json_object_get(coat, "coat")) &&
            json_equal(json_object_get(one, "variant"), json_object_get(coat, "variant")))
            return one;
    }
    return NULL;
}

/* What formula.put is to be told; NULL: *f. A new reference. */
static json_t *with_variant(struct daemon *d, const json_t *params, const struct batch *b, struct fault *f)
{
    static const char *const told[] = {"reason", "person", "request", NULL};
    char room[40];
    const char *variant = name_of(params, b, room);
    if (!may_be_kept(b, variant, f))
        return NULL;
    json_t *formula = catalogue_get(d->store, "formula", b->recipe.code, 0);
    if (!formula) {
        catalogue_unknown(d->store, "formula", "batch", b->recipe.code, f);
        return NULL;
    }
    json_t *coats = json_object_get(formula, "coats");
    json_t *coat = json_pack("{s:s, s:s, s:o}", "coat", b->recipe.coat, "variant", variant, "parts", parts_of(b));
    const json_t *other = namesake(coats, coat);
    bool used = other && !json_equal(json_object_get(other, "parts"), json_object_get(coat, "parts"));
    if (!other)
        json_array_append(coats, coat);
    json_decref(coat);
    if (used) {
        fault_said(f, FAULT_INVALID, "variant", "used", "variant_used variant=%s", variant);
        json_decref(formula);
        return NULL;
    }
    json_object_del(formula, "reason"); /* of the revision before */
    for (const char *const *m = told; *m; m++)
        if (json_object_get(params, *m))
            json_object_set(formula, *m, json_object_get(params, *m));
    return formula;
}

/* A variant is a new revision of the formula, as any other change of it: batches of before keep theirs. */
void method_formula_keep(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    struct batch *b = journal_find(d, json_string_value(json_object_get(params, "batch")), "batch", &fault);
    json_t *formula = b ? with_variant(d, params, b, &fault) : NULL;
    if (b) {
        batch_finish(b);
        free(b);
    }
    if (formula)
        method_formula_put(d, call, formula);
    else
        rpc_fail(call, &fault);
    json_decref(formula);
}
