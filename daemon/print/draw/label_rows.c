/* label_rows.c - lines of text set into a height: first tighter, then smaller. Knows nothing of what they say. */
#include "print/draw/label_rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LOOSE        1.32 /* pitch of lines, in sizes */
#define TIGHT        1.05
#define STEPS        20
#define BAR_MM       0.9 /* a bar with the white around it is taller than a line of text by this */
#define AIR_MM       0.2 /* white above and below a bar */
#define EDGE_MM      0.8 /* black before and after the text of a bar */
#define GAP_MM       1.0
#define SHELF_GAP_MM 2.5         /* `with 1031 shelf` would read as one phrase */
#define TAIL_MOST    0.65        /* of a line's width */
#define BLANK        " ________" /* the least that a pen needs */

struct fit {
    double pitch;
    double shrink; /* 0: sizes as they should be; 1: the least */
    double scale;  /* below 1 only where even that is too much: small is better than over the edge */
};

/* NULL: no room for a row; the caller leaves it out, as it does with rows that do not fit. Sizes in mm: the wanted one,
 * and the least that is still read at arm's length. */
struct row *rows_add(struct rows *rows, enum row_kind kind, double size_mm, double least_mm)
{
    if (rows->n == ROWS_MAX)
        return NULL;
    struct row *row = &rows->row[rows->n++];
    *row = (struct row){.kind = kind, .size_mm = size_mm, .least_mm = least_mm, .lead_mm = size_mm};
    return row;
}

/* The row is written over by the next one. Takes the last one back, where a layout was tried and did not fit. */
void rows_drop(struct rows *rows)
{
    if (rows->n > 0)
        rows->n--;
}

/* Between the size wished for and the least one, by how much had to be shrunk. */
static double size_of(const struct row *row, struct fit fit)
{
    return fit.scale * (row->size_mm - fit.shrink * fmax(0, row->size_mm - row->least_mm));
}

/* The word in front shrinks with its row, down to the row's least size. */
static double lead_size_of(const struct row *row, struct fit fit)
{
    return fit.scale * (row->lead_mm - fit.shrink * fmax(0, row->lead_mm - row->least_mm));
}

/* With a lead (larger letters before the text) the taller of the two counts. */
static double height_of(const struct row *row, struct fit fit)
{
    double size_mm = size_of(row, fit);
    if (row->lead[0] != '\0')
        size_mm = fmax(size_mm, lead_size_of(row, fit));
    return size_mm * fit.pitch + (row->kind == ROW_BAR ? fit.scale * BAR_MM : 0);
}

/* Between the edges; the pitch stands between rows and below the last. */
static double height_of_all(const struct rows *rows, struct fit fit)
{
    double height_mm = 0;
    for (size_t i = 0; i < rows->n; i++)
        height_mm += height_of(&rows->row[i], fit);
    return height_mm;
}

/* First tighter, then smaller: a step that fits, or the last one. */
static struct fit fit_into(const struct rows *rows, double height_mm)
{
    struct fit fit = {LOOSE, 0, 1};
    for (int i = 0; i <= STEPS; i++) {
        fit.pitch = LOOSE - (LOOSE - TIGHT) * i / STEPS;
        if (height_of_all(rows, fit) <= height_mm)
            return fit;
    }
    for (int i = 0; i <= STEPS; i++) {
        fit.shrink = (double)i / STEPS;
        if (height_of_all(rows, fit) <= height_mm)
            return fit;
    }
    fit.scale = height_mm / height_of_all(rows, fit);
    return fit;
}

/* Whether the row is told whole at its full size; else it may be cut, and its words give way. */
bool rows_whole(cairo_t *cr, const struct row *row, double width_mm)
{
    struct fit_text lead = {.width_mm = -GAP_MM}, all;
    char line[2 * FIT_BYTES];
    if (row->lead[0] != '\0')
        fit_whole(cr, row->lead, true, row->lead_mm, width_mm, &lead);
    (void)snprintf(line, sizeof line, "%s%s", row->text, row->tail);
    fit_cut(cr, line, row->kind == ROW_BAR, row->size_mm, width_mm - lead.width_mm - GAP_MM, &all);
    return !all.cut;
}

/* With every row at its least. */
bool rows_fit(const struct rows *rows, double height_mm)
{
    return height_of_all(rows, (struct fit){TIGHT, 1, 1}) <= height_mm;
}

/* With every row as large as it should be, only closer. */
bool rows_fit_unshrunk(const struct rows *rows, double height_mm)
{
    return height_of_all(rows, (struct fit){TIGHT, 0, 1}) <= height_mm;
}

double rows_bar_text_mm(double width_mm)
{
    return width_mm - 2 * EDGE_MM;
}

/* What is left beside the word and the blank that a pen fills in. */
double rows_shelf_text_mm(cairo_t *cr, const char *word, double size_mm, double width_mm)
{
    struct fit_text blank;
    char line[FIT_BYTES];
    (void)snprintf(line, sizeof line, "%.60s" BLANK, word);
    fit_cut(cr, line, false, size_mm, width_mm, &blank);
    return width_mm - blank.width_mm - SHELF_GAP_MM;
}

/* The tail stands at once behind the text and is cut last: it has at least TAIL_MOST of the width, and what a short
 * text leaves. */
static void draw_part(cairo_t *cr, const struct row *row, double size_mm, double x, double width_mm, double baseline)
{
    struct fit_text text;
    struct fit_text tail = {.width_mm = 0};
    bool bold = row->kind == ROW_BAR;
    if (width_mm < size_mm)
        return;
    fit_cut(cr, row->text, bold, size_mm, width_mm, &text);
    if (row->tail[0] != '\0')
        fit_cut(cr, row->tail, bold, size_mm,
                row->text[0] != '\0' ? fmax(TAIL_MOST * width_mm, width_mm - text.width_mm) : width_mm, &tail);
    if (row->text[0] == '\0')
        text = (struct fit_text){.width_mm = 0}; /* nothing to cut: no ellipsis before a tail that fills the line */
    else if (row->whole)
        fit_whole(cr, row->text, bold, size_mm, width_mm - tail.width_mm, &text);
    else
        fit_cut(cr, row->text, bold, size_mm, width_mm - tail.width_mm, &text);
    fit_draw(cr, &text, x, baseline);
    fit_draw(cr, &tail, x + text.width_mm, baseline);
}

/* The blank takes what the text leaves, so a pen has as much room as there is. */
static void draw_shelf(cairo_t *cr, const struct row *row, double size_mm, double x, double width_mm, double baseline)
{
    struct fit_text text = {.width_mm = 0};
    struct fit_text blank;
    char line[FIT_BYTES];
    (void)snprintf(line, sizeof line, "%.60s" BLANK, row->blank);
    if (row->text[0] != '\0') {
        fit_cut(cr, row->text, false, size_mm, rows_shelf_text_mm(cr, row->blank, size_mm, width_mm), &text);
        fit_draw(cr, &text, x, baseline);
        text.width_mm += SHELF_GAP_MM;
    }
    fit_cut(cr, line, false, size_mm, width_mm, &blank);
    for (size_t n = strlen(line); n + 1 < 120; n++) {
        struct fit_text longer;
        line[n] = '_';
        line[n + 1] = '\0';
        fit_cut(cr, line, false, size_mm, width_mm - text.width_mm, &longer);
        if (longer.cut || longer.squeeze < 1)
            break;
        blank = longer;
    }
    fit_draw(cr, &blank, x + text.width_mm, baseline);
}

/* The lead, in its own size, then the text in what is left of the width. */
static void draw_row(cairo_t *cr, const struct row *row, struct fit fit, double x, double width_mm, double baseline)
{
    double size_mm = size_of(row, fit);
    if (row->kind == ROW_SHELF) {
        draw_shelf(cr, row, size_mm, x, width_mm, baseline);
        return;
    }
    if (row->lead[0] != '\0') {
        struct fit_text lead;
        fit_whole(cr, row->lead, true, lead_size_of(row, fit), width_mm, &lead);
        fit_draw(cr, &lead, x, baseline);
        x += lead.width_mm + GAP_MM;
        width_mm -= lead.width_mm + GAP_MM;
    }
    draw_part(cr, row, size_mm, x, width_mm, baseline);
}

/* White on black; the colour is set back to black for whoever draws next. */
static void draw_bar(cairo_t *cr, const struct row *row, struct fit fit, double x, double width_mm, double y,
                     double height_mm)
{
    double size_mm = size_of(row, fit);
    cairo_rectangle(cr, x, y + AIR_MM, width_mm, height_mm - AIR_MM);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 1, 1, 1);
    draw_part(cr, row, size_mm, x + EDGE_MM, rows_bar_text_mm(width_mm), y + (height_mm + FIT_CAPITAL * size_mm) / 2);
    cairo_set_source_rgb(cr, 0, 0, 0);
}

/* From top to bottom, each baseline in the middle of its height by its capitals. */
void rows_draw(cairo_t *cr, const struct rows *rows, double x, double width_mm, double top, double bottom)
{
    struct fit fit = fit_into(rows, bottom - top);
    double y = top;
    for (size_t i = 0; i < rows->n; i++) {
        const struct row *row = &rows->row[i];
        double height_mm = height_of(row, fit);
        double capital_mm = FIT_CAPITAL * fmax(size_of(row, fit), row->lead[0] != '\0' ? lead_size_of(row, fit) : 0);
        /* Bars that touch become one. */
        bool touches = i + 1 < rows->n && row[1].kind == ROW_BAR;
        if (row->kind == ROW_BAR)
            draw_bar(cr, row, fit, x, width_mm, y, height_mm + (touches ? AIR_MM : -AIR_MM));
        else
            draw_row(cr, row, fit, x, width_mm, y + (height_mm + capital_mm) / 2);
        y += height_mm;
    }
}
