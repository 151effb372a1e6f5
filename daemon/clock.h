/* clock.h - wall time as text (RFC 3339 with offset and milliseconds) and the monotonic clock.
 *
 * Thread  Any. The shop's time zone is the process's TZ, read by tzset() in main.
 */
#pragma once

#include <stdint.h>

#define CLOCK_TEXT 36 /* room for one RFC 3339 time and its NUL */

/* Milliseconds since the epoch, and nanoseconds of CLOCK_BOOTTIME (goes on while the machine sleeps). */
int64_t clock_wall_ms(void);
int64_t clock_mono_ns(void);
/* `2026-11-25T14:03:07.412+01:00` of a wall time. */
void clock_text(int64_t wall_ms, char out[CLOCK_TEXT]);
/* The reverse; -1 when the text is no such time. */
int64_t clock_parse(const char *text);
/* Which start of the kernel this is: monotonic times of different ones cannot be compared. `unknown` where the system
 * does not say. Opens a file, so the daemon asks once (daemon.h). */
void clock_boot_id(char out[40]);
