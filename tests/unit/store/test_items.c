#include "tests/unit/store/world.h"

struct seen {
    int count;
    char ids[256];
    int64_t revision;
    char body[64], reason[64], source[64], text[64], time[64];
};

static void see(void *arg, const struct store_item *i)
{
    struct seen *s = arg;
    size_t length = strlen(s->ids);
    s->count++;
    snprintf(s->ids + length, sizeof s->ids - length, "%s%s", length ? " " : "", i->id);
    s->revision = i->revision;
    snprintf(s->body, sizeof s->body, "%s", i->body);
    snprintf(s->reason, sizeof s->reason, "%s", i->reason ? i->reason : "NULL");
    snprintf(s->source, sizeof s->source, "%s", i->source ? i->source : "NULL");
    snprintf(s->text, sizeof s->text, "%s", i->text ? i->text : "NULL");
    snprintf(s->time, sizeof s->time, "%s", i->time ? i->time : "NULL");
}

/* Writes one item; its new revision. */
static int64_t put(struct world *w, struct store_item item)
{
    assert_int_equal(world_write(w, &(struct store_write){.items = &item, .item_count = 1}), STORE_DONE);
    return w->result[w->answers - 1].revision;
}

static bool get(struct world *w, const char *id, int64_t revision, struct seen *s)
{
    memset(s, 0, sizeof *s);
    enum store_found found = store_item_get(w->store, "toner", id, revision, see, s);
    assert_int_not_equal(found, STORE_UNREAD);
    return found == STORE_FOUND;
}

static const char *list(struct world *w, const char *kind, const char *text, struct seen *s)
{
    memset(s, 0, sizeof *s);
    assert_true(store_item_list(w->store, kind, text, see, s));
    return s->ids;
}

static void every_revision_is_kept(void **state)
{
    struct world *w = *state;
    struct seen s;
    assert_int_equal(put(w, (struct store_item){.kind = "toner",
                                                .id = "N10",
                                                .time = "t1",
                                                .reason = "read",
                                                .source = "aa",
                                                .body = "{\"v\":1}",
                                                .text = "N10 White"}),
                     1);
    assert_int_equal(put(w, (struct store_item){.kind = "toner", .id = "N10", .body = "{\"v\":2}", .text = "N10 Snow"}),
                     2);
    assert_int_equal(put(w, (struct store_item){.kind = "formula", .id = "N10", .body = "{\"v\":9}"}), 1);
    assert_true(get(w, "N10", 0, &s));
    assert_int_equal(s.revision, 2);
    assert_string_equal(s.body, "{\"v\":2}");
    assert_string_equal(s.text, "N10 Snow");
    assert_string_equal(s.source, "NULL");
    assert_true(get(w, "N10", 1, &s));
    assert_string_equal(s.body, "{\"v\":1}");
    assert_string_equal(s.reason, "read");
    assert_string_equal(s.source, "aa");
    assert_string_equal(s.time, "t1");
    assert_false(get(w, "N10", 3, &s));
    assert_false(get(w, "n10", 0, &s));
}

static void removed_and_put_again(void **state)
{
    struct world *w = *state;
    struct seen s;
    put(w, (struct store_item){.kind = "toner", .id = "K01", .source = "f1", .body = "{}", .text = "black"});
    assert_int_equal(put(w, (struct store_item){.kind = "toner", .id = "K01", .reason = "gone"}), 2);
    assert_false(get(w, "K01", 0, &s));
    assert_false(get(w, "K01", 2, &s));
    assert_true(get(w, "K01", 1, &s));
    assert_string_equal(list(w, "toner", NULL, &s), "");
    assert_string_equal(list(w, "toner", "black", &s), "");
    assert_int_equal(put(w, (struct store_item){.kind = "toner", .id = "K01", .body = "{\"n\":1}", .text = "jet"}), 3);
    assert_string_equal(list(w, "toner", "jet", &s), "K01");
    assert_string_equal(list(w, "toner", "black", &s), "");
}

static void a_list_holds_the_present_ones_in_order(void **state)
{
    struct world *w = *state;
    struct seen s;
    const struct store_item items[] = {
        {.kind = "toner", .id = "M42", .body = "{}", .text = "M42 Copper pearl"},
        {.kind = "toner", .id = "K01", .body = "{}", .text = "K01 Black, deep"},
        {.kind = "toner", .id = "N10", .body = "{}", .text = "N10 White"},
        {.kind = "toner", .id = "B-7", .body = "{}", .text = "B-7 Blaugr\xc3\xbcn toner"},
        {.kind = "product", .id = "A1", .body = "{}", .text = "Clear, deep"},
        {.kind = "toner", .id = "N10", .body = "{\"v\":2}", .text = "N10 Snow"},
    };
    assert_int_equal(world_write(w, &(struct store_write){.items = items, .item_count = 6}), STORE_DONE);
    assert_string_equal(list(w, "toner", NULL, &s), "B-7 K01 M42 N10");
    assert_string_equal(list(w, "toner", "", &s), "B-7 K01 M42 N10");
    assert_string_equal(list(w, "toner", "deep", &s), "K01");
    assert_string_equal(list(w, "product", "deep", &s), "A1");
    assert_string_equal(list(w, "toner", "co pe", &s), "M42");
    assert_string_equal(list(w, "toner", "white", &s), "");
    assert_string_equal(list(w, "toner", "snow", &s), "N10");
    assert_string_equal(list(w, "toner", "b-7", &s), "B-7");
    assert_string_equal(list(w, "toner", "blaugrun", &s), "B-7");
    assert_string_equal(list(w, "toner", "toner", &s), "B-7"); /* a kind is no word of an item */
    assert_string_equal(list(w, "cup", NULL, &s), "");
    assert_string_equal(list(w, "toner", "clear", &s), "");
}

static void see_and_get(void *arg, const struct store_item *i)
{
    struct seen s;
    struct world *w = arg;
    assert_true(get(w, i->id, 0, &s));
    assert_string_equal(s.ids, i->id);
    w->deaths++; /* counts the calls */
}

static void a_reader_can_look_up_others(void **state)
{
    struct world *w = *state;
    put(w, (struct store_item){.kind = "toner", .id = "A", .body = "{}"});
    put(w, (struct store_item){.kind = "toner", .id = "B", .body = "{}"});
    assert_true(store_item_list(w->store, "toner", NULL, see_and_get, w));
    assert_int_equal(store_item_get(w->store, "toner", "B", 0, see_and_get, w), STORE_FOUND);
    assert_int_equal(w->deaths, 3);
}

static void revisions_go_on_after_a_restart(void **state)
{
    struct world *w = *state;
    put(w, (struct store_item){.kind = "toner", .id = "A", .body = "{}"});
    put(w, (struct store_item){.kind = "toner", .id = "A"});
    world_close(w);
    assert_true(world_open(w));
    assert_int_equal(put(w, (struct store_item){.kind = "toner", .id = "A", .body = "{}"}), 3);
}

/* ---- pages of many ---- */

enum { MANY = 6000 };

/* F0000 to F5999, each with a word of its own; every third is copper; slate are the 2,500 last, amber one of 400. */
static void write_many(struct world *w)
{
    struct store_item *items = calloc(MANY, sizeof *items);
    char(*ids)[8] = calloc(MANY, sizeof *ids), (*texts)[64] = calloc(MANY, sizeof *texts);
    assert_true(items && ids && texts);
    for (int i = 0; i < MANY; i++) {
        snprintf(ids[i], sizeof ids[i], "F%04d", i);
        snprintf(texts[i], sizeof texts[i], "%s own%d%s%s%s", ids[i], i, i % 3 ? "" : " copperwing",
                 i < MANY - 2500 ? "" : " slate", i % 400 ? "" : " amber");
        items[i] = (struct store_item){.kind = "formula", .id = ids[i], .body = "{}", .text = texts[i]};
    }
    assert_int_equal(world_write(w, &(struct store_write){.items = items, .item_count = MANY}), STORE_DONE);
    free(items);
    free(ids);
    free(texts);
}

static const char *page(struct world *w, struct store_item_page page, struct seen *s)
{
    bool late = false;
    memset(s, 0, sizeof *s);
    page.kind = "formula";
    page.late = &late;
    page.most_ms = 10000;
    assert_true(store_item_page(w->store, &page, see, s));
    assert_false(late);
    return s->ids;
}

/* Words that few things bear, that many bear here and there, and that many bear together far from where the page
 * begins: each is looked for in a way of its own, and none shows. The kind is no word of a thing. */
static void a_page_of_words_is_the_same_however_many_bear_them(void **state)
{
    struct world *w = *state;
    struct seen s;
    write_many(w);
    assert_string_equal(page(w, (struct store_item_page){.text = "amber", .limit = 3}, &s), "F0000 F0400 F0800");
    assert_string_equal(page(w, (struct store_item_page){.text = "amber", .limit = 3, .after = "F0800"}, &s),
                        "F1200 F1600 F2000");
    assert_string_equal(page(w, (struct store_item_page){.text = "copper f", .limit = 3}, &s), "F0000 F0003 F0006");
    assert_string_equal(page(w, (struct store_item_page){.text = "copper", .limit = 3, .after = "F5990"}, &s),
                        "F5991 F5994 F5997");
    assert_string_equal(page(w, (struct store_item_page){.text = "Slate", .limit = 3}, &s), "F3500 F3501 F3502");
    assert_string_equal(page(w, (struct store_item_page){.text = "slate", .limit = 3, .after = "F3400"}, &s),
                        "F3500 F3501 F3502");
    assert_string_equal(page(w, (struct store_item_page){.text = "slate", .limit = 3, .after = "F5998"}, &s), "F5999");
    assert_string_equal(page(w, (struct store_item_page){.text = "slate", .limit = 3, .after = "F2898"}, &s),
                        "F3500 F3501 F3502");
    assert_string_equal(page(w, (struct store_item_page){.text = "slate amber", .limit = 9}, &s),
                        "F3600 F4000 F4400 F4800 F5200 F5600");
    assert_string_equal(page(w, (struct store_item_page){.text = "formula", .limit = 3}, &s), "");
    assert_string_equal(page(w, (struct store_item_page){.text = "own", .limit = 2, .after = "F5997"}, &s),
                        "F5998 F5999");
    page(w, (struct store_item_page){.text = "slate"}, &s);
    assert_int_equal(s.count, 2500);
}

static void any_id(void *arg, const char *id)
{
    int *hits = arg;
    hits[0]++;
    hits[1] += strcmp(id, "F4242") == 0;
}

/* Typed in other letters an id is found among many, and beside a slip of it stands what was meant. */
static void ids_are_found_whatever_their_letters(void **state)
{
    struct world *w = *state;
    char other[16];
    int hits[2] = {0, 0};
    write_many(w);
    assert_int_equal(store_item_other_case(w->store, "formula", "f4242", other, sizeof other), STORE_FOUND);
    assert_string_equal(other, "F4242");
    assert_int_equal(store_item_other_case(w->store, "formula", "f42421", other, sizeof other), STORE_NONE);
    assert_true(store_item_ids(w->store, "formula", "f4240x", any_id, hits));
    assert_true(hits[1] > 0);
    assert_true(hits[0] <= 1000); /* it is asked on the loop */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_revision_is_kept, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(removed_and_put_again, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_list_holds_the_present_ones_in_order, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_reader_can_look_up_others, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(revisions_go_on_after_a_restart, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_page_of_words_is_the_same_however_many_bear_them, world_setup,
                                        world_teardown),
        cmocka_unit_test_setup_teardown(ids_are_found_whatever_their_letters, world_setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: items", tests, NULL, NULL);
}
