/* redraw.c - whether a weight alone has come since the page was drawn. It must not know what a page looks like. */
#include "client/screen/redraw.h"

/* What a weight or the time alone may turn, and what stands outside the rows of the weight. */
static struct redraw looks(const struct model *m, struct moment now, int cols, int rows)
{
    return (struct redraw){.cols = cols,
                           .rows = rows,
                           .page = m->view.page,
                           .cue = m->cue,
                           .life = model_life(m, now),
                           .wrong = m->wrong,
                           .none = m->weight.none,
                           .said = m->foot[0] != '\0',
                           .list = m->view.list_until_ms != 0};
}

static bool same(const struct redraw *a, const struct redraw *b)
{
    return a->cols == b->cols && a->rows == b->rows && a->page == b->page && a->cue == b->cue && a->life == b->life &&
           a->wrong == b->wrong && a->none == b->none && a->said == b->said && a->list == b->list;
}

void redraw_page(struct redraw *r, const struct model *m, struct moment now, int cols, int rows, struct grid *g,
                 int *from, int *to)
{
    struct redraw is = looks(m, now, cols, rows);
    bool weight = r->pours && !r->other && same(r, &is) && now.ms - r->whole_ms < WHOLE_MS;
    if (weight && page_draw_weight(m, now, r->foot, g, &r->weight)) {
        *from = r->weight.from;
        *to = r->weight.to;
        return;
    }
    is.foot = page_draw(m, now, cols, rows, g);
    is.pours = page_weight_rows(m, now, is.foot, g, &is.weight);
    is.whole_ms = now.ms;
    *r = is;
    *from = 0;
    *to = g->rows;
}
