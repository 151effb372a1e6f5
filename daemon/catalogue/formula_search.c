/* formula_search.c - the first thing of a kind that fits: a reducer, a product for a coat, a cup of a size. Knows no
 * file. */
#include "catalogue/order.h"
#include "catalogue/row.h"

#include <math.h>
#include <string.h>

/* The first of a kind that fits: in the order in which the files were read, then by id. */
struct search {
    bool (*fits)(struct search *s, const json_t *body); /* leaves what it read in toner or product */
    const char *formula, *word;
    json_t *places; /* id -> its place in the order read */
    bool any;
    json_int_t rank; /* of the best so far */
    struct toner toner, best_toner;
    struct product product, best_product;
};

/* An order that could not be read leaves ids alone in order; the caller asks catalogue_was_read. */
static json_t *places_of(struct store *s, const char *kind)
{
    json_t *out = json_object(), *ids = order_kept(s, kind), *id;
    size_t i;
    json_array_foreach(ids, i, id) json_object_set_new(out, json_string_value(id), json_integer((json_int_t)i));
    json_decref(ids);
    return out;
}

/* Whatever stands in no file comes after all that do. */
static json_int_t rank_of(const struct search *s, const char *id)
{
    const json_t *place = json_object_get(s->places, id);
    return place ? json_integer_value(place) : (json_int_t)1 << 40;
}

/* A row that cannot be understood does not fit. */
static bool reducer_fits(struct search *s, const json_t *body)
{
    struct fault fault;
    return toner_from_json(body, &s->toner, &fault) && strcmp(s->toner.role, "reducer") == 0 &&
           strcmp(s->toner.line, s->word) == 0;
}

/* `colour` stands for whatever formula is mixed. */
static bool product_fits(struct search *s, const json_t *body)
{
    struct fault fault;
    return product_from_json(body, &s->product, &fault) && strcmp(s->product.role, s->word) == 0 &&
           (strcmp(s->product.parts[0].id, s->formula) == 0 || strcmp(s->product.parts[0].id, "colour") == 0);
}

/* A store_item_list callback: keeps the best so far. */
static void consider(void *arg, const struct store_item *i)
{
    struct search *s = arg;
    struct row row = {0};
    row_take(&row, i);
    if (row.body && s->fits(s, row.body)) {
        json_int_t rank = rank_of(s, i->id);
        if (s->fits == product_fits && strcmp(s->product.parts[0].id, s->formula) == 0)
            rank -= (json_int_t)1 << 50; /* the formula's own before one for any colour */
        if (!s->any || rank < s->rank) {
            s->any = true;
            s->rank = rank;
            s->best_toner = s->toner;
            s->best_toner.revision = row.revision;
            s->best_product = s->product;
            s->best_product.revision = row.revision;
        }
    }
    json_decref(row.body);
}

bool catalogue_product_for(struct store *s, const char *formula, const char *coat, struct product *out)
{
    struct search search = {.fits = product_fits, .formula = formula, .word = coat, .places = places_of(s, "product")};
    store_item_list(s, "product", coat, consider, &search); /* its role is one of the words it is found by */
    json_decref(search.places);
    if (search.any)
        *out = search.best_product;
    return search.any;
}

bool catalogue_reducer(struct store *s, const char *line, struct toner *out)
{
    struct search search = {.fits = reducer_fits, .word = line, .places = places_of(s, "toner")};
    store_item_list(s, "toner", "reducer", consider, &search);
    json_decref(search.places);
    if (search.any)
        *out = search.best_toner;
    return search.any;
}

/* The nearest cup so far. */
struct cup_search {
    double ml, nearest;
    struct cup_kind *out;
    bool found;
};

static void consider_cup(void *arg, const struct store_item *i)
{
    struct cup_search *search = arg;
    struct row row = {0};
    struct cup_kind c;
    struct fault fault;
    row_take(&row, i);
    if (row.body && cup_from_json(row.body, &c, &fault)) {
        double away = fabs(c.ml - search->ml);
        if (away <= 0.01 * search->ml && (!search->found || away < search->nearest)) {
            *search->out = c;
            search->nearest = away;
            search->found = true;
        }
    }
    json_decref(row.body);
}

/* People round: 744 ml is the cup of 750. 1 % is common practice, no source. */
bool catalogue_cup_of_ml(struct store *s, double ml, struct cup_kind *out)
{
    struct cup_search search = {.ml = ml, .out = out};
    store_item_list(s, "cup", NULL, consider_cup, &search);
    return search.found;
}
