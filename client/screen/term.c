/* term.c - ncurses, and nothing else of the screen. It must not know what is drawn. */
#include "client/screen/term.h"

#include <ncurses.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

extern char *tigetstr(const char *name); /* of <term.h>, which has a struct term of its own */

/* A number pad in application mode sends these; terminals differ, so both ways are taken. */
enum { PAD_FIRST = 0x1000 };
static const struct {
    const char *sequence;
    char c;
} pad[] = {
    {"\033Op", '0'}, {"\033Oq", '1'}, {"\033Or", '2'}, {"\033Os", '3'}, {"\033Ot", '4'},  {"\033Ou", '5'},
    {"\033Ov", '6'}, {"\033Ow", '7'}, {"\033Ox", '8'}, {"\033Oy", '9'}, {"\033On", '.'},  {"\033Ol", ','},
    {"\033Ok", '+'}, {"\033Om", '-'}, {"\033Oj", '*'}, {"\033Oo", '/'}, {"\033OM", '\r'},
};
enum { PAD_KEYS = sizeof pad / sizeof *pad };

/* Without addressing of the cursor every page would be blank: such a terminal is refused in words. */
bool term_open(struct term *t, bool color)
{
    t->screen = newterm(NULL, stdout, stdin);
    t->color = false;
    t->shown = calloc(1, sizeof *t->shown);
    if (!t->screen || !t->shown) {
        term_close(t);
        return false;
    }
    char *moves = tigetstr("cup"); /* without it every page would be blank */
    if (!moves || moves == (char *)-1) {
        term_close(t);
        return false;
    }
    raw(); /* Ctrl-C comes as a key, so that the terminal is always put right */
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    set_escdelay(25);
    typeahead(-1); /* keys are asked for by the loop: no look for them in the middle of a page */
    curs_set(0);
    for (int i = 0; i < PAD_KEYS; i++)
        define_key(pad[i].sequence, PAD_FIRST + i);
    if (color && has_colors() && start_color() == OK && use_default_colors() == OK) {
        init_pair(1, COLOR_RED, -1);
        t->color = true;
    }
    return true;
}

/* Puts the terminal right; may be called twice. */
void term_close(struct term *t)
{
    free(t->shown);
    t->shown = NULL;
    if (!t->screen)
        return;
    endwin();
    delscreen(t->screen);
    t->screen = NULL;
}

/* Of now: a resize is seen at the next page. */
void term_size(const struct term *t, int *cols, int *rows)
{
    (void)t;
    getmaxyx(stdscr, *rows, *cols);
}

/* Dim is only used with colour: some terminals without it show dim text as none at all. */
static attr_t attributes(const struct term *t, unsigned ink)
{
    attr_t a = A_NORMAL;
    if (ink & INK_BOLD)
        a |= A_BOLD;
    if (ink & INK_REVERSE)
        a |= A_REVERSE;
    if (t->color && (ink & INK_DIM))
        a |= A_DIM;
    return a;
}

static bool same_cell(const struct cell *a, const struct cell *b)
{
    return a->c == b->c && a->ink == b->ink && a->marks[0] == b->marks[0] &&
           (a->marks[0] == 0 || memcmp(a->marks, b->marks, sizeof a->marks) == 0);
}

/* The right half of a wide character is written with its left one. */
static void show_cell(const struct term *t, int row, int col, const struct cell *cell)
{
    wchar_t text[CELL_MARKS + 2] = {(wchar_t)cell->c};
    cchar_t wide;
    if (cell->c == 0)
        return;
    for (int i = 0; i < CELL_MARKS; i++)
        text[i + 1] = (wchar_t)cell->marks[i];
    short pair = t->color && (cell->ink & INK_RUBRIC) ? 1 : 0;
    if (setcchar(&wide, text, attributes(t, cell->ink), pair, NULL) == OK)
        mvadd_wch(row, col, &wide); /* the last cell reports an error, but is written */
}

/* Only what differs from the page before goes to ncurses: with each weight that is a few cells of thousands. The two
 * halves of a wide character that goes are two cells that differ, so none is left half. */
void term_show(struct term *t, const struct grid *g, int from, int to)
{
    bool whole = t->shown->cols != g->cols || t->shown->rows != g->rows;
    if (whole) {
        erase();
        grid_clear(t->shown, g->cols, g->rows, g->utf8);
        from = 0;
        to = g->rows;
    }
    for (int r = from < 0 ? 0 : from; r < to && r < g->rows; r++)
        for (int c = 0; c < g->cols; c++) {
            struct cell *shown = &t->shown->cells[r][c];
            if (same_cell(shown, &g->cells[r][c]))
                continue;
            *shown = g->cells[r][c];
            show_cell(t, r, c, shown);
        }
    refresh();
}

void term_bell(const struct term *t)
{
    (void)t;
    beep();
}

/* Keys that ncurses has names for, and those of a number pad in application mode. False: no key of ours. */
static bool special(struct term *t, wint_t code, struct press *press)
{
    if (code >= PAD_FIRST && code < PAD_FIRST + PAD_KEYS) {
        char c = pad[code - PAD_FIRST].c;
        *press = (struct press){c == '\r' ? PRESS_ENTER : PRESS_CHAR, (char32_t)c};
        return true;
    }
    switch (code) {
    case KEY_ENTER:
        *press = (struct press){PRESS_ENTER, 0};
        return true;
    case KEY_BACKSPACE:
    case KEY_DC:
        *press = (struct press){PRESS_BACKSPACE, 0};
        return true;
    case KEY_UP:
    case KEY_LEFT:
        *press = (struct press){PRESS_UP, 0};
        return true;
    case KEY_DOWN:
    case KEY_RIGHT:
        *press = (struct press){PRESS_DOWN, 0};
        return true;
    case KEY_RESIZE:
        t->shown->cols = 0;
        clearok(stdscr, TRUE);
        return false;
    default:
        return false;
    }
}

/* A key as a character. Ctrl-C comes as one as well, so that the terminal is always put right. */
static struct press plain(wint_t c)
{
    switch (c) {
    case '\r':
    case '\n':
        return (struct press){PRESS_ENTER, 0};
    case 8:
    case 127:
        return (struct press){PRESS_BACKSPACE, 0};
    case 3: /* Ctrl-C */
    case 4: /* Ctrl-D */
        return (struct press){PRESS_QUIT, 0};
    case 12: /* Ctrl-L */
        clearok(stdscr, TRUE);
        return (struct press){PRESS_CHAR, 0};
    case 27:
        return (struct press){PRESS_ESCAPE, 0};
    default:
        return (struct press){PRESS_CHAR, (char32_t)c};
    }
}

/* Keys that mean nothing are passed over. */
bool term_key(struct term *t, struct press *press)
{
    wint_t c;
    for (;;) {
        int kind = get_wch(&c);
        if (kind == ERR)
            return false;
        if (kind == KEY_CODE_YES) {
            if (special(t, c, press))
                return true;
            continue;
        }
        *press = plain(c);
        return true;
    }
}
