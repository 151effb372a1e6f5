/* event_body.c - an event as the journal keeps it: the tables of its members, and the walk over them.
 *
 * A member is added in one row here. Its name is text that never changes, whatever the struct calls it; a fixed word
 * (role, remedy, short) is written as that word. What says nothing (NaN, "", 0, false) is left out. Numbers keep all
 * their digits: a fold of what was read back must not differ from the fold of what was written.
 * It must not know what an event does to a cup.
 */
#include "station/event.h"

#include "shape/shape.h"

#include <stdlib.h>
#include <string.h>

static const char *const role_names[] = {
    [PART_COLOUR] = "colour",     [PART_REDUCER] = "reducer", [PART_HARDENER] = "hardener",
    [PART_ADDITIVE] = "additive", [PART_ADDITIVE + 1] = NULL,
};
static const char *const short_names[] = {
    [SHORT_NO] = "", [SHORT_COUNTED] = "counted", [SHORT_LESS] = "less", [SHORT_LESS + 1] = NULL};

/* A row; the name stands in it as text, so that renaming a field renames no member. */
#define ROW(kind, text, owner, field)                                                                                  \
    {                                                                                                                  \
        .name = (text), .type = SHAPE_##kind, .sparse = true, .exact = true, SHAPE_AT(struct owner, field)             \
    }

/* ---- groups of members; which kind bears which stands below ---- */

/* The weight behind it, and where it came from. */
static const struct shape_member weight_members[] = {
    ROW(COUNT, "weight_ug", event, weight_ug),
    ROW(COUNT, "base_ug", event, base_ug),
    ROW(FLAG, "has_weight", event, has_weight),
    ROW(FLAG, "stable", event, stable),
    ROW(LINES, "raw", event, raw),
    ROW(LINES, "profile", event, profile),
    ROW(LINES, "port", event, port),
    ROW(NUMBER, "d_g", event, d_g),
    {0},
};
static const struct shape weight_shape = {NULL, weight_members, NULL};

/* Which tin stands at the scale. */
static const struct shape_member tin_members[] = {
    ROW(LINES, "toner", event, toner),
    ROW(LINES, "lot", event, lot),
    ROW(FLAG, "mixed_lots", event, mixed_lots),
    {0},
};
static const struct shape tin_shape = {NULL, tin_members, NULL};

/* What was counted, and for what. */
static const struct shape_member count_members[] = {
    ROW(NUMBER, "counted_g", event, counted_g),
    ROW(LINES, "toner", event, toner),
    ROW(LINES, "lot", event, lot),
    ROW(LINES, "cup", event, cup),
    ROW(NUMBER, "shelf_g", event, shelf_g),
    ROW(FLAG, "closed", event, closed),
    ROW(LINES, "glance", event, glance),
    ROW(FLAG, "glance_counted", event, glance_counted),
    {.name = "short", .type = SHAPE_CHOICE, .sparse = true, .choices = short_names, SHAPE_AT(struct event, short_mode)},
    ROW(NUMBER, "jump_g", event, jump_g),
    {0},
};
static const struct shape count_shape = {NULL, count_members, NULL};

/* What the station made of it. */
static const struct shape_member outcome_members[] = {
    ROW(FLAG, "over", event, over),
    ROW(NUMBER, "grew_g", event, grew_g),
    ROW(FLAG, "edge", event, edge),
    ROW(NUMBER, "total_g", event, total_g),
    {0},
};
static const struct shape outcome_shape = {NULL, outcome_members, NULL};

/* The cup as it was taken: with the scale tared on it, or its weight in grams. */
static const struct shape_member cup_members[] = {
    ROW(FLAG, "tared", event, tared),
    ROW(NUMBER, "tare_g", event, tare_g),
    ROW(NUMBER, "evaporated_g", event, evaporated_g),
    {0},
};
static const struct shape cup_shape = {NULL, cup_members, NULL};

/* What a person chose for an overpour; total_g means another thing with each choice (event.h). */
static const struct shape_member choice_members[] = {
    {.name = "remedy",
     .type = SHAPE_CHOICE,
     .sparse = true,
     .choices = event_remedy_names,
     SHAPE_AT(struct event, remedy)},
    ROW(NUMBER, "total_g", event, total_g),
    ROW(NUMBER, "take_g", event, take_g),
    {0},
};
static const struct shape choice_shape = {NULL, choice_members, NULL};

/* Spilled, or gone with the stick. */
static const struct shape_member lost_members[] = {
    ROW(NUMBER, "lost_g", event, lost_g),
    {0},
};
static const struct shape lost_shape = {NULL, lost_members, NULL};

/* Where the tracker stood, so that a restart with the cup off waits for the same difference. */
static const struct shape_member lift_members[] = {
    ROW(FLAG, "lifted", event, lifted),
    ROW(COUNT, "low_ug", event, low_ug),
    ROW(COUNT, "fall_ug", event, fall_ug),
    {0},
};
static const struct shape lift_shape = {NULL, lift_members, NULL};

static const struct shape_member clock_members[] = {
    ROW(COUNT, "step_ms", event, step_ms),
    {0},
};
static const struct shape clock_shape = {NULL, clock_members, NULL};

/* What a person typed. */
static const struct shape_member text_members[] = {
    ROW(LINES, "text", event, text),
    {0},
};
static const struct shape text_shape = {NULL, text_members, NULL};

/* A premix that is kept: as which toner, and where it stands. */
static const struct shape_member keep_members[] = {
    ROW(LINES, "kept_as", event, kept_as),
    ROW(LINES, "kept_place", event, kept_place),
    {0},
};
static const struct shape keep_shape = {NULL, keep_members, NULL};

/* What the station said; any kind may. */
static const struct shape_member said_members[] = {
    {.name = "said", .type = SHAPE_SAID, .sparse = true, .bare = true, SHAPE_AT(struct event, said)},
    {0},
};
static const struct shape said_shape = {NULL, said_members, NULL};

/* A kind that bears none says all by its name and by what the store keeps beside the body. */
static const struct shape *const borne[EVENT_KINDS][4] = {
    [EVENT_CUP] = {&weight_shape, &cup_shape, &outcome_shape},
    [EVENT_ACCEPTED] = {&weight_shape, &count_shape, &outcome_shape},
    [EVENT_TAKEN] = {&weight_shape, &count_shape},
    [EVENT_REMEDY] = {&choice_shape},
    [EVENT_RETARED] = {&weight_shape, &lost_shape},
    [EVENT_TINT] = {&weight_shape, &count_shape},
    [EVENT_TIN] = {&tin_shape},
    [EVENT_HELD] = {&weight_shape, &count_shape},
    [EVENT_NOTED] = {&text_shape},
    [EVENT_FINISHED] = {&keep_shape},
    [EVENT_SCRAPPED] = {&text_shape},
    [EVENT_KEPT] = {&weight_shape, &lift_shape},
    [EVENT_HARDENER] = {&weight_shape, &lift_shape},
    [EVENT_LIFTED] = {&weight_shape, &lift_shape},
    [EVENT_CLOCK] = {&clock_shape},
};

/* ---- what hangs on an event: settings, a part, a beginning ---- */

/* Grams and per cent of the bench as it was then: a later change of poised.ini judges no pour of before. */
static const struct shape_member settings_members[] = {
    ROW(NUMBER, "d_g", event_settings, d_g),
    ROW(NUMBER, "capacity_g", event_settings, capacity_g),
    ROW(NUMBER, "range1_g", event_settings, range1_g),
    ROW(NUMBER, "d2_g", event_settings, d2_g),
    ROW(NUMBER, "tolerance_g", event_settings, tolerance_g),
    ROW(NUMBER, "tolerance_pct", event_settings, tolerance_pct),
    ROW(NUMBER, "auto_grow_pct", event_settings, auto_grow_pct),
    ROW(NUMBER, "error_pct", event_settings, error_pct),
    ROW(NUMBER, "repeatability_g", event_settings, repeatability_g),
    ROW(NUMBER, "drop_g", event_settings, drop_g),
    ROW(NUMBER, "drift_g", event_settings, drift_g),
    ROW(FLAG, "comma", event_settings, comma),
    {0},
};
static const struct shape settings_shape = {NULL, settings_members, NULL};

/* One figure a band of mix/kubelka.h; both lists are as long. */
#define BANDS(text, field)                                                                                             \
    {                                                                                                                  \
        .name = (text), .type = SHAPE_LIST, .entry = SHAPE_NUMBER, .sparse = true, .exact = true,                      \
        SHAPE_LIST_AT(struct recipe_part, field, bands)                                                                \
    }
/* All that the catalogue knew of a toner: a record needs it when that toner is long gone. */
static const struct shape_member part_members[] = {
    ROW(LINES, "toner", recipe_part, toner),
    ROW(LINES, "name", recipe_part, name),
    ROW(LINES, "pigment", recipe_part, pigment),
    ROW(LINES, "place", recipe_part, place),
    ROW(LINES, "hazards", recipe_part, hazards),
    {.name = "role", .type = SHAPE_CHOICE, .choices = role_names, SHAPE_AT(struct recipe_part, role)},
    ROW(NUMBER, "share", recipe_part, share),
    ROW(NUMBER, "per_base", recipe_part, per_base),
    ROW(FLAG, "of_mix", recipe_part, of_mix),
    ROW(FLAG, "foreign", recipe_part, foreign),
    ROW(NUMBER, "density_g_per_ml", recipe_part, density_g_per_ml),
    ROW(NUMBER, "price_per_kg", recipe_part, price_per_kg),
    ROW(NUMBER, "voc_pct", recipe_part, voc_pct),
    ROW(NUMBER, "water_pct", recipe_part, water_pct),
    ROW(NUMBER, "exempt_pct", recipe_part, exempt_pct),
    ROW(NUMBER, "exempt_density_g_per_ml", recipe_part, exempt_density_g_per_ml),
    ROW(NUMBER, "solids_vol_pct", recipe_part, solids_vol_pct),
    BANDS("k", optics.k),
    BANDS("s", optics.s),
    {.name = "card_share",
     .type = SHAPE_LIST,
     .entry = SHAPE_NUMBER,
     .sparse = true,
     .exact = true,
     SHAPE_LIST_AT(struct recipe_part, card_share, in_cards)},
    {0},
};
static const struct shape part_shape = {NULL, part_members, NULL};

static const struct shape_range part_range = {0, RECIPE_PARTS - 1, false};
static const struct shape_member step_members[] = {
    {.name = "part", .type = SHAPE_COUNT, .range = &part_range, SHAPE_AT(struct recipe_step, part)},
    {.name = "share", .type = SHAPE_NUMBER, .exact = true, SHAPE_AT(struct recipe_step, share)},
    {0},
};
static const struct shape step_shape = {NULL, step_members, NULL};

/* L*a*b* of a spray-out card; what was in it stands with the parts. */
static const struct shape_member card_members[] = {
    {.name = "l", .type = SHAPE_NUMBER, .exact = true, SHAPE_AT(struct recipe_card, l)},
    {.name = "a", .type = SHAPE_NUMBER, .exact = true, SHAPE_AT(struct recipe_card, a)},
    {.name = "b", .type = SHAPE_NUMBER, .exact = true, SHAPE_AT(struct recipe_card, b)},
    {0},
};
static const struct shape card_shape = {NULL, card_members, NULL};

/* Of a premix: parts by their place, as steps name them. */
static const struct shape_member mix_members[] = {
    {.name = "of", .type = SHAPE_COUNT, .range = &part_range, SHAPE_AT(struct recipe_mix, of)},
    {.name = "toner", .type = SHAPE_COUNT, .range = &part_range, SHAPE_AT(struct recipe_mix, toner)},
    {.name = "share", .type = SHAPE_NUMBER, .exact = true, SHAPE_AT(struct recipe_mix, share)},
    ROW(NUMBER, "wanted", recipe_mix, wanted),
    {0},
};
static const struct shape mix_shape = {NULL, mix_members, NULL};

/* Parts before steps: a step names its part by its place among them. */
static const struct shape_member recipe_members[] = {
    ROW(LINES, "code", recipe, code),
    ROW(LINES, "name", recipe, name),
    ROW(LINES, "variant", recipe, variant),
    ROW(LINES, "coat", recipe, coat),
    ROW(LINES, "finish", recipe, finish),
    ROW(LINES, "line", recipe, line),
    ROW(LINES, "product", recipe, product),
    {.name = "made", .type = SHAPE_SAID, .sparse = true, .bare = true, SHAPE_AT(struct recipe, made)},
    ROW(COUNT, "formula_revision", recipe, formula_revision),
    ROW(FLAG, "is_product", recipe, is_product),
    ROW(FLAG, "by_volume", recipe, by_volume),
    ROW(NUMBER, "reduce_pct", recipe, reduce_pct),
    ROW(NUMBER, "hardener_tolerance", recipe, hardener_tolerance),
    ROW(NUMBER, "reducer_tolerance", recipe, reducer_tolerance),
    ROW(NUMBER, "pot_life_min", recipe, pot_life_min),
    {.name = "cards",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &card_shape,
     .sparse = true,
     SHAPE_LIST_AT(struct recipe, card, cards)},
    {.name = "parts",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &part_shape,
     SHAPE_LIST_AT(struct recipe, part, parts)},
    {.name = "steps",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &step_shape,
     SHAPE_LIST_AT(struct recipe, step, steps)},
    {.name = "mix",
     .type = SHAPE_LIST,
     .sparse = true,
     .entry = SHAPE_OBJECT,
     .of = &mix_shape,
     SHAPE_LIST_AT(struct recipe, mix, mixes)},
    ROW(NUMBER, "premix_take_g", recipe, premix_take_g),
    ROW(NUMBER, "premix_for_g", recipe, premix_for_g),
    {0},
};
static const struct shape recipe_shape = {NULL, recipe_members, NULL};

/* Of whom the content came, for work-off and usage; its split by part is have_g. */
static const struct shape_member have_members[] = {
    ROW(LINES, "batch", event_have, batch),
    ROW(NUMBER, "grams", event_have, grams),
    {0},
};
static const struct shape have_shape = {NULL, have_members, NULL};

/* have_g stands before the recipe: the number of parts is the recipe's to tell. */
static const struct shape_member begun_members[] = {
    ROW(COUNT, "rules", event_begun, rules),
    ROW(LINES, "batch", event_begun, batch),
    ROW(LINES, "order", event_begun, order),
    ROW(COUNT, "coat_n", event_begun, coat_n),
    ROW(COUNT, "edges", event_begun, edges),
    ROW(LINES, "painter", event_begun, painter),
    ROW(LINES, "repeat_of", event_begun, repeat_of),
    ROW(NUMBER, "wanted_g", event_begun, wanted_g),
    ROW(NUMBER, "cup_ml", event_begun, cup_ml),
    ROW(NUMBER, "fill_pct", event_begun, fill_pct),
    ROW(NUMBER, "kind_tare_g", event_begun, kind_tare_g),
    ROW(NUMBER, "estimate_g", event_begun, estimate_g),
    {.name = "have_g",
     .type = SHAPE_LIST,
     .entry = SHAPE_NUMBER,
     .exact = true,
     SHAPE_LIST_AT(struct event_begun, have_g, recipe.parts)},
    {.name = "recipe",
     .type = SHAPE_OBJECT,
     .required = true,
     .of = &recipe_shape,
     SHAPE_AT(struct event_begun, recipe)},
    {.name = "have",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &have_shape,
     SHAPE_LIST_AT(struct event_begun, have, haves)},
    {.name = "caution",
     .type = SHAPE_LIST,
     .entry = SHAPE_SAID,
     .bare = true,
     SHAPE_LIST_AT(struct event_begun, caution, cautions)},
    {0},
};
static const struct shape begun_shape = {NULL, begun_members, NULL};

/* share stands behind parts, which is its length. */
static const struct shape_member rescue_cup_members[] = {
    ROW(LINES, "batch", event_rescue_cup, batch),
    ROW(NUMBER, "grams", event_rescue_cup, grams),
    ROW(NUMBER, "left_g", event_rescue_cup, left_g),
    {.name = "share",
     .type = SHAPE_LIST,
     .entry = SHAPE_NUMBER,
     .exact = true,
     SHAPE_LIST_AT(struct event_rescue_cup, share, parts)},
    {0},
};
static const struct shape rescue_cup_shape = {NULL, rescue_cup_members, NULL};

/* Cups of the shelf that were offered for an overpour. */
static const struct shape_member rescue_members[] = {
    ROW(NUMBER, "take_g", event_rescue, take_g),
    ROW(NUMBER, "total_g", event_rescue, total_g),
    {.name = "cups",
     .type = SHAPE_LIST,
     .entry = SHAPE_OBJECT,
     .of = &rescue_cup_shape,
     SHAPE_LIST_AT(struct event_rescue, cup, cups)},
    {0},
};
static const struct shape rescue_shape = {NULL, rescue_members, NULL};

/* ---- writing ---- */

/* Adds a member; the value is taken. False: no memory, or it could not be made. */
static bool add(json_t *to, const char *name, json_t *value)
{
    return json_object_set_new(to, name, value) == 0;
}

/* One table's members into the body. False: no memory, or a text that is no UTF-8. */
static bool add_group(json_t *to, const struct shape *group, const struct event *e)
{
    json_t *members = shape_write(group, e);
    bool whole = members && json_object_update(to, members) == 0;
    json_decref(members);
    return whole;
}

json_t *event_body(const struct event *e)
{
    json_t *o = json_object();
    bool whole = o && add(o, "v", json_integer(EVENT_VERSION)) && add_group(o, &said_shape, e);
    for (const struct shape *const *group = borne[e->kind]; whole && *group; group++)
        whole = add_group(o, *group, e);
    if (whole && e->part)
        whole = add(o, "part", shape_write(&part_shape, e->part));
    if (whole && e->begun)
        whole = add(o, "begun", shape_write(&begun_shape, e->begun));
    if (whole && e->rescue)
        whole = add(o, "rescue", shape_write(&rescue_shape, e->rescue));
    if (whole && e->settings)
        whole = add(o, "settings", shape_write(&settings_shape, e->settings));
    if (whole)
        return o;
    json_decref(o);
    return NULL;
}

/* ---- reading ---- */

/* EVENT_KINDS for a name that this version does not know, such as a later poised's. */
static enum event_kind kind_of(const char *name)
{
    int k = 0;
    while (k < EVENT_KINDS && strcmp(event_names[k], name) != 0)
        k++;
    return (enum event_kind)k;
}

/* Absent is fine; there and not whole is a damaged body. The same for settings and beginning below. */
static bool read_part(struct event *e, const json_t *part)
{
    struct fault why = {0};
    if (!part)
        return true;
    e->part = malloc(sizeof *e->part);
    if (!e->part)
        return false;
    recipe_part_init(e->part);
    return shape_read(&part_shape, part, e->part, &why);
}

static bool read_settings(struct event *e, const json_t *settings)
{
    struct fault why = {0};
    if (!settings)
        return true;
    e->settings = malloc(sizeof *e->settings);
    if (!e->settings)
        return false;
    event_settings_init(e->settings);
    return shape_read(&settings_shape, settings, e->settings, &why);
}

static bool read_rescue(struct event *e, const json_t *rescue)
{
    struct fault why = {0};
    if (!rescue)
        return true;
    e->rescue = calloc(1, sizeof *e->rescue);
    return e->rescue && shape_read(&rescue_shape, rescue, e->rescue, &why);
}

/* The steps' parts are looked at here once, so that no fold need doubt an index. */
static bool read_begun(struct event *e, const json_t *begun)
{
    struct fault why = {0};
    if (!begun)
        return true;
    e->begun = event_begun_new();
    if (!e->begun)
        return false;
    e->begun->rules = 1; /* of a beginning that names none */
    if (!shape_read(&begun_shape, begun, e->begun, &why))
        return false;
    const struct recipe *r = &e->begun->recipe;
    for (size_t s = 0; s < r->steps; s++)
        if (r->step[s].part < 0 || (size_t)r->step[s].part >= r->parts)
            return false;
    for (size_t i = 0; i < r->mixes; i++)
        if ((size_t)r->mix[i].of >= r->parts || (size_t)r->mix[i].toner >= r->parts)
            return false;
    return e->begun->rules >= 1 && e->begun->rules <= EVENT_RULES;
}

/* A body of the present version. False leaves *e to event_finish. */
static bool read_now(struct event *e, const json_t *body)
{
    struct fault why = {0};
    bool whole = shape_read(&said_shape, body, e, &why);
    for (const struct shape *const *group = borne[e->kind]; whole && *group; group++)
        whole = shape_read(*group, body, e, &why);
    return whole && read_part(e, json_object_get(body, "part")) && read_begun(e, json_object_get(body, "begun")) &&
           read_settings(e, json_object_get(body, "settings")) && read_rescue(e, json_object_get(body, "rescue")) &&
           (e->kind == EVENT_BEGUN) == (e->begun != NULL);
}

/* A later version is refused, not guessed at: its members may mean another cup. */
bool event_read(struct event *e, const char *kind, const json_t *body)
{
    enum event_kind k = kind_of(kind);
    const json_t *v = json_object_get(body, "v");
    json_int_t version = v ? json_integer_value(v) : 1;
    if (k == EVENT_KINDS || version < 1 || version > EVENT_VERSION)
        return false;
    event_init(e, k);
    json_t *raised = version == 1 ? event_body_of_1(k, body) : NULL;
    bool whole = (version > 1 || raised) && read_now(e, raised ? raised : body);
    json_decref(raised);
    if (!whole)
        event_finish(e);
    return whole;
}
