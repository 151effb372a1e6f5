/* keys.h - what a key asks for, on the page as it is.
 *
 *   key        bench                                    a menu           find               a form
 *   Enter      the foot line                            what is chosen   how much?, record  begins, or the next line
 *   1-9        idle: a batch; over: a remedy            a line           a coat             writes; chooses
 *   + -        idle: batches; pour: the formula;        lines            matches            lines, where a number or a
 *              over: remedies; done: copies                                                 code is written
 *   .          the second move                          -                the next variant   writes
 *   0 Escape   the menu                                 the bench        the bench          0 writes
 *   / *        find a colour; say again                 the same         the same           write
 *   a letter   idle: find, with that letter written
 *
 * Pure. The same keys everywhere, and all of them on a number pad: Enter (or a foot switch) is the foot line, 1-9
 * choose, `.` is the second move, + and - lines or counts, 0 the menu, / find, * say again, Backspace corrects. Where a
 * field is being written keys write; arrows are lines there. Enter can only ever commit what the foot line says; one
 * that comes too early is in late.h. */
#pragma once

#include "client/screen/footline.h"

#include <uchar.h>

enum press_kind {
    PRESS_CHAR,
    PRESS_ENTER, /* also the foot switch */
    PRESS_BACKSPACE,
    PRESS_UP, /* and left */
    PRESS_DOWN,
    PRESS_ESCAPE,
    PRESS_QUIT, /* Ctrl-C, Ctrl-D: leaves from every page */
};

struct press {
    enum press_kind kind;
    char32_t c; /* of PRESS_CHAR */
};

/* What a key asks for; act.c does it. */
struct move {
    enum act act;
    uint32_t value; /* as enum act says */
};

struct move keys_move(const struct model *m, struct press press, struct moment now);

struct calls;

/* act.c: does what a key asked for. It turns pages, writes, chooses; what needs the daemon goes into the queue. Pure
 * but for memory. request: an id for the case that this is a call. False: leave the screen. */
bool act_do(struct model *m, struct move move, struct moment now, const char *request, struct calls *q);
/* The field that has the caret; NULL: none. */
char *act_field(struct model *m);
/* Writes the whole of that field anew. */
void act_write(struct model *m, const char *text, struct calls *q);
/* Opens the record of a batch, and the search for what is written. */
void act_open_batch(struct model *m, const char *batch, struct moment now, struct calls *q);
void act_find(struct model *m, const char *text, struct moment now, struct calls *q);

/* act_step.c: + or -, one on or one back on the open page: a line, a choice, a count. */
void act_step(struct model *m, bool next, struct moment now);
