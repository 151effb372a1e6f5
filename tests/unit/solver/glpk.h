/* glpk.h - another solver for the same program, as an oracle: GLPK, of which Poise itself knows nothing. */
#ifndef TESTS_SOLVER_GLPK_H
#define TESTS_SOLVER_GLPK_H

#include "mix/linear.h"

#include <glpk.h>

/* Both ends of a bound as GLPK names the four cases. */
static inline int glpk_kind(double low, double high)
{
    if (low > -MIX_FREE && high < MIX_FREE)
        return high > low ? GLP_DB : GLP_FX;
    return low > -MIX_FREE ? GLP_LO : high < MIX_FREE ? GLP_UP : GLP_FR;
}

static inline void glpk_tell(glp_prob *g, const struct mix_program *p)
{
    glp_add_cols(g, (int)p->columns);
    glp_add_rows(g, (int)p->rows);
    for (size_t c = 0; c < p->columns; c++) {
        glp_set_col_bnds(g, (int)c + 1, glpk_kind(p->low[c], p->high[c]), p->low[c], p->high[c]);
        glp_set_obj_coef(g, (int)c + 1, p->goal[c]);
        glp_set_col_kind(g, (int)c + 1, p->whole[c] ? GLP_IV : GLP_CV);
    }
    for (size_t r = 0; r < p->rows; r++) {
        int column[MIX_COLUMNS + 1];
        double value[MIX_COLUMNS + 1];
        size_t n = p->first[r + 1] - p->first[r];
        for (size_t k = 0; k < n; k++) {
            column[k + 1] = p->column[p->first[r] + k] + 1;
            value[k + 1] = p->value[p->first[r] + k];
        }
        glp_set_mat_row(g, (int)r + 1, (int)n, column, value);
        glp_set_row_bnds(g, (int)r + 1, glpk_kind(p->least[r], p->most[r]), p->least[r], p->most[r]);
    }
}

/* A mix_solve. */
static inline bool glpk_run(void *solver, const struct mix_program *p, double *x)
{
    glp_prob *g = glp_create_prob();
    glp_smcp simplex;
    glp_iocp whole;
    bool mixed = false;
    (void)solver;
    glp_term_out(GLP_OFF);
    glpk_tell(g, p);
    glp_init_smcp(&simplex);
    glp_init_iocp(&whole);
    whole.presolve = GLP_ON;
    for (size_t c = 0; c < p->columns; c++)
        mixed = mixed || p->whole[c];
    bool good = mixed ? glp_intopt(g, &whole) == 0 && glp_mip_status(g) == GLP_OPT
                      : glp_simplex(g, &simplex) == 0 && glp_get_status(g) == GLP_OPT;
    for (size_t c = 0; good && c < p->columns; c++)
        x[c] = mixed ? glp_mip_col_val(g, (int)c + 1) : glp_get_col_prim(g, (int)c + 1);
    glp_delete_prob(g);
    return good;
}

#endif
