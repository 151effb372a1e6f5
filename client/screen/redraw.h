/* redraw.h - how much of the page must be drawn anew.
 *
 * While paint flows a weight comes fifty times a second and moves a dozen rows; all else on the page follows from
 * screens, keys and answers. So a page is drawn whole only where one of those came, or where the weight itself turned
 * something that stands elsewhere (the cue, the page, a figure that greys). What a page is stays page.h's: the rows
 * drawn alone are those that page_draw would have drawn.
 * Pure; the grid is the caller's and is left alone between two calls. */
#pragma once

#include "client/screen/page.h"

enum { WHOLE_MS = 1000 }; /* so often it is drawn whole in any case: minutes of a pot life go by without a note */

struct redraw {
    bool other; /* something else than a weight came; set by the caller, cleared by redraw_page */
    int64_t whole_ms;
    int cols, rows, foot; /* of the page as it was drawn whole; 0 columns: not yet */
    bool pours;           /* it has rows that a weight moves: these */
    struct page_rows weight;
    enum page page;
    enum cue cue;
    enum life life;
    const char *wrong;
    bool none, said, list; /* no weight though the scale speaks; a footnote stands; the whole formula is open */
};

/* Brings the grid up to the model, after model_tick; rows [*from, *to) may differ from before. */
void redraw_page(struct redraw *r, const struct model *m, struct moment now, int cols, int rows, struct grid *g,
                 int *from, int *to);
