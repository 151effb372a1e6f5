/* premix.h - a premix first: where toners of what is planned are too small for the scale, the daemon's plan says of
 * which a premix can be made, and one line of the form begins it as a batch.
 *
 * Pure. Which toners are too small, how much of each, and whether one of the bank does instead is the plan's. */
#pragma once

#include "client/screen/model.h"

/* Whether the plan offers one to be made. A batch mixed again is to be what it was. */
bool premix_offered(const struct model *m);
/* `V23, K01, 16.33 g`: what would be made; and, where the batch takes from one of the bank, which and how much of it
 * ("": it does not). Each returns buf. */
const char *premix_text(const struct model *m, char *buf, size_t size);
const char *premix_taken(const struct model *m, char *buf, size_t size);
/* A beginning was answered on the page of the form: whether it was such a premix is kept. And whether the batch that
 * was just finished is it: the form then comes back as it was left, and takes from what was kept. */
void premix_begun(struct model *m, const json_t *screen);
bool premix_leads_back(struct model *m, const char *finished);
/* The params of batch.begin of that premix, the caller's; NULL: none is offered, or nothing can be begun now. */
json_t *premix_params(const struct model *m);
