/* said.c - packing, reading and writing a said. It must not know any code by name.
 *
 * A slot is packed as: its name, NUL, one letter for its kind (t text, n number, c count), its value as text, NUL.
 * Numbers are kept as the shortest text that reads back to the same double.
 */
#include "text/said.h"

#include "text/utf8.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct slot {
    const char *name, *value;
    char kind;
};

/* The slot at *at; moves *at on. False: no more. */
static bool next_slot(const struct said *s, size_t *at, struct slot *out)
{
    if (*at >= s->used)
        return false;
    out->name = s->room + *at;
    out->kind = out->name[strlen(out->name) + 1];
    out->value = out->name + strlen(out->name) + 2;
    *at = (size_t)(out->value - s->room) + strlen(out->value) + 1;
    return true;
}

/* A handful of slots: a walk is quicker than any index. */
static bool find_slot(const struct said *s, const char *name, size_t len, struct slot *out)
{
    for (size_t at = 0; next_slot(s, &at, out);)
        if (strlen(out->name) == len && memcmp(out->name, name, len) == 0)
            return true;
    return false;
}

/* A slot whose name finds no room is left out and shows as `?`; a text that is too long is cut to the room left. */
static void put_slot(struct said *s, const char *name, size_t name_len, char kind, const char *value)
{
    size_t free_bytes = sizeof s->room - s->used, head = name_len + 2;
    if (free_bytes < head + 2)
        return;
    char *at = s->room + s->used;
    memcpy(at, name, name_len);
    at[name_len] = '\0';
    at[name_len + 1] = kind;
    utf8_clean(at + head, free_bytes - head, value); /* a stranger's text may stand in any sentence */
    s->used = (unsigned short)(s->used + head + strlen(at + head) + 1);
}

/* As the contract writes a number, and rounded here, so that a sentence reads the same once a journal has kept it. */
static double six_decimals(double value)
{
    return fabs(value) < 1e9 ? round(value * 1e6) / 1e6 : value;
}

/* Shortest text that reads back: 6 digits do for nearly all, 17 always do for a double. */
static void put_number(struct said *s, const char *name, size_t len, double value)
{
    char text[40];
    if (!isfinite(value))
        return;
    value = six_decimals(value);
    for (int digits = 6; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, value);
        if (strtod(text, NULL) == value)
            break;
    }
    put_slot(s, name, len, 'n', text);
}

/* The form is that of printf so that the compiler checks the types; only %s, %f and whole numbers are slots. What is
 * not known (NULL, NaN) keeps its slot, so that no sentence loses a word of its own. */
struct said say_list(const char *form, va_list args)
{
    struct said s = {.used = 0};
    size_t len = strcspn(form, " ");
    snprintf(s.code, sizeof s.code, "%.*s", (int)len, form);
    for (form += len; *form; form += strcspn(form, " ")) {
        form += strspn(form, " ");
        size_t name = strcspn(form, "=");
        const char *kind = form + name + (form[name] ? 2 : 0); /* behind `=%` */
        char text[40];
        if (strncmp(kind, "s", 1) == 0) {
            const char *value = va_arg(args, const char *);
            put_slot(&s, form, name, 't', value ? value : "");
        } else if (strncmp(kind, "f", 1) == 0) {
            put_number(&s, form, name, va_arg(args, double));
        } else if (*kind) {
            long long count = strncmp(kind, "lld", 3) == 0  ? va_arg(args, long long)
                              : strncmp(kind, "zu", 2) == 0 ? (long long)va_arg(args, size_t)
                              : strncmp(kind, "ld", 2) == 0 ? va_arg(args, long)
                                                            : va_arg(args, int);
            snprintf(text, sizeof text, "%lld", count);
            put_slot(&s, form, name, 'c', text);
        }
    }
    return s;
}

struct said say(const char *form, ...)
{
    va_list args;
    va_start(args, form);
    struct said s = say_list(form, args);
    va_end(args);
    return s;
}

bool said_is(const struct said *s, const char *code)
{
    return strcmp(s->code, code) == 0;
}

/* Byte by byte of the slots: no words are made to find out whether a trouble is another one. */
bool said_same(const struct said *a, const struct said *b)
{
    return strcmp(a->code, b->code) == 0 && a->used == b->used && memcmp(a->room, b->room, a->used) == 0;
}

/* NaN: there is no such slot, or it is a text. */
double said_number(const struct said *s, const char *slot)
{
    struct slot found;
    return find_slot(s, slot, strlen(slot), &found) && found.kind != 't' ? strtod(found.value, NULL) : (double)NAN;
}

const char *said_word(const struct said *s, const char *slot)
{
    struct slot found;
    return find_slot(s, slot, strlen(slot), &found) && found.kind == 't' ? found.value : NULL;
}

/* The unit of a slot stands at the end of its name, as in the protocol. */
static bool ends_in(const char *name, const char *end)
{
    size_t n = strlen(name), e = strlen(end);
    return n >= e && strcmp(name + n - e, end) == 0;
}

/* A slot as a person reads it: a weight to the scale's interval, a volume and a time whole, a per cent to a tenth, a
 * fixed name by its word. */
static const char *slot_text(const struct slot *slot, enum words_language language, const struct number_style *style,
                             char room[256])
{
    static const struct {
        const char *slot, *family;
    } fixed[] = {{"coat", "coat"}, {"finish", "finish"}, {"role", "role"},  {"state", "state"},
                 {"cue", "cue"},   {"remedy", "remedy"}, {"why", "reason"}, {"cause", "reason"}};
    if (slot->kind == 't') {
        for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
            if (strcmp(slot->name, fixed[i].slot) == 0) {
                snprintf(room, 256, "%s.%s", fixed[i].family, slot->value);
                return words_or(language, room, slot->value);
            }
        return slot->value;
    }
    double value = strtod(slot->value, NULL);
    if (slot->kind == 'c')
        return slot->value;
    if (strcmp(slot->name, "d_g") == 0) /* the interval itself; `load_g` and `poured_g` end alike and are weights */
        return number_plain(style, value, room, 256);
    if (ends_in(slot->name, "_g"))
        return number_weight(style, value, false, room, 256);
    if (ends_in(slot->name, "_ml") || ends_in(slot->name, "_s") || ends_in(slot->name, "_min"))
        return number_fixed(style, value, 0, false, room, 256);
    if (ends_in(slot->name, "_pct"))
        return number_fixed(style, value, 1, false, room, 256);
    return number_plain(style, value, room, 256);
}

/* Only the reasons that a person meets: the system's own text is English or of a locale that may not be there. */
const char *said_reason(int error)
{
    static const struct {
        int error;
        const char *code;
    } reasons[] = {
        {ENOENT, "reason.missing"},     {EACCES, "reason.denied"},         {EPERM, "reason.denied"},
        {ENOSPC, "reason.full"},        {ECONNREFUSED, "reason.refused"},  {EISDIR, "reason.folder"},
        {ENOTDIR, "reason.no_folder"},  {EEXIST, "reason.exists"},         {EIO, "reason.broken"},
        {EROFS, "reason.read_only"},    {ENAMETOOLONG, "reason.too_long"}, {ENOMEM, "reason.memory"},
        {ENOTSOCK, "reason.no_socket"}, {EADDRINUSE, "reason.taken"},      {EADDRNOTAVAIL, "reason.no_address"},
    };
    for (size_t i = 0; i < sizeof reasons / sizeof *reasons; i++)
        if (reasons[i].error == error)
            return reasons[i].code + strlen("reason.");
    return strerror(error);
}

/* Fills `{slot}` of a text; `{{` and `}}` are braces. A slot that was not given stands as `?`. */
static void fill(const struct said *s, const char *text, enum words_language language, const struct number_style *style,
                 char *out, size_t size)
{
    char room[256];
    size_t used = 0;
    while (*text && used + 1 < size) {
        const char *piece = text;
        size_t len = strcspn(text, "{}");
        if (len == 0 && text[0] == '{' && text[1] != '{') {
            size_t name = strcspn(text + 1, "}");
            struct slot slot;
            piece = find_slot(s, text + 1, name, &slot) ? slot_text(&slot, language, style, room) : "?";
            text += name + (text[name + 1] ? 2 : 1);
            bool whole = utf8_copy(out + used, size - used, piece);
            used += strlen(out + used);
            if (!whole)
                return; /* nothing stands behind a gap */
            continue;
        }
        if (len == 0) { /* a doubled brace, or one that is lost */
            len = 1;
            text += text[0] == text[1] ? 2 : 1;
        } else {
            text += len;
        }
        size_t fits = len < size - used ? len : utf8_fit(piece, size - used - 1, (size_t)-1);
        memcpy(out + used, piece, fits);
        used += fits;
        if (fits < len)
            break;
    }
    out[used] = '\0';
}

/* Which of two forms: English and German say the plural for all but 1, and so does every count of ours. */
static const char *form_of(const struct words_row *row, const struct said *s, enum words_language language)
{
    struct slot slot;
    const char *one = words_text(row, language), *many = words_plural(row, language);
    if (!many)
        return one;
    for (size_t at = 0; next_slot(s, &at, &slot);)
        if (slot.kind == 'c')
            return strcmp(slot.value, "1") == 0 ? one : many;
    return many;
}

static const struct number_style plain_style = {.point = '.'};

/* A code without words is shown as itself: a later daemon may say what this client does not know. */
const char *said_text(const struct said *s, enum words_language language, const struct number_style *style, char *out,
                      size_t size)
{
    const struct words_row *row = words_find(s->code);
    if (size == 0)
        return out;
    fill(s, row ? form_of(row, s, language) : s->code, language, style ? style : &plain_style, out, size);
    return out;
}

/* "" where that part has no words, such as a fault that has no help of its own. */
const char *said_part(const struct said *s, const char *part, enum words_language language,
                      const struct number_style *style, char *out, size_t size)
{
    char code[SAID_CODE + 16];
    snprintf(code, sizeof code, "%s.%s", s->code, part);
    const struct words_row *row = words_find(code);
    if (size == 0)
        return out;
    out[0] = '\0';
    if (row)
        fill(s, form_of(row, s, language), language, style ? style : &plain_style, out, size);
    return out;
}

json_t *said_args_json(const struct said *s)
{
    struct slot slot;
    json_t *args = json_object();
    for (size_t at = 0; next_slot(s, &at, &slot);) {
        json_t *value = slot.kind == 't'   ? json_string(slot.value)
                        : slot.kind == 'c' ? json_integer(strtoll(slot.value, NULL, 10))
                                           : json_real(strtod(slot.value, NULL)); /* a whole one too: no count */
        json_object_set_new(args, slot.name, value ? value : json_string("?"));
    }
    return args;
}

json_t *said_bare_json(const struct said *s)
{
    return s->code[0] ? json_pack("{s:s, s:o}", "code", s->code, "args", said_args_json(s)) : json_null();
}

json_t *said_json(const struct said *s, const struct number_style *style)
{
    char text[SAID_TEXT_MAX];
    json_t *o = said_bare_json(s);
    if (json_is_object(o))
        json_object_set_new(o, "text", json_string(said_text(s, WORDS_EN, style, text, sizeof text)));
    return o;
}

/* Of a journal, or of a daemon that is not of this version: slots of other kinds are passed over, and a code that is
 * too long is refused rather than cut into another. */
bool said_read(struct said *s, const json_t *object)
{
    const char *name;
    json_t *value;
    const char *code = json_string_value(json_object_get(object, "code"));
    *s = (struct said){.used = 0};
    if (!code || !*code || strlen(code) >= sizeof s->code)
        return false;
    snprintf(s->code, sizeof s->code, "%s", code);
    json_object_foreach(json_object_get(object, "args"), name, value)
    {
        char count[32];
        snprintf(count, sizeof count, "%lld", (long long)json_integer_value(value));
        if (json_is_string(value))
            put_slot(s, name, strlen(name), 't', json_string_value(value));
        else if (json_is_integer(value))
            put_slot(s, name, strlen(name), 'c', count);
        else if (json_is_real(value))
            put_number(s, name, strlen(name), json_real_value(value));
    }
    return true;
}
