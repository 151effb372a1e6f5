/* json_write.c - a value to text in one piece of memory, measured first. It must not know what the value means.
 *
 * json_dumps lets its buffer grow and, where that fails behind a member's name, goes on without the name: what then
 * went to a client was no JSON, and could have been another object. Into memory of a known size it cannot fail.
 * And hundreds of places put a value together member by member: one that finds no memory is a member that is not there.
 * So what jansson asks for in vain is noted where it asks, and looked at where the value becomes a text. The note is a
 * thread's own, since values are put together on helper threads as well; it is the one state outside main.
 */
#include "text/json_write.h"

#include <stdlib.h>
#include <string.h>

/* A screen fits in here, and is then written once; what is longer is written twice. */
enum { NEAR = 8192 };

static _Thread_local bool lost;

static void *make(size_t size)
{
    void *made = malloc(size);
    lost = lost || !made;
    return made;
}

void json_watch(void)
{
    json_set_alloc_funcs(make, free);
}

bool json_lost(void)
{
    return lost;
}

void json_forget(void)
{
    lost = false;
}

json_t *json_whole_copy(const json_t *json)
{
    bool before = lost;
    lost = false;
    json_t *copy = json_deep_copy(json);
    if (lost) {
        json_decref(copy);
        copy = NULL;
    }
    lost = lost || before;
    return copy;
}

char *json_write(const json_t *json, size_t flags)
{
    char near[NEAR];
    size_t bytes = json && !lost ? json_dumpb(json, near, sizeof near, flags) : 0;
    char *text = bytes ? malloc(bytes + 1) : NULL;
    if (text && bytes <= sizeof near) {
        memcpy(text, near, bytes);
    } else if (text && json_dumpb(json, text, bytes, flags) != bytes) { /* no memory to look for circles */
        free(text);
        text = NULL;
    }
    if (text)
        text[bytes] = '\0';
    lost = false;
    return text;
}
