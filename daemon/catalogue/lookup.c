#include "catalogue/catalogue.h"
#include "catalogue/order.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a row of the store is read into; kept out of the callbacks so that each is a few lines. */
struct row {
    json_t *body;
    int64_t revision;
    char date[11], reason[NAME_MAX_];
};

static void copy_text(char *to, size_t size, const char *text)
{
    snprintf(to, size, "%s", text ? text : "");
}

static void take_row(void *arg, const struct store_item *i)
{
    struct row *r = arg;
    json_decref(r->body);
    r->body = i->body ? json_loads(i->body, JSON_REJECT_DUPLICATES, NULL) : NULL;
    r->revision = i->revision;
    copy_text(r->date, sizeof r->date, i->time); /* RFC 3339 begins with the date */
    copy_text(r->reason, sizeof r->reason, i->reason);
}

static bool get_row(struct store *s, const char *kind, const char *id, int64_t revision, struct row *out)
{
    *out = (struct row){0};
    return store_item_get(s, kind, id, revision, take_row, out) && out->body;
}

bool catalogue_toner(struct store *s, const char *id, struct toner *out)
{
    struct row row;
    struct fault fault;
    bool fine = get_row(s, "toner", id, 0, &row) && toner_from_json(row.body, out, &fault);
    out->revision = row.revision;
    json_decref(row.body);
    return fine;
}

static bool formula_of_row(const struct row *row, struct formula *out)
{
    struct fault fault;
    if (!formula_from_json(row->body, out, &fault))
        return false;
    out->revision = row->revision;
    memcpy(out->date, row->date, sizeof out->date);
    memcpy(out->reason, row->reason, sizeof out->reason);
    return true;
}

bool catalogue_formula(struct store *s, const char *code, int64_t revision, struct formula *out)
{
    struct row row;
    *out = (struct formula){0};
    bool fine = get_row(s, "formula", code, revision, &row) && formula_of_row(&row, out);
    json_decref(row.body);
    return fine;
}

bool catalogue_product(struct store *s, const char *id, struct product *out)
{
    struct row row;
    struct fault fault;
    bool fine = get_row(s, "product", id, 0, &row) && product_from_json(row.body, out, &fault);
    out->revision = row.revision;
    json_decref(row.body);
    return fine;
}

bool catalogue_cup(struct store *s, const char *id, struct cup_kind *out)
{
    struct row row;
    struct fault fault;
    bool fine = get_row(s, "cup", id, 0, &row) && cup_from_json(row.body, out, &fault);
    json_decref(row.body);
    return fine;
}

bool catalogue_panel(struct store *s, const char *id, struct panel *out)
{
    struct row row;
    struct fault fault;
    bool fine = get_row(s, "panel", id, 0, &row) && panel_from_json(row.body, out, &fault);
    json_decref(row.body);
    return fine;
}

/* ---- searches, in the order in which the files were read ---- */

bool catalogue_product_for(struct store *s, const char *formula, const char *coat, struct product *out)
{
    bool found = false;
    json_t *ids = order_of(s, "product");
    size_t i;
    json_t *id;
    json_array_foreach(ids, i, id)
    {
        struct product p;
        if (!catalogue_product(s, json_string_value(id), &p) || strcmp(p.role, coat) != 0)
            continue;
        bool own = strcmp(p.parts[0].id, formula) == 0;
        if (own || (!found && strcmp(p.parts[0].id, "colour") == 0)) {
            *out = p;
            found = true;
        }
        if (own)
            break;
    }
    json_decref(ids);
    return found;
}

bool catalogue_reducer(struct store *s, const char *line, struct toner *out)
{
    bool found = false;
    json_t *ids = order_of(s, "toner");
    size_t i;
    json_t *id;
    json_array_foreach(ids, i, id)
    {
        found = catalogue_toner(s, json_string_value(id), out) && strcmp(out->role, "reducer") == 0 &&
                strcmp(out->line, line) == 0;
        if (found)
            break;
    }
    json_decref(ids);
    return found;
}

struct cup_search {
    double ml, nearest;
    struct cup_kind *out;
    bool found;
};

static void consider_cup(void *arg, const struct store_item *i)
{
    struct cup_search *search = arg;
    struct cup_kind c;
    struct fault fault;
    json_t *body = i->body ? json_loads(i->body, JSON_REJECT_DUPLICATES, NULL) : NULL;
    if (body && cup_from_json(body, &c, &fault)) {
        double away = fabs(c.ml - search->ml);
        if (away <= 0.01 * search->ml && (!search->found || away < search->nearest)) {
            *search->out = c;
            search->nearest = away;
            search->found = true;
        }
    }
    json_decref(body);
}

bool catalogue_cup_of_ml(struct store *s, double ml, struct cup_kind *out)
{
    struct cup_search search = {.ml = ml, .out = out};
    store_item_list(s, "cup", NULL, consider_cup, &search);
    return search.found;
}

/* ---- as JSON ---- */

/* The shape of today for a body of any day, with what the row alone knows. */
static json_t *row_to_json(const char *kind, const struct row *row)
{
    json_t *out = NULL;
    struct fault fault;
    if (strcmp(kind, "toner") == 0) {
        struct toner t;
        if (toner_from_json(row->body, &t, &fault))
            out = toner_to_json(&t);
    } else if (strcmp(kind, "formula") == 0) {
        struct formula f;
        if (formula_of_row(row, &f)) {
            out = formula_to_json(&f);
            formula_finish(&f);
        }
        return out;
    } else if (strcmp(kind, "product") == 0) {
        struct product p;
        if (product_from_json(row->body, &p, &fault))
            out = product_to_json(&p);
    } else if (strcmp(kind, "cup") == 0) {
        struct cup_kind c;
        if (cup_from_json(row->body, &c, &fault))
            out = cup_to_json(&c);
    } else if (strcmp(kind, "panel") == 0) {
        struct panel p;
        if (panel_from_json(row->body, &p, &fault))
            out = panel_to_json(&p);
    }
    if (out)
        json_object_set_new(out, "revision", json_integer(row->revision));
    return out;
}

json_t *catalogue_get(struct store *s, const char *kind, const char *id, int64_t revision)
{
    struct row row;
    json_t *out = get_row(s, kind, id, revision, &row) ? row_to_json(kind, &row) : NULL;
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
    take_row(&row, i);
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
