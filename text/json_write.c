/* json_write.c - a value to text in one piece of memory, measured first. It must not know what the value means.
 *
 * json_dumps lets its buffer grow and, where that fails behind a member's name, goes on without the name: what then
 * went to a client was no JSON, and could have been another object. Into memory of a known size it cannot fail.
 */
#include "text/json_write.h"

#include <stdlib.h>
#include <string.h>

/* A screen fits in here, and is then written once; what is longer is written twice. */
enum { NEAR = 8192 };

char *json_write(const json_t *json, size_t flags)
{
    char near[NEAR];
    size_t bytes = json ? json_dumpb(json, near, sizeof near, flags) : 0;
    char *text = bytes ? malloc(bytes + 1) : NULL;
    if (!text)
        return NULL;
    if (bytes <= sizeof near)
        memcpy(text, near, bytes);
    else if (json_dumpb(json, text, bytes, flags) != bytes) { /* no memory to look for circles */
        free(text);
        return NULL;
    }
    text[bytes] = '\0';
    return text;
}
