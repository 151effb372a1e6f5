#include "station/event.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const event_names[EVENT_KINDS] = {
    [EVENT_BEGUN] = "begun",       [EVENT_CUP] = "cup",       [EVENT_ACCEPTED] = "accepted",
    [EVENT_TAKEN] = "taken",       [EVENT_REMEDY] = "remedy", [EVENT_UNDONE] = "undone",
    [EVENT_RETARED] = "retared",   [EVENT_TINT] = "tint",     [EVENT_HELD] = "held",
    [EVENT_RESUMED] = "resumed",   [EVENT_NOTED] = "noted",   [EVENT_FINISHED] = "finished",
    [EVENT_SCRAPPED] = "scrapped", [EVENT_KEPT] = "kept",     [EVENT_HARDENER] = "hardener",
    [EVENT_LIFTED] = "lifted",
};

const char *const event_remedy_names[] = {"", "grow", "dip", "leave", "again"};

/* One table a struct: writing and reading cannot differ. A value that says nothing (NaN, "", 0, false) is left out. */
enum type { TEXT, REAL, UG, FLAG, NUMBER };
struct member {
    const char *name;
    enum type type;
    size_t at, size;
};
#define M(S, T, F)                                                                                                     \
    {                                                                                                                  \
#F, T, offsetof(struct S, F), sizeof((struct S *)0)->F                                                         \
    }
#define MEMBERS_END                                                                                                    \
    {                                                                                                                  \
        NULL, TEXT, 0, 0                                                                                               \
    }

static const struct member event_members[] = {
    M(event, UG, weight_ug),  M(event, UG, base_ug),  M(event, FLAG, has_weight),
    M(event, FLAG, stable),   M(event, TEXT, raw),    M(event, TEXT, profile),
    M(event, TEXT, port),     M(event, REAL, d_g),    M(event, REAL, counted_g),
    M(event, TEXT, toner),    M(event, TEXT, lot),    M(event, NUMBER, short_mode),
    M(event, REAL, total_g),  M(event, REAL, grew_g), M(event, FLAG, over),
    M(event, FLAG, closed),   M(event, FLAG, tared),  M(event, REAL, tare_g),
    M(event, NUMBER, remedy), M(event, REAL, take_g), M(event, REAL, lost_g),
    M(event, FLAG, lifted),   M(event, UG, low_ug),   M(event, UG, fall_ug),
    M(event, TEXT, text),     M(event, REAL, jump_g), MEMBERS_END,
};
static const struct member settings_members[] = {
    M(event_settings, REAL, d_g),           M(event_settings, REAL, capacity_g),
    M(event_settings, REAL, tolerance_g),   M(event_settings, REAL, tolerance_pct),
    M(event_settings, REAL, auto_grow_pct), M(event_settings, REAL, error_pct),
    M(event_settings, REAL, range1_g),      M(event_settings, REAL, d2_g),
    M(event_settings, FLAG, comma),         MEMBERS_END,
};
static const struct member part_members[] = {
    M(recipe_part, TEXT, toner),
    M(recipe_part, TEXT, name),
    M(recipe_part, TEXT, pigment),
    M(recipe_part, TEXT, hazards),
    M(recipe_part, NUMBER, role),
    M(recipe_part, REAL, share),
    M(recipe_part, REAL, per_base),
    M(recipe_part, FLAG, of_mix),
    M(recipe_part, FLAG, foreign),
    M(recipe_part, REAL, density_g_per_ml),
    M(recipe_part, REAL, price_per_kg),
    M(recipe_part, REAL, voc_pct),
    M(recipe_part, REAL, water_pct),
    M(recipe_part, REAL, exempt_pct),
    M(recipe_part, REAL, exempt_density_g_per_ml),
    M(recipe_part, REAL, solids_vol_pct),
    MEMBERS_END,
};
static const struct member recipe_members[] = {
    M(recipe, TEXT, code),
    M(recipe, TEXT, name),
    M(recipe, TEXT, variant),
    M(recipe, TEXT, coat),
    M(recipe, TEXT, finish),
    M(recipe, TEXT, line),
    M(recipe, TEXT, product),
    M(recipe, TEXT, made),
    M(recipe, UG, formula_revision),
    M(recipe, FLAG, is_product),
    M(recipe, FLAG, by_volume),
    M(recipe, REAL, reduce_pct),
    M(recipe, REAL, hardener_tolerance),
    M(recipe, REAL, reducer_tolerance),
    M(recipe, REAL, pot_life_min),
    MEMBERS_END,
};
static const struct member begun_members[] = {
    M(event_begun, TEXT, batch),     M(event_begun, TEXT, order),       M(event_begun, TEXT, painter),
    M(event_begun, TEXT, repeat_of), M(event_begun, REAL, wanted_g),    M(event_begun, REAL, cup_ml),
    M(event_begun, REAL, fill_pct),  M(event_begun, REAL, kind_tare_g), MEMBERS_END,
};

static json_t *write_members(const void *from, const struct member *m)
{
    json_t *o = json_object();
    for (; m->name; m++) {
        const char *p = (const char *)from + m->at;
        json_t *v = NULL;
        if (m->type == TEXT && *p)
            v = json_string(p);
        else if (m->type == REAL && !isnan(*(const double *)(const void *)p))
            v = json_real(*(const double *)(const void *)p);
        else if (m->type == UG && *(const int64_t *)(const void *)p != 0)
            v = json_integer(*(const int64_t *)(const void *)p);
        else if (m->type == FLAG && *(const bool *)(const void *)p)
            v = json_true();
        else if (m->type == NUMBER && *(const int *)(const void *)p != 0)
            v = json_integer(*(const int *)(const void *)p);
        if (v)
            json_object_set_new(o, m->name, v);
    }
    return o;
}

static bool read_members(void *to, const struct member *m, const json_t *o)
{
    if (!json_is_object(o))
        return false;
    for (; m->name; m++) {
        char *p = (char *)to + m->at;
        const json_t *v = json_object_get(o, m->name);
        if (m->type == TEXT) {
            const char *text = v ? json_string_value(v) : "";
            if (!text || strlen(text) >= m->size)
                return false;
            memcpy(p, text, strlen(text) + 1);
        } else if (m->type == REAL) {
            *(double *)(void *)p = v ? json_number_value(v) : NAN;
        } else if (m->type == UG) {
            *(int64_t *)(void *)p = json_integer_value(v);
        } else if (m->type == FLAG) {
            *(bool *)(void *)p = json_is_true(v);
        } else {
            *(int *)(void *)p = (int)json_integer_value(v);
        }
    }
    return true;
}

void event_init(struct event *e, enum event_kind kind)
{
    memset(e, 0, sizeof *e);
    e->kind = kind;
    e->d_g = e->counted_g = e->total_g = e->grew_g = e->tare_g = e->take_g = e->lost_g = e->jump_g = NAN;
}

void event_finish(struct event *e)
{
    free(e->part);
    free(e->begun);
    free(e->settings);
    e->part = NULL;
    e->begun = NULL;
    e->settings = NULL;
}

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

bool event_copy(struct event *to, const struct event *from)
{
    bool ok = true;
    *to = *from;
    to->part = copy_of(from->part, sizeof *from->part, &ok);
    to->begun = copy_of(from->begun, sizeof *from->begun, &ok);
    to->settings = copy_of(from->settings, sizeof *from->settings, &ok);
    if (!ok)
        event_finish(to);
    return ok;
}

static json_t *write_recipe(const struct recipe *r)
{
    json_t *o = write_members(r, recipe_members);
    json_t *parts = json_array(), *steps = json_array();
    for (size_t i = 0; i < r->parts; i++)
        json_array_append_new(parts, write_members(&r->part[i], part_members));
    for (size_t i = 0; i < r->steps; i++)
        json_array_append_new(steps, json_pack("[i, f]", r->step[i].part, r->step[i].share));
    json_object_set_new(o, "parts", parts);
    json_object_set_new(o, "steps", steps);
    return o;
}

static bool read_recipe(struct recipe *r, const json_t *o)
{
    const json_t *parts = json_object_get(o, "parts"), *steps = json_object_get(o, "steps");
    if (!read_members(r, recipe_members, o) || json_array_size(parts) > RECIPE_PARTS ||
        json_array_size(steps) > RECIPE_PARTS)
        return false;
    r->parts = json_array_size(parts);
    r->steps = json_array_size(steps);
    for (size_t i = 0; i < r->parts; i++)
        if (!read_members(&r->part[i], part_members, json_array_get(parts, i)))
            return false;
    for (size_t i = 0; i < r->steps; i++) {
        const json_t *s = json_array_get(steps, i);
        r->step[i].part = (int)json_integer_value(json_array_get(s, 0));
        r->step[i].share = json_number_value(json_array_get(s, 1));
        if (r->step[i].part < 0 || (size_t)r->step[i].part >= r->parts)
            return false;
    }
    return true;
}

static json_t *write_begun(const struct event_begun *b)
{
    json_t *o = write_members(b, begun_members);
    json_t *have_g = json_array(), *have = json_array(), *caution = json_array();
    for (size_t i = 0; i < b->recipe.parts; i++)
        json_array_append_new(have_g, json_real(b->have_g[i]));
    for (size_t i = 0; i < b->haves; i++)
        json_array_append_new(have, json_pack("{s:s, s:f}", "batch", b->have[i].batch, "grams", b->have[i].grams));
    for (size_t i = 0; i < b->cautions; i++)
        json_array_append_new(caution, said_bare_json(&b->caution[i]));
    json_object_set_new(o, "recipe", write_recipe(&b->recipe));
    json_object_set_new(o, "have_g", have_g);
    json_object_set_new(o, "have", have);
    json_object_set_new(o, "caution", caution);
    return o;
}

static bool read_begun(struct event_begun *b, const json_t *o)
{
    const json_t *have = json_object_get(o, "have"), *caution = json_object_get(o, "caution");
    if (!read_members(b, begun_members, o) || !read_recipe(&b->recipe, json_object_get(o, "recipe")) ||
        json_array_size(have) > EVENT_HAVES || json_array_size(caution) > EVENT_CAUTIONS)
        return false;
    for (size_t i = 0; i < b->recipe.parts; i++)
        b->have_g[i] = json_number_value(json_array_get(json_object_get(o, "have_g"), i));
    b->haves = json_array_size(have);
    for (size_t i = 0; i < b->haves; i++) {
        const json_t *h = json_array_get(have, i);
        const char *batch = json_string_value(json_object_get(h, "batch"));
        snprintf(b->have[i].batch, sizeof b->have[i].batch, "%s", batch ? batch : "");
        b->have[i].grams = json_number_value(json_object_get(h, "grams"));
    }
    b->cautions = json_array_size(caution);
    for (size_t i = 0; i < b->cautions; i++) {
        const json_t *one = json_array_get(caution, i);
        if (json_is_string(one)) /* version 1 */
            b->caution[i] = say("as_written text=%s", json_string_value(one));
        else
            said_read(&b->caution[i], one);
    }
    return true;
}

json_t *event_body(const struct event *e)
{
    json_t *o = write_members(e, event_members);
    json_object_set_new(o, "v", json_integer(EVENT_VERSION));
    if (e->said.code[0])
        json_object_set_new(o, "said", said_bare_json(&e->said));
    if (e->part)
        json_object_set_new(o, "part", write_members(e->part, part_members));
    if (e->begun)
        json_object_set_new(o, "begun", write_begun(e->begun));
    if (e->settings)
        json_object_set_new(o, "settings", write_members(e->settings, settings_members));
    return o;
}

static enum event_kind kind_of(const char *name)
{
    int k = 0;
    while (k < EVENT_KINDS && strcmp(event_names[k], name) != 0)
        k++;
    return (enum event_kind)k;
}

bool event_read(struct event *e, const char *kind, const json_t *body)
{
    enum event_kind k = kind_of(kind);
    if (k == EVENT_KINDS)
        return false;
    event_init(e, k);
    bool ok = read_members(e, event_members, body);
    /* Version 1 kept the station's sentences as text; a text that a person typed stays one. */
    if (ok && !json_object_get(body, "v") && k != EVENT_NOTED && k != EVENT_SCRAPPED && e->text[0]) {
        e->said = say("as_written text=%s", e->text);
        e->text[0] = '\0';
    } else {
        said_read(&e->said, json_object_get(body, "said"));
    }
    const json_t *part = json_object_get(body, "part"), *begun = json_object_get(body, "begun");
    const json_t *settings = json_object_get(body, "settings");
    if (ok && part) {
        e->part = calloc(1, sizeof *e->part);
        ok = e->part && read_members(e->part, part_members, part);
    }
    if (ok && begun) {
        e->begun = calloc(1, sizeof *e->begun);
        ok = e->begun && read_begun(e->begun, begun);
    }
    if (ok && settings) {
        e->settings = calloc(1, sizeof *e->settings);
        ok = e->settings && read_members(e->settings, settings_members, settings);
    }
    ok = ok && (k == EVENT_BEGUN) == (e->begun != NULL) && e->remedy <= REMEDY_AGAIN && e->short_mode <= SHORT_LESS;
    if (!ok)
        event_finish(e);
    return ok;
}
