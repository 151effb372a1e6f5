/* polltext.c - the one reader of what a person writes as a poll. It knows no port and no family. */
#include "drivers/polltext.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* The byte that the escape at `text`, behind its backslash, stands for; how many characters it took, 0: it is none. */
static size_t unescape(const char *text, char *out)
{
    if (*text == 'r' || *text == 'n') {
        *out = *text == 'r' ? '\r' : '\n';
        return 1;
    }
    if (*text != 'x' || !isxdigit((unsigned char)text[1]) || !isxdigit((unsigned char)text[2]))
        return 0;
    const char digits[] = {text[1], text[2], '\0'};
    *out = (char)strtol(digits, NULL, 16);
    return 3;
}

enum polltext_fault polltext_read(const char *text, char out[POLLTEXT_ROOM], size_t *len)
{
    bool escaped = strchr(text, '\\') != NULL;
    size_t n = 0;
    for (; *text; text++) {
        if (n + 2 >= POLLTEXT_ROOM) /* CR LF may still follow */
            return POLLTEXT_TOO_LONG;
        out[n] = *text;
        if (*text == '\\') {
            size_t took = unescape(text + 1, &out[n]);
            if (took == 0)
                return POLLTEXT_BAD_ESCAPE;
            text += took;
        }
        n++;
    }
    if (!escaped) {
        out[n++] = '\r';
        out[n++] = '\n';
    }
    *len = n;
    return POLLTEXT_FINE;
}
