/* solver.h - solves linear programs of mix/linear.h in a child, poise-solve, within a time.
 *
 * lp_solve ends the program it runs in, or never comes back, where one of its own allocations fails; nothing that a
 * library does may take a cup with it. So it runs in a child that is killed when its time is over, and what goes
 * between the two is one struct of plain numbers each way.
 * Start with solver_begin; hand solver_run and the struct to mix_workoff or mix_rescue; solver_end ends the child,
 * which serves all programs of one question. Owner   The struct is the caller's; `program` is borrowed until
 * solver_end. Thread  Any but the loop's: it waits. One at a time for each struct. Errors  A program without an answer
 * is false and no trouble. All else is false and `trouble` says why.
 */
#pragma once

#include "mix/linear.h"

#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>

enum solver_trouble {
    SOLVER_NONE,
    SOLVER_SLOW,     /* no answer in its time, or the child broke at it */
    SOLVER_MISSING,  /* its library is not there; with an `error`: poise-solve is not */
    SOLVER_NO_MEMORY /* or no descriptor, or no room for one more process: `error` is the system's word for it */
};

struct solver {
    const char *program; /* path of poise-solve */
    int run_ms;          /* what one program may take */
    int64_t until_ms;    /* when the whole question is over; CLOCK_MONOTONIC */
    pid_t child;         /* 0: none runs */
    int line;            /* to the child, both ways; -1 */
    enum solver_trouble trouble;
    int error;
};

/* The wire to poise-solve, which is built with us: another version's size is another mark, and is not answered. */
struct solver_asked {
    uint64_t mark;
    int64_t seconds; /* after which the child ends by itself, should nobody be there to kill it */
    struct mix_program program;
};
struct solver_answer {
    uint64_t mark;
    int64_t found;
    double x[MIX_COLUMNS];
};
#define SOLVER_MARK ((uint64_t)0x706f697365000000 + sizeof(struct solver_asked))
/* Exit code of poise-solve: its library is not there (EX_UNAVAILABLE). */
#define SOLVER_NO_LIBRARY 69

/* Starts nothing yet. run_ms: the most that one program may take; all_ms: all of them together, counted from now. */
void solver_begin(struct solver *s, const char *program, int run_ms, int all_ms);
/* A mix_solve; `solver` is a struct solver. After a trouble the next program gets a child of its own, in the time left.
 */
bool solver_run(void *solver, const struct mix_program *p, double *x);
/* Ends the child. May be called more than once. */
void solver_end(struct solver *s);
