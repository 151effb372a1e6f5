/* clock.h - wall time as text (RFC 3339 with offset and milliseconds) and the monotonic clock.
 *
 * Thread  Any. The shop's time zone is the process's TZ, read by tzset() in main.
 */
#pragma once

#include <stdbool.h>
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

/* How far the wall clock is from the one that nobody sets. Both tick alike (a clock that is slewed slews both), so the
 * distance changes only where somebody, or a service, sets the clock. */
struct clock_watch {
    bool begun, known; /* known: there is something to compare a look with */
    int64_t offset_ms; /* wall less monotonic, at the last look */
    bool wrong;        /* it stands before what was journalled, or before 2024, and was not set on since */
};

#define CLOCK_STEP_MS  2000            /* less is not worth a word */
#define CLOCK_SLACK_MS 60000           /* two clocks of one machine may differ by so much */
#define CLOCK_LEAST_MS 1704067200000LL /* 2024: before that no clock was set, the machine has just lost its battery */

/* What the journal's last event knew: its two times, and whether it is of this start of the kernel; else mono_ns says
 * nothing. wall_ms -1: there is none. */
void clock_watch_begin(struct clock_watch *w, int64_t wall_ms, int64_t mono_ns, bool same_boot);
/* A look at both clocks now. By how much the wall clock was set since the last look, in ms; 0: it was not. */
int64_t clock_watch_look(struct clock_watch *w, int64_t wall_ms, int64_t mono_ns);
