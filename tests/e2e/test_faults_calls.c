/* Questions while one allocation after the other fails, each once: an answer is the one that a quiet machine gives, or
 * it is a refusal that says what was missing. Never is it a list that lacks a row, a plan that lacks its cup, or
 * "unknown" of what is there. POINTS sets how many of each call's allocations fail, spread over all of them; METHOD
 * tries one. */
#include "tests/e2e/faulty.h"

#include <errno.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#include <cmocka.h>

enum { POINTS = 40, STORE = -32007, INTERNAL = -32603, IO = 74, QUIET = 3 };

static const struct {
    const char *method, *params;
} questions[] = {
    {"formula.get", "{\"formula\":\"TI-207\"}"},
    {"formula.list", "{}"},
    {"formula.list", "{\"text\":\"copper\"}"},
    {"toner.get", "{\"id\":\"N10\"}"},
    {"toner.list", "{}"},
    {"product.get", "{\"code\":\"CLEAR-40\"}"},
    {"cup.list", "{}"},
    {"order.list", "{}"},
    {"order.get", "{\"order\":\"4417\"}"},
    {"card.list", "{}"},
    {"card.match", "{\"formula\":\"TI-207\",\"coat\":\"ground\"}"},
    {"stock.list", "{}"},
    {"people.list", "{}"},
    {"settings.list", "{}"},
    {"shelf.list", "{}"},
    {"batch.find", "{\"order\":\"77\"}"},
    {"batch.find", "{\"text\":\"TI-207\"}"},
    {"batch.get", "{\"batch\":\"1\"}"},
    {"report.checks", "{\"csv\":true}"},
    {"scan", "{\"code\":\"POISE:1\"}"},
    {"mix.plan", "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"grams\":250}"},
    {"mix.plan", "{\"order\":\"4417\"}"},
    {"mix.remedies", "{\"parts\":[50,30,15,5],\"total_g\":100,\"poured_g\":[50,33,15,0]}"},
    {"mix.de00", "{\"lab\":[50,2,-79],\"other\":[50,0,-82]}"},
    {"mix.workoff",
     "{\"parts\":[60,30,10],\"total_g\":100,\"leftovers\":[{\"grams\":50,\"parts\":[50,40,10]},{\"grams\":20,"
     "\"parts\":[60,20,20]}]}"},
    {"mix.workoff", "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"grams\":100}"},
    {"mix.rescue", "{\"parts\":[60,30,10],\"total_g\":100,\"poured_g\":[70,0,0],\"leftovers\":[{\"grams\":50,"
                   "\"parts\":[10,70,20]}]}"},
    {"rpc.discover", "{}"},
};
enum { QUESTIONS = sizeof questions / sizeof *questions };

/* A shop with one of each thing in it. */
static void fill_the_shop(struct harness *h)
{
    static const double on_scale_g[] = {31.2, 243.2, 304.7, 307.9};
    static const struct {
        const char *method, *params;
    } puts[] = {
        {"order.put", "{\"order\":\"4417\",\"vehicle\":\"van\",\"coats\":[{\"coat\":\"ground\",\"formula\":\"TI-207\","
                      "\"panels\":[{\"name\":\"door\",\"area_m2\":1}]}]}"},
        {"card.put", "{\"batch\":\"1\",\"coats\":2,\"light\":[\"sun\"],\"verdict\":\"match\"}"},
        {"stock.receive", "{\"toner\":\"N10\",\"grams\":1000,\"lot\":\"A17\"}"},
        {"people.put", "{\"painter\":\"Ines\"}"},
        {"batch.weigh_back", "{\"batch\":\"1\",\"gross_g\":150}"},
        {"batch.shelve", "{\"batch\":\"1\",\"place\":\"rack 2\"}"},
    };
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:f,s:i,s:s}", "formula", "TI-207", "coat", "ground", "grams", 276.7, "reduce_pct",
                          0, "order", "77"));
    for (size_t i = 0; i < sizeof on_scale_g / sizeof *on_scale_g; i++) {
        harness_weigh(h, "bench", on_scale_g[i]);
        harness_act(h, "bench", "batch.accept", NULL);
    }
    harness_act(h, "bench", "batch.finish", NULL);
    for (size_t i = 0; i < sizeof puts / sizeof *puts; i++)
        harness_call(h, puts[i].method, json_loads(puts[i].params, 0, NULL));
}

static char *line_of(const char *method, json_t *params)
{
    json_t *call = json_pack("{s:s,s:i,s:s,s:o}", "jsonrpc", "2.0", "id", 1, "method", method, "params", params);
    char *line = json_dumps(call, JSON_COMPACT);
    json_decref(call);
    return line;
}

struct tally {
    int points, refused, closed, unharmed;
};

/* One question with its `at`th allocation failing; false: it asked for fewer. */
static bool try_at(struct harness *h, struct faults *faults, const char *line, uint64_t at, json_t *quiet,
                   struct tally *t)
{
    uint64_t from = faults->count[OF_MEMORY];
    faults->fails_at[OF_MEMORY] = from + at;
    json_t *answer = faulty_ask(h, line), *result = json_object_get(answer, "result");
    bool failed = faults->count[OF_MEMORY] >= from + at;
    faulty_disarm(faults);
    if (faulty_end_code(h) >= 0)
        fail_msg("%s: its allocation %llu ended poised: %d", line, (unsigned long long)at, faulty_end_code(h));
    json_int_t code = json_integer_value(json_object_get(json_object_get(answer, "error"), "code"));
    if ((result && !json_equal(result, quiet)) || (answer && !result && code != STORE && code != INTERNAL))
        fail_msg("%s: without its allocation %llu: %s", line, (unsigned long long)at, json_dumps(answer, JSON_COMPACT));
    t->points += failed;
    t->refused += failed && answer && !result;
    t->closed += failed && !answer;
    t->unharmed += failed && result;
    json_decref(answer);
    return failed;
}

/* How many allocations it takes, the scale's own among them; asked twice, since the first fills what is kept. */
static json_t *ask_quietly(struct harness *h, struct faults *faults, const char *line, uint64_t *took)
{
    json_decref(faulty_ask(h, line));
    uint64_t from = faults->count[OF_MEMORY];
    json_t *answer = faulty_ask(h, line), *result = json_incref(json_object_get(answer, "result"));
    *took = faults->count[OF_MEMORY] - from;
    if (!result)
        fail_msg("%s: %s", line, json_dumps(answer, JSON_COMPACT));
    json_decref(answer);
    return result;
}

/* Past its last allocation other parts of poised may still make one, so a few quiet ones in a row are the end. */
static void walk(struct harness *h, struct faults *faults, const char *line, int points, struct tally *t)
{
    uint64_t took;
    json_t *quiet = ask_quietly(h, faults, line, &took);
    uint64_t stride = took / (uint64_t)points + 1;
    int untouched = 0;
    for (uint64_t at = 1; untouched < QUIET; at += stride)
        untouched = try_at(h, faults, line, at, quiet, t) ? 0 : untouched + 1;
    json_decref(quiet);
}

static void an_answer_is_whole_or_a_refusal(void **state)
{
    struct harness *h = *state;
    struct faults *faults = NULL;
    struct tally t = {0};
    const char *only = getenv("METHOD");
    faulty_skip_under_sanitizers();
    faulty_start(h, &faults);
    fill_the_shop(h);
    for (size_t i = 0; i < QUESTIONS; i++) {
        if (only && strcmp(only, questions[i].method) != 0)
            continue;
        char *line = line_of(questions[i].method, json_loads(questions[i].params, 0, NULL));
        walk(h, faults, line, faulty_number("POINTS", POINTS), &t);
        free(line);
    }
    print_message("%d points: %d refused, %d closed, %d unharmed\n", t.points, t.refused, t.closed, t.unharmed);
    munmap(faults, sizeof *faults);
}

static void write_toner(const char *path, unsigned price)
{
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    fprintf(f, "[toner X90]\nname = Tried\ndensity_g_per_ml = 1.1\nprice_per_kg = %u\n", price);
    assert_int_equal(fclose(f), 0);
}

/* Over a connection of its own: what failed may have cost the story's own one. */
static double price_now(const struct harness *h)
{
    json_t *answer =
        faulty_ask(h, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"toner.get\",\"params\":{\"id\":\"X90\"}}");
    double price = json_number_value(json_object_get(json_object_get(answer, "result"), "price_per_kg"));
    json_decref(answer);
    return price;
}

/* Without memory at the commit itself nobody knows what is on the disk: it says so, and ends to find out. */
static bool is_unknown(const json_t *answer)
{
    const json_t *data = json_object_get(json_object_get(answer, "error"), "data");
    const char *code = json_string_value(json_object_get(data, "code"));
    return code && strcmp(code, "store_dead") == 0;
}

static void begin_anew(struct harness *h, struct faults **faults)
{
    for (int64_t deadline = harness_deadline(); faulty_end_code(h) < 0;)
        harness_step(h, deadline, "the end of poised");
    assert_int_equal(faulty_end_code(h), IO);
    harness_stop(h, SIGKILL); /* it has ended: the harness takes that in */
    faulty_start(h, faults);
}

/* What was acknowledged is in the store, what was refused is not, and what was closed is one of both. */
static void an_import_is_taken_whole_or_not_at_all(void **state)
{
    struct harness *h = *state;
    struct faults *faults = NULL;
    struct tally t = {0};
    char path[512];
    int points = faulty_number("POINTS", POINTS * 4), untouched = 0;
    double price = 0;
    faulty_skip_under_sanitizers();
    faulty_start(h, &faults);
    snprintf(path, sizeof path, "%s/tried.ini", h->dir);
    char *line = line_of("catalogue.import", json_pack("{s:[s]}", "files", path));
    for (unsigned i = 1; untouched < QUIET && t.points < points; i++) {
        write_toner(path, i);
        uint64_t from = faults->count[OF_MEMORY], at = untouched ? (uint64_t)t.points + 2 : (uint64_t)t.points + 1;
        faults->fails_at[OF_MEMORY] = from + at;
        json_t *answer = faulty_ask(h, line);
        bool failed = faults->count[OF_MEMORY] >= from + at, good = json_object_get(answer, "result") != NULL;
        faulty_disarm(faults);
        if (answer && json_is_null(json_object_get(answer, "id"))) { /* lost: which call is meant it cannot say */
            json_decref(answer);
            answer = NULL;
        }
        bool unknown = is_unknown(answer) || (!answer && faulty_end_code(h) >= 0);
        if (unknown)
            begin_anew(h, &faults);
        if (faulty_end_code(h) >= 0)
            fail_msg("allocation %llu ended poised: %d", (unsigned long long)at, faulty_end_code(h));
        double now = price_now(h);
        if (unknown)
            price = now;
        if (good ? now < i || now > i : answer && (now < price || now > price))
            fail_msg("allocation %llu: %s, and the price is %g after %g", (unsigned long long)at,
                     json_dumps(answer, JSON_COMPACT), now, price);
        price = now;
        untouched = failed ? 0 : untouched + 1;
        t.points += failed;
        t.refused += failed && answer && !good;
        t.closed += failed && !answer;
        t.unharmed += failed && good;
        json_decref(answer);
    }
    print_message("%d points: %d refused, %d closed, %d unharmed\n", t.points, t.refused, t.closed, t.unharmed);
    free(line);
    munmap(faults, sizeof *faults);
}

/* What a question lacked memory for it must not leave behind for the next: a view that could not end its transaction
 * went on showing the order of that moment. */
static void what_is_written_after_a_failure_is_seen(void **state)
{
    struct harness *h = *state;
    struct faults *faults = NULL;
    faulty_skip_under_sanitizers();
    faulty_start(h, &faults);
    fill_the_shop(h);
    char *get = line_of("order.get", json_pack("{s:s}", "order", "T"));
    int points = 0, untouched = 0;
    for (unsigned i = 1; untouched < QUIET; i++) {
        uint64_t from = faults->count[OF_MEMORY];
        faults->fails_at[OF_MEMORY] = from + i;
        json_decref(faulty_ask(h, get));
        untouched = faults->count[OF_MEMORY] >= from + i ? 0 : untouched + 1;
        points += !untouched;
        faulty_disarm(faults);
        json_t *vehicle = json_sprintf("tin %u", i);
        char *put = line_of("order.put", json_pack("{s:s,s:O,s:[]}", "order", "T", "vehicle", vehicle, "coats"));
        json_t *kept = faulty_ask(h, put), *seen = faulty_ask(h, get);
        if (!json_object_get(kept, "result") ||
            !json_equal(json_object_get(json_object_get(seen, "result"), "vehicle"), vehicle))
            fail_msg("after allocation %u failed: %s, then %s", i, json_dumps(kept, 0), json_dumps(seen, 0));
        json_decref(vehicle);
        json_decref(kept);
        json_decref(seen);
        free(put);
    }
    free(get);
    print_message("%d points\n", points);
    munmap(faults, sizeof *faults);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_answer_is_whole_or_a_refusal, begin, harness_end),
        cmocka_unit_test_setup_teardown(what_is_written_after_a_failure_is_seen, begin, harness_end),
        cmocka_unit_test_setup_teardown(an_import_is_taken_whole_or_not_at_all, begin, harness_end),
    };
    cmocka_set_test_filter(getenv("TEST"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
