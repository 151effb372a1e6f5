/* A copy of the journal while the bench works, and what `poise verify` says of one that was tampered with. */
#include "tests/e2e/harness.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

static int begin(void **state)
{
    return harness_begin_live(state);
}

static int end(void **state)
{
    return harness_end(state);
}

static int64_t count(const char *path, const char *sql)
{
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    int64_t n = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return n;
}

static void a_copy_holds_all_that_was_acknowledged(void **state)
{
    struct harness *h = *state;
    char path[HARNESS_PATH + 16], out[4096], err[4096];
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    snprintf(path, sizeof path, "%s/copy.db", h->dir);
    const char *const backup[] = {"poise", "backup", path, NULL};
    assert_int_equal(harness_run(h, backup, NULL, out, sizeof out, err, sizeof err), 0);
    const json_t *info = harness_call(h, "store.verify", NULL);
    assert_true(json_is_true(json_object_get(info, "whole")));
    assert_int_equal(count(path, "SELECT max(seq) FROM event"), json_integer_value(json_object_get(info, "events")));
    assert_non_null(strstr(out, json_string_value(json_object_get(info, "head"))));
    assert_int_equal(harness_run(h, backup, NULL, out, sizeof out, err, sizeof err), 65); /* never written over */
    assert_non_null(strstr(err, "is there already"));
}

static int verify_file(struct harness *h, const char *file, char out[4096], char err[4096])
{
    const char *const argv[] = {"poise", "verify", file, "--json", NULL};
    return harness_run(h, argv, NULL, out, 4096, err, 4096);
}

/* A backup tells of itself what the journal told when it was made, also where no daemon runs; a changed one tells
 * where. */
static void a_backup_is_asked_whether_it_is_whole(void **state)
{
    struct harness *h = *state;
    char path[HARNESS_PATH + 16], out[4096], err[4096], sound[4096], head[80];
    snprintf(path, sizeof path, "%s/copy.db", h->dir);
    const char *const backup[] = {"poise", "backup", path, NULL};
    assert_int_equal(harness_run(h, backup, NULL, out, sizeof out, err, sizeof err), 0);
    const json_t *info = harness_call(h, "store.verify", NULL);
    snprintf(head, sizeof head, "\"head\":\"%s\"", json_string_value(json_object_get(info, "head")));
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(verify_file(h, path, sound, err), 0);
    assert_non_null(strstr(sound, head));
    assert_non_null(strstr(sound, "\"whole\":true"));
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "DROP TRIGGER event_not_changed; UPDATE event SET person = 'Bob' WHERE seq = 2",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    sqlite3_close(db);
    assert_int_equal(verify_file(h, path, out, err), 65);
    assert_non_null(strstr(out, "\"bad\":2"));
    assert_non_null(strstr(err, "event 2 does not follow"));
    snprintf(path, sizeof path, "%s/none.db", h->dir);
    assert_int_equal(verify_file(h, path, out, err), 66);
    assert_int_equal(strncmp(err, "poise: ", 7), 0);
    assert_ptr_equal(strchr(err, '\n'), err + strlen(err) - 1);
}

static void a_changed_event_is_found(void **state)
{
    struct harness *h = *state;
    char path[HARNESS_PATH + 32], out[4096], err[4096];
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    snprintf(path, sizeof path, "%s/state/poise.db", h->dir);
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_busy_timeout(db, 10000);
    assert_int_equal(sqlite3_exec(db,
                                  "DROP TRIGGER event_not_changed; UPDATE event SET person = 'somebody else' WHERE seq "
                                  "= (SELECT max(seq) FROM event)",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    sqlite3_close(db);
    const json_t *info = harness_call(h, "store.verify", NULL);
    assert_true(json_is_false(json_object_get(info, "whole")));
    assert_int_equal(json_integer_value(json_object_get(info, "bad")), count(path, "SELECT max(seq) FROM event"));
    const char *const verify[] = {"poise", "verify", NULL};
    assert_int_equal(harness_run(h, verify, NULL, out, sizeof out, err, sizeof err), 65);
}

/* As a damaged disk, or a hand, leaves it: the chain is whole, and what find says is not what was poured. */
static void rows_that_differ_from_the_journal_are_found_and_mended(void **state)
{
    struct harness *h = *state;
    char path[HARNESS_PATH + 32], out[4096], err[4096];
    const char *const verify[] = {"poise", "verify", NULL};
    for (int i = 0; i < 3; i++) {
        harness_act(
            h, "bench", "batch.begin",
            json_pack("{s:s,s:s,s:i,s:s}", "formula", "TI-207", "coat", "ground", "grams", 250, "painter", "Ann"));
        harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only begun"));
    }
    assert_int_equal(json_integer_value(json_object_get(harness_call(h, "store.verify", NULL), "wrong")), 0);
    snprintf(path, sizeof path, "%s/state/poise.db", h->dir);
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_busy_timeout(db, 10000);
    assert_int_equal(sqlite3_exec(db,
                                  "UPDATE batch SET painter = 'Bob', place = 'shelf 3' WHERE id = 1; DELETE FROM batch "
                                  "WHERE id = 2; DELETE FROM day",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    sqlite3_close(db);
    const json_t *info = harness_call(h, "store.verify", NULL);
    assert_true(json_is_true(json_object_get(info, "whole")));
    assert_int_equal(json_integer_value(json_object_get(info, "batches")), 2);
    assert_int_equal(json_integer_value(json_object_get(info, "wrong")), 3);
    assert_string_equal(json_string_value(json_object_get(info, "wrong_batch")), "3");
    assert_int_equal(harness_run(h, verify, NULL, out, sizeof out, err, sizeof err), 65);
    assert_non_null(strstr(err, "store.mend"));
    info = harness_call(h, "store.mend", json_pack("{s:s}", "request", "mend-1"));
    assert_int_equal(json_integer_value(json_object_get(info, "mended")), 3);
    info = harness_call(h, "store.mend", json_pack("{s:s}", "request", "mend-1"));
    assert_int_equal(json_integer_value(json_object_get(info, "mended")), 3); /* the same answer again */
    info = harness_call(h, "store.verify", NULL);
    assert_int_equal(json_integer_value(json_object_get(info, "batches")), 3);
    assert_int_equal(json_integer_value(json_object_get(info, "wrong")), 0);
    info = harness_call(h, "batch.find", json_pack("{s:s,s:s}", "painter", "Ann", "place", "shelf 3"));
    assert_int_equal(json_array_size(json_object_get(info, "batches")), 1); /* what the shelf knew was kept */
    assert_int_equal(harness_run(h, verify, NULL, out, sizeof out, err, sizeof err), 0);
}

static int restore(struct harness *h, const char *file, char out[4096], char err[4096])
{
    char state[HARNESS_PATH + 16];
    snprintf(state, sizeof state, "%s/state", h->dir);
    const char *const argv[] = {"poise", "restore", file, "--state", state, NULL};
    return harness_run(h, argv, NULL, out, 4096, err, 4096);
}

/* What the path behind `kept as ` is. */
static void kept_path(const char *out, char path[512])
{
    const char *at = strstr(out, "kept as ");
    assert_non_null(at);
    snprintf(path, 512, "%.*s", (int)strcspn(at + 8, "\n"), at + 8);
}

/* The bench stands where the copy stood, the journal of before is still whole beside it. Not while poised runs. */
static void a_copy_takes_the_journals_place(void **state)
{
    struct harness *h = *state;
    char copy[HARNESS_PATH + 16], kept[512], out[4096], err[4096];
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    snprintf(copy, sizeof copy, "%s/copy.db", h->dir);
    const char *const backup[] = {"poise", "backup", copy, NULL};
    assert_int_equal(harness_run(h, backup, NULL, out, sizeof out, err, sizeof err), 0);
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    assert_int_equal(restore(h, copy, out, err), 75);
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL); /* what the log still holds is kept as well */
    assert_int_equal(restore(h, copy, out, err), 0);
    kept_path(out, kept);
    harness_start(h);
    harness_wait_state(h, "bench", "cup");
    assert_true(json_is_true(json_object_get(harness_call(h, "store.verify", NULL), "whole")));
    assert_int_equal(count(kept, "SELECT count(*) FROM event WHERE kind = 'cup'"), 1);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(restore(h, kept, out, err), 0); /* and back */
    harness_start(h);
    harness_wait_state(h, "bench", "pour");
}

static void write_text(const char *path, const char *text)
{
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    (void)fputs(text, f);
    assert_int_equal(fclose(f), 0);
}

/* What is not whole, not ours or not there is refused in one line, and the journal stays as it is. */
static void what_is_no_whole_copy_changes_nothing(void **state)
{
    struct harness *h = *state;
    char copy[HARNESS_PATH + 16], text[HARNESS_PATH + 16], folder[HARNESS_PATH + 16], out[4096], err[4096];
    sqlite3 *db;
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    snprintf(copy, sizeof copy, "%s/copy.db", h->dir);
    snprintf(text, sizeof text, "%s/text.db", h->dir);
    snprintf(folder, sizeof folder, "%s/none.db", h->dir);
    const char *const backup[] = {"poise", "backup", copy, NULL};
    assert_int_equal(harness_run(h, backup, NULL, out, sizeof out, err, sizeof err), 0);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(sqlite3_open(copy, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db,
                                  "DROP TRIGGER event_not_changed; UPDATE event SET person = 'somebody else' WHERE seq "
                                  "= 3",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    assert_int_equal(restore(h, copy, out, err), 65);
    assert_non_null(strstr(err, "event 3 "));
    assert_int_equal(sqlite3_exec(db, "PRAGMA user_version = 99", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    assert_int_equal(restore(h, copy, out, err), 78);
    write_text(text, "a letter to the paint maker\n");
    assert_int_equal(restore(h, text, out, err), 65);
    write_text(text, "");
    assert_int_equal(restore(h, text, out, err), 65);
    assert_int_equal(restore(h, folder, out, err), 66);
    assert_int_equal(restore(h, h->dir, out, err), 65);
    for (const char *at = err; *at; at++)
        assert_true(*at != '\n' || at[1] == '\0'); /* one line */
    harness_start(h);
    harness_wait_state(h, "bench", "cup");
    assert_true(json_is_true(json_object_get(harness_call(h, "store.verify", NULL), "whole")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_copy_holds_all_that_was_acknowledged, begin, end),
        cmocka_unit_test_setup_teardown(a_backup_is_asked_whether_it_is_whole, begin, end),
        cmocka_unit_test_setup_teardown(a_changed_event_is_found, begin, end),
        cmocka_unit_test_setup_teardown(rows_that_differ_from_the_journal_are_found_and_mended, begin, end),
        cmocka_unit_test_setup_teardown(a_copy_takes_the_journals_place, begin, end),
        cmocka_unit_test_setup_teardown(what_is_no_whole_copy_changes_nothing, begin, end),
    };
    return cmocka_run_group_tests_name("backup", tests, NULL, NULL);
}
