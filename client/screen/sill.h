/* sill.h - the one next move, always at the foot of the page.
 *
 * Pure: from the model, what Enter would do, what `.` would do, and how both are said. keys.c obeys it and page.c
 * prints it, so that a key never does what is not printed. What the hand must do and what a key does look different:
 * `[by hand]` and `[Enter]`. */
#ifndef POISE_CLIENT_SCREEN_SILL_H
#define POISE_CLIENT_SCREEN_SILL_H

#include "client/screen/model.h"

/* What a key asks for. Those up to ACT_LAST_CALL speak to the daemon, the others only turn pages. */
enum act {
    ACT_NONE,
    ACT_ACCEPT,
    ACT_TARED,  /* accept: the scale was tared with the cup on */
    ACT_SHORT,  /* accept what is there, another tin follows; or leave it short */
    ACT_LESS,   /* make less */
    ACT_REMEDY, /* value: 1 grow, 2 dip, 3 leave, 4 again */
    ACT_RETARE,
    ACT_PRINT, /* the label, then finish */
    ACT_FINISH,
    ACT_UNDO,
    ACT_HOLD,
    ACT_RESUME,
    ACT_TINT,
    ACT_REALLY,
    ACT_NOTE,
    ACT_SCRAP,
    ACT_BEGIN,
    ACT_LAST_CALL = ACT_BEGIN,
    ACT_LOT,     /* the lot is kept for the next accept */
    ACT_REFUSED, /* said on the footnote line, with the sill's words */
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

enum sill_kind {
    SILL_HAND, /* by hand */
    SILL_KEY,  /* Enter does it */
    SILL_PICK, /* a digit first */
    SILL_SENT, /* sent, no answer yet */
};

struct sill {
    enum sill_kind kind;
    char text[128];
    enum act enter;
    uint32_t enter_value;
    char second[64]; /* what `.` does; "" : nothing */
    enum act dot;
    char zero[32]; /* what 0 does */
};

void sill_of(const struct model *m, struct moment now, struct sill *s);

/* The lines of the contents page: what the digit does now. NULL text: no such line. `why` is not NULL where the line
 * cannot be chosen in this state. */
struct content {
    const char *text;
    enum act act; /* ACT_PAGE, ACT_ASK, or a call that the sill then commits */
    uint32_t value;
    const char *why;
};
struct content sill_content(const struct model *m, int digit);

struct content sill_tin(const struct model *m, int digit);

/* Reasons to scrap by digit; NULL: no such line. */
const char *sill_scrap(int digit);

/* A remedy by digit (1 grow, 2 dip, 3 leave), NULL for another. Whether it can be chosen: offered and fitting; 4 is
 * begin again, where it is offered. */
const struct remedy *sill_remedy(const struct model *m, int digit);
bool sill_remedy_open(const struct model *m, int digit);

/* The places in m->toners that the written text matches: count, and the n-th of them (NULL beyond). */
size_t sill_toners(const struct model *m);
const struct toner_line *sill_toner(const struct model *m, size_t n);

#endif
