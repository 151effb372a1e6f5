/* Somebody sets the clock of the computer, while a pour goes on and while nobody looks: a line of the journal, a mark
 * on each batch that was open, and a pot life that ends when it would have ended. Times are compared as differences,
 * each to a minute: steps are hours. */
#include "tests/e2e/story.h"

#include "text/timestamp.h"

#include <fcntl.h>
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { HOUR_MS = 3600 * 1000 };

/* The page that poised's clock looks at, of the test that runs. */
struct set_clock {
    struct harness *h;
    _Atomic int64_t *ahead_ms;
};

static void build(const char *shim)
{
    const char *cc = getenv("CC");
    const char *const argv[] = {
        cc && *cc ? cc : "cc", "-D_GNU_SOURCE", "-shared", "-fPIC", "-o", shim, "tests/e2e/preload/clock.c", NULL};
    int status = -1;
    pid_t pid = fork();
    if (pid == 0) {
        execvp(argv[0], (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    if (pid < 0 || waitpid(pid, &status, 0) != pid || status != 0)
        fail_msg("%s cannot be built", argv[6]);
}

/* poised again, with the shim under it. */
static void start_again(struct set_clock *c)
{
    char shim[HARNESS_PATH + 16], told[HARNESS_PATH + 16], with[512];
    const char *asan = getenv("ASAN_OPTIONS");
    snprintf(shim, sizeof shim, "%s/clock.so", c->h->dir);
    snprintf(told, sizeof told, "%s/clock", c->h->dir);
    if (access(shim, F_OK) != 0) {
        build(shim);
        int fd = open(told, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
        assert_int_equal(ftruncate(fd, sizeof *c->ahead_ms), 0);
        void *page = mmap(NULL, sizeof *c->ahead_ms, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
        assert_true(page != MAP_FAILED);
        close(fd);
        c->ahead_ms = page;
    }
    assert_int_equal(harness_stop(c->h, SIGTERM), 0);
    snprintf(with, sizeof with, "%s:verify_asan_link_order=0", asan ? asan : "");
    setenv("ASAN_OPTIONS", with, 1);
    setenv("LD_PRELOAD", shim, 1);
    setenv("POISE_CLOCK", told, 1);
    harness_start(c->h);
    unsetenv("LD_PRELOAD");
    unsetenv("POISE_CLOCK");
    harness_wait_scale(c->h, "bench", "live");
}

static int64_t time_of(json_t *object, const char *path)
{
    json_t *text = story_at(object, path);
    int64_t ms = json_is_string(text) ? timestamp_parse(json_string_value(text)) : -1;
    if (ms < 0)
        fail_msg("%s is no time: %s", path, json_dumps(object, 0));
    return ms;
}

static void is_near(int64_t ms, int64_t wanted_ms)
{
    if (llabs(ms - wanted_ms) > 60 * 1000)
        fail_msg("%lld ms instead of %lld", (long long)ms, (long long)wanted_ms);
}

static bool says(json_t *screen, const void *code)
{
    const char *is = json_string_value(story_at(screen, "said.code"));
    return is && strcmp(is, code) == 0;
}

static size_t facts_of(json_t *object, const char *code)
{
    size_t i, found = 0;
    json_t *fact;
    json_array_foreach(json_object_get(object, "facts"), i, fact)
    {
        const char *is = json_string_value(json_object_get(fact, "code"));
        found += is && strcmp(is, code) == 0;
    }
    return found;
}

static json_t *record_of(struct harness *h, const char *batch)
{
    return harness_call(h, "batch.get", json_pack("{s:s}", "batch", batch));
}

/* Activated clear with 90 minutes of pot life, the hardener counted. */
static void activated(struct harness *h, char batch[24])
{
    story_cup(h, "{'product':'CLEAR-A','parts':['CL','H','R'],'grams':100}");
    snprintf(batch, 24, "%s", harness_text(h, "bench", "batch"));
    story_pour(h, 100);
    while (strcmp(harness_text(h, "bench", "state"), "pour") == 0)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "state", "done");
    assert_true(json_is_string(json_object_get(harness_screen(h, "bench"), "use_by")));
}

/* 3 h on, in the middle of a pot life of 90 min: the paint does not harden faster for it. */
static void a_pot_life_ends_when_it_would_have(void **state)
{
    struct set_clock c = {.h = *state};
    struct harness *h = c.h;
    char batch[24];
    start_again(&c);
    activated(h, batch);
    story_look(h);
    int64_t before = time_of(harness_screen(h, "bench"), "use_by");
    double left_s = harness_number(h, "bench", "pot_life.left_s");
    atomic_store(c.ahead_ms, 3 * HOUR_MS);
    harness_wait_screen(h, "bench", says, "clock_set");
    story_look(h);
    json_t *screen = harness_screen(h, "bench");
    is_near(time_of(screen, "use_by"), before + 3 * HOUR_MS);
    is_near((int64_t)(harness_number(h, "bench", "pot_life.left_s") * 1000), (int64_t)(left_s * 1000));
    assert_true(json_is_null(json_object_get(screen, "trouble")));
    assert_int_equal(facts_of(screen, "fact_clock_set"), 1);
    is_near(time_of(record_of(h, batch), "use_by"), before + 3 * HOUR_MS);
    json_t *found = json_array_get(json_object_get(harness_call(h, "batch.find", json_object()), "batches"), 0);
    is_near(time_of(found, "use_by"), before + 3 * HOUR_MS);
    start_again(&c); /* and as it was noted, so it is read */
    story_look(h);
    is_near(time_of(harness_screen(h, "bench"), "use_by"), before + 3 * HOUR_MS);
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_set"), 1);
    story_act(h, "finish", "{}");
    json_t *record = record_of(h, batch);
    assert_int_equal(facts_of(record, "fact_clock_set"), 1);
    is_near(time_of(record, "use_by"), before + 3 * HOUR_MS);
}

/* 2 h back: marked, told in the words of the trade in both languages, and no lasting alarm about a clock that may well
 * be right now. */
static void a_clock_set_back_is_told_in_both_languages(void **state)
{
    struct set_clock c = {.h = *state};
    struct harness *h = c.h;
    char batch[24], out[4096], err[512];
    start_again(&c);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    snprintf(batch, sizeof batch, "%s", harness_text(h, "bench", "batch"));
    atomic_store(c.ahead_ms, -2 * HOUR_MS);
    harness_wait_screen(h, "bench", says, "clock_set");
    assert_non_null(strstr(harness_text(h, "bench", "message"), "the clock of this computer was set from "));
    assert_true(json_is_null(json_object_get(harness_screen(h, "bench"), "trouble")));
    story_pour(h, 50);
    json_t *record = record_of(h, batch), *event = NULL, *one;
    size_t i;
    json_array_foreach(json_object_get(record, "events"), i,
                       one) if (strcmp(json_string_value(json_object_get(one, "what")), "clock") == 0) event = one;
    assert_non_null(event);
    const char *show[] = {"poise", "show", batch, "--language", "de", NULL};
    assert_int_equal(harness_run(h, show, NULL, out, sizeof out, err, sizeof err), 0);
    assert_non_null(strstr(out, "Uhr unterdessen gestellt: von "));
    const char *english[] = {"poise", "show", batch, "--language", "en", NULL};
    assert_int_equal(harness_run(h, english, NULL, out, sizeof out, err, sizeof err), 0);
    assert_non_null(strstr(out, "clock set meanwhile: from "));
    story_clear(h);
}

/* Less than 2 s, an hour's summer time (no step: the zone's affair) and a daemon that did not run: only what was set is
 * told, and also what was set while nobody looked. */
static void what_was_set_while_nobody_looked(void **state)
{
    struct set_clock c = {.h = *state};
    struct harness *h = c.h;
    start_again(&c);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    atomic_store(c.ahead_ms, 1000);
    story_pour(h, 50);
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_set"), 0);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    atomic_store(c.ahead_ms, HOUR_MS);
    harness_start(h); /* without the shim: its clock is 1 s behind, which is nothing */
    harness_wait_scale(h, "bench", "live");
    story_add(h, 1);
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_set"), 0);
    start_again(&c);
    harness_wait_screen(h, "bench", says, "clock_set");
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_set"), 1);
    story_clear(h);
}

/* A machine that lost its battery: 1970 until somebody sets the clock. What is begun before that is marked. */
static void a_batch_begun_by_a_wrong_clock_is_marked(void **state)
{
    struct set_clock c = {.h = *state};
    struct harness *h = c.h;
    char batch[24];
    start_again(&c);
    atomic_store(c.ahead_ms, -20LL * 365 * 24 * HOUR_MS);
    start_again(&c);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    snprintf(batch, sizeof batch, "%s", harness_text(h, "bench", "batch"));
    story_look(h);
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_wrong"), 1);
    story_text(harness_screen(h, "bench"), "trouble.code", "clock_wrong");
    story_clear(h);
    atomic_store(c.ahead_ms, 0);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    assert_int_equal(facts_of(harness_screen(h, "bench"), "fact_clock_wrong"), 0);
    assert_true(json_is_null(json_object_get(harness_screen(h, "bench"), "trouble")));
    assert_int_equal(facts_of(record_of(h, batch), "fact_clock_wrong"), 1);
    story_clear(h);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, story_begin, story_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_pot_life_ends_when_it_would_have),
        TEST(a_clock_set_back_is_told_in_both_languages),
        TEST(what_was_set_while_nobody_looked),
        TEST(a_batch_begun_by_a_wrong_clock_is_marked),
    };
    cmocka_set_test_filter(getenv("TEST"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
