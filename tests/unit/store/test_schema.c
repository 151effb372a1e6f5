/* test_schema.c - a file of each older schema (tests/data/stores) is brought up: it opens, its batches are found, the
 * journal tells of the step, and the walk along the chain goes across it. */
#include "tests/unit/store/world.h"

#include <jansson.h>
#include <math.h>

enum { SCHEMA = 6 };
/* What schema-1.sql to schema-5.sql hold: SELECT max(seq) FROM event; the last hash is asked of the file itself. */
enum { EVENTS_1 = 37, EVENTS_2 = 34, EVENTS_3 = 33, EVENTS_4 = 34, EVENTS_5 = 40 };

/* A world whose file is of an older schema, not opened yet. */
static int world_of(const char *file, void **state)
{
    struct world *w = world_bare();
    long length;
    char *sql = world_read_file(file, &length);
    sql[length] = '\0';
    assert_int_equal(mkdir(w->state, 0700), 0);
    world_sql(w, sql);
    free(sql);
    *state = w;
    return 0;
}

static int old_world(void **state)
{
    return world_of("tests/data/stores/schema-1.sql", state);
}

static int world_of_2(void **state)
{
    return world_of("tests/data/stores/schema-2.sql", state);
}

static int world_of_3(void **state)
{
    return world_of("tests/data/stores/schema-3.sql", state);
}

static int world_of_4(void **state)
{
    return world_of("tests/data/stores/schema-4.sql", state);
}

static int world_of_5(void **state)
{
    return world_of("tests/data/stores/schema-5.sql", state);
}

static char *world_text(struct world *w, const char *sql)
{
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    char *text = strdup((const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return text;
}

static bool whole(struct world *w, int64_t *bad)
{
    char head[65];
    return store_verify(w->store, bad, head);
}

static bool count(void *arg, const struct store_event *e)
{
    assert_non_null(e->body);
    ++*(int *)arg;
    return true;
}

static void see_old(void *arg, const struct store_batch *b)
{
    *(struct store_batch *)arg = *b;
}

static void an_old_file_is_brought_up(void **state)
{
    struct world *w = *state;
    int events = 0;
    int64_t revision, last;
    char batch[STORE_NUMBER], shop[STORE_SHOP];
    struct store_batch row;
    assert_int_equal(world_number(w, "PRAGMA user_version"), 1);
    if (!world_open(w))
        fail_msg("cannot open: %s", w->fault.message);
    assert_int_equal(store_open_batch(w->store, "bench", batch), STORE_FOUND);
    assert_string_equal(batch, "2");
    assert_int_equal(store_revision(w->store, "bench", &revision), STORE_FOUND);
    assert_int_equal(revision, 11);
    assert_int_equal(store_last_batch(w->store, &last), STORE_FOUND);
    assert_int_equal(last, 2);
    assert_true(store_events(w->store, "1", count, &events));
    assert_int_equal(events, 10);
    assert_int_equal(store_batch_get(w->store, "1", see_old, &row), STORE_FOUND);
    assert_true(row.total_g == 100);
    assert_int_equal(row.activated, -1); /* nobody kept it then */
    assert_null(row.tinted);
    assert_int_equal(store_shop(w->store, shop), STORE_FOUND);
    assert_int_equal(strlen(shop), 32);
    assert_int_equal(world_number(w, "PRAGMA user_version"), SCHEMA);
}

static void the_journal_tells_of_the_step(void **state)
{
    struct world *w = *state;
    int64_t bad;
    char *head = world_text(w, "SELECT lower(hex(hash)) FROM event ORDER BY seq DESC LIMIT 1");
    assert_true(world_open(w));
    assert_int_equal(world_number(w, "SELECT count(*) FROM event WHERE kind = 'schema'"), 1);
    char *text = world_text(w, "SELECT body FROM event WHERE seq = 38 AND kind = 'schema'");
    json_t *body = json_loads(text, 0, NULL);
    assert_int_equal(json_integer_value(json_object_get(body, "from")), 1);
    assert_int_equal(json_integer_value(json_object_get(body, "schema")), SCHEMA);
    assert_string_equal(json_string_value(json_object_get(body, "head")), head);
    assert_int_equal(json_string_length(json_object_get(body, "text")), 64);
    json_decref(body);
    free(text);
    free(head);
    assert_true(whole(w, &bad));
    assert_int_equal(world_note(w, "accepted", "new-1"), STORE_DONE); /* and the chain goes on */
    assert_int_equal(w->result[0].first_seq, EVENTS_1 + 2);
    assert_true(whole(w, &bad));
    world_close(w);
    assert_true(world_open(w)); /* once only */
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), EVENTS_1 + 2);
    assert_true(whole(w, &bad));
}

static void see_kept(void *arg, const struct store_kept *k)
{
    int64_t *seq = arg;
    assert_string_equal(k->station, "bench");
    assert_string_equal(k->batch, "2");
    assert_string_equal(k->body, "{\"v\":2}");
    *seq = k->seq;
}

static void see_kept_of_3(void *arg, const struct store_kept *k)
{
    *(int64_t *)arg = k->seq;
}

/* A reading kept by schema 2 stands in the journal and stays there; one kept since stands beside it, outside the chain.
 */
static void a_kept_reading_stands_outside_the_chain(void **state)
{
    struct world *w = *state;
    int64_t bad, seq = -1;
    struct store_kept kept = {.station = "bench", .batch = "2", .body = "{\"v\":1}"};
    assert_int_equal(world_number(w, "PRAGMA user_version"), 2);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event WHERE kind = 'kept'"), 1);
    char *head = world_text(w, "SELECT lower(hex(hash)) FROM event ORDER BY seq DESC LIMIT 1");
    assert_true(world_open(w));
    char *text = world_text(w, "SELECT body FROM event WHERE seq = 35 AND kind = 'schema'");
    json_t *body = json_loads(text, 0, NULL);
    assert_int_equal(json_integer_value(json_object_get(body, "from")), 2);
    assert_string_equal(json_string_value(json_object_get(body, "head")), head);
    json_decref(body);
    free(text);
    free(head);
    assert_int_equal(store_kept_get(w->store, "bench", see_kept, &seq), STORE_NONE);
    world_submit(w, 1, &(struct store_write){.kept = &kept});
    kept.body = "{\"v\":2}";
    world_submit(w, 2, &(struct store_write){.kept = &kept});
    kept.body = "";
    world_submit(w, 3, &(struct store_write){.kept = &kept}); /* as where there was no memory: refused whole */
    world_wait(w, 3);
    assert_int_equal(w->result[1].result, STORE_DONE);
    assert_int_equal(w->result[2].result, STORE_REFUSED);
    assert_int_equal(world_number(w, "SELECT count(*) FROM kept"), 1);
    assert_int_equal(store_kept_get(w->store, "bench", see_kept, &seq), STORE_FOUND);
    assert_int_equal(seq, EVENTS_2 + 1); /* behind the step of the schema */
    assert_int_equal(store_kept_get(w->store, "second", see_kept, &seq), STORE_NONE);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), EVENTS_2 + 1);
    assert_true(whole(w, &bad));
    assert_int_equal(world_note(w, "accepted", "new-1"), STORE_DONE);
    assert_true(whole(w, &bad));
}

static void see_event(void *arg, const struct store_batch *b)
{
    ++*(int *)arg;
    assert_string_equal(b->batch, "1");
}

/* Texts in the columns that hold numbers of words since are read as they stand; the pairs of the search lead to them.
 */
static void rows_of_before_are_read_beside_small_ones(void **state)
{
    struct world *w = *state;
    int64_t bad, seq = 0;
    int events = 0, found = 0;
    char next[STORE_NUMBER];
    assert_int_equal(world_number(w, "PRAGMA user_version"), 3);
    assert_true(world_open(w));
    assert_int_equal(world_number(w, "PRAGMA user_version"), SCHEMA);
    assert_int_equal(store_kept_get(w->store, "bench", see_kept_of_3, &seq), STORE_FOUND);
    assert_int_equal(seq, EVENTS_3);
    assert_true(store_events(w->store, "1", count, &events));
    assert_int_equal(events, 8);
    const struct store_find pair = {.painter = "Ann Gull", .variant = "standard", .limit = 10};
    assert_int_equal(store_batch_find(w->store, &pair, see_event, &found, next), STORE_FOUND);
    assert_int_equal(found, 1);
    assert_int_equal(world_note(w, "accepted", "new-1"), STORE_DONE);
    assert_true(whole(w, &bad));
}

static void see_shelf(void *arg, const struct store_batch *b)
{
    if (b->left_g == 40)
        ++*(int *)arg;
    assert_string_equal(b->place, "shelf 2");
    assert_string_equal(b->weighed, "2026-11-29T12:00:00.000+00:00");
    assert_true(isnan(b->discarded_g));
}

/* Rows of before know no coat and no cost; a cup of then can be weighed back and is on the shelf, and a batch that
 * takes paint from it leaves less there, never below 0. The chain goes across both steps. */
static void a_cup_of_before_comes_to_the_shelf(void **state)
{
    struct world *w = *state;
    struct store_batch row;
    int64_t bad;
    char next[STORE_NUMBER];
    int seen = 0;
    assert_int_equal(world_number(w, "PRAGMA user_version"), 4);
    assert_true(world_open(w));
    assert_int_equal(world_number(w, "PRAGMA user_version"), SCHEMA);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), EVENTS_4 + 1);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event WHERE kind = 'schema'"), 2);
    assert_int_equal(store_batch_get(w->store, "1", see_old, &row), STORE_FOUND);
    assert_int_equal(row.coat_n, 0);
    assert_true(isnan(row.cost) && isnan(row.discarded_g));
    struct store_batch now = {.batch = "1",
                              .state = "finished",
                              .place = "shelf 2",
                              .weighed = "2026-11-29T12:00:00.000+00:00",
                              .left_g = 60,
                              .cost = NAN,
                              .discarded_g = NAN};
    struct store_take take = {.batch = "1", .grams = 20};
    world_submit(w, 1, &(struct store_write){.batches = &now, .batch_count = 1});
    world_submit(w, 2, &(struct store_write){.takes = &take, .take_count = 1});
    world_wait(w, 2);
    struct store_shelf all = {.limit = 10};
    assert_int_equal(store_shelf_page(w->store, &all, see_shelf, &seen, next), STORE_FOUND);
    assert_int_equal(seen, 1);
    take.grams = 1000;
    world_submit(w, 3, &(struct store_write){.takes = &take, .take_count = 1});
    world_wait(w, 3);
    assert_int_equal(world_number(w, "SELECT left_g FROM batch WHERE id = 1"), 0);
    assert_true(whole(w, &bad));
}

/* The page of open orders, by name. */
static bool see_order(void *arg, const struct store_item *i, int64_t place)
{
    char *names = arg;
    assert_true(place > 0);
    snprintf(names + strlen(names), 64 - strlen(names), "%s ", i->id);
    return true;
}

/* Only the present revision of an order that is not closed is led to; a card keeps its formula. Closed by a put it is
 * open no more. */
static void open_orders_of_before_are_led_to(void **state)
{
    struct world *w = *state;
    int64_t bad;
    char names[64] = "";
    assert_int_equal(world_number(w, "PRAGMA user_version"), 5);
    assert_true(world_open(w));
    assert_int_equal(world_number(w, "PRAGMA user_version"), SCHEMA);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), EVENTS_5 + 1);
    const struct store_newest open = {.kind = STORE_JOB, .about = STORE_OPEN};
    assert_true(store_item_newest(w->store, &open, see_order, names));
    assert_string_equal(names, "4417 ");
    assert_int_equal(world_number(w, "SELECT count(*) FROM item WHERE about = 'TS-1'"), 1);
    const struct store_item shut = {.kind = STORE_JOB, .id = "4417", .body = "{\"closed\":true}", .text = "4417"};
    assert_int_equal(world_write(w, &(struct store_write){.items = &shut, .item_count = 1}), STORE_DONE);
    names[0] = '\0';
    assert_true(store_item_newest(w->store, &open, see_order, names));
    assert_string_equal(names, "");
    assert_true(store_item_newest(w->store, &(struct store_newest){.kind = STORE_JOB}, see_order, names));
    assert_string_equal(names, "4418 4417 ");
    assert_true(whole(w, &bad));
}

/* As where somebody mended the file by hand: they are made at the next start, as they were, and the chain still says
 * that the schema stands. */
static void indexes_that_are_missing_are_made(void **state)
{
    static const char count[] = "SELECT count(*) FROM sqlite_schema WHERE type = 'index'";
    struct world *w = *state;
    int64_t bad;
    assert_true(world_open(w));
    world_close(w);
    int64_t all = world_number(w, count);
    char *text = world_text(w, "SELECT group_concat(sql) FROM (SELECT sql FROM sqlite_schema ORDER BY name)");
    world_sql(w, "DROP INDEX item_any_case; DROP INDEX batch_by_order; DROP INDEX event_answered; DROP INDEX "
                 "batch_on_shelf_of");
    assert_true(world_open(w));
    assert_int_equal(world_number(w, count), all);
    char *now = world_text(w, "SELECT group_concat(sql) FROM (SELECT sql FROM sqlite_schema ORDER BY name)");
    assert_string_equal(now, text);
    assert_true(whole(w, &bad));
    free(text);
    free(now);
}

#define OPEN_UP "DROP TRIGGER event_not_changed; "
#define SHUT_UP                                                                                                        \
    "; CREATE TRIGGER event_not_changed BEFORE UPDATE ON event BEGIN"                                                  \
    "  SELECT RAISE(ABORT, 'an event is never changed'); END;"

/* Each is seen: in front of the step, in the step itself, and in what the step said of the schema. */
static void the_walk_sees_damage_on_both_sides_of_the_step(void **state)
{
    static const struct {
        const char *name, *sql;
        int64_t bad;
    } rows[] = {
        {"nothing", "SELECT 1", -1},
        {"an event of the old schema", OPEN_UP "UPDATE event SET person = 'Bo' WHERE seq = 22" SHUT_UP, 22},
        {"the head that the step tells",
         OPEN_UP "UPDATE event SET body = json_set(body, '$.head', '00') WHERE seq = 38" SHUT_UP, 38},
        {"the seed that the step tells",
         OPEN_UP "UPDATE event SET body = json_set(body, '$.seed', substr(hash, 1, 0) || "
                 "'00000000000000000000000000000000000000000000000000000000000000ff') WHERE seq = 38" SHUT_UP,
         1},
        {"a table that the step did not tell of", "ALTER TABLE batch RENAME COLUMN coat TO layer", 0},
        {"a trigger that is gone", "DROP TRIGGER event_not_removed", 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct world *w;
        int64_t bad = -1;
        old_world((void **)&w);
        assert_true(world_open(w));
        world_sql(w, rows[i].sql);
        bool is = whole(w, &bad);
        if (is != (rows[i].bad < 0) || (!is && bad != rows[i].bad))
            fail_msg("%s: %s at %lld", rows[i].name, is ? "whole" : "broken", (long long)bad);
        world_teardown((void **)&w);
    }
}

/* A step that fails leaves the old file as it was. */
static void a_step_is_taken_whole_or_not_at_all(void **state)
{
    struct world *w = *state;
    world_sql(w, "CREATE TABLE shop(x)");
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_int_equal(world_number(w, "PRAGMA user_version"), 1);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), EVENTS_1);
    world_sql(w, "DROP TABLE shop");
    assert_true(world_open(w));
}

static void each_shop_has_an_id_of_its_own(void **state)
{
    struct world *one, *other;
    char first[STORE_SHOP], again[STORE_SHOP], second[STORE_SHOP];
    (void)state;
    world_setup((void **)&one);
    world_setup((void **)&other);
    assert_int_equal(store_shop(one->store, first), STORE_FOUND);
    assert_int_equal(store_shop(other->store, second), STORE_FOUND);
    assert_string_not_equal(first, second);
    assert_int_equal(world_number(one, "SELECT count(*) FROM event"), 0); /* a new file has no step to tell of */
    world_close(one);
    assert_true(world_open(one));
    assert_int_equal(store_shop(one->store, again), STORE_FOUND);
    assert_string_equal(again, first);
    world_teardown((void **)&one);
    world_teardown((void **)&other);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_old_file_is_brought_up, old_world, world_teardown),
        cmocka_unit_test_setup_teardown(the_journal_tells_of_the_step, old_world, world_teardown),
        cmocka_unit_test_setup_teardown(a_kept_reading_stands_outside_the_chain, world_of_2, world_teardown),
        cmocka_unit_test_setup_teardown(rows_of_before_are_read_beside_small_ones, world_of_3, world_teardown),
        cmocka_unit_test_setup_teardown(a_cup_of_before_comes_to_the_shelf, world_of_4, world_teardown),
        cmocka_unit_test_setup_teardown(open_orders_of_before_are_led_to, world_of_5, world_teardown),
        cmocka_unit_test_setup_teardown(indexes_that_are_missing_are_made, world_of_4, world_teardown),
        cmocka_unit_test(the_walk_sees_damage_on_both_sides_of_the_step),
        cmocka_unit_test_setup_teardown(a_step_is_taken_whole_or_not_at_all, old_world, world_teardown),
        cmocka_unit_test(each_shop_has_an_id_of_its_own),
    };
    return cmocka_run_group_tests_name("store: schema", tests, NULL, NULL);
}
