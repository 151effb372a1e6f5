#include "drivers/decode/families.h"

#include <string.h>

extern const struct scale_family scale_sics, scale_hdr2, scale_hdr2g, scale_hdr2g22, scale_fix16, scale_fix22;

const struct scale_family *const scale_families[] = {
    &scale_sics, &scale_hdr2, &scale_hdr2g, &scale_hdr2g22, &scale_fix16, &scale_fix22, NULL,
};

const struct scale_family *scale_family_find(const char *name)
{
    for (size_t i = 0; scale_families[i]; i++) {
        if (strcmp(scale_families[i]->name, name) == 0)
            return scale_families[i];
    }
    return NULL;
}
