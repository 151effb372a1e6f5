/* menu.h - what the digits choose: the lines of the menu and of the page of a tin, remedies, reasons to scrap, toners.
 *
 * Pure. A line that changes something is one of the daemon's moves; one that is shut says why. A line whose move this
 * state does not have is left out. */
#pragma once

#include "client/screen/footline.h"

struct menu_line {
    bool there;
    char text[128], why[128]; /* why: "" where it can be chosen */
    enum act act;             /* ACT_PAGE, ACT_ASK, or ACT_CALL that the foot line then commits */
    uint32_t value;
    const json_t *move; /* NULL: it only turns a page */
};
/* The line of a digit on the menu, and on the page of the tin in hand. */
struct menu_line menu_line(const struct model *m, int digit);
struct menu_line menu_tin(const struct model *m, int digit);

enum { MENU_REMEDIES = 5 };
/* The remedy of a digit: 1 grow, 2 dip, 3 leave, 4 again, 5 rescue; NULL: not among the moves. */
const json_t *menu_remedy(const struct model *m, int digit);
bool menu_remedy_open(const struct model *m, int digit);

/* Reasons to scrap by digit, as a code of the table of words; NULL: no such line. */
const char *menu_scrap(int digit);

/* The toners that the written text matches: count, and the n-th of them (NULL beyond). */
size_t menu_toners(const struct model *m);
const json_t *menu_toner(const struct model *m, size_t n);

/* The move's place as the value of an ACT_CALL. */
uint32_t menu_place(const struct model *m, const json_t *move);
