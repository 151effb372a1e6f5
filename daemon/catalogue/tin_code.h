/* tin_code.h - one code of a tin: how it may look, and what a scan means by it. Pure; codes.h has those of the shop. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* Whether a code may be kept: no space at either end, `*` only as its last character and never alone, and not one that
 * a cup's label bears (POISE:). */
bool code_fits(const char *code);
/* Whether a scan is what this code means; *lot_at is then where its lot begins in the scan, its end where there is
 * none. */
bool code_is(const char *code, const char *scan, size_t *lot_at);
/* How many characters of a code a scan must begin with: all but the star. */
size_t code_stem(const char *code);
