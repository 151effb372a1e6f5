/* timestamp.c - times as text. It must not read a clock. */
#include "text/timestamp.h"
#include "text/utf8.h"

#include <ctype.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* False where the year has no four digits: RFC 3339 has no such time. */
static bool local_of(int64_t wall_ms, struct tm *local)
{
    time_t seconds = (time_t)(wall_ms / 1000 - (wall_ms % 1000 < 0));
    *local = (struct tm){0};
    return localtime_r(&seconds, local) && local->tm_year >= -1900 && local->tm_year <= 9999 - 1900;
}

void timestamp_text(int64_t wall_ms, char out[TIMESTAMP_ROOM])
{
    int milli = (int)(wall_ms % 1000 + 1000) % 1000;
    struct tm local;
    char date[24];
    out[0] = '\0';
    if (!local_of(wall_ms, &local) || strftime(date, sizeof date, "%Y-%m-%dT%H:%M:%S", &local) == 0)
        return;
    long minutes = local.tm_gmtoff / 60;
    snprintf(out, TIMESTAMP_ROOM, "%s.%03d%c%02ld:%02ld", date, milli, minutes < 0 ? '-' : '+',
             labs(minutes) / 60 % 100, labs(minutes) % 60);
}

/* Beyond the years that a struct tm holds there is no text. */
void timestamp_wall(int64_t wall_s, char out[TIMESTAMP_ROOM])
{
    time_t seconds = (time_t)wall_s;
    struct tm wall;
    if (!gmtime_r(&seconds, &wall) || strftime(out, TIMESTAMP_ROOM, "%Y-%m-%dT%H:%M:%S", &wall) == 0)
        out[0] = '\0';
}

/* So many digits at *at as a number, and moves behind them and behind the mark that must follow (0: none). -1: they are
 * not there. */
static int digits_of(const char **at, int digits, char mark)
{
    int value = 0;
    for (int i = 0; i < digits; i++, ++*at) {
        if (**at < '0' || **at > '9')
            return -1;
        value = 10 * value + (**at - '0');
    }
    if (mark && toupper((unsigned char)**at) != mark)
        return -1;
    *at += mark != 0;
    return value;
}

/* `.52` as 520 milliseconds, none as 0; finer digits are passed over. -1: a point without a digit. */
static int fraction_of(const char **at)
{
    int milli = 0, weight = 100;
    if (**at != '.')
        return 0;
    ++*at;
    if (!isdigit((unsigned char)**at))
        return -1;
    for (; isdigit((unsigned char)**at); ++*at, weight /= 10)
        milli += weight * (**at - '0');
    return milli;
}

/* `Z` or `+01:00` at the end of the text, in minutes; INT_MIN where it is neither. */
static int zone_of(const char *at)
{
    if ((*at == 'Z' || *at == 'z') && at[1] == '\0')
        return 0;
    int sign = *at == '-' ? -1 : *at == '+' ? 1 : 0;
    at += sign != 0;
    int hours = sign ? digits_of(&at, 2, ':') : -1;
    int minutes = hours >= 0 ? digits_of(&at, 2, 0) : -1;
    return minutes < 0 || hours > 23 || minutes > 59 || *at ? INT_MIN : sign * (60 * hours + minutes);
}

/* Field by field, not strptime: its locale and its leniency would take what RFC 3339 does not. */
int64_t timestamp_parse(const char *text)
{
    struct tm t = {0};
    char day[11] = "";
    memcpy(day, text, strnlen(text, 10));
    if (!timestamp_is_day(day))
        return -1;
    t.tm_year = digits_of(&text, 4, '-') - 1900;
    t.tm_mon = digits_of(&text, 2, '-') - 1;
    t.tm_mday = digits_of(&text, 2, 'T');
    t.tm_hour = t.tm_mday > 0 ? digits_of(&text, 2, ':') : -1;
    t.tm_min = t.tm_hour >= 0 ? digits_of(&text, 2, ':') : -1;
    t.tm_sec = t.tm_min >= 0 ? digits_of(&text, 2, 0) : -1; /* 60 is a leap second: timegm makes it the next one */
    if (t.tm_sec < 0 || t.tm_hour > 23 || t.tm_min > 59 || t.tm_sec > 60)
        return -1;
    int milli = fraction_of(&text), zone = milli < 0 ? INT_MIN : zone_of(text);
    return zone == INT_MIN ? -1 : ((int64_t)timegm(&t) - (int64_t)zone * 60) * 1000 + milli;
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
    /* Gregorian rule, as RFC 3339, appendix C, restates it. */
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] + (month == 2 && leap);
}

/* The first so many bytes of a time; of a text that is no time, whole characters. */
static void head_of(const char *time, size_t bytes, char out[TIMESTAMP_ROOM])
{
    size_t n = utf8_fit(time, bytes, bytes);
    memcpy(out, time, n);
    out[n] = '\0';
}

/* By the text alone: a time is shown in the zone it was written in, whatever the zone here. */
void timestamp_readable(const char *time, char out[TIMESTAMP_ROOM])
{
    head_of(time, strlen("2026-11-25T14:03:07"), out);
    char *t = strchr(out, 'T');
    if (t)
        *t = ' ';
}

void timestamp_day(const char *time, char out[TIMESTAMP_ROOM])
{
    head_of(time, strlen("2026-11-25"), out);
}

/* Months are named by our own words: the locale of the process is no shop's language. */
static const char *month_of(const struct tm *local, enum words_language language)
{
    char code[24];
    snprintf(code, sizeof code, "month.%d", local->tm_mon + 1);
    return words_of(language, code);
}

void timestamp_hour_day(int64_t wall_ms, enum words_language language, char out[TIMESTAMP_ROOM])
{
    struct tm local;
    local_of(wall_ms, &local);
    snprintf(out, TIMESTAMP_ROOM, "%02d:%02d, %d%s %s", local.tm_hour, local.tm_min, local.tm_mday,
             language == WORDS_DE ? "." : "", month_of(&local, language));
}

void timestamp_day_hour(int64_t wall_ms, enum words_language language, char out[TIMESTAMP_ROOM])
{
    struct tm local;
    local_of(wall_ms, &local);
    snprintf(out, TIMESTAMP_ROOM, "%d%s %s %d %02d:%02d", local.tm_mday, language == WORDS_DE ? "." : "",
             month_of(&local, language), local.tm_year + 1900, local.tm_hour, local.tm_min);
}
