/* substitute_methods.c - toner.substitute: what may be poured in place of a toner that ran out. It must not know a
 * batch: the painter decides, and says so with `really`.
 *
 * The rule, `same_pigment`: another toner of the bank with the same Colour Index name, role and line (common practice,
 * no source). Strength and undertone of two toners of one pigment differ all the same, so nothing is poured by itself.
 * A toner without a pigment has none. By density, the nearest first, since a formula's parts are weights. One whose
 * tins are counted and hold less than is wanted is none; of one that nobody counted the painter sees what is in it.
 */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

struct substitute_asked {
    struct inquiry inquiry;
    const char *toner; /* borrowed from params */
    double grams;      /* wanted of it; NaN: not said */
};

/* One that fits, and how far its density is from the one wanted; not known: behind all others. */
struct candidate {
    const json_t *toner; /* borrowed from the list */
    double away;
    double there_g; /* in its tins together; NaN: nobody ever counted or received any */
};

/* "" for null. */
static const char *text_of(const json_t *toner, const char *name)
{
    const char *text = json_string_value(json_object_get(toner, name));
    return text ? text : "";
}

/* The rule as it stands above. */
static bool fits(const json_t *wanted, const json_t *other)
{
    return strcmp(text_of(wanted, "id"), text_of(other, "id")) != 0 && *text_of(wanted, "pigment") &&
           strcasecmp(text_of(wanted, "pigment"), text_of(other, "pigment")) == 0 &&
           strcmp(text_of(wanted, "role"), text_of(other, "role")) == 0 &&
           strcmp(text_of(wanted, "line"), text_of(other, "line")) == 0;
}

/* By density, then by id. */
static int order(const void *a, const void *b)
{
    const struct candidate *x = a, *y = b;
    if (x->away < y->away || x->away > y->away)
        return x->away < y->away ? -1 : 1;
    return strcmp(text_of(x->toner, "id"), text_of(y->toner, "id"));
}

/* Grams a millilitre; HUGE_VAL where one of them is unknown. */
static double away(const json_t *wanted, const json_t *other)
{
    const json_t *a = json_object_get(wanted, "density_g_per_ml"), *b = json_object_get(other, "density_g_per_ml");
    return json_is_number(a) && json_is_number(b) ? fabs(json_number_value(a) - json_number_value(b)) : HUGE_VAL;
}

/* A store_tins callback. */
static void add_tin(void *arg, const struct store_tin *tin)
{
    double *grams = arg;
    *grams = isnan(*grams) ? tin->grams : *grams + tin->grams;
}

/* The rule by which it fits, and how much of it there is where that is known. */
static struct said why_of(const struct candidate *c)
{
    const char *pigment = text_of(c->toner, "pigment"), *line = text_of(c->toner, "line");
    return isnan(c->there_g) ? say("substitute_same_pigment pigment=%s line=%s", pigment, line)
                             : say("substitute_in_stock pigment=%s line=%s left_g=%f", pigment, line, c->there_g);
}

/* A new list, the nearest first. Without memory it is empty, as if nothing fitted. */
static json_t *with(struct store *view, const json_t *wanted, const json_t *all, double grams)
{
    json_t *list = json_array();
    struct candidate *found = calloc(json_array_size(all) + 1, sizeof *found);
    size_t count = 0;
    for (size_t i = 0; found && i < json_array_size(all); i++) {
        const json_t *other = json_array_get(all, i);
        struct candidate c = {other, away(wanted, other), NAN};
        if (!fits(wanted, other))
            continue;
        store_tins(view, text_of(other, "id"), add_tin, &c.there_g);
        if (!(c.there_g < grams) && !(c.there_g <= 0))
            found[count++] = c;
    }
    if (count > 0)
        qsort(found, count, sizeof *found, order);
    for (size_t i = 0; i < count; i++) {
        const struct said why = why_of(&found[i]);
        json_array_append_new(
            list, json_pack("{s:s, s:o}", "toner", text_of(found[i].toner, "id"), "why", said_json(&why, NULL)));
    }
    free(found);
    return list;
}

/* On a helper thread: the whole bank is looked through. */
static void run(struct inquiry *inquiry, struct store *view)
{
    const struct substitute_asked *a = (const struct substitute_asked *)(const void *)inquiry;
    uint64_t unread = store_unread(view);
    json_t *wanted = catalogue_get(view, "toner", a->toner, 0), *all = catalogue_list(view, "toner", NULL);
    if (store_unread(view) != unread)
        inquiry_unread(inquiry, view);
    else if (!wanted)
        catalogue_unknown(view, "toner", "toner", a->toner, &inquiry->fault);
    else
        inquiry_answer(inquiry, json_pack("{s:o}", "with", with(view, wanted, all, a->grams)));
    json_decref(all);
    json_decref(wanted);
}

/* NaN: not said, which is fine. */
static bool grams_fit(double grams, struct fault *f)
{
    return isnan(grams) || (grams > 0 && grams <= 1e6) ||
           fault_said(f, FAULT_INVALID, "grams", "range", "member_from_to field=%s least=%f most=%f", "grams", 0.0,
                      1e6);
}

void method_toner_substitute(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct substitute_asked *a = inquiry_new(d, call, params, sizeof *a);
    struct fault f = {0};
    if (!a)
        return;
    a->grams = NAN;
    if (!rpc_get_number(params, "grams", &a->grams, &f) || !grams_fit(a->grams, &f)) {
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->toner = json_string_value(json_object_get(params, "toner"));
    inquiry_start(&a->inquiry, STORE_QUICK, run);
}
