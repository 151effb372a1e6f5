#include "tests/unit/store/world.h"

enum { EVENTS = 60 };

static int setup(void **state)
{
    world_setup(state);
    for (int i = 0; i < EVENTS; i++)
        assert_int_equal(world_note(*state, "accepted", NULL), STORE_DONE);
    return 0;
}

struct ended {
    int times;
    bool whole;
    int64_t bad_seq, seq;
    char head[65], why[96], message[160];
};

static void checked(void *arg, bool whole, int64_t bad_seq, int64_t seq, const char *head)
{
    struct ended *e = arg;
    e->times++;
    e->whole = whole;
    e->bad_seq = bad_seq;
    e->seq = seq;
    snprintf(e->head, sizeof e->head, "%s", head);
}

static void copied(void *arg, const struct fault *fault, int64_t seq, const char *head)
{
    struct ended *e = arg;
    e->times++;
    e->whole = !fault;
    e->seq = seq;
    snprintf(e->head, sizeof e->head, "%s", head);
    snprintf(e->message, sizeof e->message, "%s", fault ? fault->message : "");
}

static void wait_for(struct world *w, struct ended *e)
{
    while (!e->times)
        uv_run(&w->loop, UV_RUN_ONCE);
    assert_int_equal(e->times, 1);
}

static void a_sound_store_is_found_sound(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    char head[65];
    int64_t seq;
    assert_true(store_head(w->store, &seq, head));
    assert_true(store_check(w->store, checked, &e));
    assert_int_equal(e.times, 0);
    wait_for(w, &e);
    assert_true(e.whole);
    assert_int_equal(e.seq, EVENTS);
    assert_string_equal(e.head, head);
}

static void a_changed_event_is_found(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    world_sql(w, "DROP TRIGGER event_not_changed; UPDATE event SET person = 'Bob' WHERE seq = 17");
    assert_true(store_check(w->store, checked, &e));
    wait_for(w, &e);
    assert_false(e.whole);
    assert_int_equal(e.bad_seq, 17);
}

/* The copy is one file that opens as a store of its own and goes on from where it was made. */
static void a_copy_is_a_store(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    char copy[128], head[65];
    int64_t seq;
    snprintf(copy, sizeof copy, "%s/copy.db", w->dir);
    assert_true(store_head(w->store, &seq, head));
    assert_true(store_backup(w->store, copy, copied, &e, &w->fault));
    for (int i = 0; i < 20; i++) /* writing goes on meanwhile */
        assert_int_equal(world_note(w, "later", NULL), STORE_DONE);
    wait_for(w, &e);
    assert_string_equal(e.message, "");
    assert_true(e.seq >= EVENTS && e.seq <= EVENTS + 20);
    world_close(w);
    long length;
    char *whole = world_read_file(copy, &length);
    snprintf(w->state, sizeof w->state, "%s/second", w->dir);
    snprintf(w->file, sizeof w->file, "%s/poise.db", w->state);
    assert_int_equal(mkdir(w->state, 0700), 0);
    world_write_file(w->file, whole, length);
    free(whole);
    assert_true(world_open(w));
    assert_true(store_head(w->store, &seq, head));
    assert_int_equal(seq, e.seq);
    assert_string_equal(head, e.head);
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
}

static void a_copy_never_takes_a_name_that_is_taken(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    assert_false(store_backup(w->store, w->file, copied, &e, &w->fault));
    assert_int_equal(w->fault.kind, FAULT_INVALID);
    assert_string_equal(w->fault.field, "file");
    assert_false(store_backup(w->store, "copy.db", copied, &e, &w->fault));
    assert_int_equal(w->fault.kind, FAULT_INVALID);
    assert_int_equal(e.times, 0);
}

static void a_copy_to_nowhere_is_said_and_leaves_nothing(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    char copy[128];
    snprintf(copy, sizeof copy, "%s/none/copy.db", w->dir);
    assert_true(store_backup(w->store, copy, copied, &e, &w->fault));
    wait_for(w, &e);
    assert_false(e.whole);
    assert_true(strlen(e.message) > 0);
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
}

/* A copy of a journal whose chain is broken is not handed out as a good one. */
static void a_broken_journal_is_not_copied(void **state)
{
    struct world *w = *state;
    struct ended e = {0};
    char copy[128], part[136];
    snprintf(copy, sizeof copy, "%s/copy.db", w->dir);
    snprintf(part, sizeof part, "%s.part", copy);
    world_sql(w, "DROP TRIGGER event_not_changed; UPDATE event SET person = 'Bob' WHERE seq = 17");
    assert_true(store_backup(w->store, copy, copied, &e, &w->fault));
    wait_for(w, &e);
    assert_false(e.whole);
    assert_int_equal(access(copy, F_OK), -1);
    assert_int_equal(access(part, F_OK), -1);
}

/* Both are ended by closing, each says so, and the store waits for them. */
static void closing_waits_for_both(void **state)
{
    struct world *w = *state;
    struct ended check = {0}, copy = {0};
    char path[128];
    snprintf(path, sizeof path, "%s/copy.db", w->dir);
    assert_true(store_check(w->store, checked, &check));
    assert_true(store_backup(w->store, path, copied, &copy, &w->fault));
    world_close(w);
    assert_int_equal(check.times, 1);
    assert_int_equal(copy.times, 1);
    assert_int_equal(access(path, F_OK), copy.whole ? 0 : -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_sound_store_is_found_sound, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_changed_event_is_found, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_copy_is_a_store, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_copy_never_takes_a_name_that_is_taken, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_copy_to_nowhere_is_said_and_leaves_nothing, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_broken_journal_is_not_copied, setup, world_teardown),
        cmocka_unit_test_setup_teardown(closing_waits_for_both, setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: copy", tests, NULL, NULL);
}
