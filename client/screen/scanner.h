/* scanner.h - a bar-code reader is a keyboard that types faster than a hand can and ends with Enter.
 *
 * What it types is a code and never keys of the bench: its digits choose nothing, its Enter accepts nothing. So keys
 * that no field takes are held back until it is sure whose they are; in a field they are written at once, and taken out
 * again where the daemon knows the code.
 * Pure. Times are those of loop.c, in milliseconds. */
#pragma once

#include "client/screen/keys.h"

enum {
    SCANNER_FAST_MS = 35, /* a hand is slower between two keys */
    SCANNER_HELD_MS = 80, /* so long a key waits for the next one */
    SCANNER_LEAST = 4,    /* characters of a code */
    SCANNER_ROOM = 128,   /* bytes of a code, and the longest that is held */
};

struct scanner {
    struct press held[SCANNER_ROOM];
    size_t n;
    int64_t last_ms;
    bool in_field;           /* a field had the caret when they began */
    char before[WRITE_ROOM]; /* what it held then */
};

enum scanner_says {
    SCANNER_PASSES,  /* the key is a hand's: do what it asks for */
    SCANNER_HOLDS,   /* nothing yet */
    SCANNER_SCANNED, /* an Enter that ends a code: scanner_code */
};

/* Takes a key. What was held and is a hand's must be let go before: scanner_lets. field: the one that has the caret, as
 * it stands; NULL: none. */
enum scanner_says scanner_take(struct scanner *r, struct press press, int64_t now_ms, const char *field);
/* Whether what is held is over: slower keys came, or none. Then scanner_let hands them out. press NULL: time alone. */
bool scanner_is_over(const struct scanner *r, const struct press *press, int64_t now_ms);
/* Forgets what was held; how many keys of *keys were held back. SCANNER_LEAST and more came without an Enter: a
 * reader's that sends none. */
int scanner_let(struct scanner *r, struct press keys[SCANNER_ROOM]);
/* The code, and what was held is forgotten. */
void scanner_code(struct scanner *r, char code[SCANNER_ROOM]);
