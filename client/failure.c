/* failure.c - the one line on stderr. It must not know which command failed. */
#include "client/failure.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* Contract section 3 to section 6. A code that is missing here is 70: the daemon is newer, and nothing is known. */
static const struct {
    json_int_t code;
    int exit;
} exits[] = {
    {-32700, EX_SOFTWARE}, {-32600, EX_SOFTWARE}, {-32601, EX_USAGE},    {-32603, EX_SOFTWARE}, {-32602, EX_DATAERR},
    {-32001, EX_DATAERR},  {-32002, EX_TEMPFAIL}, {-32003, EX_TEMPFAIL}, {-32004, EX_DATAERR},  {-32005, EX_DATAERR},
    {-32006, EX_NOPERM},   {-32007, EX_IOERR},    {-32008, EX_DATAERR},  {-32009, EX_IOERR},
};

int failure_exit(json_int_t code)
{
    for (size_t i = 0; i < sizeof exits / sizeof *exits; i++)
        if (exits[i].code == code)
            return exits[i].exit;
    return EX_SOFTWARE;
}

/* Length without what ends a sentence. */
static size_t sentence(const char *text)
{
    size_t len = strlen(text);
    while (len > 0 && (text[len - 1] == '.' || text[len - 1] == ' '))
        len--;
    return len;
}

/* A text and what ends it: nothing more where it asks. */
static void put(const char *before, const char *text, const char *end, bool utf8)
{
    char *clean = output_clean(text, utf8);
    size_t len = clean ? sentence(clean) : 0;
    bool asks = len > 0 && (clean[len - 1] == '?' || clean[len - 1] == '!');
    if (len > 0)
        fprintf(stderr, "%s%.*s%s", before, (int)len, clean, asks && *end == '.' ? "" : end);
    free(clean);
}

/* `poise: WHAT: WHY. HELP.` in one piece of stderr; a script may rely on exactly one line. */
static int line(struct output_style style, int exit, const char *what, const char *why, const char *help)
{
    put("poise: ", what, ": ", style.utf8);
    put("", why, ".", style.utf8);
    put(" ", help, ".", style.utf8);
    fputc('\n', stderr);
    return exit;
}

int failure_said(struct output_style style, int exit, const char *what, const struct said *s)
{
    char why[SAID_TEXT_MAX], help[SAID_TEXT_MAX];
    return line(style, exit, what, said_text(s, style.language, &style.number, why, sizeof why),
                said_part(s, "help", style.language, &style.number, help, sizeof help));
}

int failure_say(struct output_style style, int exit, const char *what, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    struct said s = say_list(form, args);
    va_end(args);
    return failure_said(style, exit, what, &s);
}

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
