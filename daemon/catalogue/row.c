#include "catalogue/row.h"

#include <stdio.h>
#include <string.h>

static void copy_text(char *to, size_t size, const char *text)
{
    snprintf(to, size, "%s", text ? text : "");
}

void row_take(void *arg, const struct store_item *i)
{
    struct row *r = arg;
    json_decref(r->body);
    r->body = i->body ? json_loads(i->body, JSON_REJECT_DUPLICATES, NULL) : NULL;
    r->revision = i->revision;
    copy_text(r->date, sizeof r->date, i->time); /* RFC 3339 begins with the date */
    copy_text(r->reason, sizeof r->reason, i->reason);
}

bool row_get(struct store *s, const char *kind, const char *id, int64_t revision, struct row *out)
{
    *out = (struct row){0};
    return store_item_get(s, kind, id, revision, row_take, out) == STORE_FOUND && out->body;
}

bool row_formula(const struct row *row, struct formula *out)
{
    struct fault fault;
    if (!formula_from_json(row->body, out, &fault))
        return false;
    out->revision = row->revision;
    memcpy(out->date, row->date, sizeof out->date);
    memcpy(out->reason, row->reason, sizeof out->reason);
    return true;
}
