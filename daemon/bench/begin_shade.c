/* begin_shade.c - what tells how a deviation will look: the toners' optics, and the shop's measured spray-out cards of
 * that colour. It must not know how a difference is reckoned (station/shade.c). */
#include "bench/begin_parts.h"

#include "store/store.h"
#include "text/json_read.h"

#include <math.h>
#include <string.h>

/* The newest so many cards are looked at: older ones tell of tins that are long empty. */
enum { CARDS_LOOKED_AT = 100, CARDS_KEPT = 16 };
/* Cards nearer than this to each other tell nothing of a direction: half a per cent of the colour moved. */
#define NEAR 0.005

/* A card whose content the recipe's toners make up. */
struct measured {
    double share[RECIPE_PARTS];
    struct recipe_card lab;
    double from_recipe; /* how far its shares are from the recipe's */
};

struct looking {
    const struct recipe *r;
    struct measured card[CARDS_KEPT];
    size_t count, seen;
};

/* The root of the squares of what differs. */
static double distance(const double a[], const double b[], size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (a[i] - b[i]) * (a[i] - b[i]);
    return sqrt(sum);
}

/* The recipe's own, in the order of its parts. */
static void shares_of(const struct recipe *r, double share[RECIPE_PARTS])
{
    for (size_t p = 0; p < RECIPE_PARTS; p++)
        share[p] = p < r->parts && r->part[p].role == PART_COLOUR ? r->part[p].share : 0;
}

/* False: it holds a toner that the recipe does not. */
static bool content_of(const struct recipe *r, const json_t *parts, double share[RECIPE_PARTS])
{
    size_t i;
    const json_t *part;
    memset(share, 0, RECIPE_PARTS * sizeof share[0]);
    json_array_foreach((json_t *)(uintptr_t)parts, i, part)
    {
        const char *toner = json_string_value(json_object_get(part, "toner"));
        int at = toner ? recipe_find(r, toner) : -1;
        if (at < 0 || r->part[at].role != PART_COLOUR)
            return false;
        share[at] += json_number_value(json_object_get(part, "share"));
    }
    return json_array_size(parts) > 0;
}

/* A store_items_about callback. */
static bool look_at(void *arg, const struct store_item *item)
{
    struct looking *l = arg;
    struct measured *m = &l->card[l->count];
    json_t *card = json_read_text(item->body);
    const json_t *lab = json_object_get(card, "lab");
    const char *coat = json_string_value(json_object_get(card, "coat"));
    bool fits = json_array_size(lab) == 3 && coat && strcmp(coat, l->r->coat) == 0 &&
                content_of(l->r, json_object_get(card, "parts"), m->share);
    if (fits) {
        double own[RECIPE_PARTS];
        shares_of(l->r, own);
        m->lab =
            (struct recipe_card){json_number_value(json_array_get(lab, 0)), json_number_value(json_array_get(lab, 1)),
                                 json_number_value(json_array_get(lab, 2))};
        m->from_recipe = distance(m->share, own, l->r->parts);
        l->count++;
    }
    json_decref(card);
    return ++l->seen < CARDS_LOOKED_AT && l->count < CARDS_KEPT;
}

/* The lists by part grow together, so that a part without any is one that no card has. */
static void keep(struct recipe *r, const struct measured *m)
{
    r->card[r->cards++] = m->lab;
    for (size_t p = 0; p < r->parts; p++) {
        r->part[p].card_share[r->cards - 1] = m->share[p];
        r->part[p].in_cards = r->cards;
    }
}

/* The farthest from all that are kept; -1: each is as good as there already. */
static int farthest(const struct looking *l, const int kept[], size_t n)
{
    double most = NEAR;
    int best = -1;
    for (size_t i = 0; i < l->count; i++) {
        double least = INFINITY;
        for (size_t k = 0; k < n; k++)
            least = fmin(least, distance(l->card[i].share, l->card[kept[k]].share, l->r->parts));
        if (least > most) {
            most = least;
            best = (int)i;
        }
    }
    return best;
}

/* The card nearest to the recipe, and those that lie farthest apart: between them lie most deviations. */
static void take_cards(struct recipe *r, const struct looking *l)
{
    int kept[RECIPE_CARDS] = {0};
    for (size_t i = 1; i < l->count; i++)
        if (l->card[i].from_recipe < l->card[kept[0]].from_recipe)
            kept[0] = (int)i;
    for (size_t n = 1; n < RECIPE_CARDS; n++) {
        int next = farthest(l, kept, n);
        if (next < 0)
            break;
        if (n == 1)
            keep(r, &l->card[kept[0]]);
        kept[n] = next;
        keep(r, &l->card[next]);
    }
}

/* Where pigments are measured a binder need not be: beside them it neither absorbs nor scatters (from memory). */
static void clear_binders(struct beginning *c)
{
    struct recipe *r = &c->begun->recipe;
    bool measured = false;
    for (size_t p = 0; p < r->parts; p++)
        measured = measured || (r->part[p].role == PART_COLOUR && r->part[p].bands > 0);
    for (size_t p = 0; measured && p < r->parts; p++) {
        struct toner t;
        if (r->part[p].role == PART_COLOUR && r->part[p].bands == 0 &&
            catalogue_toner(c->d->store, r->part[p].toner, &t) && strcmp(t.role, "binder") == 0)
            r->part[p].bands = MIX_BANDS;
    }
}

/* Of a ratio mix nobody sprays a card for its colour. A repeated batch looks anew: its cards may be younger than it. */
bool begin_shade(struct beginning *c)
{
    struct recipe *r = &c->begun->recipe;
    struct looking l = {.r = r};
    r->cards = 0;
    for (size_t p = 0; p < r->parts; p++)
        r->part[p].in_cards = 0;
    clear_binders(c);
    if (r->is_product)
        return true;
    if (!store_items_about(c->d->store, "card", r->code, look_at, &l))
        return store_say_unread(c->d->store, c->fault);
    if (l.count >= 2)
        take_cards(r, &l);
    return true;
}
