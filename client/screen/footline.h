/* footline.h - the foot line: the one next move, always at the foot of the page; and what the digits choose (menu.c).
 *
 * Pure: what Enter would do, what `.` would do, and how both are said. On the bench that is the daemon's `next`, or the
 * move that a digit chose; on the pages beside it, what is being written. keys.c obeys it and page.c prints it, so that
 * a key never does what is not printed. What the hand must do and what a key does look different: `[by hand]` and
 * `[Enter]`.
 * What comes first, from the gravest: a move that waits for its answer, a lost link, no screen yet, a weight that is
 * not live, a remedy that was chosen, the daemon's next move. */
#pragma once

#include "client/screen/form.h"

/* What a key asks for. ACT_CALL speaks to the daemon, the others only turn pages. */
enum act {
    ACT_NONE,        /* the key has no meaning here */
    ACT_CALL,        /* value: enum call_source, or CALL_MOVES and the place of a move */
    ACT_LOT,         /* the lot is kept for the next accept */
    ACT_GLANCE,      /* who looked is kept for the accept of the open pour */
    ACT_REFUSED,     /* said on the footnote line, with the foot line's words */
    ACT_WAITS,       /* on a page that has just come: done once it has stood; value 1: it was `.` */
    ACT_EARLY,       /* the second tap of two on such a page: refused in words, never dropped */
    ACT_PAGE,        /* value: enum page */
    ACT_ASK,         /* value: enum purpose: its page */
    ACT_CHOOSE,      /* value: digit */
    ACT_NEXT,        /* the next line, or one more */
    ACT_BEFORE,      /* the line before, or one less */
    ACT_VARIANT,     /* the next variant */
    ACT_END_WRITING, /* from the field into the list below it */
    ACT_WRITE,       /* value: character */
    ACT_TYPE,        /* the same, into the field of the page of colours, which it opens */
    ACT_RUB_OUT,     /* the last character */
    ACT_AMOUNT,      /* how much? value: enum amount_of */
    ACT_RECORD,      /* of the open batch */
    ACT_LINE,        /* value: the line of a form */
    ACT_TAKE,        /* the cups that are offered are taken into the form */
    ACT_AGAIN,       /* say again */
    ACT_READ,        /* value: enum call_kind, read anew */
    ACT_QUIT,        /* leave the screen; the batch stays as it is */
};

/* Which act a call is: the screen's own, the second of its foot line, one of no batch, or one of the moves. */
enum call_source {
    CALL_NEXT,
    CALL_SECOND,
    CALL_PRINT,        /* a label of the open record */
    CALL_CHECK_BEGIN,  /* a check weight */
    CALL_CHECK_TAKE,   /* its next reading */
    CALL_CHECK_CANCEL, /* its end */
    /* Of the lists of the day (entry_call.c). */
    CALL_COAT,       /* the open coat of an order is begun */
    CALL_ORDER_PUT,  /* the order of the form */
    CALL_ORDER_HEAD, /* whose it is, until when */
    CALL_COAT_PUT,   /* what its open coat takes */
    CALL_COAT_OFF,   /* the order without that coat */
    CALL_KEEP,       /* the tint of the open record is kept as a variant */
    CALL_CLOSE,      /* the open order is closed, or opened again */
    CALL_CARD,       /* a spray-out card is kept */
    CALL_SIGN_IN,    /* the open name */
    CALL_SIGN_OUT,   /* whoever is signed in */
    CALL_PERSON,     /* the name that is written */
    CALL_RETIRE,     /* the open name works here no more */
    CALL_SETTING,    /* the next choice of the open one, or what is written */
    CALL_WEIGH,      /* the cup on the scale is weighed back */
    CALL_PLACE,      /* where it stands, as written */
    CALL_DISCARD,    /* all that is left in it */
    CALL_RECEIPT,    /* a tin came in: its grams as written */
    CALL_COUNT,      /* a toner was counted */
    CALL_STIR,       /* all tins of the bank were stirred */
    CALL_PREMIX,     /* the premix that the plan offers is begun */
    CALL_USE_UP,     /* the coat that waits is begun with cups of the shelf, the open one among them */
    /* Of a practice (learn.c). */
    CALL_LEARN,     /* the open one begins, for who is signed in */
    CALL_LEARN_AS,  /* and for the name that is written */
    CALL_LEARN_END, /* the one under way ends */
    CALL_HAND,      /* the first place of its hand, and those behind it */
    CALL_HAND_LAST = CALL_HAND + 8,
    CALL_MOVES,
};

/* What is asked how much of. */
enum amount_of {
    AMOUNT_OF_OPEN,      /* the open match, or the open batch as it was poured */
    AMOUNT_OF_POURED,    /* the open record, as it was poured */
    AMOUNT_OF_CORRECTED, /* its formula as it stands now */
    AMOUNT_OF_COAT,      /* the open coat of an order, or the colour of the open card */
    AMOUNT_OF_CUP,       /* its colour, with its cup as what is there already */
    AMOUNT_OF_SAME,      /* back to the form as it was left */
};

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

/* ---- for footline*.c alone: the ways a foot line is filled ---- */

/* What the hand must do (or wait for): Enter is refused with the same words. */
void footline_hand(struct footline *f, enum footline_kind kind, const char *text);
/* What Enter and `.` do, each with the words that are printed for it. */
void footline_enter(struct footline *f, enum act act, uint32_t value, const char *text);
void footline_dot(struct footline *f, enum act act, uint32_t value, const char *text);
/* One of the daemon's moves, by these words or (NULL) by its own; where it is shut, why. NULL: it is not there. */
void footline_move(const struct model *m, struct footline *f, const json_t *move, const char *words);
/* The pages of footline_form.c. */
void footline_amount(const struct model *m, struct footline *f);
void footline_retare(const struct model *m, struct footline *f);
void footline_panels(const struct model *m, struct footline *f);
void footline_order(const struct model *m, struct footline *f);
void footline_change(const struct model *m, struct footline *f);
void footline_weigh(const struct model *m, struct moment now, struct footline *f);
void footline_card(const struct model *m, struct footline *f);
void footline_write(const struct model *m, struct footline *f);

/* ---- menu.c: what the digits choose ---- */

struct menu_line {
    bool there;               /* false: this state has no such line, and its digit does nothing */
    char text[128], why[128]; /* why: "" where it can be chosen */
    enum act act;             /* ACT_PAGE, ACT_ASK, ACT_AMOUNT; or ACT_CALL and ACT_READ, which the foot line commits */
    uint32_t value;           /* as enum act says */
    const json_t *move;       /* of the screen's moves; NULL: none of them */
};
/* The line of a digit on the open page: the menu, the tin in hand, why a batch is scrapped, a record, a scale. */
struct menu_line menu_line(const struct model *m, int digit);
/* True where a line is chosen first, and done by the foot line. */
bool menu_commits(struct menu_line line);

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
