/* json_read.h - the daemon's reader of JSON (RFC 8259): from sockets and from the store.
 *
 * Strict: one value, UTF-8 without a byte order mark, each key once, no U+0000, no lone surrogate, at most so many
 * levels. A number is JSON however large: an integer beyond 64 bits comes out as a real, a real beyond a double as
 * +-1e308, which every method refuses as not sensible.
 * Errors  NULL, and *wrong says why; wrong may be NULL. Without memory nothing is ever read half: that is why the
 *         library's own parser is not used (DEVELOPERS.md, "Blind alleys").
 * Thread  Any. Depends on no locale but for LC_NUMERIC being "C", which poised never changes.
 */
#pragma once

#include <jansson.h>
#include <stddef.h>

/* Levels that a text of our own may have; callers from outside get fewer. */
enum { JSON_READ_DEPTH = 64 };

enum json_wrong_kind { JSON_WRONG_NOTHING, JSON_WRONG_TEXT, JSON_WRONG_DEEP, JSON_WRONG_MEMORY };

struct json_wrong {
    enum json_wrong_kind what;
    size_t at; /* the byte that does not fit, from 1 */
};

/* One value of any kind, of `bytes` bytes that need no NUL behind them. New reference. */
json_t *json_read(const char *text, size_t bytes, int levels, struct json_wrong *wrong);
/* The same of a text that ends with NUL, and NULL of NULL: what the store or we ourselves wrote. */
json_t *json_read_text(const char *text);
