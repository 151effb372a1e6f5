/* csv.h - the one writer of CSV (RFC 4180): commas, CR LF, quotes where a field needs them.
 *
 * Numbers are given as text/number.h writes them with a point, whatever the shop's sign: a comma would be two fields.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* One record. A NULL field is empty. False: could not be written. Into memory: open_memstream. */
bool csv_record(FILE *to, const char *const *fields, size_t count);
