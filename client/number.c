#include "client/number.h"

#include "client/fault.h"

#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

static size_t digits(const char *s)
{
    return strspn(s, "0123456789");
}

enum number_fault number_parse(const char *text, double *value)
{
    const char *at = text + (*text == '-' || *text == '+');
    size_t whole = digits(at), after = 0;
    bool zero = *at == '0';
    at += whole;
    bool comma = *at == ',';
    if (*at == '.' || comma)
        after = digits(++at);
    if (at[after] != '\0' || whole + after == 0 || whole + after > 15)
        return NUMBER_TRASH;
    /* Three digits after a comma may be a thousand to the one and a tolerance to the other: never guess 1 g for 1 kg.
     */
    if (comma && after == 3 && whole >= 1 && whole <= 3 && !zero)
        return NUMBER_TWO_WAYS;
    char plain[32];
    memcpy(plain, text, strlen(text) + 1);
    char *mark = strchr(plain, ',');
    if (mark)
        *mark = '.';
    *value = strtod(plain, NULL); /* LC_NUMERIC stays "C": the client sets LC_CTYPE alone */
    return NUMBER_OK;
}

int number_read(const char *what, const char *text, double *value)
{
    switch (number_parse(text, value)) {
    case NUMBER_OK:
        return 0;
    case NUMBER_TWO_WAYS:
        return fault_say(EX_USAGE, what, "Write it without thousands, with a point.", "%s can be read two ways", text);
    default:
        return fault_say(EX_USAGE, what, "Write digits, with a point or a comma before the decimals.",
                         "\"%s\" is no number", text);
    }
}

int number_read_above_0(const char *what, const char *text, double *value)
{
    int code = number_read(what, text, value);
    if (code == 0 && !(*value > 0))
        code = fault_say(EX_USAGE, what, "Give a number above 0.", "%s is too small", text);
    return code;
}
