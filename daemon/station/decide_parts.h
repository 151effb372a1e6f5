/* decide_parts.h - the pieces that decide.c and decide_accept.c share. For this folder only. */
#pragma once

#include "station/decide.h"

/* Refuses with what *f says; the state stands beside it. */
enum decision refuse_state(struct fault *f, const struct batch *b);
/* The weight that the event stands on. */
void weight_of(struct event *e, const struct track *t);
enum decision decide_accept(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f);
