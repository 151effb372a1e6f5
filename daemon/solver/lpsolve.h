/* lpsolve.h - solves a linear program of mix/linear.h by the lp_solve library.
 *
 * Start with lpsolve_open; hand lpsolve_run and the opened library to mix_workoff or mix_rescue; lpsolve_close gives
 * the memory back. The library is opened by name for the length of one question, since it is asked a few times a day:
 * linked in, it and its two companions are loaded at every start. Where one of its own allocations fails it may end the
 * program or never come back, so only poise-solve opens it (solver.h).
 * Thread  Any, one at a time for each opened library.
 * Errors  Not installed: false from open. A program that has no answer, or takes longer than its seconds: false from
 * run.
 */
#pragma once

#include "mix/linear.h"

#include <lpsolve/lp_lib.h>

struct lpsolve {
    void *handle;
    int seconds; /* the most that one program may take */
    __typeof__(make_lp) *make;
    __typeof__(delete_lp) *forget;
    __typeof__(set_verbose) *verbose;
    __typeof__(set_add_rowmode) *by_rows;
    __typeof__(add_constraintex) *add_row;
    __typeof__(set_rh_range) *row_range;
    __typeof__(set_bounds) *bounds;
    __typeof__(set_int) *whole;
    __typeof__(set_obj_fn) *goal;
    __typeof__(set_timeout) *timeout;
    __typeof__(solve) *run;
    __typeof__(get_variables) *variables;
};

bool lpsolve_open(struct lpsolve *l, int seconds);
void lpsolve_close(struct lpsolve *l);
/* A mix_solve; `solver` is a struct lpsolve. */
bool lpsolve_run(void *solver, const struct mix_program *p, double *x);
