/* kinds.c - the kinds of things that the catalogue holds, each by its table, and the two that are small: cups, panels.
 *
 * It must not know what the larger things hold (their own files do), nor the store.
 */
#include "catalogue/catalogue.h"
#include "catalogue/tin_code.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- a kind of cup, a panel of a vehicle ---- */

/* tare_g tells an accept which cup stands there (within 2 g), fill_pct how far it is filled. */
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
/* Square metres of one side, as it is painted from outside; `default` marks a rough figure, which screens show with ~.
 */
static const struct shape_member panel_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct panel, id)},
    {.name = "name", .type = SHAPE_TEXT, SHAPE_AT(struct panel, name), .about = "left out: the id"},
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

/* ---- all of them ---- */

/* Each of these goes through the struct and back: what is kept then has every member, null where nothing is known. */
static json_t *toner_made(const json_t *json, struct fault *fault)
{
    struct toner t;
    return toner_from_json(json, &t, fault) ? toner_to_json(&t) : NULL;
}

/* By way of the struct, so that what is stored has passed the same checks as what is used. NULL: *fault. */
static json_t *product_made(const json_t *json, struct fault *fault)
{
    struct product p;
    return product_from_json(json, &p, fault) ? product_to_json(&p) : NULL;
}

static json_t *cup_made(const json_t *json, struct fault *fault)
{
    struct cup_kind c;
    return cup_from_json(json, &c, fault) ? shape_write(&cup_shape, &c) : NULL;
}

static json_t *panel_made(const json_t *json, struct fault *fault)
{
    struct panel p;
    return panel_from_json(json, &p, fault) ? shape_write(&panel_shape, &p) : NULL;
}

static json_t *formula_made(const json_t *json, struct fault *fault)
{
    struct formula f;
    if (!formula_from_json(json, &f, fault))
        return NULL;
    json_t *out = formula_to_json(&f);
    formula_finish(&f);
    return out;
}

static const struct {
    const struct shape *shape;
    json_t *(*made)(const json_t *json, struct fault *fault); /* whole, from what a put or a file says */
} kinds[] = {
    {&toner_shape, toner_made}, {&formula_shape, formula_made}, {&product_shape, product_made},
    {&cup_shape, cup_made},     {&panel_shape, panel_made},
};

/* Five rows: looked through, not hashed. */
const struct shape *catalogue_kind(const char *kind)
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].shape->name, kind) == 0)
            return kinds[i].shape;
    return NULL;
}

/* Members that no table knows are dropped here, so that none is kept unseen. */
json_t *catalogue_shape(const char *kind, const json_t *json, struct fault *fault)
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].shape->name, kind) == 0)
            return kinds[i].made(json, fault);
    fault_said(fault, FAULT_UNKNOWN, "kind", "unknown", "catalogue_kind kind=%s", kind);
    return NULL;
}

/* The label draws letter by letter and the screen puts one character after the other: both would show a name from right
 * to left, or with joined letters, as another word. */
bool catalogue_name_fits(const json_t *thing, struct fault *fault)
{
    const char *name = json_string_value(json_object_get(thing, "name"));
    uint32_t shaped = name ? utf8_first_shaped(name) : 0;
    if (name && utf8_count(name) > NAME_CHARACTERS)
        return fault_said(fault, FAULT_INVALID, "name", "too long", "name_long most=%d", NAME_CHARACTERS);
    if (shaped) {
        char letter[16];
        snprintf(letter, sizeof letter, "U+%04X", (unsigned)shaped);
        return fault_said(fault, FAULT_INVALID, "name", "script", "name_script letter=%s", letter);
    }
    const char *code = json_string_value(json_object_get(thing, "code"));
    if (code && *code && !code_fits(code))
        return fault_said(fault, FAULT_INVALID, "code", "form", "code_unfit field=%s given=%s", "code", code);
    return true;
}

/* Words to find a thing by, in this order, separated by spaces; `code` is the first of a toner's codes, the others
 * follow, and of a premix that word and what it is made of. The store's search takes them apart again. Two passes: the
 * length first, so that nothing is cut. */
char *catalogue_text(const json_t *thing)
{
    static const char *const members[] = {"id", "code", "name", "pigment", "finish", "role"};
    const json_t *codes = json_object_get(thing, "codes"), *code;
    const json_t *composition = json_object_get(thing, "composition"), *one;
    size_t size = sizeof CATALOGUE_PREMIX + 1, i;
    for (i = 0; i < sizeof members / sizeof *members; i++)
        size += json_string_length(json_object_get(thing, members[i])) + 1;
    json_array_foreach((json_t *)(uintptr_t)codes, i, code) size += json_string_length(code) + 1;
    json_array_foreach((json_t *)(uintptr_t)composition, i, one) size +=
        json_string_length(json_object_get(one, "toner")) + 1;
    char *out = malloc(size), *at = out;
    if (!out)
        return NULL;
    for (i = 0; i < sizeof members / sizeof *members; i++) {
        const char *word = json_string_value(json_object_get(thing, members[i]));
        if (word)
            at = stpcpy(stpcpy(at, at == out ? "" : " "), word);
    }
    for (i = 1; i < json_array_size(codes); i++)
        at = stpcpy(stpcpy(at, " "), json_string_value(json_array_get(codes, i)));
    if (json_array_size(composition) > 0)
        at = stpcpy(at, " " CATALOGUE_PREMIX);
    json_array_foreach((json_t *)(uintptr_t)composition, i, one) at =
        stpcpy(stpcpy(at, " "), json_string_value(json_object_get(one, "toner")));
    *at = '\0';
    return out;
}
