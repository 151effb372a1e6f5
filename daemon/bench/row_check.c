/* row_check.c - see row_check.h. It must not know who asks. */
#include "bench/row_check.h"

#include "bench/batch_journal.h"
#include "bench/journal_rows.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* In the making. */
struct checking {
    struct store *view;
    const struct store_task *task;
    struct rows_checked *out;
    bool ended;
};

static bool same(const char *a, const char *b)
{
    return strcmp(a ? a : "", b ? b : "") == 0;
}

/* Written in another time zone it is the same moment. */
static bool same_time(const char *a, const char *b)
{
    return same(a, b) || (a && b && timestamp_parse(a) == timestamp_parse(b));
}

static bool same_number(double a, double b)
{
    return isnan(a) ? isnan(b) : fabs(a - b) < 1e-6;
}

/* A row of the first schema says nothing of hardener and tints. */
static bool says(const struct store_batch *row, const struct store_batch *is)
{
    const char *const pairs[][2] = {{row->state, is->state}, {row->station, is->station}, {row->formula, is->formula},
                                    {row->name, is->name},   {row->variant, is->variant}, {row->coat, is->coat},
                                    {row->order, is->order}, {row->painter, is->painter}};
    bool alike = same_time(row->begun, is->begun) && same_time(row->finished, is->finished) &&
                 same_number(row->total_g, is->total_g);
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        alike = alike && same(pairs[i][0], pairs[i][1]);
    return alike && (row->activated < 0 || (row->activated == is->activated && same(row->tinted, is->tinted) &&
                                            same(row->foreign, is->foreign)));
}

static void add_wrong(struct checking *c, const char *batch)
{
    if (c->out->wrong < ROWS_NAMED)
        utf8_copy(c->out->first[c->out->wrong], STORE_NUMBER, batch);
    c->out->wrong++;
}

/* A store_batch_find callback. */
static void check_row(void *arg, const struct store_batch *row)
{
    struct checking *c = arg;
    struct batch *folded = NULL;
    struct store_batch is;
    struct bench_row_text text;
    bool listed = false;
    c->ended = c->ended || store_task_stopping(c->task);
    if (c->ended)
        return;
    c->out->batches++;
    bool right = journal_load(c->view, row->batch, NULL, NULL, &folded) == STORE_FOUND;
    if (folded) {
        bench_row(folded, &is, &text);
        right = says(row, &is) && store_batch_listed(c->view, row, &listed) == STORE_FOUND && listed;
        batch_finish(folded);
        free(folded);
    }
    if (!right)
        add_wrong(c, row->batch);
}

static void add_missing(void *arg, const char *batch)
{
    add_wrong(arg, batch);
}

void rows_check(struct store *view, const struct store_task *task, struct rows_checked *out)
{
    char next[STORE_NUMBER] = "", after[STORE_NUMBER];
    struct checking c = {.view = view, .task = task, .out = out};
    uint64_t unread = store_unread(view);
    struct store_find find = {.limit = 1000};
    *out = (struct rows_checked){.read = true};
    do {
        memcpy(after, next, sizeof after);
        find.after = after[0] ? after : NULL;
        out->read = store_batch_find(view, &find, check_row, &c, next) == STORE_FOUND;
    } while (out->read && next[0] && !c.ended);
    out->read = out->read && !c.ended && store_batches_missing(view, add_missing, &c) && store_unread(view) == unread;
}

/* A store_batch_get callback: what the shelf knows. */
static void keep_shelf(void *arg, const struct store_batch *row)
{
    struct store_batch *is = arg;
    is->place = row->place ? strdup(row->place) : NULL;
    is->weighed = row->weighed ? strdup(row->weighed) : NULL;
    is->left_g = row->left_g;
    is->discarded_g = row->discarded_g;
    is->use_by = is->activated == 1 || !row->use_by ? is->use_by : strdup(row->use_by);
}

bool row_mend(struct store *s, const char *batch, store_done *done, void *arg)
{
    struct batch *folded = NULL;
    struct store_batch is;
    struct bench_row_text text;
    if (journal_load(s, batch, NULL, NULL, &folded) != STORE_FOUND)
        return false;
    bench_row(folded, &is, &text);
    const char *use_by = is.use_by;
    store_batch_get(s, batch, keep_shelf, &is);
    is.anew = true;
    store_submit(s, &(struct store_write){.batches = &is, .batch_count = 1}, done, arg);
    free((char *)(uintptr_t)is.place);
    free((char *)(uintptr_t)is.weighed);
    if (is.use_by != use_by)
        free((char *)(uintptr_t)is.use_by);
    batch_finish(folded);
    free(folded);
    return true;
}
