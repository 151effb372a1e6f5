#include "station/batch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const batch_state_names[] = {
    [BATCH_CUP] = "open",  [BATCH_POUR] = "open",         [BATCH_OVER] = "open",         [BATCH_DONE] = "open",
    [BATCH_HELD] = "held", [BATCH_FINISHED] = "finished", [BATCH_SCRAPPED] = "scrapped",
};
const char *const screen_state_names[] = {
    [BATCH_CUP] = "cup",   [BATCH_POUR] = "pour",     [BATCH_OVER] = "over",     [BATCH_DONE] = "done",
    [BATCH_HELD] = "idle", [BATCH_FINISHED] = "idle", [BATCH_SCRAPPED] = "idle",
};

void batch_init(struct batch *b)
{
    memset(b, 0, sizeof *b);
    b->open = b->over = -1;
    b->take_g = b->cup_ml = b->kind_tare_g = b->tare_g = NAN;
}

void batch_finish(struct batch *b)
{
    for (size_t i = 0; i < b->events; i++)
        event_finish(&b->history[i]);
    free(b->history);
    b->history = NULL;
    b->events = b->room = 0;
}

bool batch_copy(struct batch *to, const struct batch *from)
{
    *to = *from;
    to->events = 0;
    to->room = from->events + 1;
    to->history = calloc(to->room, sizeof *to->history);
    if (!to->history)
        return false;
    for (; to->events < from->events; to->events++)
        if (!event_copy(&to->history[to->events], &from->history[to->events])) {
            batch_finish(to);
            return false;
        }
    return true;
}

int64_t batch_use_by_ms(const struct batch *b)
{
    if (b->hardener_ms == 0 || isnan(b->recipe.pot_life_min))
        return 0;
    return b->hardener_ms + (int64_t)(b->recipe.pot_life_min * 60000);
}

bool batch_activated(const struct batch *b)
{
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.part[b->recipe.step[s].part].role == PART_HARDENER && b->step_g[s] > 0)
            return true;
    return false;
}

struct number_style batch_number_style(const struct batch *b)
{
    return (struct number_style){.point = b->set.comma ? ',' : '.', .d_g = b->set.d_g};
}
