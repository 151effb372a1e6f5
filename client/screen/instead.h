/* instead.h - what may be poured in place of a toner whose tin is empty, as toner.substitute tells it.
 *
 * Pure. Which toner fits, and why, is the daemon's; the painter decides, and says so by the tin in hand. */
#pragma once

#include "client/screen/model.h"

/* The question about the open step's toner, the caller's; NULL: no tin is open. */
json_t *instead_params(const struct model *m);
/* The bench has just been told that the tin is empty. */
bool instead_is_asked(const struct model *m);
/* `in place of N10: N11 (same pigment ...)`; "" where nothing fits. Returns buf. */
const char *instead_text(const struct model *m, char *buf, size_t size);
