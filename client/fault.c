#include "client/fault.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>

static const struct {
    json_int_t code;
    int exit;
} exits[] = {
    {-32700, EX_SOFTWARE}, {-32600, EX_SOFTWARE}, {-32601, EX_SOFTWARE}, {-32603, EX_SOFTWARE}, {-32602, EX_DATAERR},
    {-32001, EX_DATAERR},  {-32002, EX_TEMPFAIL}, {-32003, EX_TEMPFAIL}, {-32004, EX_DATAERR},  {-32005, EX_DATAERR},
    {-32006, EX_NOPERM},   {-32007, EX_IOERR},    {-32008, EX_DATAERR},
};

int fault_exit(json_int_t code)
{
    for (size_t i = 0; i < sizeof exits / sizeof *exits; i++)
        if (exits[i].code == code)
            return exits[i].exit;
    return EX_SOFTWARE;
}

/* Cuts at a control character, so that one fault is one line, and drops what ends a sentence. */
static size_t sentence(const char *text)
{
    size_t len = 0;
    while ((unsigned char)text[len] >= ' ' && text[len] != 0x7f)
        len++;
    while (len > 0 && (text[len - 1] == '.' || text[len - 1] == ' '))
        len--;
    return len;
}

/* What ends it: nothing more where it asks. */
static const char *stop(const char *text)
{
    size_t len = sentence(text);
    return len > 0 && text[len - 1] == '?' ? "" : ".";
}

int fault_say(int exit, const char *what, const char *help, const char *why, ...)
{
    char text[512];
    va_list args;
    va_start(args, why);
    vsnprintf(text, sizeof text, why, args);
    va_end(args);
    fprintf(stderr, "poise: %.*s: %.*s%s", (int)sentence(what), what, (int)sentence(text), text, stop(text));
    if (help && sentence(help))
        fprintf(stderr, " %.*s%s", (int)sentence(help), help, stop(help));
    fputc('\n', stderr);
    return exit;
}

int fault_say_error(const char *what, const json_t *error)
{
    const json_t *data = json_object_get(error, "data");
    const char *message = json_string_value(json_object_get(error, "message"));
    const char *help = json_string_value(json_object_get(data, "help"));
    int exit = fault_exit(json_integer_value(json_object_get(error, "code")));
    return fault_say(exit, what, help, "%s", message && *message ? message : "the daemon gave no reason");
}
