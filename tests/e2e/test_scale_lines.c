/* Lines that bear no weight of the load, and two kinds of line from one scale: never an old weight, never the wrong one
 * (contract, section 5a). */
#include "tests/e2e/harness.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { STATIONS = 3, LINES = 2 };

/* Beside the harness's own station: each says its lines by turns, one every 50 ms. */
static struct line_scale {
    const char *station, *profile;
    struct fake_scale scale;
    const char *line[LINES];
    size_t lines, next;
} scales[STATIONS] = {{.station = "kinds", .profile = "hdr2g"},
                      {.station = "retail", .profile = "retail"},
                      {.station = "blank", .profile = "fix16"}};

/* Each says its next line. */
static void go_on(int64_t now_ms)
{
    for (size_t i = 0; i < STATIONS; i++) {
        struct line_scale *s = &scales[i];
        if (s->lines && now_ms >= s->scale.next_ms)
            snprintf(s->scale.frame, sizeof s->scale.frame, "%s", s->line[s->next++ % s->lines]);
        fake_scale_tick(&s->scale, now_ms);
    }
}

static struct line_scale *says(const char *station, const char *one, const char *other)
{
    struct line_scale *s = scales;
    while (strcmp(s->station, station) != 0)
        s++;
    s->line[0] = one;
    s->line[1] = other;
    s->lines = other ? 2 : 1;
    return s;
}

/* Until scale.list says this weight of the station; NAN: none. */
static void wait_weight(struct harness *h, const char *station, double grams)
{
    int64_t until = harness_deadline();
    for (bool is = false; !is; harness_step(h, until, station)) {
        json_t *weight = json_object_get(harness_scale_row(h, station), "weight_g");
        is = isnan(grams) ? json_is_null(weight)
                          : json_is_number(weight) && fabs(json_number_value(weight) - grams) < 1e-9;
    }
}

/* Until scale.list gives a reason with this word in it. */
static void wait_why(struct harness *h, const char *station, const char *word)
{
    int64_t until = harness_deadline();
    for (bool is = false; !is; harness_step(h, until, word)) {
        const char *why = json_string_value(json_object_get(harness_scale_row(h, station), "why"));
        is = why && strstr(why, word);
    }
}

static void begin_batch(struct harness *h, const char *station)
{
    char request[32];
    snprintf(request, sizeof request, "begin-%s", station);
    harness_call(h, "batch.begin",
                 json_pack("{s:s,s:s,s:s,s:s,s:f}", "station", station, "request", request, "formula", "TI-207", "coat",
                           "ground", "grams", 276.7));
}

/* The accept is refused with this code and data.why. */
static void accept_is(struct harness *h, const char *station, int revision, int code, const char *why)
{
    char request[48];
    snprintf(request, sizeof request, "accept-%s-%d", station, ++h->next_request);
    json_t *answer = harness_ask(
        h, "batch.accept", json_pack("{s:s,s:s,s:i}", "station", station, "request", request, "revision", revision));
    json_t *error = json_object_get(answer, "error");
    if (json_integer_value(json_object_get(error, "code")) != code)
        fail_msg("%s: %s", station, json_dumps(answer, JSON_SORT_KEYS));
    if (why)
        assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "why")), why);
}

/* 72.4 g was accepted for the 60.0 g that stood in the cup. */
static void gross_and_net_in_turn_are_no_weight(void **state)
{
    struct harness *h = *state;
    says("kinds", "ST,GS,+00031.2  g\r\n", NULL);
    wait_weight(h, "kinds", 31.2);
    begin_batch(h, "kinds");
    says("kinds", "ST,GS,+00072.4  g\r\n", "ST,NT,+00060.0  g\r\n");
    wait_why(h, "kinds", "net");
    accept_is(h, "kinds", 1, -32004, "unsteady");
}

/* It says its tare alone, for as long as one looks: the weight of before is stale a second later. */
static void a_tare_line_keeps_nothing_live(void **state)
{
    struct harness *h = *state;
    says("kinds", "ST,GS,+00031.2  g\r\n", NULL);
    wait_weight(h, "kinds", 31.2);
    says("kinds", "ST,TR,+00012.4  g\r\n", NULL);
    wait_why(h, "kinds", "tare");
    accept_is(h, "kinds", 1, -32002, NULL);
    json_t *row = harness_scale_row(h, "kinds");
    assert_string_equal(json_string_value(json_object_get(row, "state")), "stale");
}

/* A retail scale in motion says so in place of a weight. */
static void a_status_line_is_no_weight(void **state)
{
    struct harness *h = *state;
    says("retail", "\00200.500\r", NULL);
    wait_weight(h, "retail", 500);
    begin_batch(h, "retail");
    says("retail", "\002?a\r", NULL);
    wait_weight(h, "retail", NAN);
    accept_is(h, "retail", 1, -32004, "unsteady");
    json_t *row = harness_scale_row(h, "retail");
    if (!strstr(json_string_value(json_object_get(row, "why")), "mov"))
        fail_msg("%s", json_dumps(row, JSON_SORT_KEYS)); /* not: no weight in a known unit */
}

/* A kilogram scale that leaves its unit away while moving: 0.5 kg were 0.5 g until its first still line. */
static void a_blank_unit_waits_for_a_named_one(void **state)
{
    struct harness *h = *state;
    says("blank", "+   0.501    \r\n", NULL);
    for (int i = 0; i < 5; i++) {
        wait_weight(h, "blank", NAN);
        json_t *row = harness_scale_row(h, "blank");
        assert_string_not_equal(json_string_value(json_object_get(row, "state")), "absent");
    }
    says("blank", "+   0.500 kg \r\n", NULL);
    wait_weight(h, "blank", 500);
    says("blank", "+   0.501    \r\n", NULL);
    wait_weight(h, "blank", 501);
}

static int begin(void **state)
{
    static char config[1024];
    size_t at = 0;
    for (size_t i = 0; i < STATIONS; i++) {
        if (!fake_scale_init(&scales[i].scale))
            return -1;
        at += (size_t)snprintf(config + at, sizeof config - at,
                               "[station %s]\nport = tcp:127.0.0.1:%d\nprofile = %s\nd_g = 0.1\n%s", scales[i].station,
                               scales[i].scale.port, scales[i].profile,
                               strcmp(scales[i].profile, "retail") == 0 ? "unit = kg\n" : "");
    }
    return harness_begin(state, &(struct harness_setup){.config_lines = config, .beside = go_on});
}

static int end(void **state)
{
    int code = harness_end(state);
    for (size_t i = 0; i < STATIONS; i++)
        fake_scale_finish(&scales[i].scale);
    return code;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gross_and_net_in_turn_are_no_weight),
        cmocka_unit_test(a_tare_line_keeps_nothing_live),
        cmocka_unit_test(a_status_line_is_no_weight),
        cmocka_unit_test(a_blank_unit_waits_for_a_named_one),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
