/* json_write.c - a value to text in one piece of memory, measured first. It must not know what the value means.
 *
 * The text is jansson's to the byte (test_json_dump.c), but for two things. json_dumps lets its buffer grow and, where
 * that fails behind a member's name, goes on without the name: what then went to a client was no JSON, and could have
 * been another object. Into memory of a known size it cannot fail. And it looks at each letter by itself and prints
 * each number by printf: a screen is written some twenty times a second in a pour, and took four times as long.
 * And hundreds of places put a value together member by member: one that finds no memory is a member that is not there.
 * So what jansson asks for in vain is noted where it asks, and looked at where the value becomes a text. The note is a
 * thread's own, since values are put together on helper threads as well; it is the one state outside main.
 */
#include "text/json_write.h"

#include "text/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A screen fits in here, and is then written once; what is longer is written twice. */
enum { NEAR = 8192 };
enum { DEEPEST = 2048 }; /* as deep as jansson reads; a circle is deeper */
enum { DIGITS = 15 };    /* that a double holds for certain: to so many a number of micrograms is exact */

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

/* What was written so far; beyond the room it is only counted. */
struct out {
    char *to;
    size_t room, len, flags;
    bool failed;
};

static void put(struct out *o, const char *bytes, size_t len)
{
    if (o->len + len <= o->room)
        memcpy(o->to + o->len, bytes, len);
    o->len += len;
}

static size_t escape(unsigned char c, char out[JSON_ESCAPE])
{
    static const char letter[] = "btnvfr"; /* from \b to \r; JSON has no \v */
    out[0] = '\\';
    out[1] = (char)c;
    if (c >= '\b' && c <= '\r' && c != '\v')
        out[1] = letter[c - '\b'];
    else if (c < ' ')
        return (size_t)snprintf(out, JSON_ESCAPE, "\\u%04X", c);
    return 2;
}

size_t json_piece(const char *text, size_t len, char room[JSON_ESCAPE], const char **piece, size_t *bytes)
{
    size_t run = 0;
    while (run < len && (unsigned char)text[run] >= ' ' && text[run] != '"' && text[run] != '\\')
        run++;
    *piece = run > 0 ? text : room;
    *bytes = run > 0 ? run : escape((unsigned char)text[0], room);
    return run > 0 ? run : 1;
}

/* Strings of jansson are UTF-8 already. */
static void put_string(struct out *o, const char *text, size_t len)
{
    char room[JSON_ESCAPE];
    const char *piece;
    size_t bytes;
    put(o, "\"", 1);
    for (size_t at = 0; at < len;) {
        at += json_piece(text + at, len - at, room, &piece, &bytes);
        put(o, piece, bytes);
    }
    put(o, "\"", 1);
}

static void put_integer(struct out *o, json_int_t n)
{
    char digits[24], *end = digits + sizeof digits, *at = end;
    unsigned long long left = n < 0 ? 0ULL - (unsigned long long)n : (unsigned long long)n;
    do
        *--at = (char)('0' + left % 10);
    while ((left /= 10) > 0);
    if (n < 0)
        *--at = '-';
    put(o, at, (size_t)(end - at));
}

/* Whole micrograms (or milliseconds, or millionths) of at most DIGITS digits, from 1e-4 on: below that jansson writes
 * an exponent. Any other number is left to it. */
static void put_real(struct out *o, const json_t *json)
{
    char room[NUMBER_ROOM > 64 ? NUMBER_ROOM : 64];
    double value = json_real_value(json);
    bool short_form =
        (o->flags & JSON_REAL_PRECISION(31)) == JSON_REAL_PRECISION(DIGITS) && fabs(value) < 1e8 && fabs(value) >= 1e-4;
    int64_t millionths = short_form ? llround(value * 1e6) : 0;
    if (short_form && (double)millionths / 1e6 == value) {
        const char *text = number_exact_ug(millionths, room);
        put(o, text, strlen(text));
        return;
    }
    size_t len = json_dumpb(json, room, sizeof room, o->flags | JSON_ENCODE_ANY);
    o->failed = o->failed || len == 0 || len > sizeof room;
    put(o, room, len <= sizeof room ? len : 0);
}

static void put_value(struct out *o, const json_t *json, int depth);

static void put_list(struct out *o, const json_t *json, int depth)
{
    bool compact = o->flags & JSON_COMPACT;
    put(o, "[", 1);
    for (size_t i = 0; i < json_array_size(json); i++) {
        if (i)
            put(o, ", ", compact ? 1 : 2);
        put_value(o, json_array_get(json, i), depth + 1);
    }
    put(o, "]", 1);
}

/* Members in the order in which they were set. */
static void put_object(struct out *o, const json_t *json, int depth)
{
    json_t *object = (json_t *)(uintptr_t)json; /* it is only walked */
    bool compact = o->flags & JSON_COMPACT, first = true;
    put(o, "{", 1);
    for (void *at = json_object_iter(object); at; at = json_object_iter_next(object, at), first = false) {
        const char *name = json_object_iter_key(at);
        if (!first)
            put(o, ", ", compact ? 1 : 2);
        put_string(o, name, strlen(name));
        put(o, ": ", compact ? 1 : 2);
        put_value(o, json_object_iter_value(at), depth + 1);
    }
    put(o, "}", 1);
}

static void put_value(struct out *o, const json_t *json, int depth)
{
    if (!json || depth > DEEPEST) {
        o->failed = true;
        return;
    }
    switch (json_typeof(json)) {
    case JSON_OBJECT:
        put_object(o, json, depth);
        return;
    case JSON_ARRAY:
        put_list(o, json, depth);
        return;
    case JSON_STRING:
        put_string(o, json_string_value(json), json_string_length(json));
        return;
    case JSON_INTEGER:
        put_integer(o, json_integer_value(json));
        return;
    case JSON_REAL:
        put_real(o, json);
        return;
    case JSON_TRUE:
        put(o, "true", 4);
        return;
    case JSON_FALSE:
        put(o, "false", 5);
        return;
    case JSON_NULL:
        put(o, "null", 4);
        return;
    }
}

/* The length of the text, of which as much as there is room for stands in `to`; 0: it cannot be written. */
static size_t write_to(const json_t *json, char *to, size_t room, size_t flags)
{
    struct out o = {.to = to, .room = room, .flags = flags};
    if (!json || !(flags & JSON_ENCODE_ANY || json_is_object(json) || json_is_array(json)))
        return 0;
    put_value(&o, json, 0);
    return o.failed ? 0 : o.len;
}

char *json_write(const json_t *json, size_t flags)
{
    char near[NEAR];
    size_t bytes = lost ? 0 : write_to(json, near, sizeof near, flags);
    char *text = bytes ? malloc(bytes + 1) : NULL;
    if (text && bytes <= sizeof near)
        memcpy(text, near, bytes);
    else if (text)
        write_to(json, text, bytes, flags);
    if (text)
        text[bytes] = '\0';
    lost = false;
    return text;
}
