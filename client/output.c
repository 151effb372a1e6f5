/* output.c - sentences, figures and JSON on their way to stdout, and the one line on stderr. It must not know what
 * they tell of, nor which command failed. Two rules hold for all of it: what a person reads comes from the table of
 * words, and what a stranger wrote passes the cleaner. What a program reads (--json) is the daemon's own, unrounded
 * and untranslated. */
#include "client/output.h"

#include "text/timestamp.h"
#include "text/utf8.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* C0 is escaped by the writer of JSON already; all else that the cleaner refuses lies below U+10000. */
void output_json_to(const json_t *value, FILE *to)
{
    char *text = json_dumps(value, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15));
    size_t n;
    for (const char *at = text; at && *at; at += n) {
        char one[8] = "";
        uint32_t c = utf8_next(at, &n);
        memcpy(one, at, n);
        if (utf8_is_clean(one))
            fputs(one, to);
        else
            fprintf(to, "\\u%04x", (unsigned)c);
    }
    fputc('\n', to);
    free(text);
}

/* The daemon's own figures and names: nothing is rounded, translated or left out for a program. */
void output_json(const json_t *value)
{
    output_json_to(value, stdout);
}

/* A list as lines, so that a shell may count or cut it without a reader of JSON. */
void output_items(const json_t *list)
{
    size_t i;
    const json_t *item;
    json_array_foreach(list, i, item) output_json(item);
}

/* What German and our own marks become where the terminal has no UTF-8. None is longer than what it replaces. Two
 * letters for an umlaut, as German does without one; what has no near letter is a question mark, so that something
 * is seen to be missing. */
static const char *ascii_of(uint32_t c)
{
    static const struct {
        uint32_t c;
        const char *ascii;
    } near[] = {
        {0xE4, "ae"}, {0xF6, "oe"},  {0xFC, "ue"},    {0xC4, "Ae"},  {0xD6, "Oe"}, {0xDC, "Ue"}, {0xDF, "ss"},
        {0xD7, "x"},  {0x2212, "-"}, {0x2026, "..."}, {0x2013, "-"}, {0xB1, "+-"}, {0xB2, "2"},  {0xB5, "u"},
    };
    for (size_t i = 0; i < sizeof near / sizeof *near; i++)
        if (near[i].c == c)
            return near[i].ascii;
    return "?";
}

/* In place: the end never overtakes what is still to be read, since no replacement is longer. Combining marks vanish
 * with the letter kept: `e` for `é` written as two. */
static void to_ascii(char *text)
{
    size_t n;
    char *end = text;
    for (uint32_t c; c = utf8_next(text, &n), n > 0; text += n) {
        const char plain[] = {(char)c, '\0'}, *ascii = c < 0x80 ? plain : ascii_of(c);
        if (c >= 0x80 && utf8_width(c) == 0)
            ascii = ""; /* a mark on the letter before it */
        memcpy(end, ascii, strlen(ascii));
        end += strlen(ascii);
    }
    *end = '\0';
}

/* The one place on the way to a terminal where a stranger's text is made harmless: all other functions that print
 * come through here. */
char *output_clean(const char *text, bool utf8)
{
    size_t size = strlen(text) + 1;
    char *clean = malloc(size);
    if (!clean)
        return NULL;
    /* The cleaner only ever shortens: `?` takes one byte. */
    utf8_clean(clean, size, text);
    if (!utf8)
        to_ascii(clean);
    return clean;
}

/* Without memory nothing is printed: half a text might be a wrong one. */
void output_text(const char *text, struct output_style style, FILE *to)
{
    char *clean = output_clean(text, style.utf8);
    if (clean)
        fputs(clean, to);
    free(clean);
}

/* Slots come from files, frames and other people, so the whole sentence is cleaned and not its parts. */
static void say_to(struct output_style style, FILE *to, const char *form, va_list args)
{
    char text[SAID_TEXT_MAX];
    struct said s = say_list(form, args);
    output_text(said_text(&s, style.language, &style.number, text, sizeof text), style, to);
}

/* Without a line end, for a line that is put together of parts, and for questions. */
void output_say(struct output_style style, FILE *to, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    say_to(style, to, form, args);
    va_end(args);
}

/* A whole line of stdout. What goes to stderr ends a command and is failure_say's. */
void output_line(struct output_style style, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    say_to(style, stdout, form, args);
    va_end(args);
    fputc('\n', stdout);
}

/* The sentence as a value, for a cell of a table or a slot of another sentence. It is not cleaned yet: who prints it
 * does that. */
struct wording wording_of(struct output_style style, const char *form, ...)
{
    struct wording w;
    va_list args;
    va_start(args, form);
    struct said s = say_list(form, args);
    va_end(args);
    said_text(&s, style.language, &style.number, w.text, sizeof w.text);
    return w;
}

/* A code that this client does not know is of a newer daemon: its English text still tells the person something. */
struct wording wording_said(struct output_style style, const json_t *said, const char *text)
{
    struct wording w;
    struct said s;
    if (said_read(&s, said) && words_find(s.code))
        said_text(&s, style.language, &style.number, w.text, sizeof w.text);
    else
        utf8_copy(w.text, sizeof w.text, text);
    return w;
}

/* `ground` by `coat.ground`. A name without a word (a shop's own coat, or one of a newer daemon) is shown as it is. */
const char *wording_fixed(struct output_style style, const char *family, const char *name)
{
    char code[SAID_CODE * 2];
    snprintf(code, sizeof code, "%s.%.48s", family, name);
    return words_or(style.language, code, name);
}

const char *wording_errno(struct output_style style, int error)
{
    return wording_fixed(style, "reason", said_reason(error));
}

/* With its unit, or "-". A value that is not known is a dash without a unit: `- g` would look like a weight that is
 * missing its digits. */
static struct figure with_unit(double value, const char *number, const char *unit)
{
    struct figure f;
    bool known = isfinite(value);
    snprintf(f.text, sizeof f.text, "%.40s%s%.16s", known ? number : "-", known && *unit ? " " : "", known ? unit : "");
    return f;
}

/* The shop's decimal sign and a true minus where the terminal has one come with the style. */
struct figure figure_of(double value, int decimals, const char *unit, struct output_style style)
{
    char number[NUMBER_ROOM];
    return with_unit(value, number_fixed(&style.number, value, decimals, false, number, sizeof number), unit);
}

/* A plus sign tells at a glance that there is too much; 0 bears none. */
struct figure figure_signed(double value, int decimals, const char *unit, struct output_style style)
{
    char number[NUMBER_ROOM];
    return with_unit(value, number_fixed(&style.number, value, decimals, true, number, sizeof number), unit);
}

/* Where the scale's interval is unknown two decimals are shown, as nearly all bench scales have one or two. */
struct figure figure_weight(double g, struct output_style style)
{
    char number[NUMBER_ROOM];
    if (!(style.number.d_g > 0))
        return figure_of(g, 2, "g", style);
    return with_unit(g, number_weight(&style.number, g, false, number, sizeof number), "g");
}

/* An area of 0.31 m2 and a cup of 750 mL each as they were written, without zeros that nobody measured. */
struct figure figure_plain(double value, const char *unit, struct output_style style)
{
    char number[NUMBER_ROOM];
    return with_unit(value, number_plain(&style.number, value, number, sizeof number), unit);
}

/* As the shop's clock shows it: the offset of the time is left out, the day is not. */
struct figure figure_time(const char *time)
{
    struct figure f;
    timestamp_readable(time, f.text);
    return f;
}

/* Cut at the minute: the text of figure_time has a fixed width up to there. */
struct figure figure_minute(const char *time)
{
    struct figure f = figure_time(time);
    f.text[utf8_fit(f.text, strlen("2026-11-25 14:03"), SIZE_MAX)] = '\0';
    return f;
}

/* Enough for a list of cups: nobody asks for the minute at which a cup was finished. */
struct figure figure_day(const char *time)
{
    struct figure f;
    timestamp_day(time, f.text);
    return f;
}

/* ---- the one line on stderr ---- */

/* Contract section 3 to section 6. A code that is missing here is 70: the daemon is newer, and nothing is known. */
static const struct {
    json_int_t code;
    int exit;
} exits[] = {
    {-32700, EX_SOFTWARE}, {-32600, EX_SOFTWARE}, {-32601, EX_USAGE},    {-32603, EX_SOFTWARE}, {-32602, EX_DATAERR},
    {-32001, EX_DATAERR},  {-32002, EX_TEMPFAIL}, {-32003, EX_TEMPFAIL}, {-32004, EX_DATAERR},  {-32005, EX_DATAERR},
    {-32006, EX_NOPERM},   {-32007, EX_IOERR},    {-32008, EX_DATAERR},  {-32009, EX_IOERR},
};

/* The table is the contract's; a script tells `try again` (75) from `not so` (65) by it. */
int failure_exit(json_int_t code)
{
    for (size_t i = 0; i < sizeof exits / sizeof *exits; i++)
        if (exits[i].code == code)
            return exits[i].exit;
    return EX_SOFTWARE;
}

/* The three that a script can act on: another path, other rights, a disk to look after. */
int failure_errno(int error)
{
    return error == ENOENT ? EX_NOINPUT : error == EACCES ? EX_NOPERM : EX_IOERR;
}

/* Length without what ends a sentence. Reasons come with and without a full stop, from tables, from the system and
 * from an older daemon. */
static size_t sentence(const char *text)
{
    size_t len = strlen(text);
    while (len > 0 && (text[len - 1] == '.' || text[len - 1] == ' '))
        len--;
    return len;
}

/* A text and what ends it: nothing more where it asks. Cleaned part by part, since each comes from somebody else:
 * the command line, the daemon, a file. */
static void put(const char *before, const char *text, const char *end, bool utf8)
{
    char *clean = output_clean(text, utf8);
    size_t len = clean ? sentence(clean) : 0;
    bool asks = len > 0 && (clean[len - 1] == '?' || clean[len - 1] == '!');
    if (len > 0)
        fprintf(stderr, "%s%.*s%s", before, (int)len, clean, asks && *end == '.' ? "" : end);
    free(clean);
}

/* `poise: WHAT: WHY. HELP.` in one piece of stderr; a script may rely on exactly one line. stderr is not buffered by
 * lines here, so the parts of two programs that fail at once may mix; a script runs one at a time. */
static int line(struct output_style style, int exit, const char *what, const char *why, const char *help)
{
    put("poise: ", what, ": ", style.utf8);
    put("", why, ".", style.utf8);
    put(" ", help, ".", style.utf8);
    fputc('\n', stderr);
    return exit;
}

/* The help is the code's own; a code without help ends after the reason. */
int failure_said(struct output_style style, int exit, const char *what, const struct said *s)
{
    char why[SAID_TEXT_MAX], help[SAID_TEXT_MAX];
    return line(style, exit, what, said_text(s, style.language, &style.number, why, sizeof why),
                said_part(s, "help", style.language, &style.number, help, sizeof help));
}

/* Returns `exit`, so that a command can end with `return failure_say(...)`. */
int failure_say(struct output_style style, int exit, const char *what, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    struct said s = say_list(form, args);
    va_end(args);
    return failure_said(style, exit, what, &s);
}

/* The daemon's code and slots are said in the person's language; where this client knows no words for them, being
 * older, the daemon's English text is shown. `place`, the line of a file, takes the command's place in front. */
int failure_error(struct output_style style, const char *what, const json_t *error)
{
    const json_t *data = json_object_get(error, "data");
    const char *message = json_string_value(json_object_get(error, "message"));
    const char *help = json_string_value(json_object_get(data, "help"));
    int exit = failure_exit(json_integer_value(json_object_get(error, "code")));
    const char *place = json_string_value(json_object_get(data, "place")); /* the line of a file that is at fault */
    struct said s;
    if (place)
        what = place;
    if (said_read(&s, data) && words_find(s.code))
        return failure_said(style, exit, what, &s);
    if (!message || !*message)
        return failure_say(style, exit, what, "no_reason");
    return line(style, exit, what, message, help ? help : "");
}
