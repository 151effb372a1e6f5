/* published.h - numbers out of tests/data/check-values.tsv, so that a test and its source cannot part.
 *
 * published("M05", 1) is the second number in the column `expected` of row M05. A row that is not there,
 * or has fewer numbers, fails the test.
 */
#ifndef TESTS_MIX_PUBLISHED_H
#define TESTS_MIX_PUBLISHED_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define PUBLISHED_FILE "tests/data/check-values.tsv"

/* The number at place `skip` of a text such as `k=1.1000; add 5.0000;0.0000`. */
static inline int number_in(const char *text, size_t skip, double *out)
{
    while (*text != '\0') {
        char *end = NULL;
        double number = strtod(text, &end);
        int starts = (*text >= '0' && *text <= '9') || *text == '-' || *text == '.';
        if (!starts || end == text) {
            text++;
            continue;
        }
        if (skip-- == 0) {
            *out = number;
            return 1;
        }
        text = end;
    }
    return 0;
}

static inline double published(const char *id, size_t place)
{
    char line[1024];
    double number = 0;
    int found = 0;
    FILE *file = fopen(PUBLISHED_FILE, "r");
    if (!file)
        fail_msg("%s: cannot be read; run the tests from the top of the tree", PUBLISHED_FILE);
    while (!found && file && fgets(line, sizeof line, file)) {
        char *rest = line;
        const char *row = strsep(&rest, "\t");
        if (!row || strcmp(row, id) != 0)
            continue;
        (void)strsep(&rest, "\t"); /* quantity */
        (void)strsep(&rest, "\t"); /* inputs */
        const char *expected = strsep(&rest, "\t");
        found = expected && number_in(expected, place, &number);
    }
    if (file)
        (void)fclose(file);
    if (!found)
        fail_msg("row %s has no number %zu", id, place);
    return number;
}

static inline void near_to(const char *what, double got, double want, double within)
{
    if (!(got >= want - within && got <= want + within))
        fail_msg("%s: got %.9g, want %.9g within %g", what, got, want, within);
}

#endif
