/* config_reload.h - a configuration that was read again, into the one that is in use.
 *
 * Thread  The loop's. Nothing here reads a file or writes a log.
 */
#pragma once

#include "config.h"

/* Told of each setting that differs and cannot change without a restart. station: whose, "" of none; key: the setting,
 * or `station` where the section is new or gone. */
typedef void config_left(void *arg, const char *station, const char *key);

/* Takes over what may change while poised runs: *live then has it, at the same places in memory. A batch under way
 * keeps what it was begun with. *fresh is of no use afterwards. */
void config_take_over(struct config *live, struct config *fresh, config_left *left, void *arg);
