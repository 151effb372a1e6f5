/* journal_rows.c - events and batches as the rows that the store keeps of them. It must not know a bench, nor why an
 * event came about. */
#include "bench/journal_rows.h"

#include "station/aims.h"
#include "station/batch_record.h"
#include "text/json_write.h"
#include "text/number.h"
#include "text/version.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The store keeps NULL for what is not known, never an empty text. */
static const char *text_or_null(const char *text)
{
    return text[0] ? text : NULL;
}

/* Toners beside the formula, as a list keeps them: JSON, since an id needs no escape. NULL: none. */
static const char *bits_text(const struct batch_bit *bit, size_t count, char *out, size_t size)
{
    char grams[NUMBER_ROOM];
    size_t used = 0;
    for (size_t i = 0; i < count && used < size; i++)
        used +=
            (size_t)snprintf(out + used, size - used, "%s{\"toner\":\"%s\",\"grams\":%s}", i ? "," : "[", bit[i].toner,
                             number_plain(&(struct number_style){0}, bit[i].grams, grams, sizeof grams));
    if (count && used + 1 < size)
        memcpy(out + used, "]", 2);
    return count ? out : NULL;
}

/* The row repeats what the journal holds, so that find needs to fold nothing. */
void bench_row(const struct batch *batch, struct store_batch *row, struct bench_row_text *text)
{
    memset(row, 0, sizeof *row);
    row->batch = batch->id;
    row->state = batch_state_names[batch->state];
    row->station = batch->station;
    row->formula = batch->recipe.code;
    row->name = batch->recipe.name;
    row->variant = text_or_null(batch->recipe.variant);
    row->coat = text_or_null(batch->recipe.coat);
    row->order = text_or_null(batch->order);
    row->painter = text_or_null(batch->painter);
    clock_text(batch->begun_ms, text->begun);
    row->begun = text->begun;
    if (batch->finished_ms) {
        clock_text(batch->finished_ms, text->finished);
        row->finished = text->finished;
    }
    int64_t use_by_ms = batch_use_by_ms(batch);
    if (use_by_ms) {
        clock_text(use_by_ms, text->use_by);
        row->use_by = text->use_by;
    }
    row->total_g = batch_content_g(batch);
    row->activated = batch_activated(batch);
    row->tinted = bits_text(batch->tinted, batch->tints, text->tinted, sizeof text->tinted);
    row->foreign = bits_text(batch->foreign, batch->foreigns, text->foreign, sizeof text->foreign);
    row->left_g = batch->retired ? row->total_g : NAN;
    row->coat_n = batch->coat_n;
    row->cost = batch_cost(batch);
    row->discarded_g = NAN;
}

/* An event as the journal keeps it. Without memory for its body the
 * store refuses the write. */
void bench_event_row(const struct event *e, const char *batch, struct bench_event_text *text, struct store_event *row)
{
    json_t *body = event_body(e);
    text->body = body ? json_write(body, JSON_COMPACT | JSON_REAL_PRECISION(17)) : NULL;
    json_decref(body);
    clock_text(e->wall_ms, text->time);
    *row = (struct store_event){.kind = event_names[e->kind],
                                .station = e->station,
                                .batch = batch,
                                .revision = e->revision,
                                .time = text->time,
                                .mono_ns = e->mono_ns,
                                .boot = e->boot,
                                .person = text_or_null(e->person),
                                .client = "poised",
                                .version = POISE_VERSION,
                                .body = text->body};
}
