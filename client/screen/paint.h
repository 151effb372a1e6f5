/* paint.h - what the pages share: head, rules, formula lines, footnote, sill. For page*.c and paint*.c alone. */
#ifndef POISE_CLIENT_SCREEN_PAINT_H
#define POISE_CLIENT_SCREEN_PAINT_H

#include "client/screen/figures.h"
#include "client/screen/grid.h"
#include "client/screen/model.h"
#include "client/screen/sill.h"
#include "client/screen/trouble.h"

/* Columns of an 80 column page; those on the right are counted from its right edge. */
enum {
    COL_MARGIN = 1, /* margin words */
    COL_CODE = 7,   /* code, figures */
    COL_NAME = 12,  /* name, sill */
    END_PAGE = 1,   /* text ends before the last column */
    END_CUE = 2,    /* block letters */
    END_NUMBER = 8, /* weights of the lines, before their deviation */
    END_DOTS = 15,  /* leaders */
};

struct paint {
    const struct model *m;
    struct moment now;
    struct grid *g;
    struct trouble trouble;
    enum life life;
};

/* The rows that every page has: the head above, footnote, rule and sill below. Returns the first row after the head;
 * *foot is the footnote's first row, so [first, *foot) is the page's own. */
int paint_frame(const struct paint *p, int *foot);

void paint_rule(const struct paint *p, int row, char32_t ascii, char32_t fine);

/* A line of the formula: margin word, code, name, leaders, number, deviation; any text may be "". */
struct line {
    const char *margin, *code, *name, *number, *deviation;
    unsigned code_ink, name_ink;
};
void paint_line(const struct paint *p, int row, const struct line *line);

/* A step as such a line: what was poured and its deviation where done, else its aim or what is still to add. */
void paint_step(const struct paint *p, int row, const struct bench_step *step, const char *margin);
/* The steps that wait, in [row, end): one large, one small, the rest in one `then` line; all of them where they fit
 * and `whole` is asked. */
void paint_next(const struct paint *p, int row, int end);
/* The whole formula in [row, end), around the open step where it is too long; from `first` on if that is above 0. */
void paint_formula(const struct paint *p, int row, int end, size_t first);
/* The last step done, or NULL. */
const struct bench_step *paint_last_done(const struct model *m);

/* Text in several rows, broken at spaces. Returns the rows it takes (at most `most`); row below 0 only counts. */
int paint_wrap(const struct paint *p, int row, int col, int end, int most, const char *text, unsigned ink);

/* The bodies of the pages, in rows [from, to). */
void page_pour(const struct paint *p, int from, int to); /* cup and pour */
void page_over(const struct paint *p, int from, int to);
void page_done(const struct paint *p, int from, int to);
void page_idle(const struct paint *p, int from, int to);
void page_beside(const struct paint *p, int from, int to);
/* Below 60x16: one line, and the sill where there is a second one. */
void page_tiny(const struct paint *p);

/* What the main figure says of the weight: its text (point fixed within a step), and the words after it. */
struct main_figure {
    char text[64];
    const char *words; /* `g to go`, `g past`, ... */
    struct figure_style style;
};
void paint_figure(const struct paint *p, int rows, struct main_figure *f);

#endif
