/* table.c - aligned columns for a terminal. It must not know what stands in a cell, nor how wide the terminal is.
 * Rows are collected and then printed, since the width of a column is known only when its last cell is. Every cell
 * is cleaned when it comes in, so no caller can forget it. A row costs its cells alone; the largest list of a shop,
 * a few thousand toners, stays below a megabyte. */
#include "client/table.h"

#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

/* `columns` is borrowed and outlives the table: it is a literal everywhere. */
void table_init(struct table *t, const char *columns, struct output_style style)
{
    *t = (struct table){.columns = columns, .style = style};
}

/* Without memory the row is left out: a table never fails a command that has done its work. */
void table_row(struct table *t, const char *const cells[])
{
    if (t->rows == t->room) {
        size_t room = t->room ? 2 * t->room : 16;
        void *row = realloc(t->row, room * sizeof *t->row);
        if (!row)
            return;
        t->row = row;
        t->room = room;
    }
    for (size_t c = 0; c < TABLE_COLUMNS; c++)
        t->row[t->rows][c] = c < strlen(t->columns) && cells[c] ? output_clean(cells[c], t->style.utf8) : NULL;
    t->rows++;
}

/* A count below 1 prints nothing: the widest cell of a column has no gap. */
static void pad(char with, int count, FILE *to)
{
    for (int i = 0; i < count; i++)
        fputc(with, to);
}

/* The last column of a row that says anything, as a count. What is empty at the end of a row is not padded, so no
 * line ends with blanks. */
static size_t last_cell(const struct table *t, size_t row)
{
    size_t last = strlen(t->columns);
    while (last > 0 && (!t->row[row][last - 1] || !*t->row[row][last - 1]))
        last--;
    return last;
}

/* Widths are columns, not bytes, so printf cannot pad: an umlaut has two bytes and one column. Leaders lead the eye
 * from a name to its figure; a column of figures is flush right, so that points stand under each other. */
static void print_row(const struct table *t, size_t row, const int width[], FILE *to)
{
    size_t last = last_cell(t, row);
    for (size_t c = 0; c < last; c++) {
        const char *cell = t->row[row][c] ? t->row[row][c] : "";
        int gap = width[c] - (int)utf8_columns(cell);
        if (t->columns[c] == 'r')
            pad(' ', gap, to);
        fputs(cell, to);
        if (c + 1 == last)
            break;
        if (t->columns[c] == '.') { /* at least three dots, a space on either side; none after nothing */
            fputc(' ', to);
            pad(*cell ? '.' : ' ', gap + 3, to);
            fputc(' ', to);
        } else {
            pad(' ', (t->columns[c] == 'r' ? 0 : gap) + 2, to);
        }
    }
    fputc('\n', to);
}

/* Widths are taken from all rows first. Nothing is cut to the terminal's width: a list that is piped or copied must
 * hold whole names. */
void table_print(const struct table *t, const char *indent, FILE *to)
{
    int width[TABLE_COLUMNS] = {0};
    for (size_t r = 0; r < t->rows; r++)
        for (size_t c = 0; c < strlen(t->columns); c++) {
            int w = t->row[r][c] ? (int)utf8_columns(t->row[r][c]) : 0;
            width[c] = w > width[c] ? w : width[c];
        }
    for (size_t r = 0; r < t->rows; r++) {
        fputs(indent, to);
        print_row(t, r, width, to);
    }
}

/* The struct is empty afterwards and may be used again. */
void table_finish(struct table *t)
{
    for (size_t r = 0; r < t->rows; r++)
        for (size_t c = 0; c < TABLE_COLUMNS; c++)
            free(t->row[r][c]);
    free(t->row);
    *t = (struct table){0};
}
