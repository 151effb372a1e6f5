#include "clock.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

int64_t clock_wall_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t clock_mono_ns(void)
{
    struct timespec t;
    clock_gettime(CLOCK_BOOTTIME, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

void clock_text(int64_t wall_ms, char out[CLOCK_TEXT])
{
    time_t seconds = (time_t)(wall_ms / 1000);
    struct tm local;
    char date[24];
    localtime_r(&seconds, &local);
    strftime(date, sizeof date, "%Y-%m-%dT%H:%M:%S", &local);
    long minutes = local.tm_gmtoff / 60;
    snprintf(out, CLOCK_TEXT, "%s.%03d%c%02ld:%02ld", date, (int)(wall_ms % 1000), minutes < 0 ? '-' : '+',
             labs(minutes) / 60 % 100, labs(minutes) % 60);
}

int64_t clock_parse(const char *text)
{
    struct tm t = {0};
    int milli = 0, hours = 0, minutes = 0;
    char sign = '+';
    if (sscanf(text, "%4d-%2d-%2dT%2d:%2d:%2d.%3d%c%2d:%2d", &t.tm_year, &t.tm_mon, &t.tm_mday, &t.tm_hour, &t.tm_min,
               &t.tm_sec, &milli, &sign, &hours, &minutes) != 10)
        return -1;
    t.tm_year -= 1900;
    t.tm_mon -= 1;
    int64_t offset = (int64_t)(hours * 60 + minutes) * 60 * (sign == '-' ? -1 : 1);
    return ((int64_t)timegm(&t) - offset) * 1000 + milli;
}

void clock_boot_id(char out[40])
{
    snprintf(out, 40, "unknown");
    FILE *f = fopen("/proc/sys/kernel/random/boot_id", "re");
    if (!f)
        return;
    if (!fgets(out, 40, f))
        snprintf(out, 40, "unknown");
    out[strcspn(out, "\n")] = '\0';
    fclose(f);
}
