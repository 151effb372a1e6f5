/* 50,000 sections (5,000 under sanitizers) come in while others work: the loop goes on answering, and a batch can be
 * begun, before the import has ended. Asserted is the order of events; the longest wait between two answers is printed,
 * for a person. */
#include "tests/e2e/raw_client.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* Fewer under sanitizers, where each costs some ten times as much. */
#ifdef __SANITIZE_ADDRESS__
enum { SECTIONS = 5000, FILES = 5, PINGS_LEAST = 10 };
#else
enum { SECTIONS = 50000, FILES = 5, PINGS_LEAST = 100 };
#endif

static void write_files(const struct harness *h, json_t *files)
{
    char path[512];
    for (int i = 0; i < FILES; i++) {
        snprintf(path, sizeof path, "%s/many-%d.ini", h->dir, i);
        FILE *f = fopen(path, "we");
        assert_non_null(f);
        for (int n = i * (SECTIONS / FILES); n < (i + 1) * (SECTIONS / FILES); n++)
            fprintf(f, "[toner X%05d]\nname = Invented %d\ndensity_g_per_ml = 1.%02d\nprice_per_kg = 30\n", n, n,
                    n % 100);
        assert_int_equal(fclose(f), 0);
        json_array_append_new(files, json_string(path));
    }
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

/* Whether the answer to the import is here; it is left for whoever takes it. */
static bool is_answered(struct harness *h, int id)
{
    char key[24];
    snprintf(key, sizeof key, "%d", id);
    harness_call(h, "daemon.info", NULL); /* over the same connection: what came before it has been taken in */
    return json_object_get(h->answers, key) != NULL;
}

static void the_bench_works_while_files_come_in(void **state)
{
    struct harness *h = *state;
    json_t *files = json_array();
    double longest = 0;
    int pings = 0;
    write_files(h, files);
    harness_weigh(h, "bench", 0);
    int id = harness_send(h, "catalogue.import", json_pack("{s:o}", "files", files));
    for (double from = now_s(); !is_answered(h, id); from = now_s()) {
        double took = now_s() - from;
        longest = took > longest ? took : longest;
        if (++pings == 20) {
            harness_call(h, "toner.get", json_pack("{s:s}", "id", "N10"));
            harness_ask(h, "toner.get", json_pack("{s:s}", "id", "n10"));
            harness_ask(h, "toner.get", json_pack("{s:s}", "id", "nowhere"));
        }
    }
    json_t *answer = harness_answer(h, id);
    assert_int_equal(json_integer_value(json_object_get(json_object_get(answer, "result"), "changed")), SECTIONS);
    print_message("%d answers meanwhile, the longest after %.1f ms\n", pings, longest * 1e3);
    assert_true(pings >= PINGS_LEAST);
    longest = 0;
    static const char *const ids[] = {"X49999", "x00001", "nowhere"};
    for (size_t i = 0; i < 3; i++) {
        double from = now_s();
        harness_ask(h, "toner.get", json_pack("{s:s}", "id", ids[i]));
        print_message("toner.get %s: %.1f ms\n", ids[i], (now_s() - from) * 1e3);
    }
    double from = now_s();
    harness_act(h, "bench", "batch.begin", json_pack("{s:s,s:i}", "formula", "TI-207", "grams", 250));
    print_message("batch.begin: %.1f ms\n", (now_s() - from) * 1e3);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_bench_works_while_files_come_in, begin, harness_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
