/* touch_up.c - see touch_up.h. It must not know a plan, nor how a cup is weighed back. */
#include "rpc/methods/touch_up.h"

#include "clock.h"
#include "station/batch_record.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

enum { ROWS = 64 }; /* of one formula; a shelf that holds more of it has another trouble */

/* At most: of a cup never weighed back all that was mixed, less what other batches took. */
static double left_of(const struct store_batch *row)
{
    return isnan(row->left_g) ? row->total_g : row->left_g;
}

/* What stands in the way of believing it. */
static bool is_unweighed(const struct store_batch *row)
{
    return isnan(row->left_g) || (!row->weighed && row->left_g < row->total_g);
}

bool touch_up_can(const struct store_batch *row, const char *today)
{
    bool past = row->use_by && strncmp(row->use_by, today, 10) < 0;
    return strcmp(row->state, "finished") == 0 && left_of(row) > 0 && row->activated == 0 && !past;
}

/* Looking for one. */
struct looking {
    const struct batch *planned;
    char today[CLOCK_TEXT];
    json_t *found; /* null until one is */
};

static bool same(const char *kept, const char *wanted)
{
    return strcmp(kept ? kept : "", wanted) == 0;
}

/* A store_shelf_page callback; the oldest comes first. */
static void look(void *arg, const struct store_batch *row)
{
    struct looking *l = arg;
    const struct recipe *r = &l->planned->recipe;
    if (!json_is_null(l->found) || !touch_up_can(row, l->today) || row->tinted || row->foreign ||
        !same(row->variant, r->variant) || !same(row->coat, r->coat) || left_of(row) < l->planned->wanted_g)
        return;
    const struct number_style style = {.point = '.'};
    double left_g = left_of(row);
    struct said said = is_unweighed(row) ? say("touch_up_unweighed batch=%s left_g=%f place=%s", row->batch, left_g,
                                               row->place ? row->place : "?")
                       : row->place ? say("touch_up_at batch=%s left_g=%f place=%s", row->batch, left_g, row->place)
                                    : say("touch_up batch=%s left_g=%f", row->batch, left_g);
    json_decref(l->found);
    l->found = json_pack("{s:s, s:o, s:o, s:o, s:o}", "batch", row->batch, "left_g", number_json(left_g), "place",
                         view_text(row->place), "use_by", view_text(row->use_by), "said", said_json(&said, &style));
}

/* What cannot be read is not offered, nor what ten milliseconds do not find: that is on the loop, and a shelf of some
 * thousand cups takes longer to look through. */
json_t *touch_up_of(struct daemon *d, const struct batch *planned)
{
    struct looking l = {.planned = planned, .found = json_null()};
    const struct store_shelf page = {.formula = planned->recipe.code, .limit = ROWS, .most_ms = 10};
    char next[STORE_NUMBER];
    clock_text(clock_wall_ms(), l.today);
    if (!planned->recipe.is_product)
        store_shelf_page(d->store, &page, look, &l, next);
    return l.found;
}
