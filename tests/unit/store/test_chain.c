#include "tests/unit/store/world.h"

#include "store/chain.h"

/* Each field alone changes the hash, and so does moving a letter from one field to the next. */
static void every_field_counts(void **state)
{
    (void)state;
    struct chain base = {0}, other;
    struct store_event e = world_event("accepted", 1);
    e.request = "r1";
    chain_add(&base, &e, "{}");
    assert_int_equal(base.seq, 1);
    const size_t texts[] = {offsetof(struct store_event, kind),   offsetof(struct store_event, station),
                            offsetof(struct store_event, batch),  offsetof(struct store_event, time),
                            offsetof(struct store_event, boot),   offsetof(struct store_event, person),
                            offsetof(struct store_event, client), offsetof(struct store_event, request),
                            offsetof(struct store_event, method), offsetof(struct store_event, version),
                            offsetof(struct store_event, body)};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const char *const values[] = {NULL, "", "changed"};
        for (size_t v = 0; v < 3; v++) {
            struct store_event changed = e;
            *(const char **)(void *)((char *)&changed + texts[i]) = values[v];
            other = (struct chain){0};
            chain_add(&other, &changed, "{}");
            if (memcmp(base.head, other.head, CHAIN_BYTES) == 0)
                fail_msg("text %zu, value %zu: the same hash", i, v);
        }
    }
    struct store_event changed = e;
    changed.revision = 2;
    other = (struct chain){0};
    chain_add(&other, &changed, "{}");
    assert_memory_not_equal(base.head, other.head, CHAIN_BYTES);
    changed = e;
    changed.mono_ns++;
    other = (struct chain){0};
    chain_add(&other, &changed, "{}");
    assert_memory_not_equal(base.head, other.head, CHAIN_BYTES);
    other = (struct chain){.seq = 1};
    chain_add(&other, &e, "{}");
    assert_memory_not_equal(base.head, other.head, CHAIN_BYTES);
    other = (struct chain){0};
    chain_add(&other, &e, NULL);
    assert_memory_not_equal(base.head, other.head, CHAIN_BYTES);
    struct store_event ab = e, ba = e;
    ab.person = "An", ab.client = "na";
    ba.person = "Ann", ba.client = "a";
    struct chain one = {0}, two = {0};
    chain_add(&one, &ab, "{}");
    chain_add(&two, &ba, "{}");
    assert_memory_not_equal(one.head, two.head, CHAIN_BYTES);
}

static int setup(void **state)
{
    world_setup(state);
    for (int i = 0; i < 9; i++) {
        char request[16];
        snprintf(request, sizeof request, "r%d", i);
        assert_int_equal(world_note(*state, "accepted", request), STORE_DONE);
    }
    return 0;
}

#define OPEN_UP "DROP TRIGGER event_not_changed; DROP TRIGGER event_not_removed;"

static const struct {
    const char *name, *sql;
    int64_t bad_seq;
} tampers[] = {
    {"a weight", OPEN_UP "UPDATE event SET body = '{\"weight_ug\":2}' WHERE seq = 4", 4},
    {"a person", OPEN_UP "UPDATE event SET person = 'Bob' WHERE seq = 1", 1},
    {"a person taken away", OPEN_UP "UPDATE event SET person = NULL WHERE seq = 9", 9},
    {"a time", OPEN_UP "UPDATE event SET time = '2026-11-25T14:03:07.413+01:00' WHERE seq = 5", 5},
    {"a clock", OPEN_UP "UPDATE event SET mono_ns = mono_ns + 1 WHERE seq = 5", 5},
    {"a revision", OPEN_UP "UPDATE event SET revision = 77 WHERE seq = 2", 2},
    {"a hash", OPEN_UP "UPDATE event SET hash = randomblob(32) WHERE seq = 3", 3},
    {"a hash of another length", OPEN_UP "UPDATE event SET hash = x'00' WHERE seq = 3", 3},
    {"an answer", OPEN_UP "UPDATE event SET answer = '[]' WHERE seq = 6", 6},
    {"a row removed", OPEN_UP "DELETE FROM event WHERE seq = 4", 5},
    {"the first row removed", OPEN_UP "DELETE FROM event WHERE seq = 1", 2},
    {"a row removed and the gap closed",
     OPEN_UP "DELETE FROM event WHERE seq = 4; UPDATE event SET seq = seq - 1 WHERE seq > 4", 4},
    {"two rows swapped",
     OPEN_UP "UPDATE event SET seq = 100 WHERE seq = 3; UPDATE event SET seq = 3 WHERE seq = 6;"
             "UPDATE event SET seq = 6 WHERE seq = 100",
     3},
    {"a row put in",
     "INSERT INTO event SELECT 10, kind, station, batch, revision, time, mono_ns, boot, person, client, request, "
     "method, version, body, hash, NULL FROM event WHERE seq = 9",
     10},
    {"two columns that change names",
     "ALTER TABLE event RENAME COLUMN person TO x; ALTER TABLE event RENAME COLUMN client TO person;"
     "ALTER TABLE event RENAME COLUMN x TO client",
     1},
};

/* The number at which the chain is found broken, 0: whole. */
static int64_t broken_at(struct world *w)
{
    int64_t bad = -1;
    char head[65];
    bool whole = store_verify(w->store, &bad, head);
    assert_int_equal(whole, bad == 0);
    return bad;
}

static void a_change_is_found_where_it_was_made(void **state)
{
    struct world *w = *state;
    long length;
    world_close(w);
    char *whole = world_read_file(w->file, &length);
    for (size_t i = 0; i < sizeof tampers / sizeof *tampers; i++) {
        world_write_file(w->file, whole, length);
        assert_true(world_open(w));
        assert_int_equal(broken_at(w), 0);
        world_close(w);
        world_sql(w, tampers[i].sql);
        assert_true(world_open(w));
        int64_t bad = broken_at(w);
        if (bad != tampers[i].bad_seq)
            fail_msg("%s: found at %lld, want %lld", tampers[i].name, (long long)bad, (long long)tampers[i].bad_seq);
        world_close(w);
    }
    free(whole);
}

/* The chain alone cannot see that its end is gone; the head written down elsewhere can. */
static void a_cut_tail_shows_in_the_head(void **state)
{
    struct world *w = *state;
    char head[65], later[65];
    int64_t seq, seq_later;
    assert_true(store_head(w->store, &seq, head));
    assert_int_equal(seq, 9);
    world_close(w);
    world_sql(w, OPEN_UP "DELETE FROM event WHERE seq = 9");
    assert_true(world_open(w));
    assert_int_equal(broken_at(w), 0);
    assert_true(store_head(w->store, &seq_later, later));
    assert_int_equal(seq_later, 8);
    assert_string_not_equal(head, later);
}

static void an_event_cannot_be_changed_by_mistake(void **state)
{
    struct world *w = *state;
    sqlite3 *db;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "UPDATE event SET person = 'Bob'", NULL, NULL, NULL), SQLITE_CONSTRAINT);
    assert_int_equal(sqlite3_exec(db, "DELETE FROM event", NULL, NULL, NULL), SQLITE_CONSTRAINT);
    sqlite3_close(db);
    assert_int_equal(broken_at(w), 0);
}

static void an_empty_journal_has_a_beginning(void **state)
{
    struct world *w = *state;
    char head[65], verified[65];
    int64_t seq, bad;
    assert_true(store_head(w->store, &seq, head));
    assert_int_equal(seq, 0);
    assert_true(store_verify(w->store, &bad, verified));
    assert_string_equal(head, verified);
    assert_int_equal(strlen(head), 64);
}

static void the_chain_goes_on_after_a_restart(void **state)
{
    struct world *w = *state;
    world_close(w);
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "new"), STORE_DONE);
    assert_int_equal(w->result[9].first_seq, 10);
    assert_int_equal(broken_at(w), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_field_counts),
        cmocka_unit_test_setup_teardown(a_change_is_found_where_it_was_made, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_cut_tail_shows_in_the_head, setup, world_teardown),
        cmocka_unit_test_setup_teardown(an_event_cannot_be_changed_by_mistake, setup, world_teardown),
        cmocka_unit_test_setup_teardown(an_empty_journal_has_a_beginning, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(the_chain_goes_on_after_a_restart, setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: chain", tests, NULL, NULL);
}
