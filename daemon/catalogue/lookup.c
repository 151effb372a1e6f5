#include "catalogue/row.h"

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
