/* utf8.h - the one text type: UTF-8 that is cut only between characters, and the one cleaner of text that strangers
 * made (files, frames, names, arguments, printers).
 *
 * A character here is what a reader takes for one: a letter with the combining marks and joiners behind it.
 * Units   sizes are bytes, widths are terminal columns. Bytes that are no UTF-8 count as one column each.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The next code point and how many bytes it takes; 0xFFFD and 1 byte for what is no UTF-8; 0 and 0 at the end. */
uint32_t utf8_next(const char *text, size_t *bytes);
bool utf8_valid(const char *text);
/* Bytes of the first character (see above); 0 at the end. */
size_t utf8_character(const char *text);
/* How many characters, and how many terminal columns. */
size_t utf8_count(const char *text);
size_t utf8_columns(const char *text);
/* Whether a code point belongs to a script that a letter by letter writer sets wrong: it runs from right to left, or
 * its letters join or change places beside each other. */
bool utf8_needs_shaping(uint32_t c);
/* The first such code point of a text, 0: it has none. */
uint32_t utf8_first_shaped(const char *text);
/* Columns of one code point: 0 combining, 1, or 2 (East Asian wide). */
int utf8_width(uint32_t c);
/* Copies what fits, whole characters only, and always ends it. False: something was cut. */
bool utf8_copy(char *out, size_t size, const char *text);
/* Bytes of the longest part of text from its start that takes at most so many bytes, and so many columns. */
size_t utf8_fit(const char *text, size_t bytes, size_t columns);
/* Contract section 3: no C0, C1, DEL, U+200B, U+200E, U+200F, U+202A to U+202E, U+2066 to U+2069, and no bytes that are
 * no UTF-8. U+200C and U+200D stay: words of some languages need them. */
bool utf8_is_clean(const char *text);
/* Copies with each of those shown as `?`. Returns out. */
const char *utf8_clean(char *out, size_t size, const char *text);
/* Any bytes as ASCII: printable ones as they are, others and `\` as poised.ini writes them (`\r`, `\n`, `\xNN`). Ends
 * before an escape that does not fit; 4 bytes each and 1 always do. Returns out. */
const char *utf8_escape(char *out, size_t size, const uint8_t *bytes, size_t len);
