#include "bench/bench_parts.h"

#include "clock.h"
#include "text/number.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DAY_MS  INT64_C(86400000)
#define SLACK_G 1e-6

static void take_last(void *arg, const struct store_event *e)
{
    struct bench_check *k = arg;
    json_t *body = json_loads(e->body ? e->body : "{}", 0, NULL);
    json_decref(k->last);
    k->last = body;
    k->has_last = body != NULL;
    k->last_passed = json_is_true(json_object_get(body, "passed"));
    k->last_ms = e->time ? clock_parse(e->time) : 0;
}

void bench_check_init(struct bench *b)
{
    struct bench_check *k = &b->check;
    char begun[STORE_TIME];
    k->since_ms = store_begun(b->daemon->store, begun) == STORE_FOUND ? clock_parse(begun) : -1;
    if (k->since_ms < 0)
        k->since_ms = clock_wall_ms();
    store_last_weight_check(b->daemon->store, b->config->name, 0, take_last, k);
}

void bench_check_made(struct bench *b, json_t *body)
{
    struct bench_check *k = &b->check;
    k->last_ms = clock_wall_ms();
    k->last_passed = json_is_true(json_object_get(body, "passed"));
    k->has_last = true;
    json_decref(k->last);
    k->last = json_incref(body);
}

int bench_check_days(const struct bench *b)
{
    const struct bench_check *k = &b->check;
    int64_t days = (clock_wall_ms() - (k->has_last ? k->last_ms : k->since_ms)) / DAY_MS;
    return days >= b->config->check_days ? (int)(days < 99999 ? days : 99999) : 0;
}

/* ---- in words ---- */

struct told {
    bool comma;
    double d_g, grams, error_g, zero_g, zero_d, tolerance_g;
};

static struct told told_of(const json_t *body, bool comma)
{
    struct told t = {.comma = comma};
    const struct {
        const char *name;
        double *to;
    } members[] = {{"d_g", &t.d_g},       {"grams", &t.grams},   {"error_g", &t.error_g},
                   {"zero_g", &t.zero_g}, {"zero_d", &t.zero_d}, {"tolerance_g", &t.tolerance_g}};
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        *members[i].to = json_number_value(json_object_get(body, members[i].name));
    return t;
}

/* A number as it was typed, with the shop's decimal sign. */
static const char *plain(double value, bool comma, char out[32])
{
    snprintf(out, 32, "%.10g", value);
    char *point = strchr(out, '.');
    if (point && comma)
        *point = ',';
    return out;
}

/* `+0.52 g (52 d)` */
static const char *off(double g, double d_g, bool comma, char out[64])
{
    char weight[NUMBER_ROOM];
    struct number_style style = {.point = comma ? ',' : '.', .d_g = d_g};
    double d = d_g > 0 ? fabs(g) / d_g : 0;
    snprintf(out, 64, "%s g (%.0f d)", number_weight(&style, g, true, weight, sizeof weight), d);
    return out;
}

/* The interval with the pan empty: finer than at the load on a multi-interval scale. */
static double empty_d_g(const struct told *t)
{
    return t->zero_g != 0 && t->zero_d != 0 ? t->zero_g / t->zero_d : t->d_g;
}

/* `200 g read +0.52 g (52 d) off`, or that the empty pan did not come back, where that is the greater fault: a reading
 * between two zeros that differ says little of the weight. */
static void finding(const struct told *t, char *out, size_t size)
{
    char grams[32], by[64];
    if (fabs(t->zero_g) > t->tolerance_g + SLACK_G && fabs(t->zero_g) > fabs(t->error_g))
        snprintf(out, size, "the empty pan came back at %s", off(t->zero_g, empty_d_g(t), t->comma, by));
    else if (fabs(t->error_g) < 0.5 * t->d_g)
        snprintf(out, size, "%s g read right", plain(t->grams, t->comma, grams));
    else
        snprintf(out, size, "%s g read %s off", plain(t->grams, t->comma, grams),
                 off(t->error_g, t->d_g, t->comma, by));
}

void bench_check_words(const json_t *body, int64_t wall_ms, bool comma, char *out, size_t size)
{
    char when[CLOCK_TEXT], what[120];
    struct told t = told_of(body, comma);
    finding(&t, what, sizeof what);
    clock_text(wall_ms, when);
    when[10] = ' ';
    snprintf(out, size, "check weight failed: %s on %.16s", what, when);
}

void bench_check_verdict(const struct bench *b, const json_t *body, char *out, size_t size)
{
    struct told t = told_of(body, b->daemon->config.decimal_comma);
    char what[120], allowed[32];
    finding(&t, what, sizeof what);
    snprintf(out, size, "the %s: %s, %s g allowed",
             json_is_true(json_object_get(body, "passed")) ? "scale is good" : "check weight failed", what,
             plain(t.tolerance_g, t.comma, allowed));
}

/* On the screen one line of 78 columns is to hold it: today's tells the time, an older one the day. */
const char *bench_check_failed(const struct bench *b, char *out, size_t size)
{
    char when[CLOCK_TEXT], now[CLOCK_TEXT], what[120];
    if (!b->check.has_last || b->check.last_passed)
        return NULL;
    struct told t = told_of(b->check.last, b->daemon->config.decimal_comma);
    finding(&t, what, sizeof what);
    clock_text(b->check.last_ms, when);
    clock_text(clock_wall_ms(), now);
    if (strncmp(when, now, 10) == 0)
        snprintf(out, size, "check weight failed: %s at %.5s", what, when + 11);
    else
        snprintf(out, size, "check weight failed: %s on %.10s", what, when);
    return out;
}

const char *bench_check_due(const struct bench *b, char *out, size_t size)
{
    int days = bench_check_days(b);
    if (days == 0 || !bench_check_may(b))
        return NULL;
    snprintf(out, size, "no check weight for %d day%s", days, days == 1 ? "" : "s");
    return out;
}

static void put_on(const struct bench *b, const char *grams, char *out, size_t size)
{
    const struct check *c = &b->check.check;
    double empty_g = (double)c->empty_ug / 1e6;
    char shows[NUMBER_ROOM];
    struct number_style style = {.point = b->daemon->config.decimal_comma ? ',' : '.',
                                 .d_g = bench_check_d_g(b, c->empty_ug)};
    if (fabs(empty_g) <= c->tolerance_g + SLACK_G)
        snprintf(out, size, "put the check weight of %s g on", grams);
    else
        snprintf(out, size, "put the check weight of %s g on; %s g counts as the empty pan", grams,
                 number_weight(&style, empty_g, false, shows, sizeof shows));
}

const char *bench_check_message(const struct bench *b, char *out, size_t size)
{
    const struct bench_check *k = &b->check;
    char grams[32];
    if (!bench_check_may(b) || (!k->watching && !bench_check_running(k)))
        return NULL;
    plain(k->check.grams, b->daemon->config.decimal_comma, grams);
    if (k->watching)
        snprintf(out, size, "watching the empty pan: hands off, air off");
    else if (k->check.next == CHECK_EMPTY)
        snprintf(out, size, "check weight: take everything off the pan");
    else if (k->check.next == CHECK_LOADED)
        put_on(b, grams, out, size);
    else
        snprintf(out, size, "take the %s g off again", grams);
    return out;
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
