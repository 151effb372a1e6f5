/* draw.h - runs poise-label, the program that draws a label, from beside our own program or else from PATH. */
#pragma once

#include <jansson.h>

/* Draws the label (an object as poise-label reads it) into the file, `-` being stdout. 0, or its exit code after it has
 * said why on stderr. */
int draw_label(const json_t *label, const char *path);
