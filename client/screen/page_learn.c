/* page_learn.c - how a practice looks: its mark in every head, the row of the hand, and how it went. It must not know
 * what a place of the hand does. */
#include "client/screen/learn.h"
#include "client/screen/page.h"

#include <stdio.h>

/* "" on a real bench. */
const char *page_practice_mark(const struct model *m, char *buf, size_t size)
{
    return model_told(m, shown_object(learn_of(m), "said"), buf, size);
}

/* The hand's places with their digits, a shut one dim, on as many rows as they take. row below 0: only counted. It is
 * no foot line: what the hand does is not the bench's move, so it looks otherwise and has digits of its own. */
int page_hand(const struct paint *p, int row)
{
    char text[LINE_ROOM], word[LINE_ROOM];
    int used = 1, end = p->g->cols - END_PAGE, left = COL_MARGIN;
    const json_t *hand;
    if (p->m->view.page != PAGE_BENCH || !learn_hand(p->m, 1))
        return 0;
    left += grid_width(p->g, paint_word(p, "key.your_hand")) + 1;
    if (row >= 0)
        grid_text(p->g, row, COL_MARGIN, end, paint_word(p, "key.your_hand"), INK_PLAIN);
    int col = left;
    for (int place = 1; (hand = learn_hand(p->m, place)); place++) {
        snprintf(text, sizeof text, "%d %s", place, model_told(p->m, shown_object(hand, "said"), word, sizeof word));
        int width = grid_width(p->g, text);
        if (col > left && col + width > end) {
            col = left;
            used++;
        }
        if (row >= 0)
            grid_text(p->g, row + used - 1, col, end - col, text, shown_is_open(hand) ? INK_PLAIN : INK_DIM);
        col += width + 2;
    }
    return used;
}

/* One list of sentences below its word; the row after it. */
static int paint_told(const struct paint *p, int row, int to, const char *title, const json_t *list)
{
    char text[LINE_ROOM];
    if (row < to && json_array_size(list))
        grid_text(p->g, row++, COL_CODE, p->g->cols, paint_word(p, title), INK_BOLD);
    for (size_t i = 0; i < json_array_size(list) && row < to; i++) {
        const char *said = model_sentence(p->m, json_array_get(list, i), text, sizeof text);
        row += paint_wrap(p, row, COL_NAME, p->g->cols - END_PAGE, to - row < 2 ? to - row : 2, said, INK_PLAIN);
    }
    return row + 1;
}

/* What was done well comes first: it is true as well. */
void page_learnt(const struct paint *p, int from, int to)
{
    const json_t *told = p->m->lists.answer[LIST_LEARNT];
    paint_title(p, from, paint_word(p, "page.practice"));
    int row = paint_told(p, from + 2, to, "page.learnt_well", json_object_get(told, "well"));
    paint_told(p, row, to, "page.learnt_next_time", json_object_get(told, "next_time"));
}
