/* lookup.c - things of the catalogue out of the store: by id, as `get` and `list` answer them, or the first that fits.
 *
 * It must not know what a kind of thing holds (its own file does), nor where it was written (files.c).
 */
#include "catalogue/catalogue.h"
#include "catalogue/order.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/near.h"
#include "text/utf8.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool catalogue_was_read(struct store *s, uint64_t before, struct fault *fault)
{
    return store_unread(s) == before || store_say_unread(s, fault);
}

/* ---- one row ---- */

/* A row of the store, taken out of a reader's callback so that it may be looked at afterwards. */
struct row {
    json_t *body; /* owned; NULL: removed, or not JSON */
    int64_t revision;
    bool lost; /* there was no memory for the body: that it is NULL says nothing */
    char date[11], reason[NAME_MAX_];
};

/* A callback of store_item_get and _list: *arg is a struct row, what it held before is let go. The store's row lives
 * only until the callback returns, so all that is wanted of it is copied. */
static void row_take(void *arg, const struct store_item *i)
{
    struct row *r = arg;
    json_decref(r->body);
    errno = 0;
    r->body = i->body ? json_read_text(i->body) : NULL;
    r->lost = i->body && !r->body && errno == ENOMEM; /* jansson calls it a token that is none, or nothing at all */
    r->revision = i->revision;
    utf8_copy(r->date, sizeof r->date, i->time ? i->time : ""); /* RFC 3339 begins with the date */
    utf8_copy(r->reason, sizeof r->reason, i->reason ? i->reason : "");
}

/* A row that gave no thing for want of memory must not count as one that is not there, or that today's tables refuse.
 * fault is what its reader said, NULL: nothing. */
static bool wants_memory(const struct row *row, const struct fault *fault)
{
    return row->lost || (row->body && ((fault && fault->kind == FAULT_INTERNAL) || json_lost()));
}

/* False: no such row, or the store could not be read, which catalogue_was_read tells. The caller lets go of out->body
 * in both cases. revision 0 is the present one. A person types `ti-207`: where nothing bears exactly that id, the one
 * that differs in case alone is meant. */
static bool row_get(struct store *s, const char *kind, const char *id, int64_t revision, struct row *out)
{
    char other[ID_MAX];
    *out = (struct row){0};
    enum store_found found = store_item_get(s, kind, id, revision, row_take, out);
    if (found == STORE_NONE && store_item_other_case(s, kind, id, other, sizeof other) == STORE_FOUND)
        found = store_item_get(s, kind, other, revision, row_take, out);
    if (out->lost)
        store_lost(s);
    return found == STORE_FOUND && out->body;
}

static void take_near(void *arg, const char *id)
{
    near_take(arg, id);
}

bool catalogue_unknown(struct store *s, const char *kind, const char *field, const char *id, struct fault *fault)
{
    struct near near = near_to(id);
    store_item_ids(s, kind, id, take_near, &near);
    const char *meant = near.best;
    if (strcmp(kind, "formula") == 0)
        return *meant ? fault_said(fault, FAULT_UNKNOWN, field, "unknown", "formula_near formula=%s near=%s", id, meant)
                      : fault_said(fault, FAULT_UNKNOWN, field, "unknown", "formula_unknown formula=%s", id);
    if (strcmp(kind, "product") == 0)
        return *meant ? fault_said(fault, FAULT_UNKNOWN, field, "unknown", "product_near product=%s near=%s", id, meant)
                      : fault_said(fault, FAULT_UNKNOWN, field, "unknown", "product_unknown product=%s", id);
    if (strcmp(kind, "toner") == 0)
        return *meant ? fault_said(fault, FAULT_UNKNOWN, field, "unknown", "toner_near toner=%s near=%s", id, meant)
                      : fault_said(fault, FAULT_UNKNOWN, field, "unknown", "toner_unknown toner=%s", id);
    return fault_said(fault, FAULT_UNKNOWN, field, "unknown", "unknown_thing id=%s", id);
}

/* ---- values by their id ---- */

/* The readers of the kinds, alike, so that one look-up serves them all. *out is the struct of that kind. */
typedef bool read_thing(const json_t *json, void *out, struct fault *fault);

static bool read_toner(const json_t *json, void *out, struct fault *fault)
{
    return toner_from_json(json, out, fault);
}

static bool read_product(const json_t *json, void *out, struct fault *fault)
{
    return product_from_json(json, out, fault);
}

static bool read_cup(const json_t *json, void *out, struct fault *fault)
{
    return cup_from_json(json, out, fault);
}

static bool read_panel(const json_t *json, void *out, struct fault *fault)
{
    return panel_from_json(json, out, fault);
}

/* The present revision of a thing, *revision tells which. A body that today's tables refuse counts as not there. */
static bool look_up(struct store *s, const char *kind, const char *id, read_thing *read, void *out, int64_t *revision)
{
    struct row row;
    struct fault fault = {0};
    bool there = row_get(s, kind, id, 0, &row), fine = there && read(row.body, out, &fault);
    if (there && !fine && wants_memory(&row, &fault))
        store_lost(s);
    *revision = row.revision;
    json_decref(row.body);
    return fine;
}

/* *out is whole only where the answer is true. */
bool catalogue_toner(struct store *s, const char *id, struct toner *out)
{
    int64_t revision;
    bool fine = look_up(s, "toner", id, read_toner, out, &revision);
    out->revision = revision; /* the reader begins with an empty struct, so it comes last */
    return fine;
}

bool catalogue_product(struct store *s, const char *id, struct product *out)
{
    int64_t revision;
    bool fine = look_up(s, "product", id, read_product, out, &revision);
    out->revision = revision;
    return fine;
}

bool catalogue_panel(struct store *s, const char *id, struct panel *out)
{
    int64_t revision; /* nothing keeps a panel's: a batch keeps its area */
    return look_up(s, "panel", id, read_panel, out, &revision);
}

/* A formula with what the row alone knows: revision, date, reason. */
bool catalogue_formula(struct store *s, const char *code, int64_t revision, struct formula *out)
{
    struct row row;
    struct fault fault = {0};
    *out = (struct formula){0};
    bool there = row_get(s, "formula", code, revision, &row), fine = there && formula_from_json(row.body, out, &fault);
    if (there && !fine && wants_memory(&row, &fault))
        store_lost(s);
    if (fine) {
        out->revision = row.revision;
        memcpy(out->date, row.date, sizeof out->date);
        memcpy(out->reason, row.reason, sizeof out->reason);
    }
    json_decref(row.body);
    return fine;
}

/* ---- as `get` and `list` answer them ---- */

/* The shape of today for a body of any day, with what the row alone knows. NULL: *fault, which the caller begins empty.
 */
static json_t *row_to_json(const char *kind, const struct row *row, struct fault *fault)
{
    json_t *out = catalogue_shape(kind, row->body, fault);
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
    struct fault fault = {0};
    bool there = row_get(s, kind, id, revision, &row);
    json_t *out = there ? row_to_json(kind, &row, &fault) : NULL;
    if (there && !out && wants_memory(&row, &fault))
        store_lost(s);
    json_decref(row.body);
    return out;
}

/* A list in the making. */
struct listing {
    const char *kind;
    void (*each)(void *arg, json_t *thing);
    void *arg;
    int count, limit;  /* rows read; 0: any number */
    char last[ID_MAX]; /* the id of the newest one listed */
    bool more, lost;
};

/* A row that the tables of today refuse is left out; the others are still a list. */
static void list_row(void *arg, const struct store_item *i)
{
    struct listing *l = arg;
    struct row row = {0};
    struct fault fault = {0};
    l->more = l->limit && l->count == l->limit;
    if (l->more)
        return;
    l->count++;
    snprintf(l->last, sizeof l->last, "%s", i->id);
    row_take(&row, i);
    json_t *thing = row.body ? row_to_json(l->kind, &row, &fault) : NULL;
    if (!thing)
        l->lost = l->lost || wants_memory(&row, &fault);
    json_decref(row.body);
    if (thing)
        l->each(l->arg, thing);
}

void catalogue_page(struct store *s, const struct store_item_page *page, void (*each)(void *arg, json_t *thing),
                    void *arg, char next[ID_MAX])
{
    struct listing l = {.kind = page->kind, .each = each, .arg = arg, .limit = page->limit};
    struct store_item_page one_more = *page;
    one_more.limit = page->limit ? page->limit + 1 : 0;
    store_item_page(s, &one_more, list_row, &l);
    if (l.lost)
        store_lost(s);
    snprintf(next, ID_MAX, "%s", l.more ? l.last : "");
}

static void add_thing(void *arg, json_t *thing)
{
    json_array_append_new(arg, thing);
}

json_t *catalogue_list(struct store *s, const char *kind, const char *text)
{
    char next[ID_MAX];
    json_t *all = json_array();
    catalogue_page(s, &(struct store_item_page){.kind = kind, .text = text}, add_thing, all, next);
    return all;
}

/* ---- the first that fits ---- */

/* What a search reads into, one row after the other: a store of thousands of toners must not be held at once. */
union thing {
    struct toner toner;
    struct product product;
    struct cup_kind cup;
};

/* Looks through a kind for the thing of the lowest rank. */
struct search {
    read_thing *read;
    double (*rank)(const struct search *s, const char *id, const union thing *t); /* INFINITY: it does not fit */
    const char *formula, *word; /* what a product is for; the line, or the coat */
    double ml;                  /* of a cup */
    char *order;                /* in which they were read; NULL where none is kept */
    double best_rank;
    bool lost;        /* there was no memory for a row, which may have been the best */
    int64_t revision; /* of the best */
    union thing best;
};

/* In the order in which the files were read; whatever stands in no file comes after all that do, by id. */
static double place_of(const struct search *s, const char *id)
{
    ptrdiff_t place = order_place(s->order, id);
    return place >= 0 ? (double)place : 1e9;
}

static double reducer_rank(const struct search *s, const char *id, const union thing *t)
{
    bool fits = strcmp(t->toner.role, "reducer") == 0 && strcmp(t->toner.line, s->word) == 0;
    return fits ? place_of(s, id) : (double)INFINITY;
}

/* `colour` stands for whatever formula is mixed; the formula's own goes before one for any colour. */
static double product_rank(const struct search *s, const char *id, const union thing *t)
{
    const char *first = t->product.parts[0].id;
    bool own = strcmp(first, s->formula) == 0;
    if (strcmp(t->product.role, s->word) != 0 || (!own && strcmp(first, "colour") != 0))
        return (double)INFINITY;
    return place_of(s, id) - (own ? 1e12 : 0);
}

/* People round: 744 ml is the cup of 750. 1 % is common practice, no source. */
static double cup_rank(const struct search *s, const char *id, const union thing *t)
{
    double away = fabs(t->cup.ml - s->ml);
    (void)id;
    return away <= 0.01 * s->ml ? away : (double)INFINITY;
}

/* The most to its fill limit comes first. */
static double cup_size_rank(const struct search *s, const char *id, const union thing *t)
{
    (void)s;
    (void)id;
    return -t->cup.ml * t->cup.fill_pct;
}

/* A store_item_list callback: keeps the best so far, the first of two alike. A row that cannot be understood does not
 * fit. */
static void consider(void *arg, const struct store_item *i)
{
    struct search *s = arg;
    struct row row = {0};
    union thing thing;
    struct fault fault = {0};
    row_take(&row, i);
    bool fine = row.body && s->read(row.body, &thing, &fault);
    if (fine) {
        double rank = s->rank(s, i->id, &thing);
        if (rank < s->best_rank) {
            s->best_rank = rank;
            s->best = thing;
            s->revision = row.revision;
        }
    }
    s->lost = s->lost || (!fine && wants_memory(&row, &fault));
    json_decref(row.body);
}

/* True: one fits, and s->best is it. text: words to find candidates by, NULL for all. An order that could not be read
 * leaves ids alone in order; the caller asks catalogue_was_read. */
static bool search(struct store *store, const char *kind, const char *text, struct search *s)
{
    s->order = order_text(store, kind);
    s->best_rank = (double)INFINITY;
    store_item_list(store, kind, text, consider, s);
    if (s->lost)
        store_lost(store);
    free(s->order);
    return isfinite(s->best_rank);
}

/* Asked at a begin that names no product: the ratio of a two-pack colour is then its own. */
bool catalogue_product_for(struct store *s, const char *formula, const char *coat, struct product *out)
{
    struct search find = {.read = read_product, .rank = product_rank, .formula = formula, .word = coat};
    bool found = search(s, "product", coat, &find); /* its role is one of the words it is found by */
    if (found) {
        *out = find.best.product;
        out->revision = find.revision;
    }
    return found;
}

/* The line alone decides here: which of them suits the warmth of the shop is the product's to say. */
bool catalogue_reducer(struct store *s, const char *line, struct toner *out)
{
    struct search find = {.read = read_toner, .rank = reducer_rank, .word = line};
    bool found = search(s, "toner", "reducer", &find);
    if (found) {
        *out = find.best.toner;
        out->revision = find.revision;
    }
    return found;
}

bool catalogue_cup_of_ml(struct store *s, double ml, struct cup_kind *out)
{
    struct search find = {.read = read_cup, .rank = cup_rank, .ml = ml};
    bool found = search(s, "cup", NULL, &find);
    if (found)
        *out = find.best.cup;
    return found;
}

bool catalogue_largest_cup(struct store *s, struct cup_kind *out)
{
    struct search find = {.read = read_cup, .rank = cup_size_rank};
    bool found = search(s, "cup", NULL, &find);
    if (found)
        *out = find.best.cup;
    return found;
}

/* ---- who names a toner ---- */

struct naming {
    const char *toner;
    char *by; /* ID_MAX bytes; "" until one is found */
};

/* store_item_list callbacks. What the tables of today refuse can be neither planned nor begun, so it names nothing. */
static void name_in_formula(void *arg, const struct store_item *i)
{
    const struct naming *n = arg;
    struct row row = {0};
    struct formula formula = {0};
    struct fault fault = {0};
    if (n->by[0])
        return;
    row_take(&row, i);
    bool read = row.body && formula_from_json(row.body, &formula, &fault);
    for (size_t c = 0; read && c < formula.coat_count; c++)
        for (size_t p = 0; p < formula.coats[c].part_count; p++)
            if (strcasecmp(formula.coats[c].parts[p].toner, n->toner) == 0)
                snprintf(n->by, ID_MAX, "%s", i->id);
    if (read)
        formula_finish(&formula);
    json_decref(row.body);
}

/* A hardener by its speed or a reducer by its warmth counts as much as a part. */
static bool is_choice(const struct product_choice choices[], size_t count, const char *toner)
{
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(choices[i].id, toner) == 0)
            return true;
    return false;
}

static void name_in_product(void *arg, const struct store_item *i)
{
    const struct naming *n = arg;
    struct row row = {0};
    struct product product;
    struct fault fault = {0};
    if (n->by[0])
        return;
    row_take(&row, i);
    bool read = row.body && product_from_json(row.body, &product, &fault);
    bool named = read && (is_choice(product.hardeners, product.hardener_count, n->toner) ||
                          is_choice(product.reducers, product.reducer_count, n->toner));
    for (size_t p = 0; read && p < product.part_count; p++)
        named = named || strcasecmp(product.parts[p].id, n->toner) == 0;
    if (named)
        snprintf(n->by, ID_MAX, "%s", i->id);
    json_decref(row.body);
}

bool catalogue_names_toner(struct store *s, const char *toner, char by[ID_MAX])
{
    struct naming naming = {.toner = toner, .by = by};
    by[0] = '\0';
    store_item_list(s, "formula", NULL, name_in_formula, &naming);
    store_item_list(s, "product", NULL, name_in_product, &naming);
    return by[0] != '\0';
}

bool catalogue_coat_known(struct store *s, const char *formula, const char *coat, const char *variant,
                          struct fault *fault)
{
    struct formula f;
    uint64_t before = store_unread(s);
    if (!catalogue_formula(s, formula, 0, &f))
        return catalogue_was_read(s, before, fault) && catalogue_unknown(s, "formula", "formula", formula, fault);
    bool known = !coat || formula_coat_or_fault(&f, coat, variant ? variant : "standard", fault);
    formula_finish(&f);
    return known;
}
