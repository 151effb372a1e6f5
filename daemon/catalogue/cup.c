/* cup.c - a kind of cup and a panel of a vehicle, as JSON and as values. Knows no store and no file. */
#include "catalogue/catalogue.h"
#include "text/utf8.h"

#include <math.h>

static const struct shape_member cup_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct cup_kind, id)},
    {.name = "ml", .type = SHAPE_NUMBER, .required = true, .range = &shape_above_0, SHAPE_AT(struct cup_kind, ml)},
    {.name = "tare_g",
     .type = SHAPE_NUMBER,
     .nullable = true,
     .range = &shape_above_0,
     SHAPE_AT(struct cup_kind, tare_g)},
    {.name = "fill_pct", .type = SHAPE_NUMBER, .range = &shape_pct_above_0, SHAPE_AT(struct cup_kind, fill_pct)},
    {0},
};
const struct shape cup_shape = {"cup", cup_members, "a kind of cup"};
static const struct shape_member panel_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct panel, id)},
    {.name = "name", .type = SHAPE_TEXT, SHAPE_AT(struct panel, name)},
    {.name = "area_m2",
     .type = SHAPE_NUMBER,
     .required = true,
     .range = &shape_above_0,
     SHAPE_AT(struct panel, area_m2)},
    {.name = "default",
     .type = SHAPE_FLAG,
     SHAPE_AT(struct panel, is_default),
     .about = "a rough figure, not measured"},
    {0},
};
const struct shape panel_shape = {"panel", panel_members, "a part of a vehicle's body"};

/* 95 % full is the default: the last part is the room to stir. Common practice, no source. */
bool cup_from_json(const json_t *json, struct cup_kind *out, struct fault *fault)
{
    *out = (struct cup_kind){.ml = NAN, .tare_g = NAN, .fill_pct = 95};
    return shape_read(&cup_shape, json, out, fault);
}

/* Without a name a panel is called by its id. */
bool panel_from_json(const json_t *json, struct panel *out, struct fault *fault)
{
    *out = (struct panel){.area_m2 = NAN};
    if (!shape_read(&panel_shape, json, out, fault))
        return false;
    if (!out->name[0])
        utf8_copy(out->name, sizeof out->name, out->id);
    return true;
}
