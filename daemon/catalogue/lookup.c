/* lookup.c - things of the catalogue by their id, out of the store. Knows no file and no search. */
#include "catalogue/row.h"
#include "text/utf8.h"

#include <string.h>

/* The row lives only until the callback returns, so all that is wanted of it is copied. */
void row_take(void *arg, const struct store_item *i)
{
    struct row *r = arg;
    json_decref(r->body);
    r->body = i->body ? json_loads(i->body, JSON_REJECT_DUPLICATES, NULL) : NULL;
    r->revision = i->revision;
    utf8_copy(r->date, sizeof r->date, i->time ? i->time : ""); /* RFC 3339 begins with the date */
    utf8_copy(r->reason, sizeof r->reason, i->reason ? i->reason : "");
}

/* False also where the store could not be read: catalogue_was_read tells. */
bool row_get(struct store *s, const char *kind, const char *id, int64_t revision, struct row *out)
{
    *out = (struct row){0};
    return store_item_get(s, kind, id, revision, row_take, out) == STORE_FOUND && out->body;
}

bool catalogue_was_read(struct store *s, uint64_t before, struct fault *fault)
{
    return store_unread(s) == before ||
           fault_said(fault, FAULT_STORE, NULL, "io", "store_unreadable why=%s", store_why(s));
}

/* A formula with what the row alone knows: revision, date, reason. */
static bool row_formula(const struct row *row, struct formula *out)
{
    struct fault fault;
    if (!formula_from_json(row->body, out, &fault))
        return false;
    out->revision = row->revision;
    memcpy(out->date, row->date, sizeof out->date);
    memcpy(out->reason, row->reason, sizeof out->reason);
    return true;
}

bool catalogue_toner(struct store *s, const char *id, struct toner *out)
{
    struct row row;
    struct fault fault;
    bool fine = row_get(s, "toner", id, 0, &row) && toner_from_json(row.body, out, &fault);
    out->revision = row.revision;
    json_decref(row.body);
    return fine;
}

bool catalogue_formula(struct store *s, const char *code, int64_t revision, struct formula *out)
{
    struct row row;
    *out = (struct formula){0};
    bool fine = row_get(s, "formula", code, revision, &row) && row_formula(&row, out);
    json_decref(row.body);
    return fine;
}

bool catalogue_product(struct store *s, const char *id, struct product *out)
{
    struct row row;
    struct fault fault;
    bool fine = row_get(s, "product", id, 0, &row) && product_from_json(row.body, out, &fault);
    out->revision = row.revision;
    json_decref(row.body);
    return fine;
}

bool catalogue_cup(struct store *s, const char *id, struct cup_kind *out)
{
    struct row row;
    struct fault fault;
    bool fine = row_get(s, "cup", id, 0, &row) && cup_from_json(row.body, out, &fault);
    json_decref(row.body);
    return fine;
}

bool catalogue_panel(struct store *s, const char *id, struct panel *out)
{
    struct row row;
    struct fault fault;
    bool fine = row_get(s, "panel", id, 0, &row) && panel_from_json(row.body, out, &fault);
    json_decref(row.body);
    return fine;
}
