/* json_read.c - a recursive descent over one text that is in memory as a whole. It must not know what the values mean.
 *
 * Function names follow the rules of RFC 8259; the numbers in brackets are its sections.
 */
#include "text/json_read.h"

#include <errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistr.h>

struct reader {
    const char *text, *at, *end;
    char *room;  /* of the text's length: what is decoded is never longer than what it was written as */
    size_t used; /* by keys whose values are being read */
    int levels;  /* that may still be opened */
    struct json_wrong wrong;
};

static json_t *value(struct reader *r);

/* The first reason stands. Always NULL. */
static json_t *fail(struct reader *r, enum json_wrong_kind what)
{
    if (r->wrong.what == JSON_WRONG_NOTHING) {
        r->wrong.what = what;
        r->wrong.at = (size_t)(r->at - r->text) + 1;
    }
    return NULL;
}

/* A value just made; without memory there is none. */
static json_t *made(struct reader *r, json_t *json)
{
    return json ? json : fail(r, JSON_WRONG_MEMORY);
}

/* [2] ws. '\0' stands for the end: no rule has it. */
static char next(struct reader *r)
{
    while (r->at < r->end && (*r->at == ' ' || *r->at == '\t' || *r->at == '\n' || *r->at == '\r'))
        r->at++;
    return r->at < r->end ? *r->at : '\0';
}

static bool took(struct reader *r, char c)
{
    if (next(r) != c)
        return false;
    r->at++;
    return true;
}

/* Four hex digits behind \u; -1: they are none. */
static int32_t hex4(struct reader *r)
{
    int32_t c = 0;
    if (r->end - r->at < 4)
        return -1;
    for (int i = 0; i < 4; i++) {
        const char *hex = "0123456789abcdef", letter = *r->at++;
        const char *digit = letter ? strchr(hex, letter >= 'A' && letter <= 'F' ? letter + ('a' - 'A') : letter) : NULL;
        if (!digit)
            return -1;
        c = c * 16 + (int32_t)(digit - hex);
    }
    return c;
}

/* [7] \uXXXX, or two of them for what lies beyond U+FFFF. 0: refused; U+0000 is too, since our texts end with it. */
static int32_t unicode(struct reader *r)
{
    int32_t c = hex4(r);
    if (c >= 0xDC00 && c <= 0xDFFF)
        return 0;
    if (c < 0xD800 || c > 0xDBFF)
        return c > 0 ? c : 0;
    if (r->end - r->at < 2 || r->at[0] != '\\' || r->at[1] != 'u')
        return 0;
    r->at += 2;
    int32_t low = hex4(r);
    return low >= 0xDC00 && low <= 0xDFFF ? 0x10000 + ((c - 0xD800) << 10) + (low - 0xDC00) : 0;
}

/* [7] what follows a backslash, decoded to out. Returns how many bytes; 0: refused. */
static size_t escaped(struct reader *r, char *out)
{
    static const char from[] = "\"\\/bfnrt", to[] = "\"\\/\b\f\n\r\t";
    const char c = r->at < r->end ? *r->at++ : '\0';
    const char *simple = c ? strchr(from, c) : NULL;
    if (simple) {
        *out = to[simple - from];
        return 1;
    }
    int32_t code = c == 'u' ? unicode(r) : 0;
    int bytes = code ? u8_uctomb((uint8_t *)out, (ucs4_t)code, 6) : 0;
    return bytes > 0 ? (size_t)bytes : 0;
}

/* [7] string, behind its opening quote, decoded to room[used] and ended with NUL. False: refused. An escape takes six
 * bytes where u8_uctomb may want room for as many, and the quotes leave one for the NUL. */
static bool string(struct reader *r, size_t *bytes)
{
    char *out = r->room + r->used;
    size_t n = 0;
    while (r->at < r->end && *r->at != '"') {
        unsigned char c = (unsigned char)*r->at++;
        size_t more = 1;
        if (c == '\\')
            more = escaped(r, out + n);
        else
            out[n] = (char)c;
        if (c < ' ' || more == 0)
            return fail(r, JSON_WRONG_TEXT) != NULL;
        n += more;
    }
    if (r->at == r->end)
        return fail(r, JSON_WRONG_TEXT) != NULL;
    r->at++;
    out[n] = '\0';
    *bytes = n;
    return true;
}

static size_t digits(struct reader *r)
{
    const char *from = r->at;
    while (r->at < r->end && *r->at >= '0' && *r->at <= '9')
        r->at++;
    return (size_t)(r->at - from);
}

static bool skipped(struct reader *r, const char *any)
{
    if (r->at == r->end || !strchr(any, *r->at) || *r->at == '\0')
        return false;
    r->at++;
    return true;
}

/* [6] number. Decimal to double is left to strtod, which rounds right. */
static json_t *number(struct reader *r)
{
    const char *from = r->at;
    bool real = false;
    skipped(r, "-");
    bool good = skipped(r, "0") || digits(r) > 0;
    if (good && skipped(r, ".")) {
        real = true;
        good = digits(r) > 0;
    }
    if (good && skipped(r, "eE")) {
        real = true;
        skipped(r, "+-");
        good = digits(r) > 0;
    }
    if (!good)
        return fail(r, JSON_WRONG_TEXT);
    char *copy = r->room + r->used;
    memcpy(copy, from, (size_t)(r->at - from));
    copy[r->at - from] = '\0';
    errno = 0;
    long long whole = real ? 0 : strtoll(copy, NULL, 10);
    if (!real && errno == 0)
        return made(r, json_integer(whole));
    double d = strtod(copy, NULL);
    return made(r, json_real(isinf(d) ? copysign(1e308, d) : d));
}

/* [5] array, behind its bracket. */
static json_t *array(struct reader *r)
{
    json_t *list = made(r, json_array());
    if (!list || took(r, ']'))
        return list;
    do {
        json_t *v = value(r);
        if (!v || json_array_append_new(list, v) != 0) {
            fail(r, JSON_WRONG_MEMORY); /* unless the value said why */
            json_decref(list);
            return NULL;
        }
    } while (took(r, ','));
    if (took(r, ']'))
        return list;
    json_decref(list);
    return fail(r, JSON_WRONG_TEXT);
}

/* [4] member. False: refused. */
static bool member(struct reader *r, json_t *object)
{
    size_t bytes, before = r->used;
    const char *key = r->room + r->used;
    if (!took(r, '"') || !string(r, &bytes) || json_object_get(object, key) || !took(r, ':'))
        return fail(r, JSON_WRONG_TEXT) != NULL;
    r->used += bytes + 1;
    json_t *v = value(r);
    r->used = before;
    if (!v)
        return false;
    return json_object_set_new_nocheck(object, key, v) == 0 || fail(r, JSON_WRONG_MEMORY);
}

/* [4] object, behind its brace. */
static json_t *object(struct reader *r)
{
    json_t *thing = made(r, json_object());
    if (!thing || took(r, '}'))
        return thing;
    bool good;
    do
        good = member(r, thing);
    while (good && took(r, ','));
    if (good && took(r, '}'))
        return thing;
    json_decref(thing);
    return fail(r, JSON_WRONG_TEXT); /* unless the member said why */
}

/* [3] true, false, null. */
static json_t *word(struct reader *r)
{
    static const char *const words[] = {"true", "false", "null"};
    for (size_t i = 0; i < 3; i++) {
        size_t n = strlen(words[i]);
        if ((size_t)(r->end - r->at) < n || memcmp(r->at, words[i], n) != 0)
            continue;
        r->at += n;
        return i == 2 ? json_null() : json_boolean(i == 0);
    }
    return fail(r, JSON_WRONG_TEXT);
}

/* [3] value. Calls itself for each level, of which there are few. */
static json_t *value(struct reader *r)
{
    char c = next(r);
    size_t bytes;
    if (c == '"') {
        r->at++;
        return string(r, &bytes) ? made(r, json_stringn_nocheck(r->room + r->used, bytes)) : NULL;
    }
    if (c == '-' || (c >= '0' && c <= '9'))
        return number(r);
    if (c != '{' && c != '[')
        return word(r);
    if (r->levels == 0)
        return fail(r, JSON_WRONG_DEEP);
    r->at++;
    r->levels--;
    json_t *v = c == '{' ? object(r) : array(r);
    r->levels++;
    return v;
}

/* Most texts are short: those need no memory but their values'. */
json_t *json_read(const char *text, size_t bytes, int levels, struct json_wrong *wrong)
{
    char near[2048];
    struct reader r = {.text = text, .at = text, .end = text + bytes, .levels = levels};
    const uint8_t *not_utf8 = u8_check((const uint8_t *)text, bytes);
    json_t *v = NULL;
    if (not_utf8) {
        r.at = (const char *)not_utf8;
        fail(&r, JSON_WRONG_TEXT);
    } else if (!(r.room = bytes < sizeof near ? near : malloc(bytes + 1))) {
        fail(&r, JSON_WRONG_MEMORY);
    } else {
        v = value(&r);
    }
    if (v && (next(&r), r.at != r.end)) { /* [2] one value and no more */
        json_decref(v);
        v = fail(&r, JSON_WRONG_TEXT);
    }
    if (r.room != near)
        free(r.room);
    if (wrong)
        *wrong = r.wrong;
    return v;
}

json_t *json_read_text(const char *text)
{
    return text ? json_read(text, strlen(text), JSON_READ_DEPTH, NULL) : NULL;
}
