/* event_parts.h - the pieces that the event's files share. For this folder only. */
#pragma once

#include "station/event.h"

/* All NaN. */
void event_settings_init(struct event_settings *s);
/* A body of version 1 as one of version 2. NULL: no memory, or no object. A new reference. */
json_t *event_body_of_1(enum event_kind kind, const json_t *body);
