/* A disk that fills up, turns read-only or breaks while a cup is being poured. */
#include "tests/e2e/harness.h"
#include "tests/e2e/mounts.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { STORE = -32007, IO = 74 };

static void path_in(const struct harness *h, const char *name, char path[512])
{
    snprintf(path, 512, "%s/%s", h->dir, name);
}

static void write_file(const char *path, const char *text)
{
    int fd = open(path, O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0600);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, strlen(text)), (int)strlen(text));
    close(fd);
}

static int lines_with(const struct harness *h, const char *words)
{
    char path[512], line[512];
    int count = 0;
    path_in(h, "poised.err", path);
    FILE *f = fopen(path, "re");
    assert_non_null(f);
    while (fgets(line, sizeof line, f))
        count += strstr(line, words) != NULL;
    fclose(f);
    return count;
}

/* A batch whose first toner stands poured on the scale, not accepted yet. */
static void pour_one(struct harness *h)
{
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:f,s:i}", "formula", "TI-207", "coat", "ground", "grams", 276.7, "reduce_pct", 0));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_weigh(h, "bench", 243.2);
}

/* The one accept of this batch, always the same request. */
static json_t *accept_again(struct harness *h)
{
    return json_pack("{s:s+,s:s}", "request", "accept-", harness_text(h, "bench", "batch"), "lot", "A17");
}

/* Refused with its reason, and all that needs no writing goes on: the weight, the screen, what was mixed, a plan. */
static void is_refused(struct harness *h, const char *why)
{
    json_t *error = harness_refused(h, "bench", "batch.accept", accept_again(h), STORE);
    assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "why")), why);
    harness_weigh(h, "bench", 243.1);
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    harness_call(h, "batch.get", json_pack("{s:s}", "batch", harness_text(h, "bench", "batch")));
    harness_call(h, "mix.plan", json_pack("{s:s,s:i}", "formula", "TI-207", "grams", 250));
    error = json_object_get(harness_ask(h, "cup.put", json_pack("{s:s,s:i}", "id", "0.4", "ml", 400)), "error");
    assert_int_equal(json_integer_value(json_object_get(error, "code")), STORE);
    assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "why")), why);
    harness_weigh(h, "bench", 243.2);
}

/* The very same call, without a restart; once more gives the same answer, and there is one effect. */
static void is_taken(struct harness *h)
{
    pid_t was = h->poised;
    json_int_t before = json_integer_value(json_object_get(harness_screen(h, "bench"), "revision"));
    for (int i = 0; i < 2; i++) {
        json_t *with = accept_again(h);
        json_object_set_new(with, "revision", json_integer(before));
        json_t *screen = harness_act(h, "bench", "batch.accept", with);
        assert_int_equal(json_integer_value(json_object_get(screen, "revision")), before + 1);
    }
    assert_float_equal(harness_number(h, "bench", "steps.0.poured_g"), 212.0, 1e-6);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
    assert_int_equal(h->poised, was);
}

static void a_full_disk_refuses_until_there_is_room(void **state)
{
    struct harness *h = *state;
    char keep[512], ballast[512];
    if (!mounts_begin()) {
        print_message("skipped: no mounts of our own are allowed here\n");
        skip();
    }
    path_in(h, "state", keep);
    path_in(h, "state/ballast", ballast);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_true(mounts_small(keep, 4096));
    harness_start(h);
    harness_wait_scale(h, "bench", "live");
    pour_one(h);
    int fd = open(ballast, O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
    static const char noughts[4096];
    while (write(fd, noughts, sizeof noughts) > 0)
        ;
    assert_int_equal(errno, ENOSPC);
    close(fd);
    is_refused(h, "full");
    assert_int_equal(unlink(ballast), 0);
    is_taken(h);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_true(mounts_undo(keep));
}

/* The same by a limit on the size of files, which needs no mounts. */
static void a_file_size_limit_refuses_until_it_is_raised(void **state)
{
    struct harness *h = *state;
    struct rlimit was, none;
    pour_one(h);
    assert_int_equal(prlimit(h->poised, RLIMIT_FSIZE, NULL, &was), 0);
    none = (struct rlimit){.rlim_cur = 1, .rlim_max = was.rlim_max};
    assert_int_equal(prlimit(h->poised, RLIMIT_FSIZE, &none, NULL), 0);
    is_refused(h, "full");
    assert_int_equal(prlimit(h->poised, RLIMIT_FSIZE, &was, NULL), 0);
    is_taken(h);
}

static bool run(const char *const argv[])
{
    int status = 0;
    pid_t pid = fork();
    if (pid == 0) {
        execvp(argv[0], (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

/* Starts the daemon anew on a disk that can be told to fail. */
static void on_a_told_disk(struct harness *h, char told[512])
{
    char shim[512];
    path_in(h, "disk.so", shim);
    path_in(h, "told", told);
    const char *cc = getenv("CC");
    const char *const argv[] = {cc && *cc ? cc : "cc",      "-D_GNU_SOURCE", "-shared", "-fPIC", "-o", shim,
                                "tests/e2e/preload/disk.c", "-ldl",          NULL};
    struct stat st;
    if (stat(shim, &st) != 0 && !run(argv))
        fail_msg("%s cannot be built", argv[6]);
    if (h->poised)
        assert_int_equal(harness_stop(h, SIGTERM), 0);
    write_file(told, "");
    const char *asan = getenv("ASAN_OPTIONS");
    char with[512];
    snprintf(with, sizeof with, "%s:verify_asan_link_order=0", asan ? asan : "");
    setenv("ASAN_OPTIONS", with, 1);
    setenv("LD_PRELOAD", shim, 1);
    setenv("POISE_DISK", told, 1);
    harness_start(h);
    unsetenv("LD_PRELOAD");
    harness_wait_scale(h, "bench", "live");
}

static void a_disk_that_cannot_be_written_refuses(void **state)
{
    static const struct {
        int error;
        const char *why;
    } rows[] = {{EROFS, "readonly"}, {EACCES, "readonly"}, {ENOSPC, "full"}, {EDQUOT, "full"}};
    struct harness *h = *state;
    char told[512], text[32];
    on_a_told_disk(h, told);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        pour_one(h);
        snprintf(text, sizeof text, "write %d", rows[i].error);
        write_file(told, text);
        is_refused(h, rows[i].why);
        write_file(told, "");
        is_taken(h);
    }
}

/* What is written once cannot be kept is said once, and once that it is kept again. */
static void readings_that_cannot_be_kept_are_said_once_each_way(void **state)
{
    struct harness *h = *state;
    char told[512];
    on_a_told_disk(h, told);
    pour_one(h);
    int lost = lines_with(h, "could not be kept"), again = lines_with(h, "are kept again");
    write_file(told, "write 28"); /* ENOSPC */
    double grams = 243.2;
    for (int64_t until = harness_deadline(); lines_with(h, "could not be kept") == lost;) {
        harness_weigh(h, "bench", grams += 0.01);
        harness_step(h, until, "the line in the log");
    }
    write_file(told, "");
    for (int64_t until = harness_deadline(); lines_with(h, "are kept again") == again;) {
        harness_weigh(h, "bench", grams += 0.01);
        harness_step(h, until, "the line in the log");
    }
    assert_int_equal(lines_with(h, "could not be kept"), lost + 1);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

/* Nobody knows what is on the disk: the daemon says so, ends, and finds out by reading the journal again. */
static void a_disk_that_breaks_ends_the_daemon(void **state)
{
    static const char *const breaks[] = {"sync 5", "write 5"};
    struct harness *h = *state;
    char told[512];
    on_a_told_disk(h, told);
    for (size_t i = 0; i < 2; i++) {
        pour_one(h);
        json_int_t revision = json_integer_value(json_object_get(harness_screen(h, "bench"), "revision"));
        char request[32];
        snprintf(request, sizeof request, "broken-%zu", i);
        int said = lines_with(h, "poised: ");
        write_file(told, breaks[i]);
        json_t *error = harness_refused(h, "bench", "batch.accept", json_pack("{s:s}", "request", request), STORE);
        assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "why")), "io");
        int64_t deadline = harness_deadline();
        while (h->client >= 0)
            harness_step(h, deadline, "the end of poised");
        assert_int_equal(harness_stop(h, 0), IO);
        assert_int_equal(lines_with(h, "poised: "), said + 1);
        on_a_told_disk(h, told);
        harness_weigh(h, "bench", 243.2);
        json_t *screen =
            harness_act(h, "bench", "batch.accept", json_pack("{s:s,s:I}", "request", request, "revision", revision));
        assert_int_equal(json_integer_value(json_object_get(screen, "revision")), revision + 1);
        assert_float_equal(harness_number(h, "bench", "steps.0.poured_g"), 212.0, 1e-6);
        harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_full_disk_refuses_until_there_is_room, harness_begin_live, harness_end),
        cmocka_unit_test_setup_teardown(a_file_size_limit_refuses_until_it_is_raised, harness_begin_live, harness_end),
        cmocka_unit_test_setup_teardown(a_disk_that_cannot_be_written_refuses, harness_begin_live, harness_end),
        cmocka_unit_test_setup_teardown(readings_that_cannot_be_kept_are_said_once_each_way, harness_begin_live,
                                        harness_end),
        cmocka_unit_test_setup_teardown(a_disk_that_breaks_ends_the_daemon, harness_begin_live, harness_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
