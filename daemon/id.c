/* id.c - what may be a name of a thing. Knows no thing. */
#include "id.h"

#include <stddef.h>
#include <string.h>

/* No space and no quote: an id stands in QR codes, file names and lists of JSON without being escaped. */
#define LETTERS "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._-"

bool id_fits(const char *id)
{
    size_t n = strspn(id, LETTERS);
    return n >= 1 && n < ID_MAX && id[n] == '\0';
}

/* A space at either end would be lost in a file and then name another variant. */
bool variant_fits(const char *name)
{
    size_t n = strspn(name, LETTERS " ");
    return n >= 1 && n < ID_MAX && name[n] == '\0' && name[0] != ' ' && name[n - 1] != ' ';
}
