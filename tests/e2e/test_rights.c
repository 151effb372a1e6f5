/* [rights] as far as one user allows: a role that is not mine refuses, mine lets pass, and events say who. */
#include "tests/e2e/story.h"

#include <pwd.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static const char *me(void)
{
    const struct passwd *entry = getpwuid(getuid());
    return entry ? entry->pw_name : NULL;
}

/* Somebody else of this machine. */
static const char *other(void)
{
    return getuid() == 0 ? "nobody" : "root";
}

static int begin_with(void **state, const char *paint, const char *keep)
{
    static char lines[256];
    if (!me() || !getpwnam(other())) /* a container without a list of users */
        skip();
    snprintf(lines, sizeof lines, "[rights]\npaint = user:%s\nkeep = user:%s\nown = user:%s\n", paint, keep, other());
    return harness_begin(state, &(struct harness_setup){.data = "tests/data/story", .config_lines = lines});
}

static int begin_nobody(void **state)
{
    return begin_with(state, other(), other());
}

static int begin_painter(void **state)
{
    return begin_with(state, me(), other());
}

static int begin_keeper(void **state)
{
    return begin_with(state, other(), me());
}

static int end(void **state)
{
    return harness_end(state);
}

static void whoever_is_not_named_reads_only(void **state)
{
    struct harness *h = *state;
    json_t *data = story_refused(h, "begin", -32006, "why", "rights", "{'formula':'TS-1','grams':100}");
    story_text(data, "code", "no_right");
    story_text(data, "args.right", "paint");
    story_fault(h, "toner.put", -32006, "{'id':'X1'}");
    story_call(h, "toner.list", "{}");
    story_call(h, "mix.plan", "{'formula':'TS-1','grams':100}");
    story_call(h, "batch.find", "{}");
    story_call(h, "scale.list", "{}");
}

static void a_painter_pours_and_keeps_nothing(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100,'painter':'Ann'}");
    story_batch(h, id);
    json_t *event = story_at(story_call(h, "batch.get", "{'batch':'%s'}", id), "events.0");
    story_text(event, "who.user", me());
    story_text(event, "who.painter", "Ann");
    story_fault(h, "toner.put", -32006, "{'id':'X1'}");
    story_fault(h, "catalogue.import", -32006, "{'files':['/tmp']}");
}

static void a_keeper_paints_too_and_imports_nothing(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put", "{'id':'X1'}");
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_text(story_fault(h, "catalogue.import", -32006, "{'files':['/tmp']}"), "args.right", "own");
}

/* The command's exit code is that of the contract. */
static void a_refused_command_ends_with_77(void **state)
{
    struct harness *h = *state;
    static const char *const argv[] = {"poise", "begin", "TS-1", "--grams", "100", NULL};
    char out[2048], err[2048];
    assert_int_equal(harness_run(h, argv, NULL, out, sizeof out, err, sizeof err), 77);
    assert_non_null(strstr(err, "paint"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(whoever_is_not_named_reads_only, begin_nobody, end),
        cmocka_unit_test_setup_teardown(a_refused_command_ends_with_77, begin_nobody, end),
        cmocka_unit_test_setup_teardown(a_painter_pours_and_keeps_nothing, begin_painter, end),
        cmocka_unit_test_setup_teardown(a_keeper_paints_too_and_imports_nothing, begin_keeper, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
