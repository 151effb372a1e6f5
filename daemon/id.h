/* id.h - what toners, formulas, products, cups, panels and stations are called.
 *
 * Short enough for a label and a scanner, and safe in a path, a URL and a command line.
 */
#pragma once

#include <stdbool.h>

#define ID_MAX 41 /* 40 bytes and the NUL */

/* 1 to 40 of A-Z a-z 0-9 . _ - */
bool id_fits(const char *id);
/* A variant's name: the same, and spaces within. */
bool variant_fits(const char *name);
