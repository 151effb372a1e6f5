/* A real file system that is full: a small one in memory, mounted where only this program sees it. Where that is not
 * allowed the tests are skipped; test_faults.c goes without. */
#include "tests/unit/store/world.h"

#include <errno.h>
#include <sched.h>
#include <sys/mount.h>

static void write_text(const char *path, const char *text)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    if (fd < 0)
        return;
    ssize_t ignored = write(fd, text, strlen(text));
    (void)ignored;
    close(fd);
}

/* A mount namespace of our own, as root or as root of a user namespace of our own. */
static bool part_from_others(void)
{
    char map[32], gid_map[32];
    snprintf(map, sizeof map, "0 %u 1", (unsigned)geteuid());
    snprintf(gid_map, sizeof gid_map, "0 %u 1", (unsigned)getegid());
    if (unshare(CLONE_NEWNS) != 0) {
        if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0)
            return false;
        write_text("/proc/self/setgroups", "deny");
        write_text("/proc/self/uid_map", map);
        write_text("/proc/self/gid_map", gid_map);
    }
    return mount("none", "/", "", MS_REC | MS_PRIVATE, "") == 0;
}

static int setup(void **state)
{
    struct world *w = world_bare();
    *state = w;
    if (mkdir(w->state, 0700) != 0 || mount("tmpfs", w->state, "tmpfs", 0, "size=2m,mode=700") != 0)
        w->state[0] = '\0';
    return 0;
}

static int teardown(void **state)
{
    struct world *w = *state;
    if (w->store)
        world_close(w);
    if (*w->state)
        umount2(w->state, MNT_DETACH);
    return world_teardown(state);
}

static void filler_path(struct world *w, char path[128])
{
    snprintf(path, 128, "%s/filler", w->state);
}

/* Takes all room but about `leave` bytes. */
static void fill_up(struct world *w, long leave)
{
    char path[128], block[4096] = {0};
    filler_path(w, path);
    int fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
    assert_true(fd >= 0);
    long size = 0;
    for (ssize_t n = write(fd, block, sizeof block); n > 0; n = write(fd, block, sizeof block))
        size += n;
    assert_int_equal(errno, ENOSPC);
    assert_int_equal(ftruncate(fd, size > leave ? size - leave : 0), 0);
    close(fd);
}

static void free_room(struct world *w)
{
    char path[128];
    filler_path(w, path);
    assert_int_equal(unlink(path), 0);
}

static void open_or_skip(struct world *w)
{
    if (!*w->state)
        skip();
    if (!world_open(w))
        fail_msg("%s", w->fault.message);
}

static void a_full_disk_refuses_at_once_and_works_again(void **state)
{
    struct world *w = *state;
    open_or_skip(w);
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
    fill_up(w, 0);
    for (int i = 0; i < 5; i++)
        assert_int_equal(world_note(w, "accepted", "r2"), STORE_FULL);
    assert_true(strlen(w->result[1].why) > 0);
    assert_int_equal(world_revision(w, "bench"), 0); /* what is there can be read */
    free_room(w);
    assert_int_equal(world_note(w, "accepted", "r2"), STORE_DONE);
    assert_int_equal(w->deaths, 0);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 2);
}

/* Less and less room is left: each write is done or refused, none by half, and what was done stays. */
static void little_room_is_used_or_refused(void **state)
{
    struct world *w = *state;
    int done = 0;
    open_or_skip(w);
    for (long leave = 400000; leave >= 0; leave -= 4096) {
        fill_up(w, leave);
        char request[32];
        snprintf(request, sizeof request, "r%ld", leave);
        enum store_result result = world_note(w, "accepted", request);
        assert_true(result == STORE_DONE || result == STORE_FULL);
        done += result == STORE_DONE;
        free_room(w);
    }
    assert_true(done > 0 && done < 98);
    assert_int_equal(w->deaths, 0);
    world_close(w);
    assert_true(world_open(w));
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), done);
    int64_t bad;
    char head[65];
    assert_true(store_verify(w->store, &bad, head));
}

static void a_full_disk_at_start_is_said(void **state)
{
    struct world *w = *state;
    if (!*w->state)
        skip();
    fill_up(w, 0);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "full");
    free_room(w);
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
}

static void a_read_only_mount_is_said(void **state)
{
    struct world *w = *state;
    open_or_skip(w);
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
    world_close(w);
    assert_int_equal(mount("none", w->state, "", MS_REMOUNT | MS_RDONLY, ""), 0);
    assert_false(world_open(w));
    assert_int_equal(w->fault.kind, FAULT_STORE);
    assert_string_equal(w->fault.why, "readonly");
    assert_int_equal(mount("none", w->state, "", MS_REMOUNT, ""), 0);
    assert_true(world_open(w));
    assert_int_equal(world_note(w, "accepted", "r1"), STORE_REPEATED);
}

int main(void)
{
    if (!part_from_others())
        puts("no mount of our own is allowed here: skipped");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_full_disk_refuses_at_once_and_works_again, setup, teardown),
        cmocka_unit_test_setup_teardown(little_room_is_used_or_refused, setup, teardown),
        cmocka_unit_test_setup_teardown(a_full_disk_at_start_is_said, setup, teardown),
        cmocka_unit_test_setup_teardown(a_read_only_mount_is_said, setup, teardown),
    };
    return cmocka_run_group_tests_name("store: full", tests, NULL, NULL);
}
