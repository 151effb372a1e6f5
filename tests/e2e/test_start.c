/* When poised cannot start: one clear line, the documented exit code, and nothing of anybody else's touched. */
#include "tests/e2e/harness.h"
#include "tests/e2e/mounts.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

enum { IO = 74, BUSY = 75, CONFIG = 78 };

static const char *in_dir(const struct harness *h, const char *name)
{
    static char path[8][512];
    static unsigned at;
    char *to = path[at++ % 8];
    snprintf(to, sizeof path[0], "%s/%s", h->dir, name);
    return to;
}

static bool is_there(const char *path)
{
    struct stat st;
    return lstat(path, &st) == 0;
}

/* A poised beside the story's own, which must end by itself: its code, one line on stderr with those words, and nothing
 * on stdout. */
static void refuses(struct harness *h, const char *state, const char *socket, int code, const char *words)
{
    const char *const argv[] = {"poised",   "--config", in_dir(h, "poised.ini"), "--state", state,
                                "--socket", socket,     "--foreground",          NULL};
    char out[512], err[2048];
    int is = harness_run(h, argv, NULL, out, sizeof out, err, sizeof err);
    char *end = strchr(err, '\n');
    if (is != code || strncmp(err, "poised: ", 8) != 0 || !end || end[1] || !strstr(err, words) || *out)
        fail_msg("--state %s --socket %s: %d, want %d and \"%s\":\n%s%s", state, socket, is, code, words, err, out);
}

/* What the story's own daemon said on stderr so far; the caller frees. */
static char *read_log(const struct harness *h)
{
    char *text = calloc(1, 1 << 16);
    FILE *f = fopen(in_dir(h, "poised.err"), "re");
    assert_non_null(text);
    assert_non_null(f);
    (void)!fread(text, 1, (1 << 16) - 1, f);
    fclose(f);
    return text;
}

static int count(const char *text, const char *words)
{
    int n = 0;
    for (; (text = strstr(text, words)); text += strlen(words))
        n++;
    return n;
}

static void of_two_daemons_on_one_state_the_second_ends(void **state)
{
    struct harness *h = *state;
    char words[64];
    refuses(h, in_dir(h, "state"), in_dir(h, "other"), BUSY, "another poised is using the state directory");
    snprintf(words, sizeof words, ": process %d.", (int)h->poised);
    refuses(h, in_dir(h, "state"), in_dir(h, "other"), BUSY, words);
    assert_false(is_there(in_dir(h, "other")));
    refuses(h, in_dir(h, "state"), h->socket, BUSY, "another poised is using the state directory");
    harness_call(h, "daemon.info", NULL);
    close(harness_connect(h)); /* its socket is still its own */
}

static void a_socket_in_use_is_left_alone(void **state)
{
    struct harness *h = *state;
    refuses(h, in_dir(h, "state-2"), h->socket, BUSY, "another daemon answers there");
    close(harness_connect(h));
    harness_call(h, "daemon.info", NULL);
}

static void a_stale_socket_is_replaced(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    assert_true(is_there(h->socket));
    harness_start(h);
    harness_call(h, "daemon.info", NULL);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_false(is_there(h->socket)); /* one that ends in order takes it away */
    harness_start(h);
    struct stat st;
    assert_int_equal(lstat(h->socket, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0660);
}

static void a_file_in_the_sockets_place_stays(void **state)
{
    struct harness *h = *state;
    const char *file = in_dir(h, "letter");
    int fd = open(file, O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
    assert_int_equal(write(fd, "dear", 4), 4);
    close(fd);
    refuses(h, in_dir(h, "state-3"), file, IO, "is not a socket");
    struct stat st;
    assert_int_equal(lstat(file, &st), 0);
    assert_int_equal(st.st_size, 4);
    refuses(h, in_dir(h, "state-3"), in_dir(h, "nowhere/sock"), IO, "nowhere/sock");
}

static void a_socket_path_that_is_too_long_is_said(void **state)
{
    struct harness *h = *state;
    char longest[300];
    size_t n = (size_t)snprintf(longest, sizeof longest, "%s/", h->dir);
    memset(longest + n, 's', sizeof longest - n);
    longest[107] = '\0'; /* sun_path has 108 bytes */
    char was[sizeof h->socket];
    memcpy(was, h->socket, sizeof was);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    memcpy(h->socket, longest, strlen(longest) + 1);
    harness_start(h); /* 107 bytes are taken */
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    longest[107] = 's';
    longest[108] = '\0';
    refuses(h, in_dir(h, "state"), longest, CONFIG, "1 to 107 bytes");
    longest[108] = 's';
    longest[290] = '\0';
    refuses(h, in_dir(h, "state"), longest, CONFIG, "1 to 107 bytes");
    memcpy(h->socket, was, sizeof was);
    harness_start(h);
}

static void the_state_folder_is_made_for_its_owner_alone(void **state)
{
    struct harness *h = *state;
    struct stat st;
    assert_int_equal(stat(in_dir(h, "state"), &st), 0); /* the harness makes none */
    assert_int_equal(st.st_mode & 07777, 0700);
    refuses(h, in_dir(h, "no/state"), in_dir(h, "other"), IO, "no/state");
    assert_false(is_there(in_dir(h, "no")));
    refuses(h, in_dir(h, "poised.ini"), in_dir(h, "other"), IO, "poised.ini");
    assert_int_equal(symlink("nowhere", in_dir(h, "dangling")), 0);
    refuses(h, in_dir(h, "dangling"), in_dir(h, "other"), IO, "dangling");
    refuses(h, "", in_dir(h, "other"), IO, "state directory");
}

static void rights_taken_away_are_said(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(chmod(in_dir(h, "state"), 0500), 0);
    refuses(h, in_dir(h, "state"), h->socket, IO, "not allowed");
    assert_int_equal(chmod(in_dir(h, "state"), 0700), 0);
    assert_int_equal(chmod(in_dir(h, "state/poise.db"), 0400), 0);
    refuses(h, in_dir(h, "state"), h->socket, IO, "not allowed");
    assert_int_equal(chmod(in_dir(h, "state/poise.db"), 0600), 0);
    harness_start(h);
}

/* Once: the next start finds nothing to say. */
static void what_was_open_to_others_is_shut(void **state)
{
    struct harness *h = *state;
    static const char *const names[] = {"state", "state/poise.db", "state/lock"};
    struct stat st;
    char *log;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(chmod(in_dir(h, names[i]), i == 0 ? 0775 : 0664), 0);
    for (int round = 1; round <= 2; round++) {
        harness_start(h);
        for (size_t i = 0; i < 3; i++) {
            assert_int_equal(stat(in_dir(h, names[i]), &st), 0);
            assert_int_equal(st.st_mode & 07777, i == 0 ? 0700 : 0600);
        }
        log = read_log(h);
        assert_int_equal(count(log, "was open to others"), 3);
        free(log);
        assert_int_equal(harness_stop(h, SIGTERM), 0);
    }
    harness_start(h);
}

/* Moved to another disk, say: what the link leads to is shut as well. */
static void a_linked_journal_is_shut_where_it_lies(void **state)
{
    struct harness *h = *state;
    struct stat st;
    char moved[512];
    snprintf(moved, sizeof moved, "%s", in_dir(h, "moved.db"));
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(rename(in_dir(h, "state/poise.db"), moved), 0);
    assert_int_equal(symlink(moved, in_dir(h, "state/poise.db")), 0);
    assert_int_equal(chmod(moved, 0666), 0);
    harness_start(h);
    assert_int_equal(stat(moved, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0600);
    char *log = read_log(h);
    assert_non_null(strstr(log, "state/poise.db was open to others (mode 0666)"));
    free(log);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(rename(moved, in_dir(h, "state/poise.db")), 0);
    harness_start(h);
}

/* Nobody writes into it: whoever opened it for reading would wait for ever. */
static void a_fifo_in_the_journals_place_is_said(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(rename(in_dir(h, "state/poise.db"), in_dir(h, "moved.db")), 0);
    assert_int_equal(mkfifo(in_dir(h, "state/poise.db"), 0600), 0);
    refuses(h, in_dir(h, "state"), h->socket, IO, "file is not a database");
    assert_int_equal(unlink(in_dir(h, "state/poise.db")), 0);
    assert_int_equal(rename(in_dir(h, "moved.db"), in_dir(h, "state/poise.db")), 0);
    harness_start(h);
}

static void a_journal_of_a_later_version_is_left_alone(void **state)
{
    struct harness *h = *state;
    sqlite3 *db;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(sqlite3_open(in_dir(h, "state/poise.db"), &db), SQLITE_OK);
    sqlite3_stmt *ask;
    assert_int_equal(sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &ask, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(ask), SQLITE_ROW);
    int version = sqlite3_column_int(ask, 0);
    sqlite3_finalize(ask);
    assert_int_equal(sqlite3_exec(db, "PRAGMA user_version = 9999", NULL, NULL, NULL), SQLITE_OK);
    refuses(h, in_dir(h, "state"), h->socket, CONFIG, "later poised");
    char back[64];
    snprintf(back, sizeof back, "PRAGMA user_version = %d", version);
    assert_int_equal(sqlite3_exec(db, back, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    harness_start(h);
}

static void a_journal_that_is_none_is_said(void **state)
{
    struct harness *h = *state;
    const char *db = in_dir(h, "state-4/poise.db");
    assert_int_equal(mkdir(in_dir(h, "state-4"), 0700), 0);
    int fd = open(db, O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
    for (int i = 0; i < 2000; i++)
        assert_int_equal(write(fd, "no journal\n", 11), 11);
    close(fd);
    refuses(h, in_dir(h, "state-4"), in_dir(h, "other"), IO, "poise.db");
    struct stat st;
    assert_int_equal(stat(db, &st), 0);
    assert_int_equal(st.st_size, 22000); /* what it was is for a person to look at */
}

static void a_read_only_disk_is_said(void **state)
{
    struct harness *h = *state;
    if (!mounts_begin()) {
        print_message("skipped: no mounts of our own are allowed here\n");
        skip();
    }
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    const char *keep = in_dir(h, "state");
    assert_true(mounts_read_only(keep));
    refuses(h, keep, h->socket, IO, "it is read-only");
    refuses(h, in_dir(h, "state/new"), h->socket, IO, "it is read-only");
    assert_true(mounts_undo(keep));
    harness_start(h); /* nothing was spoilt */
}

static void a_full_disk_is_said(void **state)
{
    struct harness *h = *state;
    if (!mounts_begin()) {
        print_message("skipped: no mounts of our own are allowed here\n");
        skip();
    }
    const char *small = in_dir(h, "small");
    assert_int_equal(mkdir(small, 0700), 0);
    assert_true(mounts_small(small, 64));
    refuses(h, in_dir(h, "small/state"), in_dir(h, "other"), IO, "full");
    assert_true(mounts_undo(small));
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_two_daemons_on_one_state_the_second_ends),
        cmocka_unit_test(a_socket_in_use_is_left_alone),
        cmocka_unit_test(a_stale_socket_is_replaced),
        cmocka_unit_test(a_file_in_the_sockets_place_stays),
        cmocka_unit_test(a_socket_path_that_is_too_long_is_said),
        cmocka_unit_test(the_state_folder_is_made_for_its_owner_alone),
        cmocka_unit_test(rights_taken_away_are_said),
        cmocka_unit_test(what_was_open_to_others_is_shut),
        cmocka_unit_test(a_linked_journal_is_shut_where_it_lies),
        cmocka_unit_test(a_fifo_in_the_journals_place_is_said),
        cmocka_unit_test(a_journal_of_a_later_version_is_left_alone),
        cmocka_unit_test(a_journal_that_is_none_is_said),
        cmocka_unit_test(a_read_only_disk_is_said),
        cmocka_unit_test(a_full_disk_is_said),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
