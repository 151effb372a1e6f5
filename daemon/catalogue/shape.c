#include "catalogue/members.h"
#include "catalogue/row.h"

#include <stdlib.h>
#include <string.h>

static json_t *toner_shape(const json_t *json, struct fault *fault)
{
    struct toner t;
    return toner_from_json(json, &t, fault) ? toner_to_json(&t) : NULL;
}

static json_t *product_shape(const json_t *json, struct fault *fault)
{
    struct product p;
    return product_from_json(json, &p, fault) ? product_to_json(&p) : NULL;
}

static json_t *cup_shape(const json_t *json, struct fault *fault)
{
    struct cup_kind c;
    return cup_from_json(json, &c, fault) ? cup_to_json(&c) : NULL;
}

static json_t *panel_shape(const json_t *json, struct fault *fault)
{
    struct panel p;
    return panel_from_json(json, &p, fault) ? panel_to_json(&p) : NULL;
}

static json_t *formula_shape(const json_t *json, struct fault *fault)
{
    struct formula f;
    if (!formula_from_json(json, &f, fault))
        return NULL;
    json_t *out = formula_to_json(&f);
    formula_finish(&f);
    return out;
}

static const struct {
    const char *kind;
    json_t *(*shape)(const json_t *json, struct fault *fault);
} shapes[] = {
    {"toner", toner_shape}, {"formula", formula_shape}, {"product", product_shape},
    {"cup", cup_shape},     {"panel", panel_shape},
};

json_t *catalogue_shape(const char *kind, const json_t *json, struct fault *fault)
{
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++)
        if (strcmp(shapes[i].kind, kind) == 0)
            return shapes[i].shape(json, fault);
    fault_set(fault, FAULT_UNKNOWN, "kind", "unknown", "Give toner, formula, product, cup or panel.",
              "the catalogue holds no %.40s", kind);
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
        json_object_set_new(out, "date", member_of_text(row->date));
        json_object_set_new(out, "reason", member_of_text(row->reason));
    }
    return out;
}

json_t *catalogue_get(struct store *s, const char *kind, const char *id, int64_t revision)
{
    struct row row;
    json_t *out = row_get(s, kind, id, revision, &row) ? row_to_json(kind, &row) : NULL;
    json_decref(row.body);
    return out;
}

struct listing {
    const char *kind;
    json_t *out;
};

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
