/* learn.h - practice in the terminal: which one is begun, the bench to practise at in place of our own, its hand, and
 * what is told at the end.
 *
 * Pure: it changes the model; `elsewhere` then says that another bench is to be watched, which loop.c asks for. Which
 * mishap there is, what the hand may do and how it went is the daemon's. While a practice lasts model.station is its
 * bench and model.home our own, which is watched again when it has ended, by whomever. */
#pragma once

#include "client/screen/entry.h"
#include "client/screen/keys.h"

/* Places of the hand that ask for grams, from 0: each has a field of its own. */
enum { HAND_POUR_G = 4, HAND_TAKE_G = 5 };

/* The practice of the screen; NULL: a real bench. */
const json_t *learn_of(const struct model *m);
/* The hand's move at a place from 1, NULL: beyond the last, or digits choose something else in this state. */
const json_t *learn_hand(const struct model *m, int place);
/* What a digit asks for on the bench of a practice; false: nothing of the hand's. */
bool learn_key(const struct model *m, int digit, struct move *move);

/* The params of a call that is a practice's, and its method; NULL: this value is none. */
json_t *learn_params(const struct model *m, uint32_t value, const char **method);
/* The open scenario is kept for the page that another name is written on. */
void learn_choose(struct model *m);
/* An answer to one of those, or the refusal of a call to a bench that is gone: false, it is another's. */
bool learn_answer(struct model *m, const char *method, json_t *result, struct moment now);
bool learn_refused(struct model *m, const json_t *error, struct moment now);
/* After each screen: a practice that somebody else ended, or that was left alone too long, leads home. */
void learn_see(struct model *m, struct moment now);
