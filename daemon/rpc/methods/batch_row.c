/* batch_row.c - a batch's row as JSON. It must not know who asks for it. */
#include "rpc/methods/batch_row.h"

#include "rpc/methods/touch_up.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/member_text.h"
#include "text/number.h"

#include <stdlib.h>

/* A list that the row keeps as JSON, written anew: what is damaged must not spoil the answer. Few rows have one. */
static void put_list(struct draft *out, const char *before, const char *kept)
{
    json_t *list = kept ? json_read_text(kept) : NULL;
    char *text = list ? json_write(list, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    draft_member_word(out, before, text ? text : "[]");
    free(text);
    json_decref(list);
}

/* Without the brace that ends it. */
static void put_row(struct draft *out, const struct store_batch *b, const char *today)
{
    draft_member_text(out, "{\"batch\":", b->batch);
    draft_member_text(out, ",\"state\":", b->state);
    if (b->station && *b->station)
        draft_member_text(out, ",\"station\":", b->station);
    else
        draft_member_word(out, ",\"station\":", "\"\"");
    draft_member_text(out, ",\"formula\":", b->formula);
    draft_member_text(out, ",\"name\":", b->name);
    draft_member_text(out, ",\"variant\":", b->variant);
    draft_member_text(out, ",\"coat\":", b->coat);
    draft_member_text(out, ",\"order\":", b->order);
    draft_member_text(out, ",\"painter\":", b->painter);
    draft_member_text(out, ",\"begun\":", b->begun);
    draft_member_text(out, ",\"finished\":", b->finished);
    draft_member_text(out, ",\"place\":", b->place);
    draft_member_text(out, ",\"use_by\":", b->use_by);
    draft_member_number(out, ",\"total_g\":", b->total_g);
    draft_member_number(out, ",\"left_g\":", b->left_g);
    draft_member_word(out, ",\"activated\":", b->activated < 0 ? "null" : b->activated ? "true" : "false");
    draft_member_word(out, ",\"touch_up\":", touch_up_can(b, today) ? "true" : "false");
    put_list(out, ",\"tinted\":", b->tinted);
    put_list(out, ",\"foreign\":", b->foreign);
}

void batch_rows_begin(struct batch_rows *rows, const char *member)
{
    *rows = (struct batch_rows){0};
    clock_text(clock_wall_ms(), rows->today);
    rows->today[10] = '\0';
    draft_print(&rows->text, "{\"%s\":[", member);
}

void batch_rows_add(struct batch_rows *rows, const struct store_batch *b, const char *const *why)
{
    if (rows->count++)
        draft_add(&rows->text, ",", 1);
    put_row(&rows->text, b, rows->today);
    if (why)
        draft_member_text(&rows->text, ",\"why\":", *why);
    draft_add(&rows->text, "}", 1);
}

char *batch_rows_end(struct batch_rows *rows, const char *next)
{
    draft_member_text(&rows->text, "],\"next\":", next);
    draft_add(&rows->text, "}", 1);
    return draft_take(&rows->text);
}

void batch_rows_drop(struct batch_rows *rows)
{
    free(draft_take(&rows->text));
}

json_t *batch_row_shelf(const struct store_batch *b)
{
    return json_pack("{s:o, s:o, s:o, s:o}", "place", view_text(b->place), "left_g", number_json(b->left_g), "use_by",
                     view_text(b->use_by), "weighed", view_text(b->weighed));
}
