/* ruler.c - where a weight stands on the ruler, and drawing it. It must not judge whether it is on aim. */
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NOTCH_AT    0.79
#define AIM_AT      0.035 /* not 0: a whole tooth is seen at the start, and the mark beyond the aim */
#define UNIT_MOST   0.17
#define TOOTH_SHARE 1.3 /* of U; the rest of the notch is the play */
#define SLACK_G     1e-6

/* The unit follows from the aim, so each step's ruler is its own. */
bool ruler_make(struct ruler *ruler, int cols, double aim_g, double tolerance_g)
{
    if (cols < 20 || !(aim_g > 0) || !(tolerance_g > 0) || !isfinite(aim_g) || !isfinite(tolerance_g))
        return false;
    double unit = cols * (NOTCH_AT - AIM_AT) / log2(1 + aim_g / tolerance_g);
    if (!(unit < cols * UNIT_MOST))
        unit = cols * UNIT_MOST;
    *ruler = (struct ruler){cols, cols * NOTCH_AT, unit, tolerance_g, aim_g};
    return true;
}

/* A place inside the notch. */
static bool inside(const struct ruler *ruler, double to_go_g)
{
    return fabs(to_go_g) <= ruler->tolerance_g + SLACK_G;
}

/* The formula of ruler.h: one U for each halving of what is left. */
static double outside_x(const struct ruler *ruler, double to_go_g)
{
    double away = log2(1 + fabs(to_go_g) / ruler->tolerance_g) * ruler->unit;
    return ruler->notch - (to_go_g < 0 ? -away : away);
}

/* Inside the notch the tooth has play, as the tolerance gives it. */
double ruler_x(const struct ruler *ruler, double to_go_g)
{
    if (!inside(ruler, to_go_g))
        return outside_x(ruler, to_go_g);
    return ruler->notch - to_go_g / ruler->tolerance_g * ruler->unit * (1 - TOOTH_SHARE / 2);
}

/* At least three columns: fewer are no tooth. */
int ruler_tooth_cols(const struct ruler *ruler)
{
    int cols = (int)lround(ruler->unit * TOOTH_SHARE);
    return cols < 3 ? 3 : cols;
}

int ruler_wall_left(const struct ruler *ruler)
{
    return (int)lround(ruler->notch - ruler->unit);
}

int ruler_wall_right(const struct ruler *ruler)
{
    return (int)lround(ruler->notch + ruler->unit);
}

/* First column of the tooth, kept on the page on the left and between the walls where it sits. */
static int tooth_at(const struct ruler *ruler, double to_go_g)
{
    int cols = ruler_tooth_cols(ruler);
    double x = ruler_x(ruler, to_go_g);
    if (x < -1000)
        x = -1000; /* far off: any column left of the page */
    if (x > 1000)
        x = 1000;
    int at = (int)lround(x) - cols / 2;
    if (inside(ruler, to_go_g)) {
        if (at + cols > ruler_wall_right(ruler))
            at = ruler_wall_right(ruler) - cols;
        if (at <= ruler_wall_left(ruler))
            at = ruler_wall_left(ruler) + 1;
    }
    return at < 0 ? 0 : at;
}

/* `+` marks what is past the aim; only the decimal sign is the shop's. */
static void mark_text(double mark, bool past, char point, char *buf, size_t size)
{
    snprintf(buf, size, "%s%g", past ? "+" : "", mark);
    char *sign = strpbrk(buf, ".,");
    if (sign)
        *sign = point;
}

/* One figure engraved in the ruler, if it has a column of ruler on both sides (but at the page's edge). */
static void engrave(struct grid *g, int row, const struct ruler *ruler, double mark, bool past, char point, int *free)
{
    char text[24];
    int at = (int)lround(outside_x(ruler, past ? -mark : mark));
    int most = past ? ruler->cols : ruler_wall_left(ruler);
    if (at < *free || at >= most) /* most marks: their figures are not even written out */
        return;
    mark_text(mark, past, point, text, sizeof text);
    int end = at + (int)strlen(text);
    if (end >= most + (past ? 1 : 0))
        return;
    grid_text(g, row, at, end - at, text, INK_BOLD | (g->utf8 ? INK_REVERSE : 0u));
    *free = end + 1;
}

/* Marks at 1, 2, 5 of each decade, from the largest that fits on the left to the notch, and beyond it. */
static void engrave_all(struct grid *g, int row, const struct ruler *ruler, char point)
{
    static const double steps[] = {1, 2, 5};
    int free_left = 0, free_right = ruler_wall_right(ruler) + 2;
    int lowest = (int)floor(log10(ruler->tolerance_g)), highest = (int)ceil(log10(ruler->aim_g)) + 1;
    double decade = pow(10, highest); /* carried along: pow() for each mark of each weight cost more than the rest */
    for (int d = highest; d >= lowest; d--) {
        for (int i = 2; i >= 0; i--)
            if (steps[i] * decade > ruler->tolerance_g && outside_x(ruler, steps[i] * decade) > -0.5)
                engrave(g, row, ruler, steps[i] * decade, false, point, &free_left);
        decade /= 10;
    }
    decade = pow(10, lowest);
    for (int d = lowest; d <= highest && free_right < ruler->cols; d++) {
        for (int i = 0; i < 3; i++)
            if (steps[i] * decade > ruler->tolerance_g)
                engrave(g, row, ruler, steps[i] * decade, true, point, &free_right);
        decade *= 10;
    }
}

/* Under a dead weight the ruler is hatched and bears no figures: nothing can be read off it. */
static void draw_body(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look)
{
    int left = ruler_wall_left(ruler), right = ruler_wall_right(ruler), middle = (int)lround(ruler->notch);
    char32_t body = look->dead ? '/' : g->utf8 ? ' ' : '=';
    unsigned ink = g->utf8 && !look->dead ? INK_REVERSE : INK_PLAIN;
    grid_run(g, row, 0, left, body, ink);
    grid_run(g, row, right + 1, ruler->cols, body, ink);
    if (!look->dead)
        engrave_all(g, row, ruler, look->point);
    bool solid = g->utf8 && !look->dead; /* the body's own edge is the wall there */
    grid_char(g, row, left, solid ? ' ' : g->utf8 ? 0x2502 : '|', solid ? INK_REVERSE : INK_PLAIN);
    grid_char(g, row, right, solid ? ' ' : g->utf8 ? 0x2502 : '|', solid ? INK_REVERSE : INK_PLAIN);
    grid_run(g, row + 1, left + 1, right, g->utf8 ? 0x2500 : '_', INK_PLAIN);
    grid_char(g, row + 1, left, g->utf8 ? 0x2514 : '|', INK_PLAIN);
    grid_char(g, row + 1, right, g->utf8 ? 0x2518 : '|', INK_PLAIN);
    grid_char(g, row + 1, middle, g->utf8 ? 0x2534 : '^', INK_PLAIN);
}

/* Where the weight will land if the hand stops now: dots around the place, in the notch if it ends there. */
static void draw_landing(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look)
{
    if (!isfinite(look->lands_at_g) || look->dead || look->lands_at_g >= look->to_go_g)
        return;
    int cols = ruler_tooth_cols(ruler), at = tooth_at(ruler, look->lands_at_g);
    int rows = look->thin ? 1 : 2;
    if (inside(ruler, look->lands_at_g)) {
        grid_run(g, row + rows, at, at + cols, '.', INK_PLAIN);
        grid_run(g, row + rows + 1, at, at + cols, '.', INK_PLAIN);
        return;
    }
    if (at + cols > ruler->cols)
        cols = ruler->cols - at;
    if (cols <= 0)
        return;
    grid_run(g, row, at, at + cols, '.', INK_PLAIN);
    if (rows == 2) {
        grid_char(g, row + 1, at, '.', INK_PLAIN);
        grid_char(g, row + 1, at + cols - 1, '.', INK_PLAIN);
    }
}

/* Past the ruler's end: how far is shown by the figure, not by a place. */
static void draw_arrow(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look)
{
    int cols = ruler_tooth_cols(ruler), end = ruler->cols - 1;
    char32_t solid = g->utf8 ? 0x2588 : '#';
    grid_run(g, row, ruler->cols - cols, end, solid, look->tooth_ink);
    grid_char(g, row, end, look->thin ? '>' : '\\', look->tooth_ink);
    if (look->thin)
        return;
    grid_run(g, row + 1, ruler->cols - cols, end, solid, look->tooth_ink);
    grid_char(g, row + 1, end, '/', look->tooth_ink);
}

/* Under a stale weight the tooth is only its outline, and never in the notch: nothing is known to be on aim. */
static void draw_empty(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look)
{
    int cols = ruler_tooth_cols(ruler), at = tooth_at(ruler, look->to_go_g);
    if (at + cols > ruler->cols)
        at = ruler->cols - cols;
    grid_run(g, look->thin ? row : row + 1, at, at + cols, '.', INK_DIM);
}

/* Dots first, so that the tooth covers them; seated on aim it drops into the ruler by its own height. */
void ruler_draw(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look)
{
    int rows = look->thin ? 1 : 2;
    draw_body(g, row + rows, ruler, look);
    if (look->mute || !isfinite(look->to_go_g))
        return;
    if (look->dead) {
        draw_empty(g, row, ruler, look);
        return;
    }
    draw_landing(g, row, ruler, look);
    int cols = ruler_tooth_cols(ruler), at = tooth_at(ruler, look->to_go_g);
    if (at + cols > ruler->cols) {
        draw_arrow(g, row, ruler, look);
        return;
    }
    if (look->on_aim)
        row += rows; /* it drops by its own height */
    char32_t solid = g->utf8 ? 0x2588 : '#';
    grid_run(g, row, at, at + cols, solid, look->tooth_ink);
    if (rows == 2)
        grid_run(g, row + 1, at, at + cols, solid, look->tooth_ink);
}
