/* A copy of the journal while the bench works, and what `poise verify` says of one that was tampered with. */
#include "tests/e2e/harness.h"

#include <setjmp.h>
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_copy_holds_all_that_was_acknowledged, begin, end),
        cmocka_unit_test_setup_teardown(a_changed_event_is_found, begin, end),
    };
    return cmocka_run_group_tests_name("backup", tests, NULL, NULL);
}
