/* rows.h - tests/data/frames.tsv and streams.tsv as rows, and a place where a framer's readings go.
 *
 * Header only, since each unit test is one program. Run from the top of the tree.
 */
#ifndef TESTS_UNIT_DRIVERS_ROWS_H
#define TESTS_UNIT_DRIVERS_ROWS_H

#include "drivers/decode/framer.h"
#include "drivers/scale.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

enum { ROWS_MOST = 300, ROW_BYTES = 200, ROW_READINGS = 4, SEEN_MOST = 64 };

struct row {
    char family[16];
    uint8_t bytes[ROW_BYTES];
    size_t len;
    struct scale_reading want[ROW_READINGS];
    size_t wanted;
    bool stream; /* want holds value, unit, stability only */
    int line;
};

struct seen {
    size_t count;
    struct scale_reading reading[SEEN_MOST];
};

static inline void seen_add(void *arg, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    struct seen *seen = arg;
    (void)frame;
    assert_true(len > 0);
    if (seen->count < SEEN_MOST)
        seen->reading[seen->count] = *reading;
    seen->count++;
}

/* One line a row: \r \n \\ \xNN become bytes, `|` is dropped where `chunked`. */
static inline size_t row_unescape(const char *text, uint8_t *out, bool chunked)
{
    size_t n = 0;
    for (; *text && n < ROW_BYTES; text++) {
        if (*text == '|' && chunked)
            continue;
        if (*text != '\\') {
            out[n++] = (uint8_t)*text;
            continue;
        }
        text++;
        if (*text == 'x') {
            char hex[3] = {text[1], text[2], 0};
            out[n++] = (uint8_t)strtoul(hex, NULL, 16);
            text += 2;
        } else {
            out[n++] = (uint8_t)(*text == 'r' ? '\r' : *text == 'n' ? '\n' : *text);
        }
    }
    return n;
}

static inline void row_value(struct scale_reading *want, const char *value, const char *unit, char stable)
{
    want->unit = SCALE_UNIT_NONE;
    if (strcmp(value, "-") != 0)
        snprintf(want->digits, sizeof want->digits, "%s", value);
    if (strcmp(unit, "-") != 0 && !scale_unit_find(unit, &want->unit))
        fail_msg("unit %s", unit);
    want->stability = stable == '1' ? SCALE_STABLE : stable == '0' ? SCALE_MOVING : SCALE_STABILITY_UNKNOWN;
}

/* Splits at tabs, empties kept. */
static inline size_t row_split(char *line, char *cells[], size_t most)
{
    size_t n = 0;
    line[strcspn(line, "\n")] = '\0';
    for (char *cell = line; cell && n < most;) {
        cells[n++] = cell;
        cell = strchr(cell, '\t');
        if (cell)
            *cell++ = '\0';
    }
    return n;
}

static inline void row_kind_status(struct scale_reading *want, const char *kind, const char *status)
{
    while (strcmp(scale_kind_name(want->kind), kind) != 0)
        assert_true(++want->kind <= SCALE_KIND_TARE);
    while (strcmp(scale_status_name(want->status), status) != 0)
        assert_true(++want->status <= SCALE_ERROR);
}

static inline void row_from_frame(struct row *row, char *cells[])
{
    row->len = row_unescape(cells[0], row->bytes, false);
    snprintf(row->family, sizeof row->family, "%s", cells[1]);
    row_value(&row->want[0], cells[2], cells[3], cells[4][0]);
    row_kind_status(&row->want[0], cells[5], cells[6]);
    row->wanted = 1;
}

static inline void row_from_stream(struct row *row, char *cells[])
{
    row->stream = true;
    snprintf(row->family, sizeof row->family, "%s", cells[0]);
    row->len = row_unescape(cells[1], row->bytes, true);
    for (char *part = strtok(cells[2], ";"); part; part = strtok(NULL, ";")) {
        char value[SCALE_DIGITS], unit[8], stable;
        assert_int_equal(sscanf(part, " %23s %7s %c", value, unit, &stable), 3);
        row_value(&row->want[row->wanted++], value, unit, stable);
    }
}

/* All rows of both files; fails the test where they cannot be read. */
static inline size_t rows_read(struct row *rows)
{
    static const char *const files[] = {"tests/data/frames.tsv", "tests/data/streams.tsv"};
    size_t n = 0;
    for (int i = 0; i < 2; i++) {
        FILE *file = fopen(files[i], "r");
        char line[600];
        assert_non_null(file);
        for (int at = 1; fgets(line, sizeof line, file) && n < ROWS_MOST; at++) {
            char *cells[8];
            if (line[0] == '#')
                continue;
            memset(&rows[n], 0, sizeof rows[n]);
            rows[n].line = at;
            assert_true(row_split(line, cells, 8) >= (i ? 3u : 7u));
            if (i)
                row_from_stream(&rows[n++], cells);
            else
                row_from_frame(&rows[n++], cells);
        }
        fclose(file);
    }
    assert_true(n > 80);
    return n;
}

static inline bool row_matches(const struct row *row, size_t i, const struct scale_reading *got)
{
    const struct scale_reading *want = &row->want[i];
    return strcmp(got->digits, want->digits) == 0 && got->unit == want->unit && got->stability == want->stability &&
           (row->stream || (got->kind == want->kind && got->status == want->status));
}

/* Fails the test unless exactly the row's readings were seen, `times` over. */
static inline void row_check(const struct row *row, const struct seen *seen, size_t times, const char *how, size_t with)
{
    if (seen->count != row->wanted * times)
        fail_msg("%s line %d, %s %zu: %zu readings", row->family, row->line, how, with, seen->count);
    for (size_t i = 0; i < seen->count; i++) {
        const struct scale_reading *got = &seen->reading[i];
        if (!row_matches(row, i % row->wanted, got))
            fail_msg("%s line %d, %s %zu: got `%s` %s stability %d %s %s", row->family, row->line, how, with,
                     got->digits, scale_unit_name(got->unit), (int)got->stability, scale_kind_name(got->kind),
                     scale_status_name(got->status));
    }
}

#endif
