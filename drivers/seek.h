/* seek.h - the order in which a port is tried to find out what it speaks. Pure: seeking.c does what it says.
 *
 * It listens first, 2.5 s at each speed (four times that where a whole frame came: a slow scale), always 8N1 (bit 7
 * tells the parity); a speed that the user chose and that is not among the usual ones comes before them. Only with the
 * user's consent, and only where listening gave clean bytes or at a speed that the user chose, it then asks, 3 s a
 * question. Then it goes round again, for ever. All that it can send stands in one table in seek.c: questions that read
 * a weight and change nothing. Never sent: anything that tares, zeroes, prints, calibrates, resets or switches off; on
 * some scales one letter erases a calibration.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum { SEEK_SPEEDS = 8, SEEK_LISTEN_MS = 2500, SEEK_ASK_MS = 3000, SEEK_ASK_AGAIN_MS = 200 };

struct seek_step {
    int speed;            /* baud; 0 where the port has none (tcp, pty) */
    const char *question; /* bytes to send, NULL: listen */
    const char *spoken;   /* the question in words, "" when listening */
    unsigned ms;          /* how long */
    unsigned pass;        /* from 1 */
};

struct seek {
    bool has_speeds, may_ask;
    int chosen_speed;            /* the user's, 0: none */
    int speeds[SEEK_SPEEDS + 1]; /* baud, in the order they are tried */
    size_t speed_count;
    bool clean[SEEK_SPEEDS + 1]; /* heard well at this speed, in any pass */
    size_t speed, question;      /* where it is; question 0 is listening */
    bool asking;                 /* in the second half of a pass */
    unsigned pass;
    bool begun;
};

/* `has_speeds`: a serial port. `chosen_speed` is asked at even when nothing was heard there; 0: none. */
void seek_init(struct seek *seek, bool has_speeds, bool may_ask, int chosen_speed);
/* The next step. *round_over: a whole pass is behind us. */
struct seek_step seek_next(struct seek *seek, bool *round_over);
/* Listening at this step's speed gave clean bytes: worth asking there. */
void seek_heard_clean(struct seek *seek);

/* Every byte string that seeking can send, for a test to look at: NULL behind the last. */
const char *seek_question(size_t i);
