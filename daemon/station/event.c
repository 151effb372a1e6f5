/* event.c - an event as a value: made, copied, ended. How it is written down is event_body.c's. */
#include "station/event.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* As the journal's column `kind` keeps them for ever: a name may be added, never changed. */
const char *const event_names[EVENT_KINDS] = {
    [EVENT_BEGUN] = "begun",       [EVENT_CUP] = "cup",           [EVENT_ACCEPTED] = "accepted",
    [EVENT_TAKEN] = "taken",       [EVENT_REMEDY] = "remedy",     [EVENT_UNDONE] = "undone",
    [EVENT_RETARED] = "retared",   [EVENT_TINT] = "tint",         [EVENT_TIN] = "tin",
    [EVENT_HELD] = "held",         [EVENT_RESUMED] = "resumed",   [EVENT_NOTED] = "noted",
    [EVENT_FINISHED] = "finished", [EVENT_SCRAPPED] = "scrapped", [EVENT_KEPT] = "kept",
    [EVENT_HARDENER] = "hardener", [EVENT_LIFTED] = "lifted",     [EVENT_CLOCK] = "clock",
};

/* As batch.remedy takes its `choice`, and as a body keeps it. */
const char *const event_remedy_names[] = {
    [REMEDY_NONE] = "",       [REMEDY_GROW] = "grow",     [REMEDY_DIP] = "dip",  [REMEDY_LEAVE] = "leave",
    [REMEDY_AGAIN] = "again", [REMEDY_RESCUE] = "rescue", [REMEDY_KINDS] = NULL,
};

bool event_is_act(enum event_kind kind)
{
    return kind < EVENT_KEPT && kind != EVENT_NOTED && kind != EVENT_UNDONE;
}

bool event_may_ask(enum event_kind kind)
{
    return kind == EVENT_CUP || kind == EVENT_ACCEPTED || kind == EVENT_TAKEN || kind == EVENT_REMEDY;
}

/* NaN for every weight that an event may lack: 0 g is a weight. */
void event_init(struct event *e, enum event_kind kind)
{
    memset(e, 0, sizeof *e);
    e->kind = kind;
    e->shelf_g = e->d_g = e->counted_g = e->total_g = e->grew_g = e->tare_g = e->evaporated_g = e->take_g = e->lost_g =
        e->jump_g = NAN;
}

void event_finish(struct event *e)
{
    free(e->part);
    free(e->begun);
    free(e->settings);
    free(e->rescue);
    e->rescue = NULL;
    e->part = NULL;
    e->begun = NULL;
    e->settings = NULL;
}

/* What hangs on an event is copied whole; NULL stays NULL. *ok becomes false without memory, else it is left alone, so
 * that one look after several copies is enough. */
static void *copy_of(const void *from, size_t size, bool *ok)
{
    if (!from)
        return NULL;
    void *to = malloc(size);
    if (to)
        memcpy(to, from, size);
    else
        *ok = false;
    return to;
}

/* Without memory *to holds nothing that would have to be freed. */
bool event_copy(struct event *to, const struct event *from)
{
    bool ok = true;
    *to = *from;
    to->holders = 0;
    to->part = copy_of(from->part, sizeof *from->part, &ok);
    to->begun = copy_of(from->begun, sizeof *from->begun, &ok);
    to->settings = copy_of(from->settings, sizeof *from->settings, &ok);
    to->rescue = copy_of(from->rescue, sizeof *from->rescue, &ok);
    if (!ok)
        event_finish(to);
    return ok;
}

/* NaN, not 0: an older body may lack a member, and 0 would be a tolerance that nothing meets. */
void event_settings_init(struct event_settings *s)
{
    memset(s, 0, sizeof *s);
    s->d_g = s->capacity_g = s->range1_g = s->d2_g = NAN;
    s->tolerance_g = s->tolerance_pct = s->auto_grow_pct = s->error_pct = NAN;
    s->repeatability_g = s->drop_g = s->drift_g = NAN;
}

/* calloc for counts and texts; what is a weight, a per cent or a time is unknown until somebody tells it. */
struct event_begun *event_begun_new(void)
{
    struct event_begun *g = calloc(1, sizeof *g);
    if (!g)
        return NULL;
    g->rules = EVENT_RULES;
    g->wanted_g = g->cup_ml = g->fill_pct = g->kind_tare_g = g->estimate_g = NAN;
    struct recipe *r = &g->recipe;
    r->premix_take_g = r->premix_for_g = NAN;
    for (size_t i = 0; i < RECIPE_MIXES; i++)
        r->mix[i].wanted = NAN;
    r->reduce_pct = r->hardener_tolerance = r->reducer_tolerance = r->pot_life_min = NAN;
    for (size_t i = 0; i < RECIPE_PARTS; i++)
        recipe_part_init(&r->part[i]);
    return g;
}
