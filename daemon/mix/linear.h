/* linear.h - a linear program as plain numbers: minimise goal.x where rows and columns stay within their bounds.
 *
 * workoff.c and rescue.c write one, a solver that the caller hands in finds x; so the arithmetic stays pure, and a test
 * may hand in another solver.
 * Units   the writer's own; MIX_FREE stands for no bound.
 * Owner   The caller owns the program, some 100 KB, too much for a stack of a helper thread. Columns first, then row by
 *         row: an entry belongs to the row begun last.
 * Errors  None: what has no room is counted nowhere, and `overfull` says so; the sizes hold all that MIX_MAX components
 *         and MIX_MAX leftovers can ask.
 */
#pragma once

#include "mix/aim.h"

#define MIX_FREE 1e30 /* as lp_solve writes infinity */
enum {
    MIX_COLUMNS = 4 * MIX_MAX + 8,
    MIX_ROWS = 6 * MIX_MAX + 8,
    MIX_ENTRIES = 2 * (MIX_MAX + 4) * MIX_MAX + 16 * MIX_MAX
};

struct mix_program {
    size_t columns, rows, entries;
    double low[MIX_COLUMNS], high[MIX_COLUMNS], goal[MIX_COLUMNS];
    bool whole[MIX_COLUMNS]; /* a whole number: 0 or 1 in our programs */
    double least[MIX_ROWS], most[MIX_ROWS];
    size_t first[MIX_ROWS + 1]; /* of row r: entries first[r] to first[r + 1] - 1 */
    int column[MIX_ENTRIES];
    double value[MIX_ENTRIES];
    bool overfull;
};

/* Finds x[columns]. False: there is no answer, or it was not found in the solver's time. */
typedef bool mix_solve(void *solver, const struct mix_program *p, double *x);

void mix_program_init(struct mix_program *p);
/* A column between low and high; returns its number. */
size_t mix_program_column(struct mix_program *p, double low, double high, bool whole);
/* Begins a row whose sum stays within least and most. */
void mix_program_row(struct mix_program *p, double least, double most);
/* Adds value * x[column] to the row begun last. */
void mix_program_entry(struct mix_program *p, size_t column, double value);
/* Makes an amount 0 or at least `least`: column and a switch of its own. high is the most that the amount may be. */
void mix_program_nothing_or(struct mix_program *p, size_t column, size_t on, double least, double high);
