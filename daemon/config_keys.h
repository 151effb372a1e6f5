/* config_keys.h - the settings of poised.ini: one table of members a section (shape/shape.h).
 *
 * Only config.c and config_settings.c include this. To add a setting: a row in config_keys.c, and its member in
 * config.h.
 */
#pragma once

#include "config.h"
#include "shape/shape.h"

extern const struct shape config_shop_shape;    /* into struct config */
extern const struct shape config_http_shape;    /* into struct config */
extern const struct shape config_print_shape;   /* into struct config */
extern const struct shape config_rights_shape;  /* into struct config */
extern const struct shape config_limits_shape;  /* into struct config */
extern const struct shape config_station_shape; /* into struct config_station */

/* One setting to its place in *into. False: *fault says what is wrong with it. key is one of the shape's. */
bool config_setting_read(const struct shape *shape, const char *key, const char *text, void *into, struct fault *fault);
