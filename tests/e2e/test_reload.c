/* Signals: SIGHUP reads the configuration again, whole or not at all, and no other than TERM and INT ends poised. */
#include "tests/e2e/harness.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static const char *in_dir(const struct harness *h, const char *name)
{
    static char path[4][512];
    static unsigned at;
    char *to = path[at++ % 4];
    snprintf(to, sizeof path[0], "%s/%s", h->dir, name);
    return to;
}

static char *read_whole(const char *path)
{
    FILE *f = fopen(path, "re");
    assert_non_null(f);
    char *text = calloc(1, 1 << 16);
    assert_non_null(text);
    (void)!fread(text, 1, (1 << 16) - 1, f);
    fclose(f);
    return text;
}

static void write_whole(const char *path, const char *text)
{
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    fputs(text, f);
    assert_int_equal(fclose(f), 0);
}

/* How often the daemon's log holds these words. */
static int said(const struct harness *h, const char *words)
{
    char *text = read_whole(in_dir(h, "poised.err"));
    int count = 0;
    for (const char *at = text; (at = strstr(at, words)); at += strlen(words))
        count++;
    free(text);
    return count;
}

/* Sends the signal and waits until the log holds `words` once more. */
static void reload(struct harness *h, const char *words)
{
    int before = said(h, words);
    assert_int_equal(kill(h->poised, SIGHUP), 0);
    for (int64_t deadline = harness_deadline(); said(h, words) == before;)
        harness_step(h, deadline, words);
}

/* The configuration with one text in another's place. */
static void change(struct harness *h, const char *from, const char *to)
{
    char *text = read_whole(in_dir(h, "poised.ini")), *at = strstr(text, from), changed[4096];
    if (!at)
        fail_msg("no `%s` in:\n%s", from, text);
    snprintf(changed, sizeof changed, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    write_whole(in_dir(h, "poised.ini"), changed);
    free(text);
}

static json_t *begin_batch(struct harness *h)
{
    return harness_act(
        h, "bench", "batch.begin",
        json_pack("{s:s,s:s,s:i,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250, "reduce_pct", 0));
}

static double tolerance(struct harness *h)
{
    return harness_number(h, "bench", "now.tolerance_g");
}

/* From the empty pan to the first toner. */
static void to_the_first_toner(struct harness *h)
{
    harness_weigh(h, "bench", 0);
    begin_batch(h);
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
}

static void the_next_batch_has_the_new_tolerance(void **state)
{
    struct harness *h = *state;
    to_the_first_toner(h);
    double before = tolerance(h);
    change(h, "tolerance_g = 0.05", "tolerance_g = 7");
    reload(h, "the configuration was read again\n");
    harness_act(h, "bench", "batch.note", json_pack("{s:s}", "text", "after"));
    assert_true(tolerance(h) == before); /* a batch keeps what it was begun with */
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
    to_the_first_toner(h);
    assert_true(tolerance(h) == 7);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

static void what_needs_a_restart_is_named_and_left(void **state)
{
    struct harness *h = *state;
    change(h, "port = tcp:127.0.0.1:", "port = tcp:127.0.0.2:");
    change(h, "capacity_g = 3000", "capacity_g = 4000");
    reload(h, "the configuration was read again\n");
    assert_int_equal(said(h, "bench: port changed"), 1);
    assert_int_equal(said(h, "bench: capacity_g changed"), 1);
    harness_weigh(h, "bench", 12.5); /* the scale is where it was */
    change(h, "127.0.0.2", "127.0.0.1");
    change(h, "capacity_g = 4000", "capacity_g = 3000");
    reload(h, "the configuration was read again\n");
    assert_int_equal(said(h, "bench: port changed"), 1);
}

/* Two faults, both named with their line, and the good setting beside them is not taken either. */
static void a_faulty_file_changes_nothing(void **state)
{
    struct harness *h = *state;
    change(h, "currency = EUR\n", "currency = XTS\nlangage = de\n");
    change(h, "error_pct = 5", "error_pct = -5");
    reload(h, "the configuration was not read again: 2 faults, nothing changed");
    char place[600];
    snprintf(place, sizeof place, "warning: %s:4: langage: ", in_dir(h, "poised.ini"));
    assert_int_equal(said(h, place), 1);
    assert_int_equal(said(h, ": error_pct: "), 1);
    json_t *info = harness_call(h, "daemon.info", NULL);
    assert_string_not_equal(json_string_value(json_object_get(info, "currency")), "XTS");
    change(h, "langage = de\n", "");
    change(h, "error_pct = -5", "error_pct = 4");
    reload(h, "the configuration was read again\n");
    info = harness_call(h, "daemon.info", NULL);
    assert_string_equal(json_string_value(json_object_get(info, "currency")), "XTS");
}

/* The catalogue's files are part of it: a fault there, and nothing changes; without it the toner is in the bank. */
static void the_files_of_the_catalogue_are_read_too(void **state)
{
    struct harness *h = *state;
    char line[600];
    assert_int_equal(mkdir(in_dir(h, "catalogue"), 0700), 0);
    write_whole(in_dir(h, "catalogue/more.ini"), "[toner Z99]\nname = Dusk\ndensity_g_per_ml = -1\n");
    snprintf(line, sizeof line, "data = %s\n", in_dir(h, "catalogue"));
    char *was = read_whole(in_dir(h, "poised.ini")), *data = strstr(was, "data = "), old[600];
    assert_non_null(data);
    snprintf(old, sizeof old, "%.*s\n", (int)strcspn(data, "\n"), data);
    change(h, old, line);
    reload(h, "the configuration was not read again: 1 fault, nothing changed");
    assert_int_equal(said(h, "more.ini:3: density_g_per_ml: "), 1);
    write_whole(in_dir(h, "catalogue/more.ini"), "[toner Z99]\nname = Dusk\ndensity_g_per_ml = 1.1\n");
    reload(h, "the configuration was read again\n");
    json_t *toner = harness_call(h, "toner.get", json_pack("{s:s}", "id", "Z99"));
    assert_string_equal(json_string_value(json_object_get(toner, "name")), "Dusk");
    harness_call(h, "toner.get", json_pack("{s:s}", "id", "N10")); /* the store is the truth: none is removed */
    change(h, line, old);
    free(was);
    unlink(in_dir(h, "catalogue/more.ini"));
    rmdir(in_dir(h, "catalogue"));
}

static double check_days(struct harness *h)
{
    json_t *all = harness_call(h, "settings.list", NULL), *one;
    size_t i;
    json_array_foreach(json_object_get(all, "settings"), i,
                       one) if (strcmp(json_string_value(json_object_get(one, "key")), "station.bench.check_days") ==
                                0) return json_number_value(json_object_get(one, "value"));
    return -1;
}

/* What a screen keeps stands under the file: read again, or started again, it holds until the file sets the key. */
static void what_a_screen_keeps_holds_until_the_file_says_otherwise(void **state)
{
    struct harness *h = *state;
    harness_call(h, "settings.put", json_pack("{s:s,s:i}", "key", "station.bench.check_days", "value", 30));
    reload(h, "the configuration was read again\n");
    assert_true(check_days(h) == 30);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    assert_true(check_days(h) == 30);
    change(h, "capacity_g = 3000", "check_days = 7\ncapacity_g = 3000");
    reload(h, "the configuration was read again\n");
    assert_true(check_days(h) == 7);
}

static void no_other_signal_ends_it(void **state)
{
    static const int harmless[] = {SIGUSR1, SIGUSR2, SIGALRM, SIGPIPE, SIGHUP};
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof harmless / sizeof *harmless; i++) {
        assert_int_equal(kill(h->poised, harmless[i]), 0);
        harness_call(h, "daemon.info", NULL);
    }
    harness_weigh(h, "bench", 20);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
}

static int begin(void **state)
{
    static const struct harness_setup setup = {
        .station_lines = "d_g = 0.01\ncapacity_g = 3000\ntolerance_g = 0.05\nerror_pct = 5\n"};
    return harness_begin(state, &setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_next_batch_has_the_new_tolerance),
        cmocka_unit_test(what_needs_a_restart_is_named_and_left),
        cmocka_unit_test(a_faulty_file_changes_nothing),
        cmocka_unit_test(the_files_of_the_catalogue_are_read_too),
        cmocka_unit_test(what_a_screen_keeps_holds_until_the_file_says_otherwise),
        cmocka_unit_test(no_other_signal_ends_it),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
