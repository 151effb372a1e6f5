/* shop.h - a store with files read into it, for tests of what is looked up there. */
#pragma once

#include "catalogue/files.h"
#include "tests/unit/catalogue/folder.h"
#include "tests/unit/store/world.h"

struct shop {
    struct world *world;
    struct folder folder;
    struct store *store;
    int imports; /* done so far */
    enum store_result result;
};

static inline int shop_setup(void **state)
{
    struct shop *s = calloc(1, sizeof *s);
    assert_non_null(s);
    void *world;
    world_setup(&world);
    s->world = world;
    s->store = s->world->store;
    folder_make(&s->folder);
    *state = s;
    return 0;
}

static inline int shop_teardown(void **state)
{
    struct shop *s = *state;
    void *world = s->world;
    folder_remove(&s->folder);
    world_teardown(&world);
    free(s);
    return 0;
}

static inline void shop_imported(void *arg, const struct store_outcome *o)
{
    struct shop *s = arg;
    s->imports++;
    s->result = o->result;
}

/* Reads a path and imports it; how many sections changed. */
static inline size_t shop_import(struct shop *s, const char *path)
{
    struct file_items items;
    struct file_fault fault;
    int before = s->imports;
    if (!files_read(&path, 1, files_known_by_store, s->store, &items, &fault))
        fail_msg("%s:%d: %s: %s", fault.file, fault.line, fault.field, fault.why);
    size_t changed;
    struct fault unread;
    assert_true(files_import(s->store, &items, "Ines", "test", shop_imported, s, &changed, &unread));
    assert_int_equal(s->imports, before); /* never called at once */
    file_items_finish(&items);
    while (s->imports == before)
        uv_run(&s->world->loop, UV_RUN_ONCE);
    assert_int_equal(s->result, STORE_DONE);
    return changed;
}

/* Writes one file of the folder and imports the whole folder. */
static inline size_t shop_write(struct shop *s, const char *name, const char *text)
{
    folder_write(&s->folder, name, text);
    return shop_import(s, s->folder.dir);
}

/* A put as by a client; body NULL removes. */
static inline void shop_put(struct shop *s, const char *kind, const char *id, const char *body)
{
    char *text = NULL;
    if (body) {
        struct fault fault;
        json_t *in = json_loads(body, 0, NULL), *thing = catalogue_shape(kind, in, &fault);
        assert_non_null(thing);
        text = catalogue_text(thing);
        json_decref(thing);
        json_decref(in);
    }
    struct store_item item = {
        .kind = kind, .id = id, .time = "2026-11-25T14:03:07.412+01:00", .reason = "put", .body = body, .text = text};
    struct store_write write = {.items = &item, .item_count = 1};
    assert_int_equal(world_write(s->world, &write), STORE_DONE);
    free(text);
}
