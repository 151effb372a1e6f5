/* table.h - lines of a page in aligned columns, with leaders: `P12  gold pearl ....... 26.4`.
 *
 * Collect rows, print once: widths are those of the widest cells, measured as the terminal shows them. Cells are
 * cleaned here (output_clean).
 * Owner   Cells are copied. table_finish frees them.
 */
#pragma once

#include "client/output.h"

#include <stddef.h>
#include <stdio.h>

enum { TABLE_COLUMNS = 11 };

struct table {
    const char *columns; /* a letter a column: l left, r right, `.` left and led to the next by dots */
    struct output_style style;
    char *(*row)[TABLE_COLUMNS];
    size_t rows, room;
};

void table_init(struct table *t, const char *columns, struct output_style style);
/* As many cells as there are columns; NULL is empty. */
void table_row(struct table *t, const char *const cells[]);
/* Prints all rows, each after `indent`, with two spaces between columns and none at the end of a line. */
void table_print(const struct table *t, const char *indent, FILE *to);
void table_finish(struct table *t);
