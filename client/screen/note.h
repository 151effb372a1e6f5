/* note.h - the `weight` note, read straight from its line.
 *
 * It comes with each frame of the scale, so nothing is allocated for it: its members are scalars and stand in one
 * object. Only what is surely such a note is taken; every other line, or one written otherwise (spaces, escapes, an
 * exponent), is left to the JSON reader, which then says what it is. Pure. Weights in grams, ages in milliseconds. */
#pragma once

#include "client/screen/model.h"

/* A line of the socket without its end. False: it is none, or not surely; *w is then of no use. */
bool note_line(const char *line, size_t len, struct weighing *w);
/* The same from the params of a note that was read as JSON. False: they are no object. */
bool note_params(const json_t *params, struct weighing *w);
