/* Every write and every sync of a run of writes fails in turn, in each of the ways a disk can. What must hold: what was
 * acknowledged is there, what was refused is not, nothing is there twice or by half, and a store that refused works
 * again as soon as the disk does. */
#include "tests/unit/store/faulty.h"

#include <signal.h>
#include <sys/resource.h>

enum { GROUPS = 2, EACH = 3, WRITES = GROUPS * EACH };

/* One write as the daemon makes it: an event, a batch row, an item and an answer, together or not at all. */
static void submit(struct world *w, int n)
{
    char request[16], batch[16], body[1500];
    snprintf(request, sizeof request, "r%03d", n);
    snprintf(batch, sizeof batch, "%d", n + 1);
    memset(body, 'x', sizeof body - 1);
    body[sizeof body - 1] = '\0';
    struct store_event e = world_event("accepted", n);
    e.request = request;
    e.body = body;
    struct store_batch b = {.batch = batch, .state = "open", .name = "Copperwing", .total_g = n};
    struct store_item item = {.kind = "toner", .id = "N10", .reason = request, .body = "{}", .text = request};
    world_submit(w, n,
                 &(struct store_write){.events = &e,
                                       .event_count = 1,
                                       .batches = &b,
                                       .batch_count = 1,
                                       .items = &item,
                                       .item_count = 1,
                                       .request = request,
                                       .method = "m",
                                       .answer = "{}"});
}

static void submit_all(struct world *w)
{
    for (int g = 0; g < GROUPS; g++) {
        for (int i = 0; i < EACH; i++)
            submit(w, g * EACH + i);
        world_wait(w, (g + 1) * EACH);
    }
}

static bool is_there(sqlite3 *db, int n)
{
    char sql[400];
    snprintf(
        sql, sizeof sql,
        "SELECT 1000 * (SELECT count(*) FROM event WHERE request = 'r%03d') + 100 * (SELECT count(answer) FROM event "
        "WHERE request = 'r%03d') + 10 * (SELECT count(*) FROM batch WHERE id = %d) + "
        "(SELECT count(*) FROM item WHERE reason = 'r%03d')",
        n, n, n + 1, n);
    int64_t parts = world_number_of(db, sql);
    if (parts != 0 && parts != 1111)
        fail_msg("write %d is there by half or twice: %lld", n, (long long)parts);
    return parts != 0;
}

static void check_what_is_there(struct world *w, const char *name, int n)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    for (int i = 0; i < WRITES; i++) {
        bool there = is_there(db, i);
        enum store_result result = w->result[i].result;
        if (result == STORE_DONE ? !there : result != STORE_DEAD && there)
            fail_msg("%s at %d: write %d gave %d and is%s there", name, n, i, (int)result, there ? "" : " not");
    }
    sqlite3_close(db);
}

static void check_results(struct world *w, const char *name, int n, enum store_result wanted)
{
    bool dead = false;
    for (int i = 0; i < WRITES; i++) {
        enum store_result result = w->result[i].result;
        if (w->result[i].tag != i)
            fail_msg("%s at %d: answer %d is for write %d", name, n, i, w->result[i].tag);
        if (result != STORE_DONE && result != wanted)
            fail_msg("%s at %d: write %d gave %d: %s", name, n, i, (int)result, w->result[i].why);
        if (dead && result != STORE_DEAD)
            fail_msg("%s at %d: write %d was answered by a dead store", name, n, i);
        dead = result == STORE_DEAD;
    }
    if (w->deaths != (dead ? 1 : 0))
        fail_msg("%s at %d: %d deaths", name, n, w->deaths);
}

/* Returns whether the failure came into play; if not, all n of a run have been through. */
static bool fail_at(size_t disk, int n)
{
    struct world *w = faulty_world();
    void *state = w;
    const char *name = faulty_disks[disk].name;
    enum store_result wanted = faulty_disks[disk].result;
    assert_true(world_open(w));
    faulty_arm(faulty_disks[disk].what, n, faulty_disks[disk].error, faulty_disks[disk].lasting);
    submit_all(w);
    bool failed = faulty.failed > 0;
    faulty_disarm();
    check_results(w, name, n, wanted);
    if (wanted != STORE_DEAD && world_note(w, "after", "after") != STORE_DONE)
        fail_msg("%s at %d: does not work again: %s", name, n, w->result[w->answers - 1].why);
    if (wanted == STORE_DEAD && failed && world_note(w, "after", "after") == STORE_DONE && w->deaths)
        fail_msg("%s at %d: a dead store acknowledged a write", name, n);
    world_close(w);
    if (!world_open(w))
        fail_msg("%s at %d: cannot open again: %s", name, n, w->fault.message);
    check_what_is_there(w, name, n);
    faulty_check_whole(w, name, n);
    world_teardown(&state);
    return failed;
}

static void each_failure_in_turn(void **state)
{
    (void)state;
    for (size_t disk = 0; disk < FAULTY_DISKS; disk++) {
        int n = 0;
        while (fail_at(disk, n))
            n += faulty_disks[disk].stride;
        if (n < GROUPS) /* at least one write and one sync a group */
            fail_msg("%s: only %d failures came into play", faulty_disks[disk].name, n);
    }
}

/* Moving the log into the file fails for want of space: no acknowledged write is harmed, and none is refused for it. */
static void a_full_disk_while_the_log_is_moved(void **state)
{
    struct world *w = *state;
    char body[60000];
    memset(body, 'x', sizeof body - 1);
    body[sizeof body - 1] = '\0';
    struct store_event e = world_event("accepted", 1);
    e.body = body;
    e.batch = NULL; /* that of a batch would be packed */
    struct store_write write = {.events = &e, .event_count = 1};
    for (int i = 0; i < 64; i++) /* 15 pages each: just short of 1,000 */
        assert_int_equal(world_write(w, &write), STORE_DONE);
    faulty_arm(FAULTY_WRITES, 2 * 60, ENOSPC, true); /* enough for the writes that cross the mark, not for the move */
    int done = 0, full = 0;
    for (int i = 0; i < 8; i++)
        switch ((int)world_write(w, &write)) {
        case STORE_DONE:
            done++;
            break;
        case STORE_FULL:
            full++;
            break;
        default:
            fail_msg("write %d: %s", i, w->result[w->answers - 1].why);
        }
    assert_true(faulty.failed > 0);
    faulty_disarm();
    assert_int_equal(world_write(w, &write), STORE_DONE);
    assert_int_equal(w->deaths, 0);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 65 + done);
    assert_int_equal(done + full, 8);
}

/* One write that is too large for what is left does not take the small ones beside it with it. */
static void a_large_write_is_refused_alone(void **state)
{
    struct world *w = *state;
    char *body = malloc(3000000);
    struct rlimit before, limit;
    assert_non_null(body);
    memset(body, 'x', 2999999);
    body[2999999] = '\0';
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    limit = before;
    limit.rlim_cur = 1000000; /* bytes a file may have: the system's own EFBIG, no layer of ours */
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &limit), 0);
    signal(SIGXFSZ, SIG_IGN);
    struct store_event small = world_event("small", 1), large = world_event("large", 2);
    large.body = body;
    large.batch = NULL; /* else it is packed */
    for (int i = 0; i < 9; i++)
        world_submit(w, i, &(struct store_write){.events = i == 4 ? &large : &small, .event_count = 1});
    world_wait(w, 9);
    for (int i = 0; i < 9; i++)
        assert_int_equal(w->result[i].result, i == 4 ? STORE_FULL : STORE_DONE);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(world_write(w, &(struct store_write){.events = &large, .event_count = 1}), STORE_DONE);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 9);
    int64_t bad;
    char head[65];
    assert_true(store_verify(w->store, &bad, head));
    free(body);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_failure_in_turn),
        cmocka_unit_test_setup_teardown(a_full_disk_while_the_log_is_moved, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_large_write_is_refused_alone, world_setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: faults", tests, faulty_setup, NULL);
}
