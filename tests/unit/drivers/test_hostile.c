/* Frames written from the description of the families before their decoders were read: mangled, cut, of two kinds from
 * one scale. What is refused may lose a reading; what is believed must be what was sent. */
#include "tests/unit/drivers/rows.h"

static struct framer framer; /* too large for some stacks */

/* One of `value unit stable [kind]`; `*` is not looked at. */
static bool fits(const char *part, const struct scale_reading *got)
{
    char value[SCALE_DIGITS], unit[8], stable, kind[8] = "*";
    if (sscanf(part, " %23s %7s %c %7s", value, unit, &stable, kind) < 3)
        fail_msg("expected: %s", part);
    const char *digits = got->digits[0] ? got->digits : "-", *named = got->unit ? scale_unit_name(got->unit) : "-";
    return strcmp(value, digits) == 0 && (unit[0] == '*' || strcmp(unit, named) == 0) &&
           (stable == '*' || stable == "10?"[got->stability]) &&
           (kind[0] == '*' || strcmp(kind, scale_kind_name(got->kind)) == 0);
}

/* `-`: nothing bears a weight; `only VALUE`: nothing but that does, and it does; else one part for each reading. */
static bool all_fit(char *expected, const struct seen *seen)
{
    size_t bearing = 0, i = 0;
    bool only = strncmp(expected, "only ", 5) == 0;
    for (size_t k = 0; k < seen->count; k++) {
        bearing += seen->reading[k].digits[0] != '\0';
        if (only && seen->reading[k].digits[0] && strcmp(seen->reading[k].digits, expected + 5) != 0)
            return false;
    }
    if (only || strcmp(expected, "-") == 0)
        return only == (bearing > 0);
    for (char *part = strtok(expected, ";"); part; part = strtok(NULL, ";"), i++) {
        if (i == seen->count || !fits(part, &seen->reading[i]))
            return false;
    }
    return i == seen->count;
}

static void no_row_is_read_as_what_was_not_sent(void **state)
{
    (void)state;
    static const size_t chunks[] = {ROW_BYTES, 1, 7};
    FILE *file = fopen("tests/data/hostile.tsv", "r");
    char line[600];
    size_t rows = 0;
    assert_non_null(file);
    for (int at = 1; fgets(line, sizeof line, file); at++) {
        char *cells[4];
        uint8_t bytes[ROW_BYTES];
        if (line[0] == '#')
            continue;
        assert_int_equal(row_split(line, cells, 4), 4);
        const struct scale_family *family = scale_family_find(cells[0]);
        assert_non_null(family);
        size_t len = row_unescape(cells[1], bytes, false);
        for (size_t c = 0; c < sizeof chunks / sizeof *chunks; c++) {
            struct seen seen = {0};
            char expected[200];
            snprintf(expected, sizeof expected, "%s", cells[2]);
            framer_init(&framer, family, SCALE_UNIT_NONE, false);
            for (size_t from = 0; from < len; from += chunks[c])
                framer_push(&framer, bytes + from, len - from < chunks[c] ? len - from : chunks[c], seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            if (!all_fit(expected, &seen))
                fail_msg("line %d, %s `%s` in chunks of %zu: %zu readings, the first `%s`; wanted %s (%s)", at,
                         cells[0], cells[1], chunks[c], seen.count, seen.count ? seen.reading[0].digits : "", cells[2],
                         cells[3]);
        }
        rows++;
    }
    fclose(file);
    assert_true(rows > 1000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_row_is_read_as_what_was_not_sent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
