/* families.h - the names of the built-in families of scales, for help, completion, the man page and faults. */
#pragma once

#include <stddef.h>

enum { FAMILIES_ROOM = 512 };

/* All of them with `between` from one to the next. */
void families_list(const char *between, char *out, size_t size);
/* One line on stderr with all of them; exit code 65. */
int families_no_such(const char *name);
