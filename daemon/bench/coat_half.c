/* coat_half.c - which half of a coat a batch mixes, and which is still to come. It must not know how much paint that
 * is. */
#include "bench/coat_half.h"

#include "store/store.h"
#include "text/json_read.h"

#include <string.h>

/* Only where both are asked for by panels: grams name one amount, which is not divided. */
bool coat_has_halves(const json_t *coat)
{
    const json_t *panels = json_object_get(coat, "panels"), *panel;
    bool has[2] = {false};
    size_t i;
    json_array_foreach(panels, i, panel) has[json_is_true(json_object_get(panel, "edges"))] = true;
    return has[0] && has[1] && !json_is_number(json_object_get(coat, "grams"));
}

/* A store_events callback: what the beginning says of it is all that is looked at. */
static bool take_half(void *arg, const struct store_event *e)
{
    enum coat_half *half = arg;
    json_t *body = json_read_text(e->body ? e->body : "");
    json_int_t edges = json_integer_value(json_object_get(json_object_get(body, "begun"), "edges"));
    *half = edges == HALF_EDGES || edges == HALF_OUTSIDES ? (enum coat_half)edges : HALF_WHOLE;
    json_decref(body);
    return false;
}

/* By the beginning in its journal; a batch that cannot be read counts as whole. */
enum coat_half coat_half_of(struct store *view, const char *batch)
{
    enum coat_half half = HALF_WHOLE;
    store_events(view, batch, take_half, &half);
    return half;
}

/* What a coat's batches have mixed so far. */
struct mixed {
    struct store *view;
    int n;
    bool half[HALVES];
};

/* A store_order_batches callback. One that is still open counts: two benches shall not mix the same half. */
static void add_batch(void *arg, const struct store_batch *b)
{
    struct mixed *m = arg;
    if (b->coat_n == m->n && strcmp(b->state, "scrapped") != 0)
        m->half[coat_half_of(m->view, b->batch)] = true;
}

/* Whoever mixed all at once has nothing to come; where the list cannot be read the whole is asked for, and the caller
 * learns from the store that it is unread (catalogue_was_read). */
enum coat_half coat_half_next(struct store *view, const char *order, int n, const bool begun[HALVES])
{
    struct mixed m = {.view = view, .n = n};
    memcpy(m.half, begun, sizeof m.half);
    if (!store_order_batches(view, order, add_batch, &m) || m.half[HALF_WHOLE])
        return HALF_WHOLE;
    if (!m.half[HALF_EDGES])
        return HALF_EDGES;
    return m.half[HALF_OUTSIDES] ? HALF_WHOLE : HALF_OUTSIDES;
}
