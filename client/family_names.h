/* families.h - the names of the built-in families of scales, for help, completion, the man page and faults. */
#pragma once

#include "client/output.h"

#include <stddef.h>

enum { FAMILIES_ROOM = 512 };

/* All of them with `between` from one to the next. */
void families_list(const char *between, char *out, size_t size);
/* One line on stderr with all of them; exit code 64. */
int families_no_such(struct output_style style, const char *name);

/* What one family makes of bytes that several families read, held against the scale's own display: `123.4 g`, the last
 * weight that it reads in them, in the digits and unit sent; "" where it reads none, or there is no such family. `came`
 * is a text as scale.seek sends it, what is not printable as \xNN. */
void family_reads(const char *family, const char *came, char *out, size_t size);
