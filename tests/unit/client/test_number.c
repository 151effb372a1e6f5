/* Numbers as a person types them, and as a page shows them. */
#include "client/options.h"
#include "client/output.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const struct {
    const char *text;
    enum number_fault fault;
    double value;
} typed[] = {
    {"250", NUMBER_OK, 250},       {"250.5", NUMBER_OK, 250.5},
    {"250,5", NUMBER_OK, 250.5},   {"0,125", NUMBER_OK, 0.125}, /* begins with 0: no thousand */
    {".5", NUMBER_OK, 0.5},        {"5.", NUMBER_OK, 5},
    {"-3", NUMBER_OK, -3}, /* a number all the same: the daemon says what is wrong with it */
    {"+3", NUMBER_OK, 3},          {"1.250", NUMBER_OK, 1.25},
    {"1,250", NUMBER_TWO_WAYS, 0}, {"999,000", NUMBER_TWO_WAYS, 0},
    {"1,2500", NUMBER_OK, 1.25},   {"1234,500", NUMBER_OK, 1234.5}, /* four digits before the comma: no thousand */
    {"12x", NUMBER_TRASH, 0},      {"x12", NUMBER_TRASH, 0},
    {"", NUMBER_TRASH, 0},         {".", NUMBER_TRASH, 0},
    {"-", NUMBER_TRASH, 0},        {"1,000.5", NUMBER_TRASH, 0},
    {"1.000,5", NUMBER_TRASH, 0},  {"1e3", NUMBER_TRASH, 0},
    {"0x10", NUMBER_TRASH, 0},     {"nan", NUMBER_TRASH, 0},
    {"inf", NUMBER_TRASH, 0},      {" 5", NUMBER_TRASH, 0},
    {"5 ", NUMBER_TRASH, 0},       {"5 g", NUMBER_TRASH, 0},
    {"--5", NUMBER_TRASH, 0},      {"1234567890123456", NUMBER_TRASH, 0}, /* more digits than a double keeps */
};

static void what_is_typed_is_read_or_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        double value = NAN;
        enum number_fault fault = number_parse(typed[i].text, &value);
        if (fault != typed[i].fault)
            fail_msg("\"%s\": fault %d, want %d", typed[i].text, (int)fault, (int)typed[i].fault);
        if (fault == NUMBER_OK && fabs(value - typed[i].value) > 1e-12)
            fail_msg("\"%s\": %.9f, want %.9f", typed[i].text, value, typed[i].value);
        if (fault != NUMBER_OK && !isnan(value))
            fail_msg("\"%s\": refused, but a value was written", typed[i].text);
    }
}

static const struct {
    const char *name;
    double value;
    int decimals; /* -1: as many as it needs; -2: with a sign, 2 */
    const char *unit;
    bool minus; /* the terminal has a true minus sign */
    char point;
    const char *text;
} shown[] = {
    {"space before the unit", 84.06, 1, "g", true, '.', "84.1 g"},
    {"true minus", -0.25, 2, "g", true, '.',
     "\xe2\x88\x92"
     "0.25 g"},
    {"plain minus", -0.25, 2, "g", false, '.', "-0.25 g"},
    {"no minus before a zero", -0.004, 2, "g", true, '.', "0.00 g"},
    {"not known is no number", NAN, 2, "g", true, '.', "-"},
    {"nor is infinity", INFINITY, 2, "g", true, '.', "-"},
    {"as it needs", 31.2, -1, "g", true, '.', "31.2 g"},
    {"a whole one", 750, -1, "mL", true, '.', "750 mL"},
    {"six decimals at most", 1.0 / 3, -1, "", true, '.', "0.333333"},
    {"the shop's comma", 84.06, 1, "g", true, ',', "84,1 g"},
    {"above", 0.3, -2, "", true, '.', "+0.30"},
    {"below", -0.3, -2, "", false, '.', "-0.30"},
    {"on aim", 0, -2, "", true, '.', "0.00"},
};

static void figures_are_as_the_page_wants_them(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        const struct output_style style = {.number = {.minus = shown[i].minus, .point = shown[i].point}};
        struct figure f = shown[i].decimals == -1 ? figure_plain(shown[i].value, shown[i].unit, style)
                          : shown[i].decimals == -2
                              ? figure_signed(shown[i].value, 2, shown[i].unit, style)
                              : figure_of(shown[i].value, shown[i].decimals, shown[i].unit, style);
        if (strcmp(f.text, shown[i].text) != 0)
            fail_msg("%s: \"%s\", want \"%s\"", shown[i].name, f.text, shown[i].text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_typed_is_read_or_refused),
        cmocka_unit_test(figures_are_as_the_page_wants_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
