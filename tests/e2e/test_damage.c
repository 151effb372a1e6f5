/* test_damage.c - a store with a scrapped, a held and an open batch and one page of it damaged: a start answers
 * rightly, or ends with 74 and one line; it never shows an empty bench. Every page is tried, in each way. */
#include "tests/e2e/raw_client.h"
#include "tests/e2e/story.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { PAGE = 4096, RUNS = -1000, IO = 74, WAYS = 5 };

struct file {
    char path[HARNESS_PATH + 32];
    unsigned char *bytes;
    size_t size;
};

static void take(struct harness *h, struct file *f)
{
    snprintf(f->path, sizeof f->path, "%s/state/poise.db", h->dir);
    FILE *from = fopen(f->path, "rb");
    assert_non_null(from);
    fseek(from, 0, SEEK_END);
    f->size = (size_t)ftell(from);
    rewind(from);
    f->bytes = malloc(f->size);
    assert_non_null(f->bytes);
    assert_int_equal(fread(f->bytes, 1, f->size, from), f->size);
    fclose(from);
}

/* The file as it was but for one page, and no log beside it. */
static void put(const struct file *f, size_t page, const unsigned char with[PAGE])
{
    char log[sizeof f->path + 8];
    FILE *to = fopen(f->path, "wb");
    assert_non_null(to);
    assert_int_equal(fwrite(f->bytes, 1, f->size, to), f->size);
    fseek(to, (long)(page * PAGE), SEEK_SET);
    assert_int_equal(fwrite(with, 1, PAGE, to), PAGE);
    fclose(to);
    snprintf(log, sizeof log, "%s-wal", f->path);
    unlink(log);
    snprintf(log, sizeof log, "%s-shm", f->path);
    unlink(log);
}

/* Noughts, noise, each word `open` of the page spelt otherwise, a tree's page that says it has no cells, and one that
 * says it has one less: no check of SQLite's sees the last three, and an index that lost an entry finds no open batch.
 * The number of cells stands in bytes 3 and 4 of a page's head (SQLite, "Database File Format", section 1.6). */
static bool damage(const struct file *f, size_t page, int way, unsigned char out[PAGE])
{
    bool changed = way < 2;
    memcpy(out, f->bytes + page * PAGE, PAGE);
    unsigned chance = (unsigned)page + 1;
    for (size_t i = 0; i < PAGE && way < 2; i++) {
        chance = chance * 1103515245 + 12345;
        out[i] = way == 0 ? 0 : (unsigned char)(chance >> 16);
    }
    for (size_t i = 0; i + 4 <= PAGE && way == 2; i++)
        if (memcmp(out + i, "open", 4) == 0) {
            out[i] = 'i';
            changed = true;
        }
    unsigned char *cells = out + (page == 0 ? 100 : 0) + 3; /* behind the head of the file, on its first page */
    unsigned count = (unsigned)cells[0] << 8 | cells[1];
    if (way > 2 && count > 0) {
        count = way == 3 ? 0 : count - 1;
        cells[0] = (unsigned char)(count >> 8);
        cells[1] = (unsigned char)count;
        changed = true;
    }
    return changed;
}

/* Starts poised on the story's folder and waits for its ready line or its end.
 * Its end's code, with what it said on stderr; RUNS: it is ready. */
static int start_or_end(struct harness *h, char *err, size_t size)
{
    int out[2], errs[2], status;
    char config[HARNESS_PATH + 16], state[HARNESS_PATH + 16], byte = 0;
    size_t len = 0;
    ssize_t got;
    snprintf(config, sizeof config, "%s/poised.ini", h->dir);
    snprintf(state, sizeof state, "%s/state", h->dir);
    assert_true(pipe2(out, O_CLOEXEC) == 0 && pipe2(errs, O_CLOEXEC) == 0);
    const char *build = getenv("POISE_BUILD");
    char program[HARNESS_PATH];
    snprintf(program, sizeof program, "%s/poised", build ? build : "build");
    h->poised = fork();
    if (h->poised == 0) {
        prctl(PR_SET_PDEATHSIG, SIGKILL);
        dup2(out[1], 1);
        dup2(errs[1], 2);
        execl(program, "poised", "--config", config, "--state", state, "--socket", h->socket, "--foreground", NULL);
        _exit(126);
    }
    close(out[1]);
    close(errs[1]);
    while ((got = read(out[0], &byte, 1)) == 1 && byte != '\n')
        ;
    close(out[0]);
    while (got == 0 && len + 1 < size && (got = read(errs[0], err + len, size - 1 - len)) > 0) {
        len += (size_t)got;
        got = 0;
    }
    err[len] = '\0';
    close(errs[0]);
    if (byte == '\n')
        return RUNS;
    assert_int_equal(waitpid(h->poised, &status, 0), h->poised);
    h->poised = 0;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static void kill_it(struct harness *h)
{
    kill(h->poised, SIGKILL);
    waitpid(h->poised, NULL, 0);
    h->poised = 0;
}

/* The daemon runs: its bench must have the batch, with what was poured. */
static bool shows_the_batch(struct harness *h, const char *id)
{
    static const char call[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":"
                               "\"watch\",\"params\":{\"station\":\"bench\"}}";
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, call));
    json_t *answer = raw_client_answer(c);
    json_t *screen = json_object_get(answer, "result");
    const char *batch = json_string_value(json_object_get(screen, "batch"));
    json_t *poured = json_object_get(json_array_get(json_object_get(screen, "steps"), 0), "poured_g");
    bool shown = batch && strcmp(batch, id) == 0 && json_number_value(poured) > 49;
    json_decref(answer);
    raw_client_close(c);
    return shown;
}

/* Whether it ended by itself with 74 and one line, or else showed the batch. */
static void look(struct harness *h, const char *id, size_t page, int way, int *ended)
{
    char err[4096];
    int code = start_or_end(h, err, sizeof err);
    if (code == RUNS) {
        if (!shows_the_batch(h, id))
            fail_msg("page %zu, way %d: started without the open batch", page + 1, way);
        kill_it(h);
        return;
    }
    const char *end = strchr(err, '\n');
    if (code != IO || strncmp(err, "poised: ", 8) != 0 || !end || end[1])
        fail_msg("page %zu, way %d: ended with %d and:\n%s", page + 1, way, code, err);
    ++*ended;
}

static void no_damaged_page_empties_a_bench(void **state)
{
    struct harness *h = *state;
    struct file f;
    unsigned char with[PAGE];
    char id[16];
    int ended = 0;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_act(h, "scrap", "{'why':'a try'}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_act(h, "hold", "{}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_batch(h, id);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    take(h, &f);
    for (size_t page = 0; page < f.size / PAGE; page++)
        for (int way = 0; way < WAYS; way++)
            if (damage(&f, page, way, with)) {
                put(&f, page, with);
                look(h, id, page, way, &ended);
            }
    assert_true(ended > 3); /* the pages that hold the batch at least */
    put(&f, 0, f.bytes);
    free(f.bytes);
    harness_start(h);
    story_is(h, "batch", id);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(no_damaged_page_empties_a_bench, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
