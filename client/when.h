/* when.h - the daemon's times as a person reads them. */
#pragma once

struct when {
    char text[40];
};

/* `2026-11-25T14:03:07.412+01:00` to `2026-11-25 14:03:07`, in the zone it was written in; "" stays "". */
struct when when_of(const char *time);
/* The day alone. */
struct when when_day(const char *time);
