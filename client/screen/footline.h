/* footline.h - the foot line: the one next move, always at the foot of the page.
 *
 * Pure: what Enter would do, what `.` would do, and how both are said. On the bench that is the daemon's `next`, or the
 * move that a digit chose; on the pages beside it, what is being written. keys.c obeys it and page.c prints it, so that
 * a key never does what is not printed. What the hand must do and what a key does look different: `[by hand]` and
 * `[Enter]`. */
#pragma once

#include "client/screen/model.h"

/* What a key asks for. ACT_CALL speaks to the daemon, the others only turn pages. */
enum act {
    ACT_NONE,
    ACT_CALL,    /* value: enum call_source, or CALL_MOVES and the place of a move */
    ACT_LOT,     /* the lot is kept for the next accept */
    ACT_REFUSED, /* said on the footnote line, with the foot line's words */
    ACT_EARLY,   /* Enter on a page that has just come: refused in words, never dropped */
    ACT_PAGE,    /* value: enum page */
    ACT_ASK,     /* value: enum purpose: its page */
    ACT_CHOOSE,  /* value: digit */
    ACT_NEXT,
    ACT_BEFORE,
    ACT_VARIANT, /* the next variant */
    ACT_END_WRITING,
    ACT_WRITE, /* value: character */
    ACT_RUB_OUT,
    ACT_AMOUNT, /* how much? */
    ACT_AGAIN,  /* say again */
    ACT_LOOK,   /* read the list again */
    ACT_QUIT,   /* leave the screen; the batch stays as it is */
};

/* Which of the screen's acts a call is: the foot line's own, its second, or one of the moves. */
enum call_source { CALL_NEXT, CALL_SECOND, CALL_MOVES };

enum footline_kind {
    FOOTLINE_HAND,  /* by hand */
    FOOTLINE_KEY,   /* Enter does it */
    FOOTLINE_DIGIT, /* a digit first */
    FOOTLINE_WAIT,  /* nothing to do but wait */
    FOOTLINE_SENT,  /* sent, no answer yet */
};

struct footline {
    enum footline_kind kind;
    char text[256];
    enum act enter;
    uint32_t enter_value;
    char second[128]; /* what `.` does; "": nothing */
    enum act dot;
    uint32_t dot_value;
    char zero[64]; /* what 0 does */
};

void footline_of(const struct model *m, struct moment now, struct footline *f);

/* ---- for footline.c, footline_pages.c and menu.c: the ways a foot line is filled ---- */

/* What the hand must do (or wait for): Enter is refused with the same words. */
void footline_refuse(struct footline *f, enum footline_kind kind, const char *text);
/* What Enter does. */
void footline_key(struct footline *f, enum act act, uint32_t value, const char *text);
void footline_second(struct footline *f, enum act act, uint32_t value, const char *text);
/* The move that Enter then makes; where it is shut, why. */
void footline_move(const struct model *m, struct footline *f, const json_t *move);
/* The foot line of each page beside the bench. */
void footline_page(const struct model *m, struct footline *f);

/* What is written as an amount (`400`, `12.5` or `12,5`) as a number above 0 and at most 1e6. */
bool footline_amount(const char *text, double *value);
