/* cards.c - which spray-out cards fit a colour. It must not know who asks. */
#include "rpc/methods/cards.h"
#include "text/json_read.h"

#include <string.h>

/* wanted NULL: any will do. */
static bool is(const json_t *card, const char *name, const char *wanted)
{
    const char *text = json_string_value(json_object_get(card, name));
    return !wanted || (text && strcmp(text, wanted) == 0);
}

static bool holds(const json_t *list, const json_t *text)
{
    size_t i;
    const json_t *one;
    json_array_foreach(list, i, one) if (json_equal(one, text)) return true;
    return false;
}

/* Every light that is wanted must have been looked in: metamerism shows in one light and not in another. */
bool cards_fit(const json_t *card, const struct cards_wanted *want)
{
    size_t i;
    const json_t *light;
    if (!is(card, "variant", want->variant) || !is(card, "coat", want->coat) || !is(card, "order", want->order) ||
        !is(card, "verdict", want->verdict))
        return false;
    if (want->coats > 0 && json_number_value(json_object_get(card, "coats")) != want->coats)
        return false;
    json_array_foreach(want->light, i, light) if (!holds(json_object_get(card, "light"), light)) return false;
    return true;
}

/* Cards that matched stand before those that were near or not, each group newest first. */
struct found {
    const struct cards_wanted *want;
    json_t *matched, *others;
    bool one; /* the first will do */
};

/* A store_cards_of callback: they come newest first. */
static bool add_card(void *arg, const struct store_item *item)
{
    struct found *f = arg;
    json_t *card = json_read_text(item->body);
    bool fits = card && cards_fit(card, f->want);
    if (fits)
        json_array_append(is(card, "verdict", "match") ? f->matched : f->others, card);
    json_decref(card);
    return !(fits && f->one);
}

/* False: not all could be read, and out is no answer. */
bool cards_find(struct store *view, const struct cards_wanted *want, json_t *out)
{
    struct found f = {.want = want, .matched = out, .others = json_array()};
    bool read = store_items_about(view, "card", want->formula, add_card, &f);
    json_array_extend(out, f.others);
    json_decref(f.others);
    return read;
}

/* A new reference; null where no card of that coat ever matched. */
json_t *cards_matched(struct store *s, const char *formula, const char *variant, const char *coat)
{
    const struct cards_wanted want = {.variant = variant, .coat = coat, .verdict = "match"};
    struct found f = {.want = &want, .matched = json_array(), .others = NULL, .one = true};
    store_items_about(s, "card", formula, add_card, &f);
    json_t *card = json_array_size(f.matched) ? json_incref(json_array_get(f.matched, 0)) : json_null();
    json_decref(f.matched);
    return card;
}
