/* lpsolve.c - a program of ours told to lp_solve and its answer read. It must not know what the program is for. */
#include "solver/lpsolve.h"

#include <dlfcn.h>
#include <stddef.h>
#include <string.h>

/* Debian's lp-solve keeps it here, under no versioned name; 5.5 is its interface. */
#define NAME "/usr/lib/lp_solve/liblpsolve55.so"

/* Each function and the pointer of struct lpsolve that it goes into, as an offset. */
static const struct {
    const char *name;
    size_t at;
} table[] = {
    {"make_lp", offsetof(struct lpsolve, make)},
    {"delete_lp", offsetof(struct lpsolve, forget)},
    {"set_verbose", offsetof(struct lpsolve, verbose)},
    {"set_add_rowmode", offsetof(struct lpsolve, by_rows)},
    {"add_constraintex", offsetof(struct lpsolve, add_row)},
    {"set_rh_range", offsetof(struct lpsolve, row_range)},
    {"set_bounds", offsetof(struct lpsolve, bounds)},
    {"set_int", offsetof(struct lpsolve, whole)},
    {"set_obj_fn", offsetof(struct lpsolve, goal)},
    {"set_timeout", offsetof(struct lpsolve, timeout)},
    {"solve", offsetof(struct lpsolve, run)},
    {"get_variables", offsetof(struct lpsolve, variables)},
};

/* seconds: what one run may take. False: the library is not there, or lacks one of the functions; l->handle is then
 * NULL. */
bool lpsolve_open(struct lpsolve *l, int seconds)
{
    *l = (struct lpsolve){.handle = dlopen(NAME, RTLD_NOW | RTLD_LOCAL), .seconds = seconds};
    for (size_t i = 0; l->handle && i < sizeof table / sizeof *table; i++) {
        void *function = dlsym(l->handle, table[i].name);
        memcpy((char *)l + table[i].at, &function, sizeof function); /* C has no cast from data to function */
        if (!function)
            lpsolve_close(l);
    }
    return l->handle != NULL;
}

/* May be called of one that was not opened. */
void lpsolve_close(struct lpsolve *l)
{
    if (l->handle)
        dlclose(l->handle);
    *l = (struct lpsolve){0};
}

/* Rows and columns are numbered from 1 there; 0 is the goal. */
static bool tell(const struct lpsolve *l, lprec *lp, const struct mix_program *p)
{
    bool good = l->by_rows(lp, TRUE);
    REAL value[MIX_COLUMNS + 1] = {0};
    int column[MIX_COLUMNS];
    memcpy(&value[1], p->goal, p->columns * sizeof *value);
    good = good && l->goal(lp, value);
    for (size_t r = 0; good && r < p->rows; r++) {
        size_t first = p->first[r], n = p->first[r + 1] - first;
        for (size_t k = 0; k < n; k++) {
            column[k] = p->column[first + k] + 1;
            value[k] = p->value[first + k];
        }
        bool upper = p->most[r] < MIX_FREE;
        good = l->add_row(lp, (int)n, value, column, upper ? LE : GE, upper ? p->most[r] : p->least[r]);
    }
    good = l->by_rows(lp, FALSE) && good;
    for (size_t r = 0; good && r < p->rows; r++) {
        if (p->most[r] < MIX_FREE && p->least[r] > -MIX_FREE)
            good = l->row_range(lp, (int)r + 1, p->most[r] - p->least[r]);
    }
    for (size_t c = 0; good && c < p->columns; c++)
        good = l->bounds(lp, (int)c + 1, p->low[c], p->high[c]) && (!p->whole[c] || l->whole(lp, (int)c + 1, TRUE));
    return good;
}

/* A best answer so far, where time ran out, is no answer: nobody could say how far it is from the best. */
bool lpsolve_run(void *solver, const struct mix_program *p, double *x)
{
    struct lpsolve *l = solver;
    lprec *lp = l->make(0, (int)p->columns);
    if (!lp)
        return false;
    l->verbose(lp, NEUTRAL);
    l->timeout(lp, l->seconds);
    bool good = tell(l, lp, p) && l->run(lp) == OPTIMAL && l->variables(lp, x);
    l->forget(lp);
    return good;
}
