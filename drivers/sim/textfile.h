/* textfile.h - a whole small text file in memory: scenarios and recordings. */
#pragma once
#include <stddef.h>

/* Reads at most 64 MiB, ended with a NUL; the caller frees *text. Returns 0, 65 (too large, or a NUL inside), 66 (no
 * such file, not readable), 70 (no memory); why as `WHAT: WHY. HELP`. */
int textfile_read(const char *path, char **text, char *why, size_t room);

/* The line without blanks at both ends (CR too), in place. */
char *textfile_trim(char *line);
