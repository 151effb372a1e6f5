/* test_old_store.c - a real poised on a store of each older schema, and on one
 * of a later: the cup on the bench and the records are what they were, and a
 * later store is left alone. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { IO = 74, CONFIG = 78 };

static char *read_text(const char *path)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        fail_msg("cannot read %s", path);
    fseek(f, 0, SEEK_END);
    long size = ftell(f);
    rewind(f);
    char *text = calloc(1, (size_t)size + 1);
    assert_non_null(text);
    assert_int_equal(fread(text, 1, (size_t)size, f), size);
    fclose(f);
    return text;
}

static void run_sql(struct harness *h, const char *sql, bool anew)
{
    char path[HARNESS_PATH + 32], *error = NULL;
    sqlite3 *db;
    snprintf(path, sizeof path, "%s/state/poise.db", h->dir);
    if (anew)
        assert_int_equal(unlink(path), 0);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &error) != SQLITE_OK)
        fail_msg("%s", error);
    sqlite3_close(db);
}

static void a_store_of_schema_1_folds_to_the_same_cup(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    char *sql = read_text("tests/data/stores/schema-1.sql");
    run_sql(h, sql, true);
    free(sql);
    harness_start(h);
    story_is(h, "state", "pour");
    story_is(h, "batch", "2");
    story_is(h, "painter", "Bo Tern");
    story_near(h, "revision", 11);
    story_step(h, 0, "A", 50, 50, "done");
    story_step(h, 1, "B", 30, 30, "done");
    story_step(h, 2, "C", 20, 0, "now");
    json_t *r = story_call(h, "batch.get", "{'batch':'1'}");
    story_text(r, "state", "finished");
    story_number(r, "total_g", 100);
    story_text(r, "parts.1.lot", "B7");
    assert_int_equal(strlen(json_string_value(json_object_get(r, "shop"))), 32);
    json_t *found = json_object_get(story_call(h, "batch.find", "{'text':'gull'}"), "batches");
    assert_int_equal(json_array_size(found), 1);
    assert_true(json_is_null(json_object_get(json_array_get(found, 0), "activated"))); /* no row told it then */
    story_act(h, "note", "{'text':'it goes on'}");
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_is(h, "batch", "2");
    story_near(h, "revision", 12);
}

/* Its journal kept a reading each second; the last of them was 12.5 g into the open step. The scale stays dark, so what
 * is in the cup comes from the store alone. */
static void a_reading_that_schema_2_kept_is_still_folded(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    char *sql = read_text("tests/data/stores/schema-2.sql");
    run_sql(h, sql, true);
    free(sql);
    fake_scale_unplug(harness_scale(h, "bench"));
    harness_start(h);
    story_is(h, "batch", "2");
    story_near(h, "revision", 11);
    story_now(h, "C", 20, 12.5);
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_now(h, "C", 20, 12.5);
    story_act(
        h, "note",
        "{'text':'it goes on','request':'later-1'}"); /* words move no weight: what was kept before them still holds */
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_now(h, "C", 20, 12.5);
}

static void a_later_store_is_left_alone(void **state)
{
    struct harness *h = *state;
    char err[1024], *end;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    run_sql(h, "PRAGMA user_version = 99", false);
    assert_int_equal(harness_refuses_to_start(h, err, sizeof err), CONFIG);
    end = strchr(err, '\n');
    assert_true(strncmp(err, "poised: ", 8) == 0 && end && !end[1]);
    run_sql(h, "PRAGMA user_version = 6", false);
    harness_start(h);
}

/* The rest of the shop is read; a bench whose open batch holds such an event must not start empty. */
static void an_event_of_a_later_version_is_named_not_guessed_at(void **state)
{
    static const char later[] = "DROP TRIGGER IF EXISTS event_not_changed;"
                                "UPDATE event SET body = '{\"v\":99}' WHERE seq = (SELECT max(seq) FROM event WHERE "
                                "kind = 'noted');";
    struct harness *h = *state;
    char err[1024];
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_act(h, "note", "{'text':'a word'}");
    story_act(h, "scrap", "{'why':'a try'}");
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    run_sql(h, later, false);
    harness_start(h);
    json_t *data = story_fault(h, "batch.get", -32007, "{'batch':'1'}");
    story_text(data, "code", "record_damaged");
    story_text(data, "args.batch", "1");
    story_number(story_call(h, "batch.find", "{}"), "batches.0.total_g", 0);
    story_act(h, "begin", "{'formula':'TS-1','grams':100}");
    story_act(h, "note", "{'text':'a word'}");
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    run_sql(h, later, false);
    assert_int_equal(harness_refuses_to_start(h, err, sizeof err), IO);
    assert_true(strncmp(err, "poised: ", 8) == 0 && strchr(err, '\n')[1] == '\0');
}

/* A start walks the chain of the open batch alone, so a row of an older one may be damaged unseen: a flipped bit in its
 * head made another number of its revision, and the bench went on from that. */
static void an_older_row_moves_no_revision(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_act(h, "scrap", "{'why':'a try'}");
    story_cup(h, "{'formula':'TS-1','grams':100}");
    double revision = harness_number(h, "bench", "revision");
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    run_sql(h, "DROP TRIGGER event_not_changed; UPDATE event SET revision = 31001882539565 WHERE kind = 'scrapped'",
            false);
    harness_start(h);
    assert_true(harness_number(h, "bench", "revision") == revision);
    harness_weigh(h, "bench", 80);
    story_act(h, "accept", "{}");
    assert_true(harness_number(h, "bench", "revision") == revision + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_store_of_schema_1_folds_to_the_same_cup, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_reading_that_schema_2_kept_is_still_folded, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_later_store_is_left_alone, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_older_row_moves_no_revision, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_event_of_a_later_version_is_named_not_guessed_at, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
