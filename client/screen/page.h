/* page.h - from a model to a page: one page, one open line, one foot line.
 *
 * Pure: model, moment and size in, a grid out; no terminal, no clock. Start with page_draw in page.c, which also draws
 * the frame; each state has a file page_NAME.c, what they share is in paint.c. To add a page: its file, a row in
 * page.c, its foot line, its keys.
 *
 * Sizes   80x24 is the measure; larger from 100 columns or 30 rows; below 80 columns small figures and a ruler of 60;
 *         below 60x16 one line. Any size from 1x1 on is drawn, cut where it must be. */
#pragma once

#include "client/screen/figures.h"
#include "client/screen/footline.h"
#include "client/screen/grid.h"
#include "client/screen/model.h"

/* Draws the page of the model at that moment into *g, which gets the size cols x rows, held to the grid's limits. The
 * first row of its footnote; 0: the page is one line. */
int page_draw(const struct model *m, struct moment now, int cols, int rows, struct grid *g);

/* The rows [from, to) of a page that a weight moves, and the figures' height in them. */
struct page_rows {
    int from, to, figures;
};
/* Where they stand on the page of a live pour that page_draw has filled; foot: what it told. False: there are none. */
bool page_weight_rows(const struct model *m, struct moment now, int foot, struct grid *g, struct page_rows *rows);
/* Draws only them anew, where nothing but the weight has changed since. False, and nothing drawn: they would stand
 * elsewhere by now. */
bool page_draw_weight(const struct model *m, struct moment now, int foot, struct grid *g, const struct page_rows *rows);

/* ---- for page*.c and paint.c alone ---- */

/* Columns of an 80 column page; those on the right are counted from its right edge. */
enum {
    COL_MARGIN = 1,  /* margin words */
    COL_CODE = 7,    /* code, figures */
    COL_NAME = 12,   /* name, foot line */
    END_PAGE = 1,    /* text ends before the last column */
    END_CUE = 2,     /* block letters */
    END_NUMBER = 9,  /* weights of the lines, before their deviation */
    END_DOTS = 16,   /* leaders */
    FULL_COLS = 80,  /* below it: small figures, a short ruler, fewer columns */
    WIDE_COLS = 100, /* from here on, or from TALL_ROWS, figures and cue grow */
    TALL_ROWS = 30,
    SMALL_RULER = 60, /* columns of the ruler below FULL_COLS */
};

enum { LINE_ROOM = 512 }; /* bytes of a row at its widest */

struct paint {
    const struct model *m;
    struct moment now; /* ages and clocks on the page are of this moment */
    struct grid *g;
    enum life life; /* of the last weight */
    bool dead;      /* no live weight on the open line */
};

/* A rule over the whole width; `fine` where the terminal can show it. */
void paint_rule(const struct paint *p, int row, char32_t ascii, char32_t fine);

/* A fixed word of the page's language, and a sentence into `width` columns; the column after it. */
const char *paint_word(const struct paint *p, const char *code);
int paint_said(const struct paint *p, int row, int col, int width, struct said s, unsigned ink);
/* The same, ending before column `end`; the column it began in. */
int paint_said_right(const struct paint *p, int row, int end, struct said s, unsigned ink);

/* A line of the formula: margin word, code, name, leaders, number, deviation; any text may be "". */
struct line {
    const char *margin, *code, *name, *number, *deviation;
    unsigned code_ink, name_ink;
};
void paint_line(const struct paint *p, int row, const struct line *line);

/* A step as such a line: what was poured and its deviation where done, else its aim or what is still to add. */
void paint_step(const struct paint *p, int row, const struct shown_step *step, const char *margin);
/* The steps that wait, in [row, end): one large, one small, the rest in one `then` line; all of them where they fit. */
void paint_next(const struct paint *p, int row, int end);
/* The whole formula in [row, end), around the open step where it is too long; from `first` on if that is above 0. */
void paint_formula(const struct paint *p, int row, int end, size_t first);
/* The last step done, or NULL. */
const struct shown_step *paint_last_done(const struct model *m);

/* Adds a text to another, with a sign between them where both are there. */
void paint_join(char *buf, size_t size, const char *between, const char *text);
/* Text in several rows, broken at spaces. Returns the rows it takes (at most `most`); row below 0 only counts. */
int paint_wrap(const struct paint *p, int row, int col, int end, int most, const char *text, unsigned ink);
/* As many whole words of a name as `width` columns hold: beside its code, half a word tells nothing. The column after.
 */
int paint_words(const struct paint *p, int row, int col, int width, const char *text, unsigned ink);
/* A digit's line: `>` and the reversed digit where it is chosen. */
void paint_digit(const struct paint *p, int row, int digit, bool open, bool chosen);

/* ---- page_rows.c: what the pages beside the bench are made of ---- */

/* A rule and the page's name; [row + 2, ...) is the page's own. */
void paint_title(const struct paint *p, int row, const char *title);
/* A field in columns [col, end): its name, what is written, its caret. */
void paint_field(const struct paint *p, int row, int col, int end, const char *name, const char *text, bool caret);
/* A line that a digit chooses; a shut one says why, below it where its own row has no room. Rows used; row below 0 only
 * counts. */
int paint_choice(const struct paint *p, int row, int digit, const char *text, const char *why, bool chosen);
/* All lines of the open menu (menu.c), whatever the room: where they need more rows than there are each has one.
 * Returns the row after them. */
int paint_menu(const struct paint *p, int row, int to);
/* One of several names beside each other; the open one reversed and in brackets, with its digit where `key` is not 0.
 * The column after it. */
int paint_name(const struct paint *p, int row, int col, size_t key, const char *name, bool open);

/* The bodies of the pages, in rows [from, to). What does not fit is given up in the order that each page says. */
void page_pour(const struct paint *p, int from, int to); /* cup and pour */
/* Those of its rows that a weight moves, and drawing them alone. False: they do not stand where `rows` says. */
void page_pour_rows(const struct paint *p, int from, int to, struct page_rows *rows);
bool page_pour_weight(const struct paint *p, int from, int to, const struct page_rows *rows);
void page_over(const struct paint *p, int from, int to);
void page_done(const struct paint *p, int from, int to);
void page_idle(const struct paint *p, int from, int to);
void page_beside(const struct paint *p, int from, int to);
/* Of those beside the bench, the ones with a file of their own. */
void page_find(const struct paint *p, int from, int to);
void page_record(const struct paint *p, int from, int to);
void page_amount(const struct paint *p, int from, int to);
void page_panels(const struct paint *p, int from, int to);
void page_change(const struct paint *p, int from, int to); /* what stands, changed */
void page_retare(const struct paint *p, int from, int to);
void page_scales(const struct paint *p, int from, int to); /* the list, one of them, a check weight */
void page_order_form(const struct paint *p, int from, int to);
void page_entry(const struct paint *p, int from, int to); /* the lists of the day (entry.h) */
void page_weigh(const struct paint *p, int from, int to);
void page_card(const struct paint *p, int from, int to);
/* Of a practice (page_learn.c): how it went; the mark of each head, "" on a real bench; the row of the hand, rows used,
 * row below 0: only counted. */
void page_learnt(const struct paint *p, int from, int to);
const char *page_practice_mark(const struct model *m, char *buf, size_t size);
int page_hand(const struct paint *p, int row);

/* What the main figure says of the weight: its text (point fixed within a step), and the words after it. */
struct main_figure {
    char text[64];
    const char *words; /* `g to go`, `g past`, ... */
    struct figure_style style;
};
/* Fills *f for the weight as it is; rows: the height it is meant for. */
void paint_figure(const struct paint *p, int rows, struct main_figure *f);
/* Columns that a figure takes, from the page's left edge on, with the words after it. */
int paint_figure_cols(const struct paint *p, const struct main_figure *f);
/* The rows it is drawn in: 3 below FULL_COLS; else 5, and on a large terminal as many up to `most` as leave it before
 * column `end`, with the widest cue beside it where `cue` is true. The same for a whole step, so nothing jumps. */
int paint_figure_rows(const struct paint *p, const struct main_figure *f, int end, bool cue, int most);
/* Draws it upon the line row + rows - 1; the column after it. */
int paint_figure_at(const struct paint *p, int row, int rows, const struct main_figure *f);

/* The cue as a word of the page's language; "" for none. */
const char *paint_cue_word(const struct paint *p, enum cue cue);
/* The cue on the right, in block letters where columns from `used` on hold it, else as a word; over has its cone. */
void paint_cue(const struct paint *p, int row, int rows, int used, enum cue cue);

/* The open line: margin word, code, name, and a sentence on the right (used 0: none). In `rows` rows the code stands in
 * block letters where it has any. */
struct open_line {
    const char *margin, *code, *name;
    struct said right;
};
void paint_open(const struct paint *p, int row, int rows, const struct open_line *line);

/* `10:51`, or with seconds `10:51:07`, of a wall clock in local seconds. */
enum { CLOCK_ROOM = 16 };
void paint_clock(int64_t wall_s, bool seconds, char buf[CLOCK_ROOM]);
