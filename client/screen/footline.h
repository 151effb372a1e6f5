/* footline.h - the foot line: the one next move, always at the foot of the page; and what the digits choose (menu.c).
 *
 * Pure: what Enter would do, what `.` would do, and how both are said. On the bench that is the daemon's `next`, or the
 * move that a digit chose; on the pages beside it, what is being written. keys.c obeys it and page.c prints it, so that
 * a key never does what is not printed. What the hand must do and what a key does look different: `[by hand]` and
 * `[Enter]`.
 * What comes first, from the gravest: a move that waits for its answer, a lost link, no screen yet, a weight that is
 * not live, a remedy that was chosen, the daemon's next move. */
#pragma once

#include "client/screen/model.h"

/* What a key asks for. ACT_CALL speaks to the daemon, the others only turn pages. */
enum act {
    ACT_NONE,        /* the key has no meaning here */
    ACT_CALL,        /* value: enum call_source, or CALL_MOVES and the place of a move */
    ACT_LOT,         /* the lot is kept for the next accept */
    ACT_REFUSED,     /* said on the footnote line, with the foot line's words */
    ACT_EARLY,       /* Enter on a page that has just come: refused in words, never dropped */
    ACT_PAGE,        /* value: enum page */
    ACT_ASK,         /* value: enum purpose: its page */
    ACT_CHOOSE,      /* value: digit */
    ACT_NEXT,        /* the next line, or one more */
    ACT_BEFORE,      /* the line before, or one less */
    ACT_VARIANT,     /* the next variant */
    ACT_END_WRITING, /* from the field into the list below it */
    ACT_WRITE,       /* value: character */
    ACT_RUB_OUT,     /* the last character */
    ACT_AMOUNT,      /* how much? */
    ACT_AGAIN,       /* say again */
    ACT_LOOK,        /* read the list again */
    ACT_QUIT,        /* leave the screen; the batch stays as it is */
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
    char text[256];       /* what the hand must do, or what Enter does */
    enum act enter;       /* what Enter does; ACT_REFUSED: nothing, and the text says what comes first */
    uint32_t enter_value; /* as enum act says */
    char second[128];     /* what `.` does; "": nothing */
    enum act dot;
    uint32_t dot_value;
    char zero[64]; /* what 0 does: menu or back */
};

/* Fills *f for the page as it is; now: a weight that is no longer live can be acted on by nobody. */
void footline_of(const struct model *m, struct moment now, struct footline *f);

/* What is written as an amount (`400`, `12.5` or `12,5`) as a number above 0 and at most 1e6. */
bool footline_amount(const char *text, double *value);

/* ---- menu.c: what the digits choose ---- */

struct menu_line {
    bool there;               /* false: this state has no such line, and its digit does nothing */
    char text[128], why[128]; /* why: "" where it can be chosen */
    enum act act;             /* ACT_PAGE, ACT_ASK, or ACT_CALL that the foot line then commits */
    uint32_t value;           /* as enum act says */
    const json_t *move;       /* of the screen's moves; NULL: it only turns a page */
};
/* The line of a digit on the menu, and on the page of the tin in hand. */
struct menu_line menu_line(const struct model *m, int digit);
struct menu_line menu_tin(const struct model *m, int digit);

enum { MENU_REMEDIES = 5 };
/* The remedy of a digit: 1 grow, 2 dip, 3 leave, 4 again, 5 rescue; NULL: not among the moves. Where it is chosen in
 * the protocol, and the code of its name. */
const json_t *menu_remedy(const struct model *m, int digit);
bool menu_remedy_open(const struct model *m, int digit);
const char *menu_remedy_choice(int digit);
const char *menu_remedy_name(int digit);

/* Reasons to scrap by digit, as a code of the table of words; NULL: no such line. */
const char *menu_scrap(int digit);

/* The move's place as the value of an ACT_CALL. */
uint32_t menu_place(const struct model *m, const json_t *move);
