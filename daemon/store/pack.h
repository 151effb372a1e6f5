/* pack.h - a body of an event as few bytes, and back: deflate with a dictionary of what bodies are made of.
 *
 * A row of a pour is mostly names of members, which are the same in each. Packed: one byte PACK_VERSION, the length of
 * the text as 4 bytes, least first, then raw deflate (RFC 1951) with the dictionary of that version set.
 * Owner   The packer is in memory of the caller: all zero, then pack_finish.
 * Thread  One packer, one thread. pack_open keeps nothing and may run anywhere.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <zlib.h>

enum {
    PACK_VERSION = 1,   /* of the dictionary; another one takes another number and leaves this as it is */
    PACK_HEAD = 5,      /* bytes before the deflated ones */
    PACK_MOST = 1 << 24 /* bytes of a text; more is damage */
};

struct packer {
    z_stream stream;
    bool made, primed; /* primed: the next body may begin at once */
    uint8_t *out;      /* the body packed last */
    size_t room;
};

/* Packs a text into p->out. Bytes used; 0: it would not become smaller, or no memory: then the text is kept as it is.
 */
size_t pack(struct packer *p, const char *text);
/* What pack() would do first for any text, done now. False: no memory; pack() tries again. */
bool pack_ready(struct packer *p);
void pack_finish(struct packer *p);
/* Opens what pack() made: malloc'd, with a NUL behind it. NULL: damaged, a later version's, or, where
 * *no_memory, not known. */
char *pack_open(const void *packed, size_t size, size_t *length, bool *no_memory);
