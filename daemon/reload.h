/* reload.h - SIGHUP: the configuration and its catalogue files read again while poised runs.
 *
 * Thread  The loop's.
 */
#pragma once

struct daemon;

/* All or nothing: with a fault anywhere nothing changes, and each fault is logged with FILE:LINE. What cannot change
 * without a restart is named in the log and left. A batch under way keeps what it was begun with. */
void reload(struct daemon *d, const char *path);
