/* The child that solves: the same answers as its library's, and an end to whatever it does instead of answering. */
#include "solver/solver.h"

#include "solver/lpsolve.h"
#include "tests/unit/mix/published.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct mix_program p; /* too large for a stack */
static char folder[] = "/tmp/poise-solver-XXXXXX";

/* Long enough for any machine; nothing here takes it. */
enum { RUN_MS = 60000, ALL_MS = 120000 };

static const char *real_program(void)
{
    static char path[256];
    const char *build = getenv("POISE_BUILD");
    snprintf(path, sizeof path, "%s/poise-solve", build && *build ? build : "build");
    return path;
}

/* A program of that name whose whole text is a shell's. */
static const char *played_program(const char *name, const char *text)
{
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    fprintf(f, "#!/bin/sh\n%s\n", text);
    assert_int_equal(fclose(f), 0);
    assert_int_equal(chmod(path, 0700), 0);
    return path;
}

/* At least `least` of one amount, as little of it as can be. */
static void ask_for(double least, double most)
{
    mix_program_init(&p);
    p.goal[mix_program_column(&p, 0, most, false)] = 1;
    mix_program_row(&p, least, MIX_FREE);
    mix_program_entry(&p, 0, 1);
}

/* Answer for answer as the library gives it, also that there is none (beyond 10). */
static void answers_as_its_library_does(void **state)
{
    (void)state;
    double x[MIX_COLUMNS];
    struct solver s;
    solver_begin(&s, real_program(), RUN_MS, ALL_MS);
    for (int i = 1; i <= 20; i++) {
        struct lpsolve library;
        double theirs[MIX_COLUMNS];
        ask_for(i, 10);
        assert_true(lpsolve_open(&library, 20));
        assert_int_equal(lpsolve_run(&library, &p, theirs), i <= 10);
        assert_int_equal(solver_run(&s, &p, x), i <= 10);
        if (i <= 10)
            near_to("the amount", x[0], theirs[0], 1e-12);
        lpsolve_close(&library);
    }
    assert_int_equal(s.trouble, SOLVER_NONE);
    solver_end(&s);
}

/* As large as a program can be: it goes through the line in pieces. */
static void the_largest_program_goes_through(void **state)
{
    (void)state;
    double x[MIX_COLUMNS];
    struct solver s;
    mix_program_init(&p);
    for (size_t c = 0; c < MIX_COLUMNS; c++)
        p.goal[mix_program_column(&p, 0, MIX_FREE, false)] = 1;
    for (size_t r = 0; r < MIX_ROWS; r++) {
        mix_program_row(&p, (double)r, MIX_FREE);
        mix_program_entry(&p, r % MIX_COLUMNS, 1);
    }
    solver_begin(&s, real_program(), RUN_MS, ALL_MS);
    assert_true(solver_run(&s, &p, x));
    for (size_t c = 0; c < MIX_COLUMNS; c++)
        near_to("a column", x[c], (double)(c + MIX_COLUMNS < MIX_ROWS ? c + MIX_COLUMNS : c), 1e-9);
    solver_end(&s);
}

/* One that never answers, one that ends, one that answers another wire: cut off, and no trouble for the next question.
 */
static void a_child_that_does_not_answer_is_cut_off(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text;
        int run_ms;
    } rows[] = {
        {"hangs", "exec sleep 1000", 30},
        {"reads and hangs", "exec cat", 30},
        {"ends", "exit 0", RUN_MS},
        {"is killed", "kill -9 $$", RUN_MS},
        {"talks nonsense", "head -c 100000 /dev/zero >&0", RUN_MS},
    };
    ask_for(1, 10);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double x[MIX_COLUMNS];
        struct solver s;
        solver_begin(&s, played_program("played", rows[i].text), rows[i].run_ms, ALL_MS);
        if (solver_run(&s, &p, x) || s.trouble != SOLVER_SLOW || s.child != 0)
            fail_msg("one that %s: trouble %d, child %d", rows[i].name, (int)s.trouble, (int)s.child);
        solver_end(&s);
    }
}

static void what_is_missing_is_told_from_what_is_slow(void **state)
{
    (void)state;
    double x[MIX_COLUMNS];
    struct solver s;
    ask_for(1, 10);
    solver_begin(&s, played_program("bare", "exit 69"), RUN_MS, ALL_MS);
    assert_false(solver_run(&s, &p, x));
    assert_int_equal(s.trouble, SOLVER_MISSING);
    assert_int_equal(s.error, 0);
    solver_begin(&s, "/nowhere/poise-solve", RUN_MS, ALL_MS);
    assert_false(solver_run(&s, &p, x));
    assert_int_equal(s.trouble, SOLVER_MISSING);
    assert_int_equal(s.error, ENOENT);
    solver_end(&s);
}

/* The first child is lost on its way; the next program gets one of its own. */
static void a_lost_child_is_replaced(void **state)
{
    (void)state;
    double x[MIX_COLUMNS];
    struct solver s;
    ask_for(3, 10);
    solver_begin(&s, real_program(), RUN_MS, ALL_MS);
    assert_true(solver_run(&s, &p, x));
    assert_int_equal(kill(s.child, SIGKILL), 0);
    assert_false(solver_run(&s, &p, x));
    assert_int_equal(s.trouble, SOLVER_SLOW);
    assert_true(solver_run(&s, &p, x));
    near_to("the amount", x[0], 3, 1e-9);
    solver_end(&s);
}

/* Nothing is started once the question is over. */
static void a_question_out_of_time_starts_nobody(void **state)
{
    (void)state;
    double x[MIX_COLUMNS];
    struct solver s;
    ask_for(1, 10);
    solver_begin(&s, real_program(), RUN_MS, 0);
    assert_false(solver_run(&s, &p, x));
    assert_int_equal(s.trouble, SOLVER_SLOW);
    assert_int_equal(s.child, 0);
    solver_end(&s);
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    unlink(played_program("played", ""));
    unlink(played_program("bare", ""));
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(answers_as_its_library_does),
        cmocka_unit_test(the_largest_program_goes_through),
        cmocka_unit_test(a_child_that_does_not_answer_is_cut_off),
        cmocka_unit_test(what_is_missing_is_told_from_what_is_slow),
        cmocka_unit_test(a_lost_child_is_replaced),
        cmocka_unit_test(a_question_out_of_time_starts_nobody),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
