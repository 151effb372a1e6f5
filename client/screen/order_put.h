/* order_put.h - what the forms of an order ask the daemon to keep. Pure but for memory: each result is the caller's,
 * NULL where the open coat is gone. */
#pragma once

#include "client/screen/form.h"

/* The order as it stands, as a put takes it. */
json_t *order_again(const json_t *order);
/* The order of the form: a new one, or the open one with the chosen coats behind its own. */
json_t *order_params(const struct model *m);
/* The open order with what is written of whose it is; of its open coat; without that coat. */
json_t *order_head_params(const struct model *m);
json_t *order_coat_params(const struct model *m);
json_t *order_without_coat(const struct model *m);
