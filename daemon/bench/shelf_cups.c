/* shelf_cups.c - reads the shelf for work-off and rescue: rows first, and only of cups that may help the journal. It
 * must not know what is made of them. */
#include "bench/shelf_cups.h"

#include "bench/batch_journal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PAGE = 64 };

/* Numbers and what is left of a page of the shelf. */
struct rows {
    const struct shelf_asked *asked;
    struct {
        char batch[STORE_NUMBER];
        double left_g;
    } row[PAGE];
    size_t count;
};

static bool is_past(const char *use_by, const struct shelf_asked *asked)
{
    return use_by && strncmp(use_by, asked->today, 10) < 0;
}

/* Paint was used of it since it was mixed, by a hand or by another batch, and nobody weighed what is left. */
static bool is_unweighed(const struct store_batch *b)
{
    return isnan(b->left_g) || (!b->weighed && b->left_g < b->total_g);
}

/* A store_shelf_page callback. What the row tells already is not folded. */
static void take_row(void *arg, const struct store_batch *b)
{
    struct rows *r = arg;
    bool unweighed = is_unweighed(b);
    if ((unweighed ? !r->asked->unweighed : !(b->left_g > 0)) || b->activated == 1 || is_past(b->use_by, r->asked) ||
        r->count == PAGE)
        return;
    snprintf(r->row[r->count].batch, sizeof r->row[0].batch, "%s", b->batch);
    r->row[r->count++].left_g = unweighed ? NAN : b->left_g;
}

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* The journal of one cup, told by the recipe. */
static enum store_found fold(struct store *view, const char *batch, const struct recipe *recipe, struct leftover *out)
{
    struct batch *cup = NULL;
    enum store_found found = journal_load(view, batch, NULL, NULL, &cup);
    if (found != STORE_FOUND)
        return found;
    bool holds = leftover_of(cup, recipe, out);
    batch_finish(cup);
    free(cup);
    return holds ? STORE_FOUND : STORE_NONE;
}

static bool is_there(const struct leftover *list, size_t count, const char *batch)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].batch, batch) == 0)
            return true;
    return false;
}

/* All pages of a formula, or with NULL of the shelf, until there are enough or time is over. */
static enum store_found look(struct store *view, const struct shelf_asked *asked, const char *formula, int64_t until,
                             struct leftover *out, size_t *count)
{
    char next[STORE_NUMBER] = "";
    do {
        struct rows r = {.asked = asked};
        char after[STORE_NUMBER];
        snprintf(after, sizeof after, "%s", next);
        struct store_shelf page = {.formula = formula, .limit = PAGE, .after = after[0] ? after : NULL};
        if (store_shelf_page(view, &page, take_row, &r, next) != STORE_FOUND)
            return STORE_UNREAD;
        for (size_t i = 0; i < r.count && *count < asked->most; i++) {
            struct leftover *l = &out[*count];
            if (until && now_ms() > until)
                return STORE_FOUND;
            if (is_there(out, *count, r.row[i].batch))
                continue;
            enum store_found found = fold(view, r.row[i].batch, asked->recipe, l);
            if (found == STORE_UNREAD)
                return found;
            bool goes = found == STORE_FOUND && l->bar == LEFTOVER_GOES && l->foreign == 0;
            l->left_g = r.row[i].left_g;
            if (goes && isnan(l->left_g)) { /* nobody knows whether anything is in it */
                l->left_g = 0;
                l->bar = LEFTOVER_UNWEIGHED;
            }
            *count += goes;
        }
    } while (next[0] && *count < asked->most);
    return STORE_FOUND;
}

/* Numbers rise with time. */
static int by_age(const void *one, const void *other)
{
    long long a = atoll(((const struct leftover *)one)->batch), b = atoll(((const struct leftover *)other)->batch);
    return (a > b) - (a < b);
}

enum store_found shelf_cups(struct store *view, const struct shelf_asked *asked, struct leftover *out, size_t *count)
{
    int64_t until = asked->most_ms ? now_ms() + asked->most_ms : 0;
    *count = 0;
    enum store_found found = look(view, asked, asked->recipe->code, until, out, count);
    if (found == STORE_FOUND)
        found = look(view, asked, NULL, until, out, count);
    qsort(out, *count, sizeof *out, by_age);
    return found;
}

/* The row of a cup that was named. */
struct named {
    const struct shelf_asked *asked;
    bool ended, past;
    double left_g, total_g;
};

static void take_named(void *arg, const struct store_batch *b)
{
    struct named *n = arg;
    n->ended = strcmp(b->state, "finished") == 0;
    n->past = is_past(b->use_by, n->asked) && b->activated != 1;
    n->left_g = b->left_g;
    n->total_g = b->total_g;
}

enum store_found shelf_cup(struct store *view, const char *batch, const struct shelf_asked *asked, struct leftover *out)
{
    struct named n = {.asked = asked};
    enum store_found found = store_batch_get(view, batch, take_named, &n);
    if (found != STORE_FOUND || !n.ended)
        return found == STORE_UNREAD ? found : STORE_NONE;
    found = fold(view, batch, asked->recipe, out);
    if (found != STORE_FOUND)
        return found;
    out->left_g = isnan(n.left_g) ? n.total_g : n.left_g;
    if (n.past && out->bar == LEFTOVER_GOES)
        out->bar = LEFTOVER_PAST;
    return found;
}
