/* pattern.c - fills a shape in. It knows the letters of the language and no family by name; what one family alone needs
 * (status bytes) has a letter of its own. */
#include "drivers/sim/styles.h"
#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* Where the frame is being written. full: something did not fit, the frame is void. */
struct pen {
    uint8_t *out;
    size_t len;
    bool full;
    const struct sim_weight *weight;
};

/* One directive as read from the shape: %[,][0][N]LETTER */
struct field {
    bool comma;
    bool zeros;
    size_t width; /* 0: as long as it is */
};

/* The one place that writes, and so the one that looks at the room. */
static void put(struct pen *pen, uint8_t byte)
{
    if (pen->len >= SIM_FRAME_MAX)
        pen->full = true;
    else
        pen->out[pen->len++] = byte;
}

/* As it is: sign, digits and units have been made by then. */
static void put_text(struct pen *pen, const char *text, size_t len)
{
    for (size_t i = 0; i < len; i++)
        put(pen, (uint8_t)text[i]);
}

/* The text right-aligned in the field; what is wider than the field voids the frame. */
static void put_right(struct pen *pen, struct field field, const char *text)
{
    size_t len = strlen(text);
    if (field.width && len > field.width) {
        pen->full = true;
        return;
    }
    bool minus = field.zeros && *text == '-'; /* zeros go between the sign and the digits */
    if (minus)
        put(pen, '-');
    for (size_t i = len; i < field.width; i++)
        put(pen, field.zeros ? '0' : ' ');
    put_text(pen, text + minus, len - minus);
}

/* The digits with their point, into text. */
static void decimal(const struct sim_weight *weight, struct field field, char text[40])
{
    char digits[24];
    size_t places = weight->decimals > 0 ? (size_t)weight->decimals : 0, at = 0;
    int len = snprintf(digits, sizeof digits, "%llu", (unsigned long long)weight->digits);
    size_t have = (size_t)len, whole = have > places ? have - places : 0;
    if (!whole)
        text[at++] = '0';
    for (size_t i = 0; i < whole; i++)
        text[at++] = digits[i];
    if (places)
        text[at++] = field.comma ? ',' : '.';
    for (size_t i = have; i < places && i < 8; i++)
        text[at++] = '0';
    for (size_t i = whole; i < have; i++)
        text[at++] = digits[i];
    if (weight->decimals < 0 && weight->digits)
        text[at++] = '0';
    text[at] = 0;
}

/* The letters d s P b R: one number, and how its sign and its last digit are written. */
static void put_number(struct pen *pen, struct field field, char letter)
{
    char text[40], other[48];
    decimal(pen->weight, field, text);
    size_t len = strlen(text);
    if (letter == 'P' && pen->weight->negative)
        pen->full = true;
    if (letter == 'b')
        snprintf(other, sizeof other, "%.*s[%s]", (int)len - 1, text, text + len - 1);
    else
        snprintf(other, sizeof other, "%s%s", letter != 'd' && letter != 'P' && pen->weight->negative ? "-" : "", text);
    if (letter != 'R') {
        put_right(pen, field, other);
        return;
    }
    size_t start = pen->len; /* reversed, the padding too */
    field.zeros = true;
    put_right(pen, field, other);
    for (size_t a = start, b = pen->len; a + 1 < b; a++, b--) {
        uint8_t byte = pen->out[a];
        pen->out[a] = pen->out[b - 1];
        pen->out[b - 1] = byte;
    }
}

/* Without a point: what places it stands elsewhere in the frame. */
static void put_digits(struct pen *pen, struct field field, uint64_t digits)
{
    char text[24];
    snprintf(text, sizeof text, "%llu", (unsigned long long)digits);
    put_right(pen, field, text);
}

/* All nines, with the point where the weight has its own. */
static void put_nines(struct pen *pen, struct field field)
{
    size_t point = pen->weight->decimals > 0 ? field.width - 1 - (size_t)pen->weight->decimals : field.width;
    for (size_t i = 0; i < field.width; i++)
        put(pen, i == point ? (field.comma ? ',' : '.') : '9');
}

/* The letters u r U k: the same unit, padded behind, padded in front, in capitals, as one capital. */
static void put_unit(struct pen *pen, struct field field, char letter)
{
    static const char *const spelled[SIM_UNITS] = {"g", "kg", "lb", "oz", "mg", "t", "GN", "PC"};
    static const char letters[SIM_UNITS + 1] = "GKLOMTNP";
    const char *unit = spelled[pen->weight->unit];
    if (letter == 'k') {
        put(pen, (uint8_t)letters[pen->weight->unit]);
        return;
    }
    if (letter == 'r') {
        put_right(pen, field, unit);
        return;
    }
    size_t len = strlen(unit);
    for (size_t i = 0; i < len; i++)
        put(pen, (uint8_t)(letter == 'U' ? toupper((unsigned char)unit[i]) : unit[i]));
    for (size_t i = len; i < field.width; i++)
        put(pen, ' ');
}

/* stx18: A point and increment, B net, negative, out of range, motion, kg or lb, C the unit. frames/README's table. */
static void put_stx_status(struct pen *pen)
{
    const struct sim_weight *w = pen->weight;
    static const int units[SIM_UNITS] = {[SIM_G] = 1, [SIM_T] = 2, [SIM_OZ] = 3};
    int increment = w->step == 5 ? 3 : w->step; /* 1, 2, 5 as 1, 2, 3 */
    int out_of_range = w->status == SIM_OVER || w->status == SIM_UNDER;
    put(pen, (uint8_t)(0x20 | ((w->decimals + 2) & 7) | increment << 3));
    put(pen, (uint8_t)(0x20 | (w->net ? 1 : 0) | (w->negative ? 2 : 0) | out_of_range << 2 | (w->stable ? 0 : 8) |
                       (w->unit == SIM_LB ? 0 : 0x10)));
    put(pen, (uint8_t)(0x20 | units[w->unit]));
}

/* scp: h1 motion and zero, h2 under and over (bit 6: one more follows), h3 net. */
static void put_scp_status(struct pen *pen, bool three)
{
    const struct sim_weight *w = pen->weight;
    put(pen, (uint8_t)(0x30 | (w->stable ? 0 : 1) | (w->status == SIM_OK && w->digits == 0 ? 2 : 0)));
    put(pen, (uint8_t)(0x30 | (w->status == SIM_UNDER ? 1 : 0) | (w->status == SIM_OVER ? 2 : 0) | (three ? 0x40 : 0)));
    if (three)
        put(pen, (uint8_t)(0x30 | (w->net ? 4 : 0)));
}

/* Bit 5 differs between two makes of the same protocol, so both can be played. */
static void put_retail_status(struct pen *pen, bool bit5)
{
    const struct sim_weight *w = pen->weight;
    static const int bits[SIM_STATUSES] = {[SIM_OVER] = 2, [SIM_UNDER] = 4, [SIM_ERROR] = 8};
    put(pen, (uint8_t)(0x40 | (bit5 ? 0x20 : 0) | (w->stable ? 0 : 1) | bits[w->status]));
}

/* Checks over what was written so far. */
static void put_check(struct pen *pen, char letter)
{
    /* The exclusive or begins anew at STX, as its families do not count it; the sum is of all bytes. */
    uint8_t sum = 0, mixed = 0;
    for (size_t i = 0; i < pen->len; i++) {
        sum = (uint8_t)(sum + pen->out[i]);
        mixed = pen->out[i] == 0x02 ? 0 : (uint8_t)(mixed ^ pen->out[i]);
    }
    char hex[3];
    snprintf(hex, sizeof hex, "%02X", mixed);
    if (letter == 'x')
        put_text(pen, hex, 2);
    else
        put(pen, letter == 'c' ? mixed : (uint8_t)(-sum & 0x7f));
}

/* %(a|b): writes one of the two, returns what follows the closing bracket; NULL when the shape is at fault. */
static const char *put_choice(struct pen *pen, const char *at, char close, bool second)
{
    const char *bar = strchr(at, '|'), *end = strchr(at, close);
    if (!bar || !end || bar > end) {
        pen->full = true;
        return NULL;
    }
    put_text(pen, second ? bar + 1 : at, (size_t)(second ? end - bar - 1 : bar - at));
    return end + 1;
}

/* A letter that is not known voids the frame: the table is ours, so a test finds it. */
static void put_directive(struct pen *pen, struct field field, char letter)
{
    const struct sim_weight *w = pen->weight;
    switch (letter) {
    case '+':
    case '-':
        put(pen, w->negative ? '-' : letter == '+' ? '+' : ' ');
        break;
    case 'd':
    case 's':
    case 'P':
    case 'b':
    case 'R':
        put_number(pen, field, letter);
        break;
    case 'D':
    case 'T':
        put_digits(pen, field, letter == 'D' ? w->digits : w->tare_digits);
        break;
    case 'p':
        put(pen, (uint8_t)('0' + w->decimals));
        break;
    case 'n':
        put_nines(pen, field);
        break;
    case 'u':
    case 'r':
    case 'U':
    case 'k':
        put_unit(pen, field, letter);
        break;
    case 'z':
        put(pen, w->digits == 0 ? 'Z' : ' ');
        break;
    case 'x':
    case 'c':
    case 'y':
        put_check(pen, letter);
        break;
    case 'A':
        put_stx_status(pen);
        break;
    case 'h':
    case 'H':
        put_scp_status(pen, letter == 'H');
        break;
    case 'm':
    case 'M':
        put_retail_status(pen, letter == 'M');
        break;
    case 'L': /* the page tells only that it is 0x80 or more; our lamps: 1 stable, 2 net */
        put(pen, (uint8_t)(0x80 | (w->stable ? 1 : 0) | (w->net ? 2 : 0)));
        break;
    default:
        pen->full = true;
    }
}

/* One pass over the shape; the first thing that does not fit ends it, and nothing is sent. */
size_t sim_shape(const char *shape, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX])
{
    struct pen pen = {.out = out, .weight = weight};
    const char *at = shape;
    while (at && *at && !pen.full) {
        if (*at != '%') {
            put(&pen, (uint8_t)*at++);
            continue;
        }
        at++;
        if (*at == '(') {
            at = put_choice(&pen, at + 1, ')', !weight->stable);
        } else if (*at == '[') {
            at = put_choice(&pen, at + 1, ']', weight->net);
        } else {
            struct field field = {.comma = *at == ','};
            at += field.comma;
            field.zeros = *at == '0';
            for (; isdigit((unsigned char)*at); at++)
                field.width = field.width * 10 + (size_t)(*at - '0');
            put_directive(&pen, field, *at);
            at += *at != 0;
        }
    }
    return pen.full ? 0 : pen.len;
}
