/* kinds.c - the kinds of things that the catalogue holds, each by its table, and what get and list answer of them.
 *
 * It must not know what a thing holds (its own file does), nor where it was written (files.c).
 */
#include "catalogue/row.h"

#include <stdlib.h>
#include <string.h>

/* Each of these goes through the struct and back: what is kept then has every member, null where nothing is known. */
static json_t *toner_made(const json_t *json, struct fault *fault)
{
    struct toner t;
    return toner_from_json(json, &t, fault) ? toner_to_json(&t) : NULL;
}

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

json_t *catalogue_shape(const char *kind, const json_t *json, struct fault *fault)
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].shape->name, kind) == 0)
            return kinds[i].made(json, fault);
    fault_said(fault, FAULT_UNKNOWN, "kind", "unknown", "catalogue_kind kind=%s", kind);
    return NULL;
}

/* The shape of today for a body of any day, with what the row alone knows. */
static json_t *row_to_json(const char *kind, const struct row *row)
{
    struct fault fault;
    json_t *out = catalogue_shape(kind, row->body, &fault);
    bool formula = strcmp(kind, "formula") == 0;
    if (out)
        json_object_set_new(out, formula ? "formula_revision" : "revision", json_integer(row->revision));
    if (out && formula) {
        json_object_set_new(out, "date", row->date[0] ? json_string(row->date) : json_null());
        json_object_set_new(out, "reason", row->reason[0] ? json_string(row->reason) : json_null());
    }
    return out;
}

/* A body of an older version is read by the tables of today; one that they refuse counts as not there. */
json_t *catalogue_get(struct store *s, const char *kind, const char *id, int64_t revision)
{
    struct row row;
    json_t *out = row_get(s, kind, id, revision, &row) ? row_to_json(kind, &row) : NULL;
    json_decref(row.body);
    return out;
}

/* A list in the making. */
struct listing {
    const char *kind;
    json_t *out;
};

/* A row that the tables of today refuse is left out; the others are still a list. */
static void list_row(void *arg, const struct store_item *i)
{
    struct listing *l = arg;
    struct row row = {0};
    row_take(&row, i);
    json_t *thing = row.body ? row_to_json(l->kind, &row) : NULL;
    if (thing)
        json_array_append_new(l->out, thing);
    json_decref(row.body);
}

json_t *catalogue_list(struct store *s, const char *kind, const char *text)
{
    struct listing l = {.kind = kind, .out = json_array()};
    store_item_list(s, kind, text, list_row, &l);
    return l.out;
}

/* Two passes: the length first, so that nothing is cut. */
char *catalogue_text(const json_t *thing)
{
    static const char *const members[] = {"id", "code", "name", "pigment", "finish", "role"};
    size_t size = 1;
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        size += json_string_length(json_object_get(thing, members[i])) + 1;
    char *out = malloc(size), *at = out;
    if (!out)
        return NULL;
    for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
        const char *word = json_string_value(json_object_get(thing, members[i]));
        if (word)
            at = stpcpy(stpcpy(at, at == out ? "" : " "), word);
    }
    *at = '\0';
    return out;
}
