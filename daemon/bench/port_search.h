/* port_search.h - scale.seek: finds out what a port speaks that no station is live on, and says how it goes.
 *
 * Does nothing itself but open a port with profile `auto` (drivers/port.h) and hand its notes on: to the caller as
 * `scale` notes while it goes, and whole in the answer, which ends with a section to paste. A station that names the
 * port but hears nothing there lends it, and has it back at the end.
 * A search is the daemon's and not a bench's: its port may belong to no station yet, as in a shop that is being set up.
 * Owner   A search frees itself when its port is closed. Thread  The loop's.
 */
#pragma once

#include "daemon.h"

/* Answers the call, now or later. */
void search_begin(struct daemon *d, struct rpc_call *call, const json_t *params);
/* The daemon stops: refuses what still runs, closes the ports. */
void search_stop_all(struct daemon *d);
/* Whether two names, as a station gives them, lead to the same device. */
bool port_path_same(const char *a, const char *b);
