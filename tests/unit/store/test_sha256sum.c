/* The chain by somebody else's eyes: the bytes of each event, written out as store/chain.h describes them by a writer
 * of this test's own, are given to sha256sum of coreutils, and its answers are the hashes that stand in the file. */
#include "tests/unit/store/world.h"

#include <sys/wait.h>

static void put_number(FILE *to, int64_t value)
{
    for (int i = 0; i < 8; i++)
        (void)fputc((int)((uint64_t)value >> (8 * i) & 0xff), to);
}

/* The length before each text; -1 for one that is not there. */
static void put_text(FILE *to, sqlite3_stmt *row, int column)
{
    if (sqlite3_column_type(row, column) == SQLITE_NULL) {
        put_number(to, -1);
        return;
    }
    const void *text = sqlite3_column_blob(row, column);
    int length = sqlite3_column_bytes(row, column);
    put_number(to, length);
    if (length)
        assert_int_equal(fwrite(text, 1, (size_t)length, to), (size_t)length);
}

/* What sha256sum says of a file, as hex. */
static void sha256sum(const char *path, char out[65])
{
    char command[256];
    snprintf(command, sizeof command, "sha256sum < %s", path);
    FILE *said = popen(command, "re");
    assert_non_null(said);
    assert_int_equal(fread(out, 1, 64, said), 64);
    out[64] = '\0';
    assert_int_equal(WEXITSTATUS(pclose(said)), 0);
}

/* The same as bytes, which the next event begins with. */
static void bytes_of(const char *hex, unsigned char out[32])
{
    for (int i = 0; i < 32; i++) {
        unsigned byte;
        assert_int_equal(sscanf(hex + 2 * (ptrdiff_t)i, "%2x", &byte), 1);
        out[i] = (unsigned char)byte;
    }
}

/* hash(0): the text of the table as the file itself holds it. */
static void seed(sqlite3 *db, const char *path, unsigned char out[32])
{
    sqlite3_stmt *row;
    char hex[65];
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT sql FROM sqlite_schema WHERE name = 'event'", -1, &row, NULL), 0);
    assert_int_equal(sqlite3_step(row), SQLITE_ROW);
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    (void)fputs((const char *)sqlite3_column_text(row, 0), f);
    assert_int_equal(fclose(f), 0);
    sqlite3_finalize(row);
    sha256sum(path, hex);
    bytes_of(hex, out);
}

static void write_some(struct world *w)
{
    for (int i = 0; i < 6; i++) {
        struct store_event e = world_event(i % 2 ? "toner.put" : "cup", i);
        char answer[32];
        snprintf(answer, sizeof answer, "{\"n\":%d}", i);
        e.batch = NULL;
        e.person = i == 3 ? NULL : "J\xc3\xb6rg";
        assert_int_equal(world_write(w, &(struct store_write){.events = &e,
                                                              .event_count = 1,
                                                              .request = i % 3 ? e.request : NULL,
                                                              .method = i % 3 ? "toner.put" : NULL,
                                                              .answer = i % 3 ? answer : NULL}),
                         STORE_DONE);
    }
}

static void sha256sum_agrees(void **state)
{
    /* Events of no batch: their columns stand as texts, so nothing of the product's is needed to read them. */
    static const char sql[] =
        "SELECT seq, revision, mono_ns, kind, station, batch, time, boot, person, client, request, "
        "method, version, body, answer, lower(hex(hash)) FROM event ORDER BY seq";
    struct world *w = *state;
    char path[128], hex[65];
    unsigned char head[32];
    sqlite3 *db;
    sqlite3_stmt *row;
    int64_t seq;
    write_some(w);
    snprintf(path, sizeof path, "%s/bytes", w->dir);
    assert_int_equal(sqlite3_open_v2(w->file, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    seed(db, path, head);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &row, NULL), SQLITE_OK);
    int events = 0;
    for (; sqlite3_step(row) == SQLITE_ROW; events++) {
        FILE *f = fopen(path, "we");
        assert_non_null(f);
        assert_int_equal(fwrite(head, 1, sizeof head, f), sizeof head);
        for (int c = 0; c < 3; c++)
            put_number(f, sqlite3_column_int64(row, c));
        for (int c = 3; c < 15; c++)
            put_text(f, row, c);
        assert_int_equal(fclose(f), 0);
        sha256sum(path, hex);
        assert_string_equal(hex, (const char *)sqlite3_column_text(row, 15));
        bytes_of(hex, head);
    }
    assert_int_equal(events, 6);
    sqlite3_finalize(row);
    sqlite3_close(db);
    char ours[65];
    assert_true(store_head(w->store, &seq, ours));
    assert_string_equal(ours, hex);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(sha256sum_agrees, world_setup, world_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
