/* The command against the real daemon: a batch poured with nothing but `poise`, and what is said when things fail. */
#include "tests/e2e/harness.h"

#include "text/utf8.h"

#include <jansson.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

struct heard {
    int code;
    char out[16384], err[2048];
};

/* `poise LINE`; words in the line are split at spaces. */
static struct heard poise(struct harness *h, const char *line)
{
    static struct heard heard;
    char words[512];
    const char *argv[32] = {"poise"};
    int argc = 1;
    snprintf(words, sizeof words, "%s", line);
    for (char *w = strtok(words, " "); w && argc < 31; w = strtok(NULL, " "))
        argv[argc++] = w;
    heard.code = harness_run(h, argv, NULL, heard.out, sizeof heard.out, heard.err, sizeof heard.err);
    return heard;
}

static struct heard fine(struct harness *h, const char *line)
{
    struct heard heard = poise(h, line);
    if (heard.code != 0 || *heard.err)
        fail_msg("poise %s: %d, %s%s", line, heard.code, heard.out, heard.err);
    return heard;
}

static void refused(struct harness *h, const char *line, int code, const char *says)
{
    struct heard heard = poise(h, line);
    char *end = strchr(heard.err, '\n');
    if (heard.code != code || !strstr(heard.err, says) || strncmp(heard.err, "poise: ", 7) != 0 || !end || end[1])
        fail_msg("poise %s: %d \"%s\", want %d and %s", line, heard.code, heard.err, code, says);
}

static void shows(const struct heard *heard, const char *text)
{
    if (!strstr(heard->out, text))
        fail_msg("no \"%s\" in\n%s", text, heard->out);
}

/* A line, up to its end, holds nothing that a terminal would obey. */
static void assert_clean(const char *line, const char *text)
{
    char one[4096];
    snprintf(one, sizeof one, "%.*s", (int)strcspn(text, "\n"), text);
    if (!utf8_is_clean(one))
        fail_msg("poise %s: not clean: %s", line, text);
}

/* One object a line: the first line's, to be freed. */
static json_t *object(const struct heard *heard)
{
    json_t *v = json_loads(heard->out, JSON_DISABLE_EOF_CHECK, NULL);
    if (!json_is_object(v))
        fail_msg("no JSON object: %s", heard->out);
    return v;
}

static double number(const struct heard *heard, const char *member)
{
    json_t *v = object(heard);
    double value = json_number_value(json_object_get(v, member));
    json_decref(v);
    return value;
}

static void is_state(struct harness *h, const char *state)
{
    struct heard heard = fine(h, "status --json");
    json_t *v = object(&heard);
    assert_string_equal(json_string_value(json_object_get(v, "state")), state);
    json_decref(v);
}

static void books_are_listed(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "formulas --json");
    assert_non_null(strstr(heard.out, "\"code\":\"TI-207\""));
    assert_non_null(strstr(heard.out, "\"code\":\"TI-031\""));
    assert_int_equal(strspn(heard.out, "{"), 1); /* an object a line, not a list */
    heard = fine(h, "formulas");
    shows(&heard, "TI-207  Copperwing ");
    heard = fine(h, "--json toners");
    assert_non_null(strstr(heard.out, "\"id\":\"N10\""));
    heard = fine(h, "toners");
    shows(&heard, "1.28 g/mL");
    heard = fine(h, "products");
    shows(&heard, "4:1:1");
    heard = fine(h, "cups");
    shows(&heard, "750 mL");
    heard = fine(h, "scales");
    shows(&heard, "bench  live");
}

/* Shares 212.0 / 61.5 / 3.2 of 276.7: the aims are the formula's own parts. */
static void a_plan_is_the_formula(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "plan TI-207 --coat ground --grams 276,7 --json");
    json_t *plan = object(&heard);
    json_t *first = json_array_get(json_object_get(plan, "components"), 0);
    assert_string_equal(json_string_value(json_object_get(first, "toner")), "N10");
    assert_float_equal(json_number_value(json_object_get(first, "aim_g")), 212.0, 1e-3);
    json_decref(plan);
    heard = fine(h, "plan TI-207 --grams 276.7");
    shows(&heard, "212.00 g");
    /* Half of a panel takes half the paint. */
    heard = fine(h, "plan TI-207 --coat ground --panel door:2 --json");
    double whole = number(&heard, "ready_ml");
    heard = fine(h, "plan TI-207 --coat ground --panel door:2:50 --json");
    assert_float_equal(number(&heard, "ready_ml"), whole / 2, 1e-3);
    refused(h, "plan TI-207 --coat ground --panel door:2:101", 64, "door:2:101");
    refused(h, "plan TI-999 --grams 100", 65, "TI-999");
    refused(h, "plan TI-207 --grams 12x", 64, "12x");
    refused(h, "plan TI-207 --grams -5", 65, "poise: plan:");
    refused(h, "plan TI-207", 64, "poise: plan:");
}

/* Puts so much more into the cup and accepts it. */
static void pour(struct harness *h, double *on_scale, double grams, const char *accept)
{
    *on_scale += grams;
    harness_weigh(h, "bench", *on_scale);
    fine(h, accept);
}

static void a_batch_is_poured_by_command(void **state)
{
    struct harness *h = *state;
    double on_scale = 0;
    struct heard heard = fine(h, "begin TI-207 --coat ground --grams 276.7 --reduce 0 --order 4417 --painter Ines");
    shows(&heard, "order 4417");
    is_state(h, "cup");
    refused(h, "accept", 65, "poise: accept:"); /* no cup there */
    pour(h, &on_scale, 31.2, "accept");
    is_state(h, "pour");
    refused(h, "accept", 65, "poise: accept:"); /* nothing poured */
    pour(h, &on_scale, 212.0, "accept --lot A17");
    fine(h, "note the van is a little darker");
    pour(h, &on_scale, 61.5, "accept");
    heard = fine(h, "undo");
    shows(&heard, "M42");
    fine(h, "accept");
    pour(h, &on_scale, 3.2, "--json accept");
    is_state(h, "done");
    heard = fine(h, "finish --json");
    is_state(h, "idle");

    heard = fine(h, "find --order 4417 --json");
    json_t *found = object(&heard);
    char line[64];
    snprintf(line, sizeof line, "show %s", json_string_value(json_object_get(found, "batch")));
    assert_string_equal(json_string_value(json_object_get(found, "formula")), "TI-207");
    json_decref(found);
    heard = fine(h, line);
    shows(&heard, "lot A17");
    shows(&heard, "212.00 g");
    char as_json[80];
    snprintf(as_json, sizeof as_json, "%s --json", line);
    heard = fine(h, as_json);
    assert_float_equal(number(&heard, "total_g"), 276.7, 0.02);
}

static void why_names_the_events(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "find --order 4417 --json");
    json_t *found = object(&heard);
    const char *batch = json_string_value(json_object_get(found, "batch"));
    char line[64];
    snprintf(line, sizeof line, "why %s", batch);
    heard = fine(h, line);
    shows(&heard, "accept");
    snprintf(line, sizeof line, "why %s N10", batch);
    heard = fine(h, line);
    shows(&heard, "N10: aim 212 g");
    assert_null(strstr(heard.out, "K01"));
    snprintf(line, sizeof line, "why %s X99", batch);
    refused(h, line, 65, "X99");
    json_decref(found);
}

static void a_batch_is_repeated_held_and_scrapped(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "find --order 4417 --json");
    json_t *found = object(&heard);
    char line[64];
    harness_weigh(h, "bench", 0);
    snprintf(line, sizeof line, "repeat %s --grams 100 --json", json_string_value(json_object_get(found, "batch")));
    json_decref(found);
    heard = fine(h, line);
    assert_float_equal(number(&heard, "wanted_g"), 100, 1e-6);
    json_t *screen = object(&heard);
    snprintf(line, sizeof line, "resume %s", json_string_value(json_object_get(screen, "batch")));
    json_decref(screen);
    refused(h, "begin TI-031 --grams 100", 65, "poise: begin:"); /* busy */
    fine(h, "hold");
    is_state(h, "idle");
    fine(h, line);
    is_state(h, "cup");
    fine(h, "scrap only a try");
    is_state(h, "idle");
}

static void a_product_is_begun_by_its_id(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "begin CLEAR-40 --ml 400 --json");
    json_t *screen = object(&heard);
    assert_int_equal(json_array_size(json_object_get(screen, "steps")), 3);
    json_decref(screen);
    fine(h, "scrap only a try");
}

/* A ratio of large numbers is read by a person, so it has no exponent. */
static void no_number_has_an_exponent(void **state)
{
    struct harness *h = *state;
    const char *argv[] = {"poise", "call", "product.put", "-", NULL};
    static const char params[] = "{\"id\":\"BIG\",\"role\":\"clear\",\"line\":\"two-pack\",\"basis\":\"weight\","
                                 "\"ratio\":\"1000000:500000\",\"parts\":[\"CLEAR-40\",\"HARD-2\"]}";
    struct heard heard = {0};
    heard.code = harness_run(h, argv, params, heard.out, sizeof heard.out, heard.err, sizeof heard.err);
    if (heard.code != 0)
        fail_msg("product.put: %s", heard.err);
    heard = fine(h, "begin BIG --grams 100 --json");
    json_t *screen = object(&heard);
    char line[64];
    snprintf(line, sizeof line, "show %s", json_string_value(json_object_get(screen, "batch")));
    json_decref(screen);
    heard = fine(h, line);
    fine(h, "scrap only a try");
    shows(&heard, "1000000:500000");
}

static void a_label_becomes_a_file(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "find --order 4417 --json");
    json_t *found = object(&heard);
    char line[512], path[400], head[5] = "";
    snprintf(path, sizeof path, "%s/label.pdf", h->dir);
    snprintf(line, sizeof line, "label %s --lid --out %s", json_string_value(json_object_get(found, "batch")), path);
    json_decref(found);
    heard = fine(h, line);
    shows(&heard, path);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    assert_int_equal(fread(head, 1, 4, f), 4);
    fclose(f);
    assert_string_equal(head, "%PDF");
    /* One page for the cup, one for the lid. */
    snprintf(line, sizeof line, "pdfinfo '%.300s' | sed -n 's/^Pages: *//p'", path);
    FILE *pages = popen(line, "r");
    assert_non_null(pages);
    assert_non_null(fgets(head, sizeof head, pages));
    pclose(pages);
    assert_string_equal(head, "2\n");
    refused(h, "label 999999", 65, "999999");
}

static void any_method_can_be_called(void **state)
{
    struct harness *h = *state;
    static const char *const argv[] = {"poise", "call", "mix.reduce", "-", NULL};
    static const char params[] = "{\"paint_g\":260,\"paint_density_g_per_ml\":1.05,\"pct\":10,\"basis\":\"weight\","
                                 "\"reducer_density_g_per_ml\":0.88}";
    struct heard heard = {0};
    heard.code = harness_run(h, argv, params, heard.out, sizeof heard.out, heard.err, sizeof heard.err);
    assert_int_equal(heard.code, 0);
    assert_float_equal(number(&heard, "reducer_g"), 26, 1e-6);
    heard = poise(h, "call no.such");
    assert_int_equal(heard.code, 64);
    assert_non_null(strstr(heard.err, "-32601"));
    heard = poise(h, "call batch.get {\"batch\":\"999999\"}");
    assert_int_equal(heard.code, 65);
    assert_string_equal(heard.out, "");
    heard = poise(h, "call batch.get {\"batch\":5}");
    assert_int_equal(heard.code, 65);
}

/* Source: contract section 6 and the commands' own words: what is typed in other case is found, what is near is named.
 */
static void codes_are_found_and_near_ones_named(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "plan ti-207 --coat GROUND --variant Standard --grams 276.7");
    shows(&heard, "212.00 g");
    heard = fine(h, "plan clear-40 --ml 100");
    shows(&heard, "CLEAR-40");
    assert_null(strstr(heard.out, "standard")); /* a ratio mix has no variants */
    refused(h, "plan TI-27 --grams 100", 65, "Did you mean TI-207?");
    refused(h, "plan CLEER-40 --grams 100", 65, "Did you mean CLEAR-40?");
    refused(h, "plan TI-207 --coat grund --grams 100", 65, "Choose one: ground");
    refused(h, "plan TI-207 --variant drker --grams 100", 65, "Choose one: standard");
    refused(h, "call", 64, "METHOD");
    heard = poise(h, "call toner.remove {\"toner\":\"N1o\"}");
    assert_int_equal(heard.code, 65);
    assert_non_null(strstr(heard.err, "Did you mean N10?"));
}

/* An empty list is one line on stderr and 1, in every command that lists. */
static void nothing_found_is_1(void **state)
{
    static const char *const lines[] = {
        "find nosuchword",
        "find --order nosuch",
        "formulas nosuchword",
        "toners nosuchword",
        "products nosuchword",
        "checks",
        "find --from 2001-01-01 --to 2001-01-02",
    };
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        char json[128];
        refused(h, lines[i], 1, "poise: ");
        snprintf(json, sizeof json, "%s --json", lines[i]);
        refused(h, json, 1, "poise: ");
    }
}

/* No byte of a word that a person typed reaches the terminal as a command to it: C0, C1, DEL, a mark of direction, a
 * blank without width. Contract, section 3. */
static void hostile_words_do_nothing_to_a_terminal(void **state)
{
    static const char *const hostile[] = {
        "\x1b[31mX", "X\xc2\x9bZ31m", /* Z: an escape in hex would take the 3 as its own */
        "X\x7fY",    "X\xe2\x80\xaeY", "X\xe2\x80\x8bY", "X\rY", "X\nY", "X\xe2\x81\xa6Y", "\a\b"};
    static const char *const commands[][2] = {
        {"plan ", " --grams 5"},
        {"plan TI-207 --grams 5 --coat ", ""},
        {"plan TI-207 --grams ", ""},
        {"begin ", " --grams 5"},
        {"plan TI-207 --panel ", ""},
        {"show ", ""},
        {"why ", ""},
        {"repeat ", ""},
        {"label ", ""},
        {"label 1 --size ", ""},
        {"find ", ""},
        {"find --order ", ""},
        {"find --from ", ""},
        {"toners ", ""},
        {"formulas ", " --json"},
        {"import ", ""},
        {"seek ", ""},
        {"record ", " x.log"},
        {"check-weight ", " 200"},
        {"decode ", ""},
        {"decode --profile ", ""},
        {"call ", ""},
        {"call mix.plan ", ""},
        {"help ", ""},
        {"", ""},
        {"--", ""},
        {"status --station ", ""},
        {"status --socket /x/", ""},
        {"status --language ", ""},
        {"resume ", ""},
        {"tint ", ""},
        {"bench ", ""},
    };
    struct harness *h = *state;
    for (size_t c = 0; c < sizeof commands / sizeof *commands; c++)
        for (size_t i = 0; i < sizeof hostile / sizeof *hostile; i++) {
            char line[256];
            snprintf(line, sizeof line, "%s%s%s", commands[c][0], hostile[i], commands[c][1]);
            struct heard heard = poise(h, line);
            for (const char *at = heard.out; *at; at += strcspn(at, "\n"), at += *at == '\n')
                assert_clean(line, at);
            assert_clean(line, heard.err);
            if (heard.code == 0 || !*heard.err || heard.err[strcspn(heard.err, "\n") + 1])
                fail_msg("poise %s: %d \"%s\"", commands[c][0], heard.code, heard.err);
        }
}

/* German from the first word to the last: none of these English ones is left. */
static void german_is_german(void **state)
{
    static const char *const english[] = {"weight", "counted", "frame", "poured", "reduced", "caution"};
    struct harness *h = *state;
    static const char *const lines[] = {"why 1 --language de", "show 1 --language de", "why 1 caution --language=de",
                                        "why 1 parts --language=de", "plan TI-207 --ml 90 --cup 50 --language de"};
    struct heard heard;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        heard = fine(h, lines[i]);
        assert_null(strstr(heard.out, "{\"")); /* nor JSON */
        assert_null(strchr(heard.out, '?'));
        for (size_t e = 0; e < sizeof english / sizeof *english; e++)
            if (strstr(heard.out, english[e]))
                fail_msg("poise %s: \"%s\" in\n%s", lines[i], english[e], heard.out);
    }
    heard = fine(h, lines[0]); /* the first batch of this world was poured by command */
    shows(&heard, "Waage zeigte ");
}

static void misuse_and_absence_have_their_codes(void **state)
{
    struct harness *h = *state;
    struct heard heard = fine(h, "--version");
    assert_string_equal(heard.out, "poise 0.1.0\n");
    heard = poise(h, "");
    assert_int_equal(heard.code, 0);
    shows(&heard, "usage: poise");
    heard = fine(h, "accept --help");
    shows(&heard, "--really TONER");
    refused(h, "status --station nowhere", 65, "nowhere");
    refused(h, "status --bogus", 64, "--bogus");
    refused(h, "status --socket /nowhere/sock", 69, "/nowhere/sock");
    harness_stop(h, SIGTERM);
    refused(h, "status", 69, h->socket);
    harness_start(h);
    is_state(h, "idle");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(books_are_listed),
        cmocka_unit_test(a_plan_is_the_formula),
        cmocka_unit_test(a_batch_is_poured_by_command),
        cmocka_unit_test(why_names_the_events),
        cmocka_unit_test(a_batch_is_repeated_held_and_scrapped),
        cmocka_unit_test(a_product_is_begun_by_its_id),
        cmocka_unit_test(no_number_has_an_exponent),
        cmocka_unit_test(a_label_becomes_a_file),
        cmocka_unit_test(any_method_can_be_called),
        cmocka_unit_test(codes_are_found_and_near_ones_named),
        cmocka_unit_test(nothing_found_is_1),
        cmocka_unit_test(hostile_words_do_nothing_to_a_terminal),
        cmocka_unit_test(german_is_german),
        cmocka_unit_test(misuse_and_absence_have_their_codes),
    };
    return cmocka_run_group_tests(tests, harness_begin_live, harness_end);
}
