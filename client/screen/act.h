/* act.h - turning pages and writing on them, for act.c alone: everybody else begins with act_do (keys.h).
 * Pure but for memory. */
#pragma once

#include "client/screen/calls.h"

/* Turns to a page and asks the daemon for what stands on it. */
void act_open_page(struct model *m, enum page page, struct moment now, struct calls *q);
/* Opens the page that gives what a move asks for: a toner, or some text. */
void act_ask(struct model *m, enum purpose purpose, struct moment now, struct calls *q);
/* The form of how much. */
void act_ask_amount(struct model *m, enum amount_of what, struct moment now, struct calls *q);
/* The record of what is open: the written number, the match, the batch of the day, of a coat or a cup. */
void act_open_record(struct model *m, struct moment now, struct calls *q);
/* What comes of the amount's form is planned anew, or known no more. */
void act_plan(struct model *m, struct calls *q);
/* A character into the open field, and the last one taken out of it. */
void act_write_char(struct model *m, char32_t c, struct calls *q);
void act_rub_out(struct model *m, struct calls *q);
