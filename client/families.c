#include "client/families.h"

#include "drivers/decode/families.h"

#include <stdio.h>

void families_list(const char *between, char *out, size_t size)
{
    size_t len = 0;
    out[0] = '\0';
    for (size_t i = 0; scale_families[i] && len < size; i++)
        len += (size_t)snprintf(out + len, size - len, "%s%s", i ? between : "", scale_families[i]->name);
}
