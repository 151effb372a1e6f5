/* linear.c - writes down a linear program. It must not know what the numbers mean, nor how it is solved. */
#include "mix/linear.h"

void mix_program_init(struct mix_program *p)
{
    p->columns = p->rows = p->entries = 0;
    p->first[0] = 0;
    p->overfull = false;
}

size_t mix_program_column(struct mix_program *p, double low, double high, bool whole)
{
    if (p->columns == MIX_COLUMNS) {
        p->overfull = true;
        return 0;
    }
    size_t c = p->columns++;
    p->low[c] = low;
    p->high[c] = high;
    p->goal[c] = 0;
    p->whole[c] = whole;
    return c;
}

void mix_program_row(struct mix_program *p, double least, double most)
{
    if (p->rows == MIX_ROWS) {
        p->overfull = true;
        return;
    }
    p->least[p->rows] = least;
    p->most[p->rows] = most;
    p->rows++;
    p->first[p->rows] = p->entries;
}

void mix_program_entry(struct mix_program *p, size_t column, double value)
{
    if (!(value > 0) && !(value < 0))
        return;
    if (p->entries == MIX_ENTRIES) {
        p->overfull = true;
        return;
    }
    p->column[p->entries] = (int)column;
    p->value[p->entries] = value;
    p->entries++;
    p->first[p->rows] = p->entries;
}

/* least * on <= x <= high * on, with `on` 0 or 1: the textbook form, which every solver of whole numbers takes. */
void mix_program_nothing_or(struct mix_program *p, size_t column, size_t on, double least, double high)
{
    mix_program_row(p, -MIX_FREE, 0);
    mix_program_entry(p, column, 1);
    mix_program_entry(p, on, -high);
    mix_program_row(p, 0, MIX_FREE);
    mix_program_entry(p, column, 1);
    mix_program_entry(p, on, -least);
}
