/* Every frame that the fact sheet shows, byte for byte: for each row of frames.tsv of a text family some style of that
 * family must write exactly those bytes from the row's value, unit, mark, kind and status. */
#include "drivers/sim/styles.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
/* cmocka wants the four above first */
#include <cmocka.h>

enum { COLUMNS = 7 };

/* \r \n \\ \xNN to bytes. */
static size_t unescape(const char *text, uint8_t *out, size_t room)
{
    size_t len = 0;
    while (*text && len < room) {
        if (*text != '\\') {
            out[len++] = (uint8_t)*text++;
            continue;
        }
        text++;
        if (*text == 'x') {
            char hex[3] = {text[1], text[2], 0};
            out[len++] = (uint8_t)strtoul(hex, NULL, 16);
            text += 3;
        } else {
            out[len++] = (uint8_t)(*text == 'r' ? '\r' : *text == 'n' ? '\n' : *text);
            text++;
        }
    }
    return len;
}

static int index_of(const char *const *names, int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (!strcmp(names[i], name))
            return i;
    return -1;
}

/* The row's weight. A value "-" leaves the digits open: 0 here, more in try_more(). */
static struct sim_weight weight_of(char *const *column)
{
    struct sim_weight weight = {.unit = SIM_G, .stable = *column[4] != '0', .net = !strcmp(column[5], "net")};
    int unit = index_of(sim_unit_names, SIM_UNITS, column[3]);
    int status = index_of(sim_status_names, SIM_STATUSES, column[6]);
    assert_true(status >= 0);
    weight.status = (enum sim_status)status;
    if (unit >= 0)
        weight.unit = (enum sim_unit)unit;
    const char *value = column[2];
    if (!strcmp(value, "-"))
        return weight;
    weight.negative = *value == '-';
    for (const char *at = value + weight.negative, *point = NULL; *at; at++) {
        if (*at == '.') {
            point = at;
            continue;
        }
        weight.digits = weight.digits * 10 + (uint64_t)(*at - '0');
        weight.decimals += point != NULL;
    }
    return weight;
}

static bool same(const struct sim_style *style, const struct sim_weight *weight, const uint8_t *want, size_t len)
{
    uint8_t got[SIM_FRAME_MAX];
    return sim_write(style, weight, got) == len && !memcmp(got, want, len);
}

/* What a frame holds and the row's columns do not: step of the last digit, tare, the number under an over or under. */
static bool some_style_writes(const char *family, struct sim_weight weight, const uint8_t *want, size_t len)
{
    static const int steps[] = {1, 0, 5};
    static const uint64_t tares[] = {0, 250, 100};
    for (size_t i = 0; i < sim_styles_count; i++)
        for (size_t s = 0; s < 3; s++)
            for (size_t t = 0; t < 3; t++) {
                weight.step = steps[s];
                weight.tare_digits = tares[t];
                if (!strcmp(sim_styles[i].family, family) && same(&sim_styles[i], &weight, want, len))
                    return true;
            }
    return false;
}

static bool try_more(const char *family, struct sim_weight weight, const uint8_t *want, size_t len, bool no_value)
{
    if (some_style_writes(family, weight, want, len))
        return true;
    struct sim_weight other = weight;
    other.negative = true; /* -0000.00 is a zero with a minus */
    if (some_style_writes(family, other, want, len))
        return true;
    if (weight.digits % 10 == 0 && weight.decimals == 0) { /* 12340 sent as 1234 tens */
        other = weight;
        other.digits /= 10;
        other.decimals = -1;
        if (some_style_writes(family, other, want, len))
            return true;
    }
    for (int decimals = 1; no_value && decimals < 4; decimals++) {
        weight.decimals = decimals;
        if (some_style_writes(family, weight, want, len))
            return true;
        other = weight; /* the row of stx18 under holds -0.020 */
        other.digits = 20;
        other.negative = true;
        if (some_style_writes(family, other, want, len))
            return true;
    }
    return false;
}

static void every_row_of_a_text_family_is_written(void **state)
{
    (void)state;
    FILE *file = fopen("tests/data/frames.tsv", "r");
    assert_non_null(file);
    char line[1024];
    int rows = 0, failed = 0;
    while (fgets(line, sizeof line, file)) {
        if (*line == '#')
            continue;
        char *column[COLUMNS], *rest = line;
        int count = 0;
        while (count < COLUMNS && (column[count] = strsep(&rest, "\t\n")))
            count++;
        if (count < COLUMNS || !strcmp(column[1], "hid"))
            continue;
        uint8_t want[SIM_FRAME_MAX];
        size_t len = unescape(column[0], want, sizeof want);
        rows++;
        if (!try_more(column[1], weight_of(column), want, len, !strcmp(column[2], "-"))) {
            print_error("no style of %s writes %s\n", column[1], column[0]);
            failed++;
        }
    }
    fclose(file);
    assert_true(rows > 80);
    assert_int_equal(failed, 0);
}

static const struct {
    const char *name, *family, *style;
    struct sim_weight weight;
    const char *want; /* NULL: nothing is written */
} frames[] = {
    {"a sample of the table", "sics", "", {.digits = 10000, .decimals = 2, .stable = true}, "S S     100.00 g\r\n"},
    {"moving has its own letter", "sics", "", {.digits = 1234, .decimals = 2}, "S D      12.34 g\r\n"},
    {"a zero bears no minus", "hdr2", "", {.decimals = 2, .stable = true}, "ST,+00000.00  g\r\n"},
    {"a blank unit means moving", "fix16", "", {.digits = 12557, .decimals = 1}, "+   1255.7    \r\n"},
    {"the last digit in brackets",
     "fix16",
     "brackets",
     {.digits = 12356, .decimals = 2, .stable = true},
     "+ 123.5[6] g  \r\n"},
    {"net takes the place of gross", "hdr2g", "lf", {.digits = 5, .net = true}, "US,NT,+00000005 g\n"},
    {"negative digits reversed", "eq-rev", "", {.digits = 1234, .decimals = 2, .negative = true}, "=43.2100-"},
    {"no sign to write: under", "retail", "", {.digits = 5, .decimals = 1, .negative = true, .stable = true}, "\2?D\r"},
    {"under by the sign",
     "stx11",
     "",
     {.digits = 5, .negative = true, .status = SIM_UNDER, .stable = true},
     "\2\"6!     5\r"},
    {"too wide for six digits", "stx18", "", {.digits = 1234567, .decimals = 2, .stable = true}, NULL},
    {"too wide for eight", "hdr2", "", {.digits = 123456789, .decimals = 2, .stable = true}, NULL},
    {"a case that the family lacks", "eq-fwd", "", {.status = SIM_OVER}, NULL},
};

static void frames_are_as_told(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof frames / sizeof *frames; i++) {
        const struct sim_style *style = sim_style_find(frames[i].family, frames[i].style);
        assert_non_null(style);
        uint8_t got[SIM_FRAME_MAX + 1] = {0};
        size_t len = sim_write(style, &frames[i].weight, got);
        const char *want = frames[i].want ? frames[i].want : "";
        if (len != strlen(want) || memcmp(got, want, len) != 0)
            fail_msg("%s: got %zu bytes <%s>, want <%s>", frames[i].name, len, (const char *)got, want);
    }
}

/* The facts' rule for stx18: all 18 bytes, the check byte with them, sum to 0 mod 128. */
static void stx18_sums_to_zero(void **state)
{
    (void)state;
    const struct sim_style *style = sim_style_find("stx18", "check");
    assert_non_null(style);
    for (uint64_t digits = 0; digits < 1000000; digits += 7919) {
        struct sim_weight weight = {.digits = digits, .decimals = 1, .step = 1, .stable = digits % 2 == 0};
        uint8_t frame[SIM_FRAME_MAX];
        size_t len = sim_write(style, &weight, frame);
        unsigned sum = 0;
        for (size_t i = 0; i < len; i++)
            sum += frame[i];
        assert_int_equal(len, 18);
        assert_int_equal(sum % 128, 0);
    }
}

static void the_default_of_each_family_comes_first(void **state)
{
    (void)state;
    for (size_t i = 0; i < sim_styles_count; i++) {
        const struct sim_style *found = sim_style_find(sim_styles[i].family, NULL);
        assert_non_null(found);
        assert_true(found <= &sim_styles[i]);
    }
    assert_null(sim_style_find("no-such-family", NULL));
    assert_null(sim_style_find("hdr2", "no-such-style"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_of_a_text_family_is_written),
        cmocka_unit_test(frames_are_as_told),
        cmocka_unit_test(stx18_sums_to_zero),
        cmocka_unit_test(the_default_of_each_family_comes_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
