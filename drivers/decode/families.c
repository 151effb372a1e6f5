/* families.c - the list of all built-in families. It knows their tables and nothing of what is in a frame. The tables
 * are named here alone, since nobody else may reach for one family. */
#include "drivers/scale.h"

#include <string.h>

extern const struct scale_family scale_sics, scale_sicsb, scale_hdr2, scale_hdr2g, scale_hdr2g22, scale_fix16,
    scale_fix22, scale_fix16n, scale_stx18, scale_stx11, scale_scp, scale_scp_ecr, scale_retail, scale_plain,
    scale_plainu, scale_plainsu, scale_plain14, scale_nu, scale_sma, scale_stxpol, scale_stxetx, scale_stxetx2,
    scale_cretx, scale_stxxor, scale_wgxor, scale_enqbcc, scale_eq_rev, scale_eq_fwd, scale_hid;

const struct scale_family *const scale_families[] = {
    &scale_sics,   &scale_sicsb,  &scale_hdr2,   &scale_hdr2g,   &scale_hdr2g22, &scale_fix16,
    &scale_fix22,  &scale_fix16n, &scale_stx18,  &scale_stx11,   &scale_scp,     &scale_scp_ecr,
    &scale_retail, &scale_plain,  &scale_plainu, &scale_plainsu, &scale_plain14, &scale_nu,
    &scale_sma,    &scale_stxpol, &scale_stxetx, &scale_stxetx2, &scale_cretx,   &scale_stxxor,
    &scale_wgxor,  &scale_enqbcc, &scale_eq_rev, &scale_eq_fwd,  &scale_hid,     NULL,
};

/* Thirty names, asked for when a port is made: a walk is enough. */
const struct scale_family *scale_family_find(const char *name)
{
    for (size_t i = 0; scale_families[i]; i++) {
        if (strcmp(scale_families[i]->name, name) == 0)
            return scale_families[i];
    }
    return NULL;
}
