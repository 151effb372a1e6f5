/* Times: RFC 3339 both ways, days of the calendar, and what a person reads of them. */
#include "text/timestamp.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

/* Source of the first six: RFC 3339 section 5.8; the milliseconds were worked out with `date -u -d TIME +%s`. */
static const struct {
    const char *text;
    int64_t ms; /* -1: no such time */
} times[] = {
    {"1985-04-12T23:20:50.52Z", 482196050520},
    {"1996-12-19T16:39:57-08:00", 851042397000},
    {"1996-12-20T00:39:57Z", 851042397000}, /* the same instant, as the RFC says */
    {"1990-12-31T23:59:60Z", 662688000000}, /* a leap second: the second that follows */
    {"1990-12-31T15:59:60-08:00", 662688000000},
    {"1937-01-01T12:00:27.87+00:20", -1041337172130},
    {"2026-11-25T14:03:07.412+01:00", 1795611787412},
    {"2026-11-25t13:03:07.412z", 1795611787412},          /* section 5.6: either case */
    {"2026-11-25T14:03:07.4129999+01:00", 1795611787412}, /* finer than we keep */
    {"2000-02-29T00:00:00Z", 951782400000},
    {"2026-02-29T00:00:00Z", -1},
    {"2026-13-01T00:00:00Z", -1},
    {"2026-00-01T00:00:00Z", -1},
    {"2026-01-01T24:00:00Z", -1},
    {"2026-01-01T00:60:00Z", -1},
    {"2026-01-01T00:00:61Z", -1},
    {"2026-01-01T00:00:00", -1}, /* no zone */
    {"2026-01-01T00:00:00.Z", -1},
    {"2026-01-01T00:00:00+24:00", -1},
    {"2026-01-01T00:00:00+01:60", -1},
    {"2026-01-01T00:00:00+01:00x", -1},
    {"2026-01-01 00:00:00Z", -1},
    {"+202-01-01T00:00:00Z", -1},
    {"2026- 1-01T00:00:00Z", -1},
    {"2026-01-01", -1},
    {"", -1},
};

static void rfc_3339_is_read(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof times / sizeof *times; i++)
        if (timestamp_parse(times[i].text) != times[i].ms)
            fail_msg("%s: %lld", times[i].text, (long long)timestamp_parse(times[i].text));
}

static void zone(const char *name)
{
    setenv("TZ", name, 1);
    tzset();
}

/* Zones written as POSIX has them, so that no table of zones is needed. */
static const struct {
    const char *zone, *text;
    int64_t ms;
} written[] = {
    {"UTC0", "2026-11-25T13:03:07.412+00:00", 1795611787412},
    {"CET-1", "2026-11-25T14:03:07.412+01:00", 1795611787412},
    {"NST3:30", "2026-11-25T09:33:07.412-03:30", 1795611787412},
    {"NPT-5:45", "2026-11-25T18:48:07.412+05:45", 1795611787412},
    {"UTC0", "1969-12-31T23:59:59.001+00:00", -999},
};

static void a_time_is_written_and_read_back(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof written / sizeof *written; i++) {
        char out[TIMESTAMP_ROOM];
        zone(written[i].zone);
        timestamp_text(written[i].ms, out);
        if (strcmp(out, written[i].text) != 0 || timestamp_parse(out) != written[i].ms)
            fail_msg("%s: %s", written[i].zone, out);
    }
    srand(7);
    for (int i = 0; i < 20000; i++) {
        char out[TIMESTAMP_ROOM];
        int64_t ms = ((int64_t)rand() * 3000 + rand() % 1000);
        timestamp_text(ms, out);
        assert_int_equal(timestamp_parse(out), ms);
    }
}

static void a_year_without_four_digits_is_no_time(void **state)
{
    static const int64_t far[] = {INT64_MAX, INT64_MIN, INT64_C(253402300800000), INT64_C(-99999999999999)};
    (void)state;
    zone("UTC0");
    for (size_t i = 0; i < sizeof far / sizeof *far; i++) {
        char out[TIMESTAMP_ROOM];
        timestamp_text(far[i], out);
        assert_string_equal(out, "");
        timestamp_hour_day(far[i], WORDS_DE, out); /* no crash, and within its room */
        assert_true(strlen(out) < TIMESTAMP_ROOM);
    }
}

static void days_are_those_of_the_calendar(void **state)
{
    static const char *const good[] = {"2026-11-29", "2024-02-29", "2000-02-29", "2026-12-31"};
    static const char *const bad[] = {"2026-02-29", "1900-02-29", "2026-11-31", "2026-1-1",   "2026-00-10",
                                      "2026-13-01", "2026-11-00", "2026/11/29", "2026-11-2x", ""};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        assert_true(timestamp_is_day(good[i]));
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (timestamp_is_day(bad[i]))
            fail_msg("%s is a day", bad[i]);
}

static void a_person_reads_hour_and_day(void **state)
{
    char out[TIMESTAMP_ROOM];
    (void)state;
    zone("CET-1");
    timestamp_wall(1764067387, out);
    assert_string_equal(out, "2025-11-25T10:43:07");
    timestamp_wall(INT64_MAX, out);
    assert_string_equal(out, "");
    timestamp_readable("2026-11-25T14:03:07.412+01:00", out);
    assert_string_equal(out, "2026-11-25 14:03:07");
    timestamp_readable("2026-11-25T14:03:07-08:00", out);
    assert_string_equal(out, "2026-11-25 14:03:07");
    timestamp_readable("", out);
    assert_string_equal(out, "");
    timestamp_day("2026-11-25T14:03:07.412+01:00", out);
    assert_string_equal(out, "2026-11-25");
    timestamp_hour_day(1795611787412, WORDS_EN, out);
    assert_string_equal(out, "14:03, 25 Nov");
    timestamp_hour_day(1773700000000, WORDS_DE, out);
    assert_string_equal(out, "23:26, 16. M\xC3\xA4rz");
    timestamp_day_hour(1795611787412, WORDS_EN, out);
    assert_string_equal(out, "25 Nov 2026 14:03");
    timestamp_day_hour(1773700000000, WORDS_DE, out);
    assert_string_equal(out, "16. M\xC3\xA4rz 2026 23:26");
    timestamp_readable("a text of a hundred characters that nobody would take for a time of any day", out);
    assert_true(strlen(out) < TIMESTAMP_ROOM);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rfc_3339_is_read),
        cmocka_unit_test(a_time_is_written_and_read_back),
        cmocka_unit_test(a_year_without_four_digits_is_no_time),
        cmocka_unit_test(days_are_those_of_the_calendar),
        cmocka_unit_test(a_person_reads_hour_and_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
