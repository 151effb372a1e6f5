/* config_shown.h - how the value of a setting reads: `0.05 g`, `30 days`, `decimal comma`. No screen words it anew. */
#pragma once

#include "shape/shape.h"

#include <jansson.h>

/* Said of a value, its unit with it. currency: of what is money. A new reference. */
json_t *setting_shown(const struct shape_member *m, const char *currency, const json_t *value);
/* [{"value", "said"}] of the few values that the key may have; null: any of its kind. A new reference. */
json_t *setting_offers(const struct shape_member *m);
