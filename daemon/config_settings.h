/* config_settings.h - the keys of poised.ini that may also be changed at the screen, and what they are now.
 *
 * A key is `shop.KEY`, `print.KEY` or `station.NAME.KEY`. What the file sets holds, and is changed in the file alone;
 * any other key has its default until settings.put keeps another value. Kept as items of kind `setting` whose body is
 * {"key","value"}, a value null: the default again. Units   those of poised.ini, in the key's name.
 * Owner   json_t* handed out are the caller's. Thread  The loop's.
 * Errors  A key not known FAULT_UNKNOWN, one that the file sets FAULT_NOT_PERMITTED (why `file`), a value as its shape
 *         refuses it.
 */
#pragma once

#include "config.h"
#include "fault.h"
#include "store/store.h"

#include <jansson.h>

/* A station's name and a key of poised.ini, with `station.` before and a point between; and the NUL. */
enum { SETTING_KEY_MAX = 80 };

/* The rows of settings.list, the shop's first, then each station's in the order of the file. */
json_t *settings_list(const struct config *c);
/* What the row of a key would be with this value (null: the default), and nothing changes. NULL: *fault. */
json_t *settings_try(const struct config *c, const char *key, const json_t *value, struct fault *fault);
/* Makes it so. A value that no longer fits the file, or a key that the file sets by now, is passed over. */
void settings_apply(struct config *c, const char *key, const json_t *value);
/* Applies all that is kept; once, before the first bench is made. False: it could not be read. */
bool settings_load(struct config *c, struct store *store);
