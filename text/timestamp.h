/* timestamp.h - the one writer of times: RFC 3339 between programs, hour and day for a person.
 *
 * Units   wall_ms is milliseconds since the epoch. The time zone is the process's TZ (tzset in main), or, of a text,
 * the one it was written in. Pure but for the zone: no clock is read here.
 */
#pragma once

#include "text/words.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TIMESTAMP_ROOM = 36 };

/* `2026-11-25T14:03:07.412+01:00`; "" where the year has no four digits. */
void timestamp_text(int64_t wall_ms, char out[TIMESTAMP_ROOM]);
/* `2026-11-25T14:03:07` of seconds that are a wall clock's own already: no zone is applied. Such texts sort as times.
 */
void timestamp_wall(int64_t wall_s, char out[TIMESTAMP_ROOM]);
/* The reverse, of any time of RFC 3339: a fraction of any length or none, `Z` or an offset. -1: it is no time. */
int64_t timestamp_parse(const char *text);
/* YYYY-MM-DD, a day of the calendar. */
bool timestamp_is_day(const char *text);
/* Of a time as text: `2026-11-25 14:03:07` and `2026-11-25`; "" stays "". */
void timestamp_readable(const char *time, char out[TIMESTAMP_ROOM]);
void timestamp_day(const char *time, char out[TIMESTAMP_ROOM]);
/* For a person, in the local zone: `16:40, 25 Nov` (`16:40, 25. Nov`). */
void timestamp_hour_day(int64_t wall_ms, enum words_language language, char out[TIMESTAMP_ROOM]);
/* With the year, for what is kept: `25 Nov 2026 10:51` (`25. Nov 2026 10:51`). */
void timestamp_day_hour(int64_t wall_ms, enum words_language language, char out[TIMESTAMP_ROOM]);
