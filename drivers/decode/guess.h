/* guess.h - which family a stream is of: it is shown to all of them, and three whole frames in a row are believed.
 *
 * Whoever else reads at least two in a row by then makes it a tie, which a person must settle: guessing would put a
 * wrong point or a wrong sign into every weight. Families that syntax cannot tell from a kin are always a tie.
 * Owner   create and destroy are a pair; about 250 KiB while it lives.
 * Thread  Any, one at a time. No I/O, no clock.
 */
#pragma once

#include "drivers/scale.h"

enum { GUESS_BELIEVED = 3, GUESS_NAMES = 160 };

/* NOTHING: none was believed yet. FOUND: exactly one. TIE: a person must choose. */
enum guess_result { GUESS_NOTHING, GUESS_FOUND, GUESS_TIE };

struct guess;

/* NULL: out of memory. */
struct guess *guess_create(void);
/* NULL: nothing happens. */
void guess_destroy(struct guess *guess);
/* Begins anew: other settings, another port. */
void guess_reset(struct guess *guess);
/* Shows the bytes, as they came with bit 7, to every family. */
void guess_push(struct guess *guess, const uint8_t *bytes, size_t len);

/* What is believed by now; *family only with GUESS_FOUND. */
enum guess_result guess_result(const struct guess *guess, const struct scale_family **family);
/* The names of all that are believed or nearly, with commas between. */
void guess_names(const struct guess *guess, char names[GUESS_NAMES]);
/* Whether bytes that were kept are of a family after all: its name, or those of a tie. False: none, or no memory. */
bool guess_bytes(const uint8_t *bytes, size_t len, char names[GUESS_NAMES]);
/* As the bytes of the believed frames show it when read as 8N1: `8N1`, `7E1`, `7O1`. */
const char *guess_frame(const struct guess *guess);
/* The last reading of the believed family that bore a weight, NULL: none. */
const struct scale_reading *guess_sample(const struct guess *guess);
/* Bytes since the reset; whether they look like a scale's text at the right speed (printable with a parity that holds).
 */
size_t guess_heard(const struct guess *guess);
bool guess_clean(const struct guess *guess);
/* At least one whole frame of some family since the reset. */
size_t guess_frames(const struct guess *guess);
