/* import.c - what files say into the store, as one write. It reads no file itself. */
#include "catalogue/catalogue.h"
#include "catalogue/codes.h"
#include "catalogue/files.h"
#include "catalogue/order.h"
#include "clock.h"
#include "text/json_write.h"
#include "text/version.h"

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

/* A store_item_list callback: *arg maps a section to the hash of what it last said. */
static void take_source(void *arg, const struct store_item *i)
{
    json_object_set_new(arg, i->id, json_string(i->source ? i->source : ""));
}

/* True for a section never read before. By the section's hash, not by the thing: a put stays until somebody edits the
 * section. */
static bool is_changed(const void *sources, const struct file_item *i)
{
    char id[SECTION_ID];
    section_id(i, id);
    const char *before = json_string_value(json_object_get(sources, id));
    return !before || strcmp(before, i->source) != 0;
}

/* Ids of one kind in the order read, where that changes the order kept: the body of its `order` item. Else NULL. */
static char *order_changed(struct store *s, const struct file_items *items, const char *kind)
{
    json_t *read = json_array(), *kept = order_kept(s, kind);
    for (size_t i = 0; i < items->count; i++)
        if (strcmp(items->item[i].kind, kind) == 0)
            json_array_append_new(read, json_string(items->item[i].id));
    json_t *merged = order_merge(kept, read);
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

/* One write in the making; all its texts live until it is submitted. */
struct import {
    struct store_event *events;
    struct store_item *items;
    size_t event_count, item_count;
    struct words {
        char section[SECTION_ID], kind[24], reason[NAME_MAX_];
    } * words;
    char time[CLOCK_TEXT], boot[40];
    char *orders[ORDERED];
    char *mark;
};

/* Two items a section (the thing and its mark), one an order and one for the files: the arrays never grow. */
static bool import_begin(struct import *m, size_t count)
{
    *m = (struct import){0};
    m->events = calloc(count + 1, sizeof *m->events);
    m->items = calloc(2 * count + ORDERED + 1, sizeof *m->items);
    m->words = calloc(count + 1, sizeof *m->words);
    clock_text(clock_wall_ms(), m->time);
    clock_boot_id(m->boot);
    return m->events && m->items && m->words;
}

/* May be called for one that import_begin left half made. */
static void import_finish(struct import *m)
{
    for (size_t i = 0; i < ORDERED; i++)
        free(m->orders[i]);
    free(m->mark);
    free(m->events);
    free(m->items);
    free(m->words);
}

/* Without its folders: a reason is read on a screen, and the folder is the shop's own affair. */
static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* One event and two items of a section; their texts stay with m until the write was copied. */
static void add_changed(struct import *m, const struct file_item *i, const char *person, const char *client)
{
    struct words *w = &m->words[m->event_count];
    section_id(i, w->section);
    snprintf(w->kind, sizeof w->kind, "%s.put", i->kind);
    snprintf(w->reason, sizeof w->reason, "read from %.100s", file_name(i->file));
    m->events[m->event_count++] = (struct store_event){.kind = w->kind,
                                                       .revision = -1,
                                                       .time = m->time,
                                                       .mono_ns = clock_mono_ns(),
                                                       .boot = m->boot,
                                                       .person = person,
                                                       .client = client,
                                                       .version = POISE_VERSION,
                                                       .body = i->body};
    m->items[m->item_count++] = (struct store_item){.kind = i->kind,
                                                    .id = i->id,
                                                    .time = m->time,
                                                    .reason = w->reason,
                                                    .source = i->source,
                                                    .body = i->body,
                                                    .text = i->text};
    m->items[m->item_count++] =
        (struct store_item){.kind = "section", .id = w->section, .time = m->time, .source = i->source, .body = "{}"};
}

/* What changed goes into m, an event and two items a section; orders come as items alone, since they are derived from
 * the files. Reads only. False: *fault, a code that another toner bears. */
static bool import_fill(struct import *m, struct store *s, const struct file_items *items, const char *person,
                        const char *client, struct fault *fault)
{
    json_t *sources = json_object();
    store_item_list(s, "section", NULL, take_source, sources);
    bool apart = codes_free(s, items->item, items->count, is_changed, sources, fault);
    for (size_t i = 0; apart && i < items->count; i++)
        if (is_changed(sources, &items->item[i]))
            add_changed(m, &items->item[i], person, client);
    json_decref(sources);
    for (size_t i = 0; apart && i < ORDERED; i++) {
        m->orders[i] = order_changed(s, items, ordered[i]);
        if (m->orders[i])
            m->items[m->item_count++] =
                (struct store_item){.kind = "order", .id = ordered[i], .time = m->time, .body = m->orders[i]};
    }
    return apart;
}

static void note_there(void *arg, const struct store_item *i)
{
    (void)i;
    *(bool *)arg = true;
}

/* What was read is known again by its mark. Sections from elsewhere make a kept mark untrue: the next start would find
 * other sections in the files than were taken in last, and says so only if it reads them. False: no memory. */
static bool add_mark(struct import *m, struct store *s, const struct file_items *items)
{
    bool kept = false, marked = items->mark.times[0] || items->mark.content[0];
    if (!marked)
        store_item_get(s, FILES_KIND, FILES_ID, 0, note_there, &kept);
    if (marked)
        m->items[m->item_count++] = files_mark_item(&items->mark, m->time, &m->mark);
    else if (kept && m->event_count)
        m->items[m->item_count++] = (struct store_item){.kind = FILES_KIND, .id = FILES_ID, .time = m->time};
    return !marked || m->mark;
}

/* Everything in one write, so that a power cut leaves all sections new or all old. What the store could not tell must
 * not be taken for changed: that would write over what a put made. */
struct store_prepared *files_prepare(struct store *view, const struct file_items *items, const char *person,
                                     const char *client, size_t *changed, struct fault *fault)
{
    struct import m;
    struct store_prepared *write = NULL;
    uint64_t unread = store_unread(view);
    bool fine = import_begin(&m, items->count) || fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    if (fine) {
        fine = import_fill(&m, view, items, person, client, fault);
        bool marked = add_mark(&m, view, items);
        fine = fine && catalogue_was_read(view, unread, fault) &&
               ((marked && !json_lost()) || fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory"));
    }
    *changed = m.event_count;
    if (fine)
        write = store_prepare(&(struct store_write){
            .events = m.events, .event_count = m.event_count, .items = m.items, .item_count = m.item_count});
    if (fine && !write)
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    import_finish(&m);
    return write;
}

bool files_import(struct store *s, const struct file_items *items, const char *person, const char *client,
                  store_done *done, void *arg, size_t *changed, struct fault *fault)
{
    struct store_prepared *write = files_prepare(s, items, person, client, changed, fault);
    if (write)
        store_submit_prepared(s, write, done, arg);
    return write != NULL;
}
