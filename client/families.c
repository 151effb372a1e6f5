#include "client/families.h"

#include "client/fault.h"

#include "drivers/decode/families.h"

#include <stdio.h>
#include <sysexits.h>

void families_list(const char *between, char *out, size_t size)
{
    size_t len = 0;
    out[0] = '\0';
    for (size_t i = 0; scale_families[i] && len < size; i++)
        len += (size_t)snprintf(out + len, size - len, "%s%s", i ? between : "", scale_families[i]->name);
}

int families_no_such(const char *name)
{
    char families[FAMILIES_ROOM], help[FAMILIES_ROOM + 16];
    families_list(", ", families, sizeof families);
    snprintf(help, sizeof help, "One of auto, %s", families);
    return fault_say(EX_DATAERR, "--profile", help, "no scale family is called %s", name);
}
