/* strict.c - text to JSON, with what the library lets pass refused. It must not know what a call is. */
#include "rpc/strict.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Past the string whose opening quote is at text[at]: the place behind its closing quote. */
static size_t after_string(const char *text, size_t len, size_t at)
{
    for (at++; at < len && text[at] != '"'; at++)
        if (text[at] == '\\')
            at++;
    return at + 1;
}

/* The parser calls itself for each level (its own limit is 2,048), so count before. */
static bool too_deep(const char *text, size_t len)
{
    int depth = 0;

    for (size_t i = 0; i < len; i++) {
        if (text[i] == '"')
            i = after_string(text, len, i) - 1;
        else if ((text[i] == '[' || text[i] == '{') && ++depth > RPC_DEPTH_MAX)
            return true;
        else if (text[i] == ']' || text[i] == '}')
            depth--;
    }
    return false;
}

/* Any letter of a JSON number; what is well formed the parser decides. */
static bool in_number(char c)
{
    return (c >= '0' && c <= '9') || c == '+' || c == '-' || c == '.' || c == 'e' || c == 'E';
}

/* A number of that text is well formed and beyond what the parser keeps: an integer beyond 64 bits, a real beyond a
 * double. number is NUL-ended somewhere. */
static bool overflows(const char *number, size_t len)
{
    bool integer = !memchr(number, '.', len) && !memchr(number, 'e', len) && !memchr(number, 'E', len);
    char *end;
    double value = strtod(number, &end);

    if (end != number + len || *number == '+' || *number == '.')
        return false;
    return integer ? fabs(value) >= 9.2e18 : isinf(value);
}

/* Writes +-1e308 over each number that overflows; none of these is shorter than that. text is NUL-ended. */
static void tame_numbers(char *text, size_t len)
{
    static const char large[] = {'1', 'e', '3', '0', '8'};

    for (size_t i = 0; i < len; i++) {
        size_t n = 0;

        if (text[i] == '"') {
            i = after_string(text, len, i) - 1;
            continue;
        }
        while (i + n < len && in_number(text[i + n]))
            n++;
        if (n >= sizeof large && overflows(text + i, n)) {
            size_t sign = text[i] == '-' ? 1 : 0;

            memset(text + i + sign, ' ', n - sign);
            memcpy(text + i + sign, large, sizeof large);
        }
        i += n ? n - 1 : 0;
    }
}

/* The text is the transport's, so a copy is written over. NULL: not JSON, or no memory. */
static json_t *parse_tamed(const char *text, size_t len, json_error_t *error)
{
    char *copy = malloc(len + 1);
    json_t *value = NULL;

    if (copy) {
        memcpy(copy, text, len);
        copy[len] = '\0';
        tame_numbers(copy, len);
        value = json_loadb(copy, len, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, error);
    }
    free(copy);
    return value;
}

/* Only a text with a number that overflows is parsed twice. */
json_t *rpc_parse(const char *text, size_t len, struct fault *fault)
{
    json_error_t error = {0};
    json_t *value;

    if (too_deep(text, len)) {
        fault_said(fault, FAULT_REQUEST, NULL, "too deep", "call_too_deep most=%d", RPC_DEPTH_MAX);
        return NULL;
    }
    errno = 0;
    value = json_loadb(text, len, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &error);
    if (!value && json_error_code(&error) == json_error_numeric_overflow)
        value = parse_tamed(text, len, &error);
    if (!value && errno == ENOMEM) /* jansson calls it a token that is none, or nothing at all */
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (!value)
        fault_said(fault, FAULT_PARSE, NULL, NULL, "not_json what=%s", error.text);
    return value;
}
