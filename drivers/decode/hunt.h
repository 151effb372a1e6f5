/* hunt.h - which family a stream is of: it is shown to all of them, and three whole frames in a row are believed.
 *
 * Whoever else reads at least two in a row by then makes it a tie, which a person must settle: guessing would put a
 * wrong point or a wrong sign into every weight. Families that syntax cannot tell from a kin are always a tie.
 * Owner   create and destroy are a pair; about 250 KiB while it lives.
 * Thread  Any, one at a time. No I/O, no clock.
 */
#pragma once

#include "drivers/scale.h"

enum { HUNT_BELIEVED = 3, HUNT_NAMES = 160 };

enum hunt_result { HUNT_NOTHING, HUNT_FOUND, HUNT_TIE };

struct hunt;

/* NULL: out of memory. */
struct hunt *hunt_create(void);
void hunt_destroy(struct hunt *hunt);
/* Begins anew: other settings, another port. */
void hunt_reset(struct hunt *hunt);
void hunt_push(struct hunt *hunt, const uint8_t *bytes, size_t len);

/* What is believed by now; *family only with HUNT_FOUND. */
enum hunt_result hunt_result(const struct hunt *hunt, const struct scale_family **family);
/* The names of all that are believed or nearly, with commas between. */
void hunt_names(const struct hunt *hunt, char names[HUNT_NAMES]);
/* Whether bytes that were kept are of a family after all: its name, or those of a tie. False: none, or no memory. */
bool hunt_guess(const uint8_t *bytes, size_t len, char names[HUNT_NAMES]);
/* As the bytes of the believed frames show it when read as 8N1: `8N1`, `7E1`, `7O1`. */
const char *hunt_frame(const struct hunt *hunt);
/* The last reading of the believed family that bore a weight, NULL: none. */
const struct scale_reading *hunt_sample(const struct hunt *hunt);
/* Bytes since the reset; whether they look like a scale's text at the right speed (printable with a parity that holds).
 */
size_t hunt_heard(const struct hunt *hunt);
bool hunt_clean(const struct hunt *hunt);
/* At least one whole frame of some family since the reset. */
size_t hunt_frames(const struct hunt *hunt);
