/* paint_figure.c - the large figure that the pages share, and the word of the cue. It must not work out a weight: to go
 * and in cup are the daemon's; where the figure stands is for the page. */
#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The text padded on the left to the length that the aim has, so that the point does not move within a step. */
static void padded(const struct model *m, double value, double widest, char *buf, size_t size)
{
    char number[NUMBER_ROOM], measure[NUMBER_ROOM];
    struct number_style plain = m->style;
    plain.minus = false; /* figures have a minus of their own */
    number_weight(&plain, value, false, number, sizeof number);
    number_weight(&plain, widest, false, measure, sizeof measure);
    size_t n = strlen(number), least = strlen(measure);
    snprintf(buf, size, "%*s%s", n < least ? (int)(least - n) : 0, "", number);
}

/* The first character finer than the tolerance, or -1. */
static int finer_at(const char *text, double tolerance_g)
{
    const char *point = strpbrk(text, ".,");
    if (!point || !isfinite(tolerance_g))
        return -1;
    double place = 0.1;
    for (const char *digit = point + 1; *digit; digit++) {
        if (place * 10 <= tolerance_g + 1e-9)
            return (int)(digit - text);
        place /= 10;
    }
    return -1;
}

/* What the figure counts: to go, or by eye what is in the cup; the pan's weight where no pour is open. */
static double figure_value(const struct paint *p)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return p->m->weight.known ? p->m->weight.g : (double)NAN;
    return isfinite(b->now.to_go_g) ? b->now.to_go_g : b->now.in_cup_g;
}

static const char *figure_words(const struct paint *p, double value)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return "g";
    if (b->now.take_out)
        return model_word(p->m, value >= p->m->style.d_g / 2 ? "page.g_too_much" : "page.g_to_take_out");
    if (!isfinite(b->now.to_go_g))
        return model_word(p->m, "page.g_in_cup");
    if (value >= 0)
        return model_word(p->m, "page.g_to_go");
    return model_word(p->m, p->m->cue == CUE_OVER || b->state == BENCH_OVER ? "page.g_over" : "page.g_past");
}

void paint_figure(const struct paint *p, int rows, struct main_figure *f)
{
    const struct shown *b = &p->m->bench;
    double value = figure_value(p), aim = fabs(b->now.aim_g);
    bool pour = b->state == BENCH_POUR || b->state == BENCH_OVER;
    bool to_go = pour && isfinite(b->now.to_go_g);
    double widest = !pour ? 100 : aim > 1 ? aim : 1;
    bool none = !isfinite(value) || (p->m->weight.none && b->state != BENCH_OVER);
    padded(p->m, none ? 0 : to_go ? fabs(value) : value, widest, f->text, sizeof f->text);
    for (char *c = f->text; none && *c; c++)
        if (*c >= '0' && *c <= '9')
            *c = '-';
    f->words = figure_words(p, value);
    f->style = (struct figure_style){rows, finer_at(f->text, to_go ? b->now.tolerance_g : (double)NAN), FIGURE_LIVE,
                                     INK_PLAIN};
    if (b->state == BENCH_OVER)
        return; /* what was accepted is a fact, whatever the scale says now */
    if (p->dead) {
        f->style.life = none ? FIGURE_GREY : FIGURE_DEAD;
        f->style.ink = INK_DIM;
        f->words = "";
    } else if (p->life == LIFE_GREY) {
        f->style.life = FIGURE_GREY;
        f->style.ink = INK_DIM;
    }
}

const char *paint_cue_word(const struct paint *p, enum cue cue)
{
    static const char *const codes[] = {NULL,          "page.cue_pour", "page.cue_ease", "page.cue_stop",
                                        "page.on_aim", "page.cue_over"};
    return codes[cue] ? model_word(p->m, codes[cue]) : "";
}
