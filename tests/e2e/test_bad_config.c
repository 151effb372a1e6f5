/* Each kind of mistake in a configuration or its files: poised --check names file, line, field and mend, and poised
 * does not start; both end with 78. */
#include "tests/e2e/harness.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

enum { CONFIG = 78 };

#define SHOP    "[shop]\nname = Tern Island Coachworks\ncurrency = EUR\n"
#define STATION "[station bench]\nport = tcp:127.0.0.1:9\nprofile = hdr2\nd_g = 0.01\n"

/* The line is that of the mistake in TEXT, counted from 1; contract, section 8. */
static const struct {
    const char *text;
    int line;
    const char *says;
} configs[] = {
    {SHOP "[shopp]\nname = x\n", 4, "shopp: the section is not known"},
    {SHOP "colour = red\n", 4, "colour: "},
    {SHOP "name = Again\n", 4, "name: "},
    {SHOP "[shop]\nname = Again\n", 4, "shop: "},
    {"name = x\n", 1, ""},
    {SHOP "just words\n", 4, ""},
    {SHOP "decimal =\n", 4, "decimal: "},
    {SHOP " decimal = comma\n", 4, ""},
    {SHOP "decimal = dot\n", 4, "decimal: "},
    {SHOP "decimal: comma\n", 4, ""},
    {SHOP "data = nowhere\n", 4, "data: "},
    {SHOP "currency = EUROPEAN\n", 4, "currency: "},
    {SHOP "shelf_days = solvent\n", 4, "shelf_days: "},
    {SHOP "shelf_days = solvent 0\n", 4, "shelf_days: "},
    {SHOP "shelf_days = solvent 30 days\n", 4, "shelf_days: "},
    {SHOP "[print\n", 4, ""},
    {SHOP "[]\n", 4, ""},
    {SHOP "[a section whose name is far longer than 48 bytes]\n", 4, ""},
    {SHOP "[print] size_mm = 62x29\n", 4, ""},
    {SHOP "[print]\nsize_mm = 62 by 29\n", 5, "size_mm: "},
    {SHOP "[http]\nport = 65536\n", 5, "port: "},
    {SHOP "[http]\nbind = 0.0.0.0\n", 5, "bind: "},
    {SHOP "[http]\nbind = here\n", 5, "bind: "},
    {SHOP "[http]\ntoken_file = nowhere\n", 5, "token_file: "},
    {SHOP "# \xff\n", 4, "UTF-8"},
    {SHOP "# \x01\n", 4, "control"},
    {"[station bench]\nprofile = hdr2\n", 1, "port: "},
    {"[station]\nport = tcp:127.0.0.1:9\n", 1, "station: "},
    {"[station two words]\nport = tcp:127.0.0.1:9\n", 1, "station: "},
    {STATION "[station bench]\nport = tcp:127.0.0.1:9\n", 5, "station bench: "},
    {"[station bench]\nport = COM1\n", 2, "port: "},
    {"[station bench]\nport = tcp:127.0.0.1\n", 2, "port: "},
    {"[station bench]\nport = tcp:127.0.0.1:70000\n", 2, "port: "},
    {"[station bench]\nport = tcp:::1:9\n", 2, "port: "},
    {"[station bench]\nport = hid:\n", 2, "port: "},
    {"[station bench]\nport = tcp:127.0.0.1:9\nprofile = nosuch\n", 3, "profile: "},
    {STATION "speed = 960\n", 5, "speed: "},
    {STATION "frame = 9N1\n", 5, "frame: "},
    {STATION "flow = dtr\n", 5, "flow: "},
    {STATION "unit = stone\n", 5, "unit: "},
    {STATION "poll = \\q\n", 5, "poll: "},
    {STATION "poll_ms = 1\n", 5, "poll_ms: "},
    {STATION "poll_ms = 20.5\n", 5, "poll_ms: "},
    {STATION "capacity_g = 0\n", 5, "capacity_g: "},
    {STATION "capacity_g = 0.01\n", 5, "capacity_g: "},
    {STATION "capacity_g = 3 kg\n", 5, "capacity_g: "},
    {STATION "capacity_g = 3,5\n", 5, "capacity_g: "},
    {STATION "capacity_g = inf\n", 5, "capacity_g: "},
    {STATION "tolerance_g = 0.004\n", 5, "tolerance_g: no reading could meet it"},
    {STATION "tolerance_pct = 101\n", 5, "tolerance_pct: "},
    {STATION "tolerance_pct = -1\n", 5, "tolerance_pct: "},
    {STATION "error_pct = 0\n", 5, "error_pct: "},
    {STATION "check_days = 0\n", 5, "check_days: "},
    {STATION "d_g = 0.1\n", 5, "d_g: "},
    {"[station bench]\nport = tcp:127.0.0.1:9\nd_g = 0\n", 3, "d_g: "},
};

#define TONERS "[toner A]\nname = White\n[toner B]\nname = Black\n[toner R]\nname = Thin\nrole = reducer\n"
#define COLOUR "[formula X]\nname = Tried\nfinish = solid\nline = solvent\n[coat ground]\n"

static const struct {
    const char *text;
    int line;
    const char *says;
} files[] = {
    {"[toner A]\nname = White\ndensity_g_per_ml = 0\n", 3, "density_g_per_ml: "},
    {"[toner A]\nname = White\nvoc_pct = 100.5\n", 3, "voc_pct: "},
    {"[toner A]\nname = White\nprice_per_kg = dear\n", 3, "price_per_kg: "},
    {"[toner A]\nname = White\nhazards = hot\n", 3, "hazards: "},
    {"[toner A]\nname = White\nsmell = faint\n", 3, "smell: "},
    {"[toner A]\nname = White\n[toner A]\nname = White\n", 3, ""},
    {"[toner A/B]\nname = White\n", 1, ""},
    {"[toner]\nname = White\n", 1, ""},
    {"[panel door]\narea_m2 = 0\n", 2, "area_m2: "},
    {"[cup 0.75]\nml = -1\n", 2, "ml: "},
    {"[cup 0.75]\nml = 750\nfill_pct = 101\n", 3, "fill_pct: "},
    {TONERS "[coat ground]\nA = 1\n", 8, ""},
    {TONERS COLOUR "A = 1\nZ9 = 1\n", 14, "Z9: "},
    {TONERS COLOUR "A = -1\n", 13, "A: "},
    {TONERS COLOUR "A = much\n", 13, "A: "},
    {TONERS COLOUR "A = 0\nB = 0\n", 13, "A: "},
    {TONERS COLOUR, 12, ""},
    {TONERS "[formula X]\nname = Tried\nfinish = shiny\nline = solvent\n[coat ground]\nA = 1\n", 10, "finish: "},
    {TONERS COLOUR "A = 1\n[coat middle]\nA = 1\n", 14, ""},
    {"[product P]\nname = Clear\nrole = clear\nratio = 4:1\nbasis = length\nparts = A, B\n", 5, "basis: "},
    {"[product P]\nname = Clear\nrole = clear\nratio = 4:0\nbasis = volume\nparts = A, B\n", 4, "ratio: "},
    {"[product P]\nname = Clear\nrole = clear\nratio = 4:1:1\nbasis = volume\nparts = A, B\n", 4, "ratio: "},
};

static void put(const struct harness *h, const char *name, const char *text, char path[512])
{
    snprintf(path, 512, "%s/%s", h->dir, name);
    FILE *f = fopen(path, "we");
    assert_non_null(f);
    fputs(text, f);
    assert_int_equal(fclose(f), 0);
}

/* --check and a start; both must say FILE:LINE: and those words, the start in one line. */
static void is_refused(struct harness *h, const char *config, const char *file, int line, const char *says)
{
    char out[256], err[8192], state[512], sock[512], where[560];
    snprintf(state, sizeof state, "%s/other", h->dir);
    snprintf(sock, sizeof sock, "%s/other.sock", h->dir);
    snprintf(where, sizeof where, line ? "%s:%d: " : "%s: ", file, line);
    const char *const check[] = {"poised", "--config", config, "--check", NULL};
    const char *const start[] = {"poised", "--config", config, "--state", state, "--socket", sock, NULL};
    for (int i = 0; i < 2; i++) {
        int code = harness_run(h, i ? start : check, NULL, out, sizeof out, err, sizeof err);
        const char *at = strstr(err, where);
        size_t len = strlen(err);
        if (code != CONFIG || !at || !strstr(at, says) || *out || err[len - 1] != '\n' ||
            (i && (strchr(err, '\n') != err + len - 1 || strncmp(err, "poised: ", 8) != 0)))
            fail_msg("%s: %d, want 78, \"%s\" and \"%s\":\n%s%s", i ? "start" : "--check", code, where, says, err, out);
    }
}

static void a_bad_configuration_is_named(void **state)
{
    struct harness *h = *state;
    char path[512];
    for (size_t i = 0; i < sizeof configs / sizeof *configs; i++) {
        put(h, "bad.ini", configs[i].text, path);
        is_refused(h, path, path, configs[i].line, configs[i].says);
    }
}

static void a_bad_file_of_the_catalogue_is_named(void **state)
{
    struct harness *h = *state;
    char config[512], path[512], folder[512];
    snprintf(folder, sizeof folder, "%s/data", h->dir);
    assert_int_equal(mkdir(folder, 0700), 0);
    put(h, "with-data.ini", SHOP "data = data\n" STATION, config);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        put(h, "data/colours.ini", files[i].text, path);
        is_refused(h, config, path, files[i].line, files[i].says);
    }
}

static void a_configuration_that_is_no_file_is_named(void **state)
{
    struct harness *h = *state;
    char pipe[512];
    snprintf(pipe, sizeof pipe, "%s/pipe.ini", h->dir);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    is_refused(h, pipe, pipe, 0, "not a plain file");
    is_refused(h, h->dir, h->dir, 0, "it is a folder");
    is_refused(h, "/nowhere/poised.ini", "/nowhere/poised.ini", 0, "no such file");
    is_refused(h, "/dev/null/x", "/dev/null/x", 0, "a part of the path is not a folder");
}

/* All mistakes at once, each in its line. */
static void check_says_all_there_is_to_mend(void **state)
{
    struct harness *h = *state;
    char path[512], out[64], err[8192];
    put(h, "bad.ini", SHOP "decimal = dot\n[station bench]\nport = x\nprofile = nosuch\nd_g = 0\n", path);
    const char *const check[] = {"poised", "--config", path, "--check", NULL};
    assert_int_equal(harness_run(h, check, NULL, out, sizeof out, err, sizeof err), CONFIG);
    static const char *const says[] = {
        "bad.ini:4: decimal: ", "bad.ini:6: port: ", "bad.ini:7: profile: ", "bad.ini:8: d_g: "};
    for (size_t i = 0; i < 4; i++)
        if (!strstr(err, says[i]))
            fail_msg("no %s in\n%s", says[i], err);
}

static void a_good_configuration_passes(void **state)
{
    struct harness *h = *state;
    char path[512], out[64], err[1024];
    snprintf(path, sizeof path, "%s/poised.ini", h->dir);
    const char *const check[] = {"poised", "--config", path, "--check", NULL};
    assert_int_equal(harness_run(h, check, NULL, out, sizeof out, err, sizeof err), 0);
    assert_string_equal(err, "");
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bad_configuration_is_named),
        cmocka_unit_test(a_bad_file_of_the_catalogue_is_named),
        cmocka_unit_test(a_configuration_that_is_no_file_is_named),
        cmocka_unit_test(check_says_all_there_is_to_mend),
        cmocka_unit_test(a_good_configuration_passes),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
