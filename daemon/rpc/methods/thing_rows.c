/* thing_rows.c - see thing_rows.h. It must not know what a thing is. */
#include "rpc/methods/thing_rows.h"

#include "text/json_write.h"
#include "text/member_text.h"

#include <stdlib.h>
#include <string.h>

#define DUMP (JSON_COMPACT | JSON_REAL_PRECISION(15)) /* as rpc/call.c */

void thing_rows_begin(struct thing_rows *rows, const char *list, json_t *places)
{
    *rows = (struct thing_rows){.places = places};
    draft_print(&rows->text, "{\"%s\":[", list);
}

static void put(struct thing_rows *rows, const char *text)
{
    if (rows->text.text && rows->text.text[rows->text.length - 1] != '[')
        draft_add(&rows->text, ",", 1);
    draft_add(&rows->text, text, strlen(text));
}

/* Takes the text. False: no memory. */
static bool keep(struct thing_rows *rows, const char *id, char *text)
{
    if (rows->count == rows->room) {
        size_t room = rows->room ? 2 * rows->room : 64;
        struct thing_row *grown = realloc(rows->row, room * sizeof *grown);
        if (!grown)
            return false;
        rows->row = grown;
        rows->room = room;
    }
    const json_t *place = json_object_get(rows->places, id);
    rows->row[rows->count] =
        (struct thing_row){.text = text, .place = place ? json_number_value(place) : 1e9, .n = rows->count};
    rows->count++;
    return true;
}

void thing_rows_add(struct thing_rows *rows, const char *id, json_t *thing)
{
    char *text = thing ? json_write(thing, DUMP) : NULL;
    if (text && !rows->places) {
        put(rows, text);
    } else if (text && keep(rows, id, text)) {
        text = NULL; /* it is in the list */
    } else {
        rows->text.lost = true;
    }
    free(text);
    json_decref(thing);
}

static int by_place(const void *a, const void *b)
{
    const struct thing_row *one = a, *other = b;
    if (one->place != other->place)
        return one->place < other->place ? -1 : 1;
    return one->n < other->n ? -1 : 1;
}

char *thing_rows_end(struct thing_rows *rows, const char *next)
{
    if (rows->count > 1)
        qsort(rows->row, rows->count, sizeof *rows->row, by_place);
    for (size_t i = 0; i < rows->count; i++)
        put(rows, rows->row[i].text);
    draft_member_text(&rows->text, "],\"next\":", next);
    draft_add(&rows->text, "}", 1);
    return draft_take(&rows->text);
}

void thing_rows_drop(struct thing_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++)
        free(rows->row[i].text);
    free(rows->row);
    json_decref(rows->places);
    free(draft_take(&rows->text));
}
