/* term.h - the terminal, through ncurses: puts grids on it, reads keys.
 *
 * The one file of the screen that knows ncurses. One at a time, since ncurses has one terminal. */
#pragma once

#include "client/screen/grid.h"
#include "client/screen/keys.h"

struct term {
    void *screen; /* ncurses' own */
    bool color;   /* red for the rubric, dim for second text; else bold and reverse alone */
};

/* False: no terminal that ncurses can drive. The program has set the locale by which ncurses writes (LC_CTYPE). */
bool term_open(struct term *t, bool color);
void term_close(struct term *t);
void term_size(const struct term *t, int *cols, int *rows);
void term_show(const struct term *t, const struct grid *g);
void term_bell(const struct term *t);
/* The next key that is there already. False: none. A resize is no key; the next term_size tells. */
bool term_key(struct term *t, struct press *press);
