/* batch_row.c - a batch's row as JSON. It must not know who asks for it. */
#include "rpc/methods/batch_row.h"

#include "rpc/methods/touch_up.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/number.h"

/* A list that the row keeps as JSON. */
static json_t *kept_list(const char *text)
{
    json_t *list = text ? json_read_text(text) : NULL;
    return list ? list : json_array();
}

json_t *batch_row(const struct store_batch *b)
{
    const struct {
        const char *name, *text;
    } texts[] = {{"formula", b->formula}, {"name", b->name},       {"variant", b->variant}, {"coat", b->coat},
                 {"order", b->order},     {"painter", b->painter}, {"begun", b->begun},     {"finished", b->finished},
                 {"place", b->place},     {"use_by", b->use_by}};
    json_t *row =
        json_pack("{s:s, s:s, s:s}", "batch", b->batch, "state", b->state, "station", b->station ? b->station : "");
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        json_object_set_new(row, texts[i].name, view_text(texts[i].text));
    json_object_set_new(row, "total_g", number_json(b->total_g));
    json_object_set_new(row, "left_g", number_json(b->left_g));
    json_object_set_new(row, "activated", b->activated < 0 ? json_null() : json_boolean(b->activated));
    json_object_set_new(row, "touch_up", json_boolean(touch_up_can(b)));
    json_object_set_new(row, "tinted", kept_list(b->tinted));
    json_object_set_new(row, "foreign", kept_list(b->foreign));
    return row;
}

json_t *batch_row_shelf(const struct store_batch *b)
{
    return json_pack("{s:o, s:o, s:o, s:o}", "place", view_text(b->place), "left_g", number_json(b->left_g), "use_by",
                     view_text(b->use_by), "weighed", view_text(b->weighed));
}
