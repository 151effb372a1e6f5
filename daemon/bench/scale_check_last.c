/* scale_check_last.c - what the last check tells of a scale, and in what words. It must not know how one is made.
 *
 * The last check is kept as the JSON body that the journal has, since its figures go to three places that each want
 * others of them: the screen's trouble, the scale's row, and the log of checks with its own language.
 */
#include "bench/bench_parts.h"

#include "clock.h"
#include "text/json_read.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

#define DAY_MS  INT64_C(86400000)
#define SLACK_G 1e-6

/* Once a cup is taken the pan is not free until the batch has ended. */
bool bench_check_may(const struct bench *b)
{
    return !b->batch || b->batch->state == BATCH_CUP;
}

bool bench_check_running(const struct bench_check *k)
{
    return k->check.next > CHECK_NONE && k->check.next < CHECK_DONE;
}

/* A multi-interval scale has a coarser one above its first range; a check at 2 kg is judged by that. */
double bench_check_d_g(const struct bench *b, int64_t weight_ug)
{
    return config_station_d_g(b->config, (double)weight_ug / 1e6);
}

/* A body that is no JSON counts as no check: due is the safe side of not known. */
static void take_last(void *arg, const struct store_event *e)
{
    struct bench_check *k = arg;
    json_t *body = json_read_text(e->body ? e->body : "{}");
    json_decref(k->last);
    k->last = body;
    k->has_last = body != NULL;
    k->last_passed = json_is_true(json_object_get(body, "passed"));
    k->last_ms = e->time ? clock_parse(e->time) : 0;
}

/* Where none was ever made the days count from the first event of the journal, and in a new shop from now: nobody is
 * told on the first morning that a check is overdue. */
void bench_check_init(struct bench *b)
{
    struct bench_check *k = &b->check;
    char begun[STORE_TIME];
    k->since_ms = store_begun(b->daemon->store, begun) == STORE_FOUND ? clock_parse(begun) : -1;
    if (k->since_ms < 0)
        k->since_ms = clock_wall_ms();
    store_last_weight_check(b->daemon->store, b->config->name, 0, take_last, k);
    k->repeatability_g = NAN;
    if (k->has_last)
        bench_doubt_learn(b);
}

void bench_check_made(struct bench *b, json_t *body)
{
    struct bench_check *k = &b->check;
    k->last_ms = clock_wall_ms();
    k->last_passed = json_is_true(json_object_get(body, "passed"));
    k->has_last = true;
    json_decref(k->last);
    k->last = json_incref(body);
    bench_doubt_learn(b);
}

/* Whole days by the wall clock, since a check is a matter of the calendar; at most 99,999, so that a clock set wrongly
 * does not break the line. */
int bench_check_days(const struct bench *b)
{
    const struct bench_check *k = &b->check;
    int64_t days = (clock_wall_ms() - (k->has_last ? k->last_ms : k->since_ms)) / DAY_MS;
    return days >= b->config->check_days ? (int)(days < 99999 ? days : 99999) : 0;
}

/* ---- what is shown of it ---- */

/* A member of a journalled body; 0 where it is missing, as in bodies of before. */
static double of(const json_t *body, const char *name)
{
    return json_number_value(json_object_get(body, name));
}

/* How the check came out: the scale read right, high or low, or the empty pan did not come back, where that is the
 * greater fault: a reading between two zeros that differ says little of the weight. */
enum outcome { READ_RIGHT, READ_HIGH, READ_LOW, PAN_MOVED };

/* error_g below half an interval is no error that the scale could show. */
static enum outcome outcome_of(const json_t *body)
{
    double zero_g = of(body, "zero_g"), error_g = of(body, "error_g");
    if (fabs(zero_g) > of(body, "tolerance_g") + SLACK_G && fabs(zero_g) > fabs(error_g))
        return PAN_MOVED;
    return fabs(error_g) < 0.5 * of(body, "d_g") ? READ_RIGHT : error_g > 0 ? READ_HIGH : READ_LOW;
}

/* Intervals that it was off by; those with the pan empty are finer on a multi-interval scale. */
static double off_d(const json_t *body, enum outcome outcome)
{
    double d = outcome == PAN_MOVED ? of(body, "zero_d") : of(body, "error_d");
    return round(fabs(d));
}

/* when: the hour where it was today, else the day. */
static struct said failed_said(const json_t *body, const char *when)
{
    enum outcome outcome = outcome_of(body);
    double d = off_d(body, outcome), grams = of(body, "grams"), error_g = fabs(of(body, "error_g"));
    if (outcome == PAN_MOVED)
        return say("check_failed_pan time=%s zero_g=%f off=%f", when, of(body, "zero_g"), d);
    return outcome == READ_LOW ? say("check_failed_low time=%s grams=%f error_g=%f off=%f", when, grams, error_g, d)
                               : say("check_failed_high time=%s grams=%f error_g=%f off=%f", when, grams, error_g, d);
}

/* Weights of a check are shown to the interval at its load. */
static const char *text_of(const json_t *body, const struct said *said, bool comma, char *out, size_t size)
{
    struct number_style style = {.point = comma ? ',' : '.', .d_g = of(body, "d_g")};
    return said_text(said, WORDS_EN, &style, out, size);
}

/* For the log of checks: date and minute, since a line of it is read years later. */
void bench_check_words(const json_t *body, int64_t wall_ms, bool comma, char *out, size_t size)
{
    char when[CLOCK_TEXT];
    clock_text(wall_ms, when);
    when[10] = ' ';
    when[16] = '\0';
    struct said said = failed_said(body, when);
    text_of(body, &said, comma, out, size);
}

/* How it came out, with the sign as a word of its own (high, low): German and English place it differently in the
 * sentence. */
struct said bench_check_verdict(const json_t *body)
{
    enum outcome outcome = outcome_of(body);
    double d = off_d(body, outcome), grams = of(body, "grams"), error_g = fabs(of(body, "error_g")),
           zero_g = of(body, "zero_g"), allowed = of(body, "tolerance_g");
    bool passed = json_is_true(json_object_get(body, "passed"));
    switch (outcome) {
    case READ_RIGHT:
        return say("check_good grams=%f allowed=%f", grams, allowed);
    case PAN_MOVED:
        return passed ? say("check_good_pan zero_g=%f off=%f allowed=%f", zero_g, d, allowed)
                      : say("check_bad_pan zero_g=%f off=%f allowed=%f", zero_g, d, allowed);
    case READ_HIGH:
        return passed ? say("check_good_high grams=%f error_g=%f off=%f allowed=%f", grams, error_g, d, allowed)
                      : say("check_bad_high grams=%f error_g=%f off=%f allowed=%f", grams, error_g, d, allowed);
    default:
        return passed ? say("check_good_low grams=%f error_g=%f off=%f allowed=%f", grams, error_g, d, allowed)
                      : say("check_bad_low grams=%f error_g=%f off=%f allowed=%f", grams, error_g, d, allowed);
    }
}

/* On the screen one line of 78 columns is to hold it: today's tells the time, an older one the day. */
struct said bench_check_failed(const struct bench *b)
{
    char when[CLOCK_TEXT], now[CLOCK_TEXT];
    if (!b->check.has_last || b->check.last_passed)
        return (struct said){.used = 0};
    clock_text(b->check.last_ms, when);
    clock_text(clock_wall_ms(), now);
    bool today = strncmp(when, now, 10) == 0;
    when[today ? 16 : 10] = '\0';
    return failed_said(b->check.last, today ? when + 11 : when);
}

/* Not while a pour is under way: the painter can do nothing about it then. */
struct said bench_check_due(const struct bench *b)
{
    int days = bench_check_days(b);
    return days == 0 || !bench_check_may(b) ? (struct said){.used = 0} : say("check_due days=%d", days);
}

/* The empty pan is named with its reading where that is off by more than the tolerance: then the zero of the scale has
 * moved, and a hand may want to look. */
struct said bench_check_lead(const struct bench *b)
{
    const struct check *c = &b->check.check;
    double empty_g = (double)c->empty_ug / 1e6;
    if (!bench_check_may(b) || (!b->check.watching && !bench_check_running(&b->check)))
        return (struct said){.used = 0};
    if (b->check.watching)
        return say("check_watching");
    if (c->next == CHECK_EMPTY)
        return say("check_empty");
    if (c->next != CHECK_LOADED)
        return say("check_take_off grams=%f", c->grams);
    return fabs(empty_g) <= c->tolerance_g + SLACK_G ? say("check_put_on grams=%f", c->grams)
                                                     : say("check_put_on_over grams=%f empty_g=%f", c->grams, empty_g);
}

/* The row of scale.list. */
json_t *bench_check_row(const struct bench *b)
{
    char when[CLOCK_TEXT];
    const struct bench_check *k = &b->check;
    int days = bench_check_days(b);
    if (!k->has_last)
        return json_null();
    clock_text(k->last_ms, when);
    json_t *row = json_pack("{s:s, s:b, s:o}", "time", when, "passed", k->last_passed, "due_days",
                            days ? json_integer(days) : json_null());
    static const char *const kept[] = {"grams", "error_g", "error_d", "zero_g", "zero_d", "tolerance_g"};
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        json_object_set(row, kept[i], json_object_get(k->last, kept[i]));
    return row;
}
