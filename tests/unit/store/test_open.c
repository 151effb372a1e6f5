#include "tests/unit/store/world.h"

#include <errno.h>
#include <poll.h>
#include <sys/inotify.h>
#include <sys/resource.h>

static int bare(void **state)
{
    *state = world_bare();
    return 0;
}

static void only_the_last_part_is_made(void **state)
{
    struct world *w = *state;
    struct stat st;
    char state_dir[96];
    memcpy(state_dir, w->state, sizeof state_dir);
    snprintf(w->state, sizeof w->state, "%s/a/b", w->dir);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_true(strlen(w->fault.help) > 0);
    memcpy(w->state, state_dir, sizeof state_dir);
    mode_t mask = umask(0);
    assert_true(world_open(w));
    umask(mask);
    assert_int_equal(stat(w->state, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0700);
    assert_int_equal(stat(w->file, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0600);
}

static void one_at_a_time(void **state)
{
    struct world *w = *state;
    struct fault fault;
    assert_true(world_open(w));
    assert_null(store_open(&w->loop, w->state, world_dead, w, &fault));
    assert_int_equal(fault.kind, FAULT_NOT_PERMITTED);
    assert_string_equal(fault.why, "busy");
    assert_int_equal(world_note(w, "accepted", NULL), STORE_DONE); /* the first one is none the worse */
    world_close(w);
    assert_true(world_open(w));
}

static void what_is_no_directory_is_refused(void **state)
{
    struct world *w = *state;
    FILE *f = fopen(w->state, "w");
    assert_non_null(f);
    fclose(f);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
}

/* Root may write anywhere; a directory without any write bit is read-only all the same. */
static void a_read_only_directory_is_refused(void **state)
{
    struct world *w = *state;
    assert_true(world_open(w));
    world_close(w);
    assert_int_equal(chmod(w->state, 0500), 0);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "readonly");
    assert_int_equal(chmod(w->state, 0700), 0);
    assert_int_equal(chmod(w->file, 0400), 0);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "readonly");
    assert_int_equal(chmod(w->file, 0600), 0);
    assert_true(world_open(w));
}

static void turned_read_only_later_it_refuses_and_goes_on(void **state)
{
    struct world *w = *state;
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
    assert_int_equal(chmod(w->state, 0500), 0);
    assert_int_equal(world_note(w, "accepted", "r2"), STORE_READONLY);
    assert_int_equal(chmod(w->state, 0700), 0);
    assert_int_equal(world_note(w, "accepted", "r2"), STORE_DONE);
    assert_int_equal(chmod(w->file, 0400), 0);
    assert_int_equal(world_note(w, "accepted", "r3"), STORE_READONLY);
    assert_int_equal(chmod(w->file, 0600), 0);
    assert_int_equal(world_note(w, "accepted", "r3"), STORE_DONE);
    assert_int_equal(w->deaths, 0);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 3);
}

/* What is written to a file that nobody can find again must not be acknowledged. */
static void a_file_taken_away_is_death(void **state)
{
    struct world *w = *state;
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
    assert_int_equal(unlink(w->file), 0);
    assert_int_equal(world_note(w, "accepted", "r2"), STORE_DEAD);
    assert_int_equal(w->deaths, 1);
}

static void a_file_of_another_kind_is_left_alone(void **state)
{
    struct world *w = *state;
    assert_int_equal(mkdir(w->state, 0700), 0);
    world_sql(w, "CREATE TABLE paint(x); INSERT INTO paint VALUES(1)");
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "foreign");
    assert_int_equal(world_number(w, "SELECT count(*) FROM sqlite_schema"), 1);
    FILE *f = fopen(w->file, "w");
    assert_non_null(f);
    fputs("this is no database, but it is long enough to look like one that was damaged, so be careful with it", f);
    fclose(f);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
}

/* Another user's directory that everybody may write in: what stands there cannot be believed. Only root can become
 * another user here. */
static void a_directory_that_others_write_in_is_refused(void **state)
{
    struct world *w = *state;
    const char *path = w->state;
    if (geteuid() != 0)
        skip();
    assert_int_equal(chmod(w->dir, 0755), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(chmod(path, 0777), 0);
    assert_int_equal(seteuid(65534), 0);
    bool opened = world_open(w);
    assert_int_equal(seteuid(0), 0);
    assert_false(opened);
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "open");
    struct stat st;
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0777);
}

static void a_file_of_a_later_version_is_left_alone(void **state)
{
    struct world *w = *state;
    assert_true(world_open(w));
    world_close(w);
    int64_t version = world_number(w, "PRAGMA user_version");
    assert_true(version >= 1);
    world_sql(w, "PRAGMA user_version = 9999");
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "newer");
    assert_int_equal(world_number(w, "PRAGMA user_version"), 9999);
}

/* The settings that the promise rests on, as the file and the log show them. */
static void the_log_is_used_and_synced(void **state)
{
    struct world *w = *state;
    char log[128];
    struct stat st;
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
    snprintf(log, sizeof log, "%s-wal", w->file);
    assert_int_equal(stat(log, &st), 0);
    assert_true(st.st_size > 0);
    world_close(w);
    assert_int_equal(access(log, F_OK), -1); /* a clean end leaves one file */
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 1);
}

/* Writes a body that fills some ten pages of the log. */
static void write_large(struct world *w)
{
    static char body[36000];
    memset(body, 'x', sizeof body - 1);
    struct store_event e = world_event("accepted", 1);
    e.batch = NULL; /* else it would be packed to nothing */
    e.body = body;
    assert_int_equal(world_write(w, &(struct store_write){.events = &e, .event_count = 1}), STORE_DONE);
}

/* The log does not grow for ever under steady work, and is moved into the file once nobody writes. */
static void the_log_is_moved_into_the_file(void **state)
{
    struct world *w = *state;
    char log[128], told[4096];
    struct stat st;
    assert_true(world_open(w));
    for (int i = 0; i < 1000; i++)
        write_large(w);
    snprintf(log, sizeof log, "%s-wal", w->file);
    assert_int_equal(stat(log, &st), 0);
    assert_true(st.st_size < 9000L * 4120); /* 1,000 writes of 10 pages and more, moved at 8,000 pages */
    struct pollfd touched = {.fd = inotify_init1(IN_NONBLOCK), .events = POLLIN};
    assert_true(inotify_add_watch(touched.fd, w->file, IN_MODIFY) >= 0);
    for (int i = 0; i < 100; i++)
        write_large(w);
    for (assert_int_equal(stat(w->file, &st), 0); st.st_size < 1100L * 36000; assert_int_equal(stat(w->file, &st), 0)) {
        assert_int_equal(poll(&touched, 1, 60000), 1);
        assert_true(read(touched.fd, told, sizeof told) > 0);
    }
    close(touched.fd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(only_the_last_part_is_made, bare, world_teardown),
        cmocka_unit_test_setup_teardown(one_at_a_time, bare, world_teardown),
        cmocka_unit_test_setup_teardown(what_is_no_directory_is_refused, bare, world_teardown),
        cmocka_unit_test_setup_teardown(a_read_only_directory_is_refused, bare, world_teardown),
        cmocka_unit_test_setup_teardown(turned_read_only_later_it_refuses_and_goes_on, bare, world_teardown),
        cmocka_unit_test_setup_teardown(a_file_taken_away_is_death, bare, world_teardown),
        cmocka_unit_test_setup_teardown(a_file_of_another_kind_is_left_alone, bare, world_teardown),
        cmocka_unit_test_setup_teardown(a_directory_that_others_write_in_is_refused, bare, world_teardown),
        cmocka_unit_test_setup_teardown(a_file_of_a_later_version_is_left_alone, bare, world_teardown),
        cmocka_unit_test_setup_teardown(the_log_is_used_and_synced, bare, world_teardown),
        cmocka_unit_test_setup_teardown(the_log_is_moved_into_the_file, bare, world_teardown),
    };
    return cmocka_run_group_tests_name("store: open", tests, NULL, NULL);
}
