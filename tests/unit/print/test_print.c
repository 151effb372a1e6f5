/* A label's way to the print command: the file is ours alone, and what hangs is ended with all that it started. */
#include "print/print.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

struct world {
    uv_loop_t loop;
    char dir[64], script[96], draws[96], told[96], command[160];
    int fifo; /* what a child says, open for both so that neither end waits for the other */
    bool done, ok;
    char why[320];
    struct print_jobs jobs;
    int ended;
};

static void write_script(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
    assert_int_equal(chmod(path, 0700), 0);
}

static int begin(void **state)
{
    struct world *w = calloc(1, sizeof *w);
    strcpy(w->dir, "/tmp/poise-print-XXXXXX");
    assert_non_null(mkdtemp(w->dir));
    snprintf(w->script, sizeof w->script, "%s/print", w->dir);
    snprintf(w->draws, sizeof w->draws, "%s/draw", w->dir);
    snprintf(w->told, sizeof w->told, "%s/told", w->dir);
    snprintf(w->command, sizeof w->command, "sh %s/print", w->dir);
    assert_int_equal(mkfifo(w->told, 0600), 0);
    w->fifo = open(w->told, O_RDWR | O_CLOEXEC);
    assert_true(w->fifo >= 0);
    write_script(w->draws, "#!/bin/sh\ncat > \"$1\"\n");
    assert_int_equal(uv_loop_init(&w->loop), 0);
    prctl(PR_SET_CHILD_SUBREAPER, 1); /* a child that lost its parent becomes ours, so that its end can be seen */
    *state = w;
    return 0;
}

static int end(void **state)
{
    struct world *w = *state;
    uv_loop_close(&w->loop);
    close(w->fifo);
    unlink(w->script);
    unlink(w->draws);
    unlink(w->told);
    rmdir(w->dir);
    free(w);
    return 0;
}

static void done(void *arg, bool ok, const char *why)
{
    struct world *w = arg;
    w->done = true;
    w->ok = ok;
    snprintf(w->why, sizeof w->why, "%s", why);
}

/* The time limit of the child, now. */
static void fire(uv_handle_t *handle, void *arg)
{
    (void)arg;
    if (handle->type == UV_TIMER && uv_is_active(handle))
        ((uv_timer_t *)handle)->timer_cb((uv_timer_t *)handle);
}

static void hear(struct world *w, char *text, size_t size)
{
    fcntl(w->fifo, F_SETFL, O_NONBLOCK);
    size_t len = 0;
    while (!memchr(text, '\n', len)) { /* the loop goes on meanwhile: the drawing ends before the printing begins */
        uv_run(&w->loop, UV_RUN_NOWAIT);
        ssize_t n = read(w->fifo, text + len, size - 1 - len);
        len += n > 0 ? (size_t)n : 0;
    }
    text[len] = '\0';
}

static void what_hangs_is_ended_with_its_children(void **state)
{
    struct world *w = *state;
    char text[128], script[512];
    snprintf(script, sizeof script, "sleep 1000 &\necho $! > %s\nwait\n", w->told);
    write_script(w->script, script);
    print_label(&w->jobs, &w->loop, w->draws, w->command, "{}", done, w);
    hear(w, text, sizeof text);
    pid_t grandchild = (pid_t)atoi(text);
    assert_true(grandchild > 1);
    uv_walk(&w->loop, fire, NULL);
    uv_run(&w->loop, UV_RUN_DEFAULT);
    assert_true(w->done && !w->ok);
    assert_string_equal(w->why, "the print command failed: it took more than 30 s");
    int status;
    assert_int_equal(waitpid(grandchild, &status, 0), grandchild);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
}

static void note_end(void *arg)
{
    struct world *w = arg;
    assert_true(w->done);
    w->ended++;
}

static void what_hangs_does_not_keep_the_end_waiting(void **state)
{
    struct world *w = *state;
    char text[128], script[512];
    snprintf(script, sizeof script, "echo here > %s\nsleep 1000\n", w->told);
    write_script(w->script, script);
    print_label(&w->jobs, &w->loop, w->draws, w->command, "{}", done, w);
    hear(w, text, sizeof text);
    print_stop(&w->jobs, note_end, w);
    assert_int_equal(w->ended, 0);
    uv_walk(&w->loop, fire, NULL);
    uv_run(&w->loop, UV_RUN_DEFAULT);
    assert_string_equal(w->why, "the print command failed: poised was ended meanwhile");
    assert_int_equal(w->ended, 1);
}

/* A print queue of another coding, or a letter cut in two. */
static void a_reason_that_is_no_utf8_is_told(void **state)
{
    struct world *w = *state;
    write_script(w->script, "printf 'kein Papier f\\374r \\303' >&2\nexit 1\n");
    print_label(&w->jobs, &w->loop, w->draws, w->command, "{}", done, w);
    uv_run(&w->loop, UV_RUN_DEFAULT);
    assert_true(w->done && !w->ok);
    assert_string_equal(w->why, "the print command failed: kein Papier f?r ?");
}

/* Whoever prints may see the file, and nobody else; it is gone afterwards. */
static void the_file_is_ours_alone(void **state)
{
    struct world *w = *state;
    char text[128], script[512], path[100];
    int mode;
    snprintf(script, sizeof script, "echo $(stat -c %%a \"$1\") \"$1\" > %s\n", w->told);
    write_script(w->script, script);
    print_label(&w->jobs, &w->loop, w->draws, w->command, "{}", done, w);
    hear(w, text, sizeof text);
    uv_run(&w->loop, UV_RUN_DEFAULT);
    assert_true(w->done && w->ok);
    assert_int_equal(sscanf(text, "%o %99s", (unsigned *)&mode, path), 2);
    assert_int_equal(mode, 0600);
    assert_int_equal(access(path, F_OK), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_hangs_is_ended_with_its_children, begin, end),
        cmocka_unit_test_setup_teardown(what_hangs_does_not_keep_the_end_waiting, begin, end),
        cmocka_unit_test_setup_teardown(a_reason_that_is_no_utf8_is_told, begin, end),
        cmocka_unit_test_setup_teardown(the_file_is_ours_alone, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
