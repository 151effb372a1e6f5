/* learnt.c - jobs of a painter as the store keeps them. It must not know what a plan makes of them. */
#include "bench/learnt.h"

#include "bench/coat_half.h"
#include "text/json_read.h"
#include "text/json_write.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Painter and coat as one key; a line end stands in no name. */
static void key_of(const char *painter, const char *coat, char *out, size_t size)
{
    snprintf(out, size, "%s\n%s", painter, coat);
}

/* A store_items_about callback. */
static bool add_job(void *arg, const struct store_item *item)
{
    struct learnt *l = arg;
    json_t *job = json_read_text(item->body);
    double used = json_number_value(json_object_get(job, "used_g"));
    double estimate = json_number_value(json_object_get(job, "estimate_g"));
    json_decref(job);
    if (used > 0 && estimate > 0)
        l->ratio[l->jobs++] = used / estimate;
    return l->jobs < MIX_JOBS;
}

/* By painter and coat, whatever the colour: it is the hand and the gun that take more or less. */
bool learnt_read(struct store *s, const char *painter, const char *coat, struct learnt *out)
{
    char key[EVENT_NAME + 24];
    out->jobs = 0;
    if (!*painter || !*coat)
        return true;
    key_of(painter, coat, key, sizeof key);
    return store_items_about(s, STORE_LEARNT, key, add_job, out);
}

/* ---- a job's next revision ---- */

/* A job in the making. */
struct making {
    struct store *view;
    const struct batch *batch;
    json_t *whole; /* numbers of cups that count as used up though nobody weighed them */
    json_t *over;  /* grams of such a cup that were poured over into another one of the job, by its number */
    double used_g;
};

static void take_body(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* -1: not in the list. */
static int place_of(const json_t *list, const char *batch)
{
    size_t i;
    json_t *one;
    json_array_foreach(list, i, one) if (strcmp(json_string_value(one), batch) == 0) return (int)i;
    return -1;
}

/* Grams of that cup with which this batch was begun: they are used, if at all, out of this one. */
static double poured_over(struct making *m, const char *from)
{
    double grams = 0;
    for (size_t i = 0; i < m->batch->haves; i++)
        if (strcmp(m->batch->have[i].batch, from) == 0)
            grams += m->batch->have[i].grams;
    if (grams > 0)
        json_object_set_new(m->over, from, json_real(grams));
    return grams;
}

/* A store_order_batches callback: another cup of the same coat. */
static void add_cup(void *arg, const struct store_batch *row)
{
    struct making *m = arg;
    if (row->coat_n != m->batch->coat_n || strcmp(row->batch, m->batch->id) == 0 ||
        strcmp(row->state, "finished") != 0 || row->weighed || row->place || place_of(m->whole, row->batch) >= 0 ||
        (int)coat_half_of(m->view, row->batch) != m->batch->edges)
        return;
    m->used_g += fmax(0, row->total_g - poured_over(m, row->batch));
    json_array_append_new(m->whole, json_string(row->batch));
}

/* What the job came to before; a new one begins with nothing used. False: it could not be read. */
static bool so_far(struct store *s, const char *id, struct making *m, double *estimate_g)
{
    json_t *job = NULL;
    if (store_item_get(s, STORE_LEARNT, id, 0, take_body, &job) == STORE_UNREAD)
        return false;
    const json_t *whole = json_object_get(job, "whole"), *over = json_object_get(job, "over");
    m->whole = json_is_array(whole) ? json_deep_copy(whole) : json_array();
    m->over = json_is_object(over) ? json_deep_copy(over) : json_object();
    m->used_g = json_number_value(json_object_get(job, "used_g"));
    if (json_is_number(json_object_get(job, "estimate_g")))
        *estimate_g = json_number_value(json_object_get(job, "estimate_g"));
    json_decref(job);
    return m->whole && m->over;
}

/* A job without an estimate (grams were asked for) is not kept, but of an order's coat an earlier cup may have had one.
 * Jambs and edges have an estimate of their own, and so they are a job of their own. */
bool learnt_job(struct store *s, const struct batch *b, double total_g, double used_g, struct learnt_job *out)
{
    struct making m = {.view = s, .batch = b};
    double estimate_g = b->estimate_g;
    bool coat = b->order[0] && b->coat_n > 0;
    out->body = NULL;
    if (!b->painter[0])
        return true;
    if (coat)
        snprintf(out->id, sizeof out->id, "%s/%d%s", b->order, b->coat_n, b->edges == HALF_EDGES ? "/edges" : "");
    else
        snprintf(out->id, sizeof out->id, "%s", b->id);
    key_of(b->painter, b->recipe.coat, out->about, sizeof out->about);
    if (!so_far(s, out->id, &m, &estimate_g))
        return false;
    /* It was taken for used up before somebody weighed it. */
    int counted = place_of(m.whole, b->id);
    if (counted >= 0) {
        /* What was poured over is neither in what was counted nor in what the cup has lost since. */
        m.used_g -= fmax(0, total_g - json_number_value(json_object_get(m.over, b->id)));
        json_array_remove(m.whole, (size_t)counted);
        json_object_del(m.over, b->id);
    }
    m.used_g += used_g;
    bool good = !coat || store_order_batches(s, b->order, add_cup, &m);
    if (good && estimate_g > 0) {
        json_t *body = json_pack("{s:f, s:f, s:O, s:O}", "estimate_g", estimate_g, "used_g", m.used_g, "whole", m.whole,
                                 "over", m.over);
        out->body = body ? json_write(body, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
        good = out->body != NULL;
        json_decref(body);
    }
    json_decref(m.whole);
    json_decref(m.over);
    return good;
}
