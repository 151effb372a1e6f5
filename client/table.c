#include "client/table.h"

#include <stdlib.h>
#include <string.h>
#include <wchar.h>

void table_init(struct table *t, const char *columns, bool utf8)
{
    *t = (struct table){.columns = columns, .utf8 = utf8};
}

/* Length of the UTF-8 character at s as the locale reads it; 0: none that may be printed. *width is its columns. */
static size_t one_character(const char *s, bool utf8, int *width)
{
    unsigned char c = (unsigned char)*s;
    *width = 1;
    if (c < 0x80)
        return c >= ' ' && c != 0x7f ? 1 : 0;
    wchar_t wide;
    mbstate_t state = {0};
    size_t len = utf8 ? mbrtowc(&wide, s, strlen(s), &state) : (size_t)-1;
    if (len == (size_t)-1 || len == (size_t)-2)
        return 0;
    *width = wcwidth(wide);
    return *width < 0 ? 0 : len;
}

/* Bytes of the character that cannot be shown, so that it becomes one `?` and not four. */
static size_t skip_character(const char *s)
{
    size_t len = 1;
    if ((unsigned char)*s >= 0xc0)
        while (((unsigned char)s[len] & 0xc0) == 0x80)
            len++;
    return len;
}

char *table_clean(const char *text, bool utf8)
{
    char *clean = malloc(strlen(text) + 1), *end = clean;
    while (clean && *text) {
        int width;
        size_t len = one_character(text, utf8, &width);
        if (len > 0) {
            memcpy(end, text, len);
            end += len;
            text += len;
        } else {
            *end++ = '?';
            text += skip_character(text);
        }
    }
    if (clean)
        *end = '\0';
    return clean;
}

void table_say(const char *text, bool utf8, FILE *to)
{
    char *clean = table_clean(text, utf8);
    if (clean)
        fputs(clean, to);
    free(clean);
}

static int width_of(const char *cell, bool utf8)
{
    int all = 0, width;
    while (cell && *cell) {
        size_t len = one_character(cell, utf8, &width);
        all += width;
        cell += len ? len : 1;
    }
    return all;
}

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
        t->row[t->rows][c] = c < strlen(t->columns) && cells[c] ? table_clean(cells[c], t->utf8) : NULL;
    t->rows++;
}

static void pad(char with, int count, FILE *to)
{
    for (int i = 0; i < count; i++)
        fputc(with, to);
}

/* The last column of a row that says anything, as a count. */
static size_t last_cell(const struct table *t, size_t row)
{
    size_t last = strlen(t->columns);
    while (last > 0 && (!t->row[row][last - 1] || !*t->row[row][last - 1]))
        last--;
    return last;
}

static void print_row(const struct table *t, size_t row, const int width[], FILE *to)
{
    size_t last = last_cell(t, row);
    for (size_t c = 0; c < last; c++) {
        const char *cell = t->row[row][c] ? t->row[row][c] : "";
        int gap = width[c] - width_of(cell, t->utf8);
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

void table_print(const struct table *t, const char *indent, FILE *to)
{
    int width[TABLE_COLUMNS] = {0};
    for (size_t r = 0; r < t->rows; r++)
        for (size_t c = 0; c < strlen(t->columns); c++) {
            int w = width_of(t->row[r][c], t->utf8);
            width[c] = w > width[c] ? w : width[c];
        }
    for (size_t r = 0; r < t->rows; r++) {
        fputs(indent, to);
        print_row(t, r, width, to);
    }
}

void table_finish(struct table *t)
{
    for (size_t r = 0; r < t->rows; r++)
        for (size_t c = 0; c < TABLE_COLUMNS; c++)
            free(t->row[r][c]);
    free(t->row);
    *t = (struct table){0};
}
