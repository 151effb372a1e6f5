/* timestamp.c - times as text. It must not read a clock. */
#include "text/timestamp.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

void timestamp_text(int64_t wall_ms, char out[TIMESTAMP_ROOM])
{
    int64_t milli = wall_ms % 1000;
    if (milli < 0)
        milli += 1000;
    time_t seconds = (time_t)((wall_ms - milli) / 1000);
    struct tm local;
    char date[24];
    localtime_r(&seconds, &local);
    strftime(date, sizeof date, "%Y-%m-%dT%H:%M:%S", &local);
    long minutes = local.tm_gmtoff / 60;
    snprintf(out, TIMESTAMP_ROOM, "%s.%03d%c%02ld:%02ld", date, (int)milli, minutes < 0 ? '-' : '+',
             labs(minutes) / 60 % 100, labs(minutes) % 60);
}

int64_t timestamp_parse(const char *text)
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

bool timestamp_is_day(const char *text)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (strlen(text) != 10)
        return false;
    for (int i = 0; i < 10; i++)
        if (i == 4 || i == 7 ? text[i] != '-' : !isdigit((unsigned char)text[i]))
            return false;
    int year = atoi(text), month = atoi(text + 5), day = atoi(text + 8);
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] + (month == 2 && leap);
}

void timestamp_readable(const char *time, char out[TIMESTAMP_ROOM])
{
    snprintf(out, TIMESTAMP_ROOM, "%.*s", (int)strcspn(time, ".Z+"), time);
    char *t = strchr(out, 'T');
    if (t)
        *t = ' ';
}

void timestamp_day(const char *time, char out[TIMESTAMP_ROOM])
{
    snprintf(out, TIMESTAMP_ROOM, "%.*s", (int)strcspn(time, "T"), time);
}

static void local_of(int64_t wall_ms, struct tm *local)
{
    time_t seconds = (time_t)(wall_ms / 1000);
    localtime_r(&seconds, local);
}

void timestamp_hour(int64_t wall_ms, char out[TIMESTAMP_ROOM])
{
    struct tm local;
    local_of(wall_ms, &local);
    snprintf(out, TIMESTAMP_ROOM, "%02d:%02d", local.tm_hour, local.tm_min);
}

void timestamp_hour_day(int64_t wall_ms, enum words_language language, char out[TIMESTAMP_ROOM])
{
    struct tm local;
    char code[24];
    local_of(wall_ms, &local);
    snprintf(code, sizeof code, "month.%d", local.tm_mon + 1);
    snprintf(out, TIMESTAMP_ROOM, "%02d:%02d, %d%s %s", local.tm_hour, local.tm_min, local.tm_mday,
             language == WORDS_DE ? "." : "", words_of(language, code));
}
