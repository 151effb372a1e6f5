#include "client/output.h"

#include <stdio.h>

void output_json(const json_t *value)
{
    json_dumpf(value, stdout, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15));
    fputc('\n', stdout);
}

void output_items(const json_t *list)
{
    size_t i;
    const json_t *item;
    json_array_foreach(list, i, item) output_json(item);
}
