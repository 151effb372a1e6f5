/* sill_say.h - the three ways a sill is filled; for sill.c and sill_pages.c alone. */
#ifndef POISE_CLIENT_SCREEN_SILL_SAY_H
#define POISE_CLIENT_SCREEN_SILL_SAY_H

#include "client/screen/sill.h"

/* What the hand must do; Enter is refused with the same words. */
void sill_hand(struct sill *s, const char *text);
/* What Enter does. */
void sill_key(struct sill *s, enum act act, uint32_t value, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* A digit comes first. */
void sill_pick(struct sill *s, const char *text);
/* What `.` does. */
void sill_second(struct sill *s, enum act act, const char *text);

/* The sill of each page beside the bench; in sill_pages.c. */
void sill_beside(const struct model *m, struct sill *s);

#endif
