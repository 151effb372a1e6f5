/* member_text.c - see member_text.h. It must not know what a member means. */
#include "text/member_text.h"

#include "text/json_write.h"
#include "text/number.h"

#include <inttypes.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include <unistr.h>

void draft_member_word(struct draft *d, const char *before, const char *word)
{
    draft_add(d, before, strlen(before));
    draft_add(d, word, strlen(word));
}

void draft_member_text(struct draft *d, const char *before, const char *text)
{
    char room[JSON_ESCAPE];
    const char *piece;
    size_t bytes, length = text ? strlen(text) : 0;
    if (length == 0 || u8_check((const uint8_t *)text, length)) {
        draft_member_word(d, before, "null");
        return;
    }
    draft_member_word(d, before, "\"");
    for (size_t at = 0; at < length;) {
        at += json_piece(text + at, length - at, room, &piece, &bytes);
        draft_add(d, piece, bytes);
    }
    draft_add(d, "\"", 1);
}

/* What jansson makes of number_json's value, for what is too small or too large to be written as millionths: an
 * exponent then. */
static void put_other(struct draft *d, double value)
{
    char text[NUMBER_ROOM];
    json_t *number = number_json(value);
    size_t bytes = number ? json_dumpb(number, text, sizeof text, JSON_ENCODE_ANY | JSON_REAL_PRECISION(15)) : 0;
    d->lost = d->lost || bytes == 0 || bytes > sizeof text;
    json_decref(number);
    if (!d->lost)
        draft_add(d, text, bytes);
}

/* Fifteen digits hold every millionth below 10^9, so the digits of the integer are those of the double. What is not
 * finite is compared with false. */
void draft_member_number(struct draft *d, const char *before, double value)
{
    char text[NUMBER_ROOM];
    double millionths = round(value * 1e6);
    int64_t n = fabs(millionths) < 1e15 ? (int64_t)millionths : 1;
    draft_add(d, before, strlen(before));
    if (n % 1000000 == 0)
        draft_print(d, "%" PRId64, n / 1000000);
    else if (n >= 100 || n <= -100)
        draft_print(d, "%s", number_exact_ug(n, text));
    else
        put_other(d, value);
}
