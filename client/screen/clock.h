/* clock.h - the time that a page is drawn for; with term.c and what reads the socket, all of the screen that is not
 * pure.
 */
#ifndef POISE_CLIENT_SCREEN_CLOCK_H
#define POISE_CLIENT_SCREEN_CLOCK_H

#include "client/screen/model.h"

/* The present one, its wall clock in the local zone. */
struct moment clock_moment(void);

#endif
