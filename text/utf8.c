/* utf8.c - cutting, measuring and cleaning UTF-8 by libunistring's tables. It must not know whose text it is. */
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>
#include <unictype.h>
#include <unigbrk.h>
#include <unistr.h>
#include <uniwidth.h>

/* Nearly all text is ASCII, and a screen measures each of its letters many times a second: what can be known of two
 * such letters without a table is. */
static bool is_ascii(char c)
{
    return (unsigned char)c < 0x80;
}

uint32_t utf8_next(const char *text, size_t *bytes)
{
    ucs4_t c;
    if (is_ascii(*text)) {
        *bytes = *text != '\0';
        return (unsigned char)*text;
    }
    int n = u8_mbtoucr(&c, (const uint8_t *)text, strnlen(text, 4));
    if (n <= 0) {
        *bytes = 1;
        return 0xFFFD;
    }
    *bytes = (size_t)n;
    return c;
}

bool utf8_valid(const char *text)
{
    return u8_check((const uint8_t *)text, strlen(text)) == NULL;
}

/* Unicode Standard Annex 29 by libunistring, pair by pair of code points. */
size_t utf8_character(const char *text)
{
    size_t n, all;
    uint32_t before = utf8_next(text, &all);
    if (all == 1 && is_ascii(text[0]) && is_ascii(text[1]) && text[0] != '\r')
        return 1; /* of ASCII only CR and LF are one character */
    while (all > 0) {
        uint32_t c = utf8_next(text + all, &n);
        if (n == 0 || uc_is_grapheme_break(before, c))
            break;
        before = c;
        all += n;
    }
    return all;
}

size_t utf8_count(const char *text)
{
    size_t count = 0, n;
    for (; (n = utf8_character(text)) > 0; text += n)
        count++;
    return count;
}

/* What runs from right to left is libunistring's to know. That letters join or change places no property of its own
 * tells, so those scripts stand here by their blocks (Unicode 15, Blocks.txt; which of them need it: from memory). */
bool utf8_needs_shaping(uint32_t c)
{
    static const struct {
        uint32_t first, last;
    } blocks[] = {
        {0x0900, 0x0DFF},   /* Devanagari to Sinhala */
        {0x0F00, 0x109F},   /* Tibetan, Myanmar */
        {0x1100, 0x11FF},   /* Hangul Jamo, which pile up to syllables */
        {0x1700, 0x18AF},   /* Tagalog to Mongolian, Khmer among them */
        {0x1900, 0x1CFF},   /* Limbu to Vedic signs */
        {0xA800, 0xA8FF},   /* Syloti Nagri to Devanagari Extended */
        {0xA930, 0xA9FF},   /* Rejang, Javanese, Myanmar Extended */
        {0xAA00, 0xAAFF},   /* Cham to Meetei Mayek */
        {0xABC0, 0xABFF},   /* Meetei Mayek */
        {0x11000, 0x11FFF}, /* Brahmi and its kin */
    };
    int bidi = uc_bidi_category(c);
    bool shaped = bidi == UC_BIDI_R || bidi == UC_BIDI_AL || bidi == UC_BIDI_AN;
    for (size_t i = 0; !shaped && i < sizeof blocks / sizeof *blocks; i++)
        shaped = c >= blocks[i].first && c <= blocks[i].last;
    return shaped;
}

uint32_t utf8_first_shaped(const char *text)
{
    size_t n;
    for (uint32_t c; c = utf8_next(text, &n), n > 0; text += n)
        if (utf8_needs_shaping(c))
            return c;
    return 0;
}

/* uc_width gives -1 for control characters; they count as one so that a sum never shrinks. */
int utf8_width(uint32_t c)
{
    int width = c >= 0x20 && c < 0x7F ? 1 : uc_width(c, "UTF-8");
    return width < 0 ? 1 : width;
}

static size_t columns_of(const char *text, size_t bytes)
{
    size_t columns = 0, n;
    for (size_t at = 0; at < bytes; at += n) {
        uint32_t c = utf8_next(text + at, &n);
        if (n == 0)
            break;
        columns += (size_t)utf8_width(c);
    }
    return columns;
}

size_t utf8_columns(const char *text)
{
    return columns_of(text, strlen(text));
}

size_t utf8_fit(const char *text, size_t bytes, size_t columns)
{
    size_t all = 0, taken = 0, n;
    while ((n = utf8_character(text + all)) > 0) {
        size_t width = columns_of(text + all, n);
        if (all + n > bytes || taken + width > columns)
            break;
        all += n;
        taken += width;
    }
    return all;
}

/* memmove: a text may be shortened in its own place. */
bool utf8_copy(char *out, size_t size, const char *text)
{
    size_t whole = strlen(text);
    size_t n = whole < size ? whole : size > 0 ? utf8_fit(text, size - 1, (size_t)-1) : 0;
    if (size == 0)
        return false;
    memmove(out, text, n);
    out[n] = '\0';
    return n == whole;
}

/* What must reach no terminal, log or file: it moves the cursor, hides letters or turns them round. */
static bool is_foul(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x200B || c == 0x200E || c == 0x200F ||
           (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

bool utf8_is_clean(const char *text)
{
    size_t n;
    for (uint32_t c; c = utf8_next(text, &n), n > 0; text += n)
        if (is_foul(c) || (c == 0xFFFD && n == 1))
            return false;
    return true;
}

const char *utf8_clean(char *out, size_t size, const char *text)
{
    size_t used = 0, n;
    while (used + 1 < size && (utf8_next(text, &n), n > 0)) {
        if (*text >= 0x20 && *text < 0x7F && is_ascii(text[1])) {
            out[used++] = *text++;
            continue;
        }
        size_t whole = utf8_character(text), at = 0;
        char clean[64];
        size_t room = 0;
        /* A character may be long (marks on marks): what is too long to be one is shown as far as it fits. */
        while (at < whole && room + 4 < sizeof clean) {
            uint32_t c = utf8_next(text + at, &n);
            if (is_foul(c) || (c == 0xFFFD && n == 1)) {
                clean[room++] = '?';
            } else {
                memcpy(clean + room, text + at, n);
                room += n;
            }
            at += n;
        }
        if (used + room + 1 > size)
            break;
        memcpy(out + used, clean, room);
        used += room;
        text += whole;
    }
    if (size > 0)
        out[used] = '\0';
    return out;
}

const char *utf8_escape(char *out, size_t size, const uint8_t *bytes, size_t len)
{
    size_t n = 0;
    for (size_t i = 0; i < len; i++) {
        char one[5] = {(char)bytes[i], '\0'};
        if (bytes[i] == '\r' || bytes[i] == '\n')
            snprintf(one, sizeof one, "\\%c", bytes[i] == '\r' ? 'r' : 'n');
        else if (bytes[i] < ' ' || bytes[i] >= 0x7f || bytes[i] == '\\')
            snprintf(one, sizeof one, "\\x%02x", bytes[i]);
        size_t wide = strlen(one);
        if (n + wide >= size)
            break;
        memcpy(out + n, one, wide + 1);
        n += wide;
    }
    out[n] = '\0';
    return out;
}
