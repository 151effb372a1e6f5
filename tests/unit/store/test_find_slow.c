/* test_find_slow.c - searches in many batches: what takes too long is ended, and what stands beside a common word. */
#include "tests/unit/store/world.h"

static void see(void *arg, const struct store_batch *b)
{
    char *ids = arg;
    size_t length = strlen(ids);
    snprintf(ids + length, 256 - length, "%s%s", length ? " " : "", b->batch);
}

/* The numbers found, newest first. */
static const char *ids_of(struct world *w, struct store_find *ask)
{
    static char ids[256];
    char next[STORE_NUMBER];
    ids[0] = '\0';
    if (!ask->limit)
        ask->limit = 10;
    assert_int_equal(store_batch_find(w->store, ask, see, ids, next), STORE_FOUND);
    return ids;
}

/* 60,000 batches of two painters and two variants; `same` where both are the first or the second, else `other`. So each
 * two of painter, variant and coat go together in a quarter of them, and all three never. */
static void many(struct world *w)
{
    world_sql(
        w, "WITH RECURSIVE n(i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 61000) "
           "INSERT INTO batch(id, state, painter, variant, coat, words) SELECT i, 'finished', 'p' || (i % 2), 'v' || "
           "(i / 2 % 2), CASE WHEN i % 2 = i / 2 % 2 THEN 'same' ELSE 'other' END, 'granite' FROM n;"
           "INSERT INTO batch_words(rowid, words) SELECT id, words FROM batch WHERE id > 1000");
}

/* No index leads to three; what takes longer than it was given is ended, and is no fault of the disk. */
static void what_takes_too_long_is_ended(void **state)
{
    struct world *w = *state;
    char ids[256] = "";
    char next[STORE_NUMBER];
    struct store_find ask = {.painter = "p0", .variant = "v0", .coat = "other", .limit = 10, .most_ms = 1};
    many(w);
    assert_int_equal(store_batch_find(w->store, &ask, see, ids, next), STORE_LATE);
    assert_int_equal(store_unread(w->store), 0);
    ask.most_ms = 0;
    assert_int_equal(store_batch_find(w->store, &ask, see, ids, next), STORE_FOUND); /* the reader goes on */
    assert_string_equal(ids, "");
    ask.coat = NULL; /* two: an index of its own */
    ask.most_ms = 1000;
    ask.limit = 2;
    assert_int_equal(store_batch_find(w->store, &ask, see, ids, next), STORE_FOUND);
    assert_string_equal(ids, "61000 60996");
}

/* The words lead where what stands beside them is common, the rows where it is rare. */
static void common_words_beside_common_and_rare_values(void **state)
{
    struct world *w = *state;
    many(w);
    world_sql(w, "UPDATE batch SET painter = 'rare' WHERE id IN (1500, 1600)");
    assert_string_equal(ids_of(w, &(struct store_find){.text = "granite", .painter = "p0", .limit = 2}), "61000 60998");
    assert_string_equal(ids_of(w, &(struct store_find){.text = "granite", .painter = "rare"}), "1600 1500");
    assert_string_equal(ids_of(w, &(struct store_find){.text = "copper", .painter = "rare"}), "");
    assert_string_equal(ids_of(w, &(struct store_find){.text = "granite", .painter = "rare", .after = "1600"}), "1500");
    /* Words held against a row find what the index would. */
    world_sql(w, "UPDATE batch SET words = '=1500 TI-207 Grün RO-77 granite' WHERE id = 1500");
    static const char *const found[] = {"gra", "GRUN", "ti 20", "1500", "=1500", "77 gran", "ti=207 grün"},
                             *const none[] = {"150", "0", "ranite", "gra copper", "15000"};
    for (size_t i = 0; i < sizeof found / sizeof *found; i++)
        assert_string_equal(ids_of(w, &(struct store_find){.text = found[i], .painter = "rare", .after = "1600"}),
                            "1500");
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_string_equal(ids_of(w, &(struct store_find){.text = none[i], .painter = "rare", .after = "1600"}), "");
}

/* An order, or a place, leads to its few batches, whatever half of the shop they are of. */
static void what_few_have_leads_beside_what_many_have(void **state)
{
    struct world *w = *state;
    char next[STORE_NUMBER];
    many(w);
    world_sql(w, "UPDATE batch SET repair_order = 'RO-7', place = 'shelf 7' WHERE id IN (1500, 1501, 1600)");
    const struct store_find asks[] = {
        {.order = "RO-7", .painter = "p0", .limit = 9, .most_ms = 1},
        {.order = "RO-7", .variant = "v0", .painter = "p0", .state = "finished", .limit = 9, .most_ms = 1},
        {.place = "shelf 7", .painter = "p0", .coat = "same", .limit = 9, .most_ms = 1},
        {.place = "shelf 7", .order = "RO-7", .painter = "p0", .limit = 9, .most_ms = 1},
    };
    for (size_t i = 0; i < sizeof asks / sizeof *asks; i++) {
        char ids[256] = "";
        assert_int_equal(store_batch_find(w->store, &asks[i], see, ids, next), STORE_FOUND);
        assert_string_equal(ids, "1600 1500");
    }
}

/* A shelf of 60,000 cups, of which none stands there: ended in time where somebody waits for it on the loop. A
 * formula's own are led to. */
static void a_long_shelf_is_ended_too(void **state)
{
    struct world *w = *state;
    char ids[256] = "", next[STORE_NUMBER];
    struct store_shelf ask = {.place = "nowhere", .limit = 10, .most_ms = 1};
    many(w);
    world_sql(w, "UPDATE batch SET left_g = 10 WHERE id > 1000");
    assert_int_equal(store_shelf_page(w->store, &ask, see, ids, next), STORE_LATE);
    ask.most_ms = 0;
    assert_int_equal(store_shelf_page(w->store, &ask, see, ids, next), STORE_FOUND);
    assert_string_equal(ids, "");
    world_sql(w, "UPDATE batch SET formula = 'TI-207' WHERE id IN (900, 1500, 60000)");
    ask = (struct store_shelf){.formula = "TI-207", .limit = 10, .most_ms = 1};
    assert_int_equal(store_shelf_page(w->store, &ask, see, ids, next), STORE_FOUND);
    assert_string_equal(ids, "1500 60000");
}

/* A question asked of its own form while the first is at work; both are told whole. */
struct within {
    struct world *w;
    char outer[256], inner[256];
};

static void ask_within(void *arg, const struct store_batch *b)
{
    struct within *in = arg;
    char next[STORE_NUMBER];
    struct store_find ask = {.painter = "p1", .variant = "v1", .limit = 1, .after = b->batch};
    see(in->outer, b);
    assert_int_equal(store_batch_find(in->w->store, &ask, see, in->inner, next), STORE_FOUND);
}

static void one_form_of_question_within_itself(void **state)
{
    struct within in = {.w = *state};
    char next[STORE_NUMBER];
    struct store_find ask = {.painter = "p0", .variant = "v0", .limit = 3, .after = "61000"};
    many(in.w);
    assert_int_equal(store_batch_find(in.w->store, &ask, ask_within, &in, next), STORE_FOUND);
    assert_string_equal(in.outer, "60996 60992 60988");
    assert_string_equal(in.inner, "60995 60991 60987");
}

/* The newest of many() up to `from` with painter p0 (1), variant v0 (2) and coat `same` (4), as `form` asks. */
static int newest_of(int form, int from)
{
    int i = from;
    while ((form & 1 && i % 2 != 0) || (form & 2 && i / 2 % 2 != 0) || (form & 4 && i % 2 != i / 2 % 2))
        i--;
    return i;
}

/* More forms than a reader keeps prepared, in turn and thrice: each finds its own rows at each turn. */
static void many_forms_of_question_in_turn(void **state)
{
    struct world *w = *state;
    many(w);
    for (int turn = 0; turn < 3; turn++)
        for (int form = 0; form < 32; form++) {
            struct store_find ask = {.limit = 1};
            ask.painter = form & 1 ? "p0" : NULL;
            ask.variant = form & 2 ? "v0" : NULL;
            ask.coat = form & 4 ? "same" : NULL;
            ask.text = form & 8 ? "granite" : NULL;
            ask.after = form & 16 ? "61000" : NULL;
            char newest[16];
            snprintf(newest, sizeof newest, "%d", newest_of(form, form & 16 ? 60999 : 61000));
            assert_string_equal(ids_of(w, &ask), newest);
        }
}

static void count_item(void *arg, const struct store_item *i)
{
    (void)i;
    ++*(size_t *)arg;
}

/* 50,000 toners with one word: all of them must be gathered first, a page of them need not. What each() takes does not
 * count, or a long page of a quick search would be called slow. */
static void words_that_all_things_bear_end_a_list_too(void **state)
{
    struct world *w = *state;
    bool late = false;
    size_t seen = 0;
    struct store_item_page page = {.kind = "toner", .text = "white", .most_ms = 1, .late = &late};
    world_sql(w,
              "WITH RECURSIVE n(i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 51000) "
              "INSERT INTO item(id, kind, name, revision, time, body, words, present) SELECT i, 'toner', 'T' || i, 1, "
              "'', '{}', '=toner white', 1 FROM n;"
              "INSERT INTO item_words(rowid, words) SELECT id, words FROM item WHERE id > 1000");
    assert_true(store_item_page(w->store, &page, count_item, &seen));
    assert_true(late);
    assert_int_equal(store_unread(w->store), 0);
    page.limit = 50;
    page.most_ms = 60000;
    page.after = "T9989"; /* bytewise: T9999 is the last */
    seen = 0;
    assert_true(store_item_page(w->store, &page, count_item, &seen));
    assert_false(late);
    assert_int_equal(seen, 10);
}

/* Whoever types a toner that there is not hears of one near it, among 50,000, after a look at a few thousand. */
static void take_id(void *arg, const char *id)
{
    size_t *seen = arg;
    seen[0]++;
    seen[1] += strcmp(id, "T50444") == 0;
}

static void ids_beside_the_one_typed(void **state)
{
    struct world *w = *state;
    size_t seen[2] = {0};
    world_sql(w,
              "WITH RECURSIVE n(i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 51000) "
              "INSERT INTO item(id, kind, name, revision, time, body, words, present) SELECT i, 'toner', 'T' || i, 1, "
              "'', '{}', '=toner white', 1 FROM n");
    assert_true(store_item_ids(w->store, "toner", "T5044x", take_id, seen));
    assert_true(seen[0] <= 6200 && seen[1] > 0);
    memset(seen, 0, sizeof seen);
    assert_true(store_item_ids(w->store, "toner", "t50445x", take_id, seen));
    assert_true(seen[1] > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_takes_too_long_is_ended, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(words_that_all_things_bear_end_a_list_too, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(ids_beside_the_one_typed, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(common_words_beside_common_and_rare_values, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(what_few_have_leads_beside_what_many_have, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_long_shelf_is_ended_too, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(one_form_of_question_within_itself, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(many_forms_of_question_in_turn, world_setup, world_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
