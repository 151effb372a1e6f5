/* import.c - what files say into the store, in pieces. It reads no file itself. */
#include "catalogue/catalogue.h"
#include "catalogue/codes.h"
#include "catalogue/files.h"
#include "catalogue/order.h"
#include "clock.h"
#include "text/json_write.h"
#include "text/version.h"

#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Beside each thing stands an item of kind `section` with the hash of what the files last said of it. It is apart from
 * the thing so that a put, or a removal, is left alone until the section itself changes. */
enum { SECTION_ID = 12 + 1 + ID_MAX };

/* `toner.N10`: no id holds a space, so a section's name in a file would do as well, but ids of the store have none. */
static void section_id(const struct file_item *i, char out[SECTION_ID])
{
    snprintf(out, SECTION_ID, "%s.%s", i->kind, i->id);
}

/* A section and whether it says what it last said. */
struct same {
    const struct file_item *item;
    bool is;
};

static void compare_source(void *arg, const struct store_item *i)
{
    struct same *same = arg;
    same->is = i->source && strcmp(i->source, same->item->source) == 0;
}

/* True for a section never read before. By the section's hash, not by the thing: a put stays until somebody edits the
 * section. */
static bool is_changed(struct store *s, const struct file_item *i)
{
    char id[SECTION_ID];
    struct same same = {.item = i};
    section_id(i, id);
    store_item_get(s, "section", id, 0, compare_source, &same);
    return !same.is;
}

/* Ids of one kind in the order read, where that changes the order kept: the body of its `order` item. Else NULL. What
 * files say nothing of stays as it is, and is not read: 50,000 toners take 40 ms. */
static char *order_changed(struct store *s, const struct file_items *items, const char *kind)
{
    json_t *read = json_array();
    for (size_t i = 0; i < items->count; i++)
        if (strcmp(items->item[i].kind, kind) == 0)
            json_array_append_new(read, json_string(items->item[i].id));
    bool any = json_array_size(read) > 0;
    json_t *kept = any ? order_kept(s, kind) : NULL, *merged = any ? order_merge(kept, read) : NULL;
    char *out = NULL;
    if (json_array_size(merged) > 0 && !json_equal(merged, kept)) {
        json_t *body = json_pack("{s:O}", "ids", merged);
        out = json_write(body, JSON_COMPACT);
        json_decref(body);
    }
    json_decref(merged);
    json_decref(read);
    json_decref(kept);
    return out;
}

/* Kinds in which the first that fits is taken: the order in which they were read must last. */
static const char *const ordered[] = {"toner", "product"};
enum { ORDERED = sizeof ordered / sizeof *ordered };

struct files_taking {
    struct file_items items; /* only what changed; of what is on disk the texts are freed */
    size_t next;             /* the first that is not on its way yet */
    char time[CLOCK_TEXT], boot[40];
    char *person, *client; /* owned; NULL: not known */
    char *orders[ORDERED];
    bool mark_gone; /* what was read is not what the kept mark tells of */
    struct store *store;
    store_done *done;
    void *arg;
};

/* One piece in the making; all its texts live until it is submitted. */
struct piece {
    struct store_event event[FILES_AT_ONCE];
    struct store_item item[2 * FILES_AT_ONCE + ORDERED + 1]; /* the thing and its mark, orders, the files' mark */
    size_t events, items;
    struct words {
        char section[SECTION_ID], kind[24], reason[NAME_MAX_];
    } words[FILES_AT_ONCE];
    char *mark;
};

void files_taking_drop(struct files_taking *t)
{
    if (!t)
        return;
    for (size_t i = 0; i < ORDERED; i++)
        free(t->orders[i]);
    file_items_finish(&t->items);
    free(t->person);
    free(t->client);
    free(t);
}

static void drop_item(struct file_item *i)
{
    free(i->body);
    free(i->text);
    i->body = i->text = NULL;
}

/* What did not change goes. */
static void keep_changed(struct file_items *items, struct store *s)
{
    size_t kept = 0;
    for (size_t i = 0; i < items->count; i++)
        if (is_changed(s, &items->item[i]))
            items->item[kept++] = items->item[i];
        else
            drop_item(&items->item[i]);
    items->count = kept;
}

static void note_there(void *arg, const struct store_item *i)
{
    (void)i;
    *(bool *)arg = true;
}

/* Sections from elsewhere make a kept mark untrue: the next start would find other sections in the files than were
 * taken in last, and says so only if it reads them. */
static bool mark_goes(struct store *s, const struct file_items *items)
{
    bool kept = false;
    if (!items->mark.times[0] && !items->mark.content[0])
        store_item_get(s, FILES_KIND, FILES_ID, 0, note_there, &kept);
    return kept && items->count > 0;
}

/* NULL stays NULL. False: no memory. */
static bool copy(const char *from, char **to)
{
    *to = from ? strdup(from) : NULL;
    return *to || !from;
}

/* False: *fault. What the store could not tell must not be taken for changed: that would write over what a put made. */
static bool fill(struct files_taking *t, struct store *view, const char *person, const char *client,
                 struct fault *fault)
{
    uint64_t unread = store_unread(view);
    bool whole = copy(person, &t->person) && copy(client, &t->client);
    clock_text(clock_wall_ms(), t->time);
    clock_boot_id(t->boot);
    for (size_t i = 0; i < ORDERED; i++)
        t->orders[i] = order_changed(view, &t->items, ordered[i]);
    keep_changed(&t->items, view);
    t->mark_gone = mark_goes(view, &t->items);
    bool apart = codes_free(view, t->items.item, t->items.count, fault);
    return apart && catalogue_was_read(view, unread, fault) &&
           ((whole && !json_lost()) || fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory"));
}

struct files_taking *files_taking_new(struct store *view, struct file_items *items, const char *person,
                                      const char *client, size_t *changed, struct fault *fault)
{
    struct files_taking *t = calloc(1, sizeof *t);
    *changed = 0;
    if (!t) {
        file_items_finish(items);
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        return NULL;
    }
    t->items = *items;
    *items = (struct file_items){0};
    if (fill(t, view, person, client, fault)) {
        *changed = t->items.count;
        return t;
    }
    files_taking_drop(t);
    return NULL;
}

/* Without its folders: a reason is read on a screen, and the folder is the shop's own affair. */
static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* One event and two items of a section. */
static void add_changed(struct piece *p, const struct files_taking *t, const struct file_item *i)
{
    struct words *w = &p->words[p->events];
    section_id(i, w->section);
    snprintf(w->kind, sizeof w->kind, "%s.put", i->kind);
    snprintf(w->reason, sizeof w->reason, "read from %.100s", file_name(i->file));
    p->event[p->events++] = (struct store_event){.kind = w->kind,
                                                 .revision = -1,
                                                 .time = t->time,
                                                 .mono_ns = clock_mono_ns(),
                                                 .boot = t->boot,
                                                 .person = t->person,
                                                 .client = t->client,
                                                 .version = POISE_VERSION,
                                                 .body = i->body};
    p->item[p->items++] = (struct store_item){.kind = i->kind,
                                              .id = i->id,
                                              .time = t->time,
                                              .reason = w->reason,
                                              .source = i->source,
                                              .body = i->body,
                                              .text = i->text};
    p->item[p->items++] =
        (struct store_item){.kind = "section", .id = w->section, .time = t->time, .source = i->source, .body = "{}"};
}

/* Orders come as items alone, since they are derived from the files. False: no memory. */
static bool add_last(struct piece *p, const struct files_taking *t)
{
    bool marked = t->items.mark.times[0] || t->items.mark.content[0];
    for (size_t i = 0; i < ORDERED; i++)
        if (t->orders[i])
            p->item[p->items++] =
                (struct store_item){.kind = "order", .id = ordered[i], .time = t->time, .body = t->orders[i]};
    if (marked)
        p->item[p->items++] = files_mark_item(&t->items.mark, t->time, &p->mark);
    else if (t->mark_gone)
        p->item[p->items++] = (struct store_item){.kind = FILES_KIND, .id = FILES_ID, .time = t->time};
    return !marked || p->mark;
}

static void write_piece(struct files_taking *t);

/* The next piece, or the end. */
static void on_piece(void *arg, const struct store_outcome *outcome)
{
    struct files_taking *t = arg;
    if (outcome->result == STORE_DONE && t->next < t->items.count) {
        write_piece(t);
        return;
    }
    bool large = t->items.count > FILES_AT_ONCE;
    t->done(t->arg, outcome);
    files_taking_drop(t);
    if (large)
        malloc_trim(0); /* what 100,000 sections took would stay with us for good */
}

/* The store copies what it is given. Without memory it is given an event without a body, which it refuses by itself. */
static void write_piece(struct files_taking *t)
{
    static const struct store_event no_body = {.kind = "refused"};
    struct store_write write = {.events = &no_body, .event_count = 1};
    struct piece *p = calloc(1, sizeof *p);
    bool whole = p;
    for (size_t i = 0; whole && i < FILES_AT_ONCE && t->next < t->items.count; i++)
        add_changed(p, t, &t->items.item[t->next++]);
    if (whole && t->next == t->items.count)
        whole = add_last(p, t);
    if (whole)
        write = (struct store_write){
            .events = p->event, .event_count = p->events, .items = p->item, .item_count = p->items};
    size_t taken = whole ? p->events : 0;
    store_submit(t->store, &write, on_piece, t);
    for (size_t i = 0; i < taken; i++)
        drop_item(&t->items.item[t->next - 1 - i]);
    if (p)
        free(p->mark);
    free(p);
}

void files_taking_write(struct files_taking *t, struct store *s, store_done *done, void *arg)
{
    t->store = s;
    t->done = done;
    t->arg = arg;
    write_piece(t);
}

bool files_import(struct store *s, struct file_items *items, const char *person, const char *client, store_done *done,
                  void *arg, size_t *changed, struct fault *fault)
{
    struct files_taking *t = files_taking_new(s, items, person, client, changed, fault);
    if (t)
        files_taking_write(t, s, done, arg);
    return t;
}
