/* card_content.c - shares of the colour of a batch or of a formula's coat. It must not know what they are for. */
#include "rpc/methods/card_content.h"

#include "bench/batch_journal.h"
#include "catalogue/catalogue.h"
#include "station/aims.h"
#include "text/number.h"

#include <stdlib.h>

/* A toner of which nothing is there is no part of the colour. */
static void add(json_t *list, const char *toner, double share)
{
    if (share > 0)
        json_array_append_new(list, json_pack("{s:s, s:o}", "toner", toner, "share", number_json(share)));
}

/* As really poured, wrong tins and tints with it. */
static json_t *of_batch(struct daemon *d, const char *number)
{
    struct fault ignored = {0};
    struct batch *b = journal_find(d, number, "batch", &ignored);
    if (!b)
        return json_null();
    json_t *list = json_array();
    double colour_g = batch_colour_g(b);
    for (size_t p = 0; p < b->recipe.parts && colour_g > 0; p++)
        if (b->recipe.part[p].role == PART_COLOUR)
            add(list, b->recipe.part[p].toner, batch_toner_g(b, (int)p) / colour_g);
    batch_finish(b);
    free(b);
    return list;
}

/* As the formula stands today: a card is put soon after it was sprayed. */
static json_t *of_formula(struct daemon *d, const char *code, const char *coat_name, const char *variant)
{
    struct formula f;
    if (!coat_name || !catalogue_formula(d->store, code, 0, &f))
        return json_null();
    const struct coat *coat = formula_coat(&f, coat_name, variant ? variant : "standard");
    json_t *list = coat ? json_array() : json_null();
    double sum = 0;
    for (size_t i = 0; coat && i < coat->part_count; i++)
        sum += coat->parts[i].parts;
    for (size_t i = 0; coat && i < coat->part_count && sum > 0; i++)
        add(list, coat->parts[i].toner, coat->parts[i].parts / sum);
    formula_finish(&f);
    return list;
}

/* The batch goes before the formula: what was sprayed is what was poured. */
json_t *card_content(struct daemon *d, const json_t *card)
{
    const char *batch = json_string_value(json_object_get(card, "batch"));
    const char *formula = json_string_value(json_object_get(card, "formula"));
    if (batch)
        return of_batch(d, batch);
    return formula ? of_formula(d, formula, json_string_value(json_object_get(card, "coat")),
                                json_string_value(json_object_get(card, "variant")))
                   : json_null();
}
