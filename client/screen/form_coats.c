/* form_coats.c - the coats that an order gets: those of the colour that is written, then products that are coats of
 * their own. It must not know how a line looks. */
#include "client/screen/form.h"

#include <string.h>

/* The colour that is written: the first that matches. NULL: nothing is written, or nothing found. */
static const json_t *colour_of(const struct model *m)
{
    const json_t *one = m->view.form[FORM_COLOUR][0] ? lists_match(&m->lists, "", 0) : NULL;
    return lists_is_product(one) || lists_is_batch(one) ? NULL : one;
}

/* The n-th product that is a coat by itself: one that takes its ratio to any colour is none. */
static const json_t *coat_product(const struct model *m, size_t n)
{
    static const char *const roles[] = {"clear", "primer", "sealer"};
    const json_t *products = json_object_get(m->lists.answer[LIST_PRODUCTS], "products");
    for (size_t role = 0; role < sizeof roles / sizeof *roles; role++)
        for (size_t i = 0; i < json_array_size(products); i++) {
            const json_t *one = json_array_get(products, i);
            const char *first = json_string_value(json_array_get(json_object_get(one, "parts"), 0));
            if (strcmp(member_text(one, "role"), roles[role]) == 0 && first && strcmp(first, "colour") != 0 && n-- == 0)
                return one;
        }
    return NULL;
}

enum { COATS_SHOWN = 9 }; /* as many as there are digits */

size_t form_order_coats(const struct model *m)
{
    size_t n = lists_coats(colour_of(m));
    while (n < COATS_SHOWN && coat_product(m, n - lists_coats(colour_of(m))))
        n++;
    return n;
}

/* Only what differs from the first state is kept: another colour then begins with all of its coats again. */
bool form_is_taken(const struct model *m, size_t i)
{
    return (i < lists_coats(colour_of(m))) != ((m->view.taken >> i & 1) != 0);
}

/* A colour's first variant: which one fits is seen on its cards, and chosen when it is mixed. */
json_t *form_order_coat(const struct model *m, size_t i)
{
    const json_t *colour = colour_of(m);
    size_t own = lists_coats(colour);
    if (i < own)
        return json_pack("{s:s, s:s, s:s}", "coat", lists_coat(colour, i), "formula", lists_id(colour), "variant",
                         lists_variant(colour, i, 0));
    const json_t *product = coat_product(m, i - own);
    return product ? json_pack("{s:s, s:s}", "coat", member_text(product, "role"), "product", lists_id(product)) : NULL;
}
