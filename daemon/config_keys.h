/* config_keys.h - the settings of poised.ini: one table a section, and how each text becomes a value.
 *
 * Only config.c includes this.
 */
#pragma once

#include "config.h"

/* What is wrong with a value; both texts are literals or static. */
struct key_fault {
    const char *why, *help;
};

struct config_key {
    const char *name;
    /* The text to its place in *target (struct config, or struct config_station in a station). False: *fault. */
    bool (*take)(const struct config_key *key, const char *text, void *target, struct key_fault *fault);
    size_t offset, size; /* of the member */
    double least, most;  /* numbers; least itself is out where `above` */
    bool above;
    const char *const *words; /* one of these; ends with NULL */
    const char *help;
};

/* Each ends with a NULL name. */
extern const struct config_key config_shop_keys[];
extern const struct config_key config_station_keys[];
extern const struct config_key config_http_keys[];
extern const struct config_key config_print_keys[];
