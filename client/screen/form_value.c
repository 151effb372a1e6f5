/* form_value.c - what is written on a line as a number, a day or a member. It must not know which line it is. */
#include "client/screen/form.h"

#include "text/utf8.h"

#include <stdio.h>

/* Either sign is a decimal sign, whatever the shop's setting: a number pad has only one of them. Read by hand, since
 * strtod follows the locale. Twelve digits are more than any scale and less than a double loses. */
bool form_number(const char *text, double *value)
{
    double number = 0, place = 0;
    size_t digits = 0;
    for (; *text; text++) {
        if (*text >= '0' && *text <= '9') {
            number = place > 0 ? number + (*text - '0') * place : number * 10 + (*text - '0');
            place /= 10;
            if (++digits > 12)
                return false;
        } else if ((*text == '.' || *text == ',') && place == 0) {
            place = 0.1;
        } else {
            return false;
        }
    }
    *value = number;
    return digits > 0 && number <= 1e6;
}

/* 0 g of anything is a slip of the hand, never an amount. */
bool form_above_0(const char *text, double *value)
{
    return form_number(text, value) && *value > 0;
}

bool form_day(const char *text, char day[FORM_DAY])
{
    int d, month, year, end = 0;
    bool iso = sscanf(text, "%4d-%2d-%2d%n", &year, &month, &d, &end) == 3 && !text[end];
    bool german = !iso && sscanf(text, "%2d.%2d.%4d%n", &d, &month, &year, &end) == 3 && !text[end];
    if (iso || german)
        snprintf(day, FORM_DAY, "%04d-%02d-%02d", year % 10000, month % 100, d % 100);
    else
        utf8_copy(day, FORM_DAY, text);
    return iso || german;
}

void form_set_text(json_t *params, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(params, key, json_string(text));
}

/* What is no number is left out here, and refused in words by the foot line. */
void form_set_number(json_t *params, const char *key, const char *text)
{
    double value;
    if (form_number(text, &value))
        json_object_set_new(params, key, json_real(value));
}
