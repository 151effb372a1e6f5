/* draft.c - see draft.h. It must not know what a text says. */
#include "text/draft.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LEAST = 256 }; /* most queries and words of a row fit at once */

/* Room for so many bytes more and a NUL. Doubled, so that a long text is not copied for each word. */
static bool grow(struct draft *d, size_t more)
{
    size_t want = d->length + more + 1, room = d->room > LEAST ? d->room : LEAST;
    if (d->lost || want <= d->room)
        return !d->lost;
    while (room < want)
        room *= 2;
    char *grown = realloc(d->text, room);
    d->lost = !grown;
    if (grown) {
        d->text = grown;
        d->room = room;
    }
    return grown != NULL;
}

void draft_add(struct draft *d, const char *text, size_t length)
{
    if (!grow(d, length))
        return;
    memcpy(d->text + d->length, text, length);
    d->length += length;
    d->text[d->length] = '\0';
}

/* Printed straight into its room; once more where that was too small. */
void draft_print(struct draft *d, const char *form, ...)
{
    for (int try = 0; try < 2 && grow(d, 1); try++) {
        va_list args;
        size_t room = d->room - d->length;
        va_start(args, form);
        int n = vsnprintf(d->text + d->length, room, form, args);
        va_end(args);
        if (n >= 0 && (size_t)n < room) {
            d->length += (size_t)n;
            return;
        }
        d->text[d->length] = '\0';
        if (n < 0 || !grow(d, (size_t)n))
            d->lost = true;
    }
}

char *draft_take(struct draft *d)
{
    char *text = d->lost ? NULL : d->text;
    if (d->lost)
        free(d->text);
    *d = (struct draft){0};
    return text;
}
