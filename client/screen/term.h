/* term.h - the terminal, through ncurses: puts grids on it, reads keys.
 *
 * The one file of the screen that knows ncurses. One at a time, since ncurses has one terminal. */
#pragma once

#include "client/screen/grid.h"
#include "client/screen/keys.h"

struct term {
    void *screen;       /* ncurses' own */
    bool color;         /* red for the rubric, dim for second text; else bold and reverse alone */
    struct grid *shown; /* as the terminal has it; 0 columns: nothing yet */
};

/* False: no terminal that ncurses can drive. The program has set the locale by which ncurses writes (LC_CTYPE). */
bool term_open(struct term *t, bool color);
/* Puts the terminal as it was found; where none was opened nothing is done. */
void term_close(struct term *t);
/* Columns and rows as they are now. */
void term_size(const struct term *t, int *cols, int *rows);
/* Shows rows [from, to) of a grid, where the others are as they were shown last; of a grid of another size all of
 * them. What is beyond the terminal's size is dropped by it. */
void term_show(struct term *t, const struct grid *g, int from, int to);
/* One ring, for stop, over and a key that came too early. */
void term_bell(const struct term *t);
/* The next key that is there already. False: none. A resize is no key; the next term_size tells. */
bool term_key(struct term *t, struct press *press);
