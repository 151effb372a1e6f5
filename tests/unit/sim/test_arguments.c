/* The command line of poise-sim, and what a scale's own digits become in another unit. */
#include "drivers/sim/arguments.h"
#include "drivers/sim/sim.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#define WORDS(...)                                                                                                     \
    {                                                                                                                  \
        "poise-sim", __VA_ARGS__, NULL                                                                                 \
    }

static const struct {
    const char *words[12];
    int code;
    const char *says; /* begins the reason */
} lines[] = {
    {WORDS("--tcp", "0", "--hand", "manual"), 0, ""},
    {WORDS("--tcp=0", "--hand=manual", "--family=sma", "--rate=50"), 0, ""},
    {WORDS("--link", "/x", "--scenario", "a", "--d", "0.5", "--unit", "kg"), 0, ""},
    {WORDS("--tcp", "0", "--hand", "manual", "--family", "hdr2", "--style", "semicolon"), 0, ""},
    {WORDS("--bogus"), 64, "--bogus: no such option."},
    {WORDS("tcp"), 64, "tcp: no such option."},
    {WORDS("--"), 64, "--: no such option."},
    {WORDS("--poll=yes"), 64, "--poll=yes: no such option."},
    {WORDS("--tcp"), 64, "--tcp: its value is missing. Give PORT"},
    {WORDS("--tcp", "70000"), 64, "--tcp: 70000 is no number from 0 to 65535."},
    {WORDS("--rate", "nan"), 64, "--rate: nan is no number"},
    {WORDS("--rate", "0x10"), 64, "--rate: 0x10 is no number"},
    {WORDS("--hand", "manual"), 64, "--link, --tcp: one of the two is needed."},
    {WORDS("--tcp", "0", "--link", "/x", "--hand", "manual"), 64, "--link, --tcp: one of the two is needed."},
    {WORDS("--tcp", "0"), 64, "--hand, --scenario, --replay: one of the three is needed."},
    {WORDS("--tcp", "0", "--hand", "manual", "--replay", "a"), 64, "--hand, --scenario, --replay: one of the three"},
    {WORDS("--tcp", "0", "--hand", "left"), 64, "--hand: left is not known. Give --hand manual"},
    {WORDS("--tcp", "0", "--hand", "manual", "--family", "x"), 64, "--family: x is not known."},
    {WORDS("--tcp", "0", "--hand", "manual", "--style", "x"), 64, "--style: x is not known."},
    {WORDS("--tcp", "0", "--hand", "manual", "--unit", "pcs"), 64, "--unit: pcs is not known."},
    {WORDS("--tcp", "0", "--hand", "manual", "--parity", "mark"), 64, "--parity: mark is not known."},
    {WORDS("--tcp", "0", "--hand", "manual", "--d", "0.03"), 64, "--d: 0.03 is not 1, 2 or 5 times a power of ten."},
    {WORDS("--tcp", "0", "--hand", "manual", "--family", "stx18", "--capacity", "99999"), 64,
     "--capacity: 99999 g at d 0.01 has more digits than stx18 frames hold."},
    {WORDS("--tcp", "0", "--hand", "manual", "--language", "de"), 0, ""},
    {WORDS("--tcp", "0", "--hand", "manual", "--language", "fr"), 78, "--language: fr is not known. Give en or de"},
};

static void the_command_line_is_read_or_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct sim_options options;
        struct sim_nature nature;
        struct said why = {.used = 0};
        char text[SAID_TEXT_MAX], *argv[12];
        int argc = 0;
        for (; lines[i].words[argc]; argc++)
            argv[argc] = (char *)(uintptr_t)lines[i].words[argc];
        sim_options_init(&options);
        int code = sim_options_read(&options, argc, argv, &why);
        if (!code)
            code = sim_options_check(&options, &nature, &why);
        said_text(&why, WORDS_EN, NULL, text, sizeof text);
        if (code != lines[i].code || strncmp(text, lines[i].says, strlen(lines[i].says)) != 0)
            fail_msg("row %zu: %d <%s>", i, code, text);
    }
}

static void help_wins_over_what_is_missing(void **state)
{
    (void)state;
    struct sim_options options;
    struct said why;
    char *argv[] = {"poise-sim", "--tcp", "0", "--help", "--bogus"};
    sim_options_init(&options);
    assert_int_equal(sim_options_read(&options, 5, argv, &why), 0);
    assert_true(options.help);
}

/* Each line of the help fits a terminal of 80 columns, whatever its language. */
static void help_fits_in_either_language(void **state)
{
    (void)state;
    for (int language = 0; language < WORDS_LANGUAGES; language++) {
        char text[8000] = "";
        FILE *out = fmemopen(text, sizeof text, "w");
        assert_non_null(out);
        sim_options_help(out, (enum words_language)language, false);
        fclose(out);
        size_t printed = 0;
        char *rest = text;
        for (char *line; (line = strsep(&rest, "\n")); printed++) {
            size_t columns = 0;
            for (const char *c = line; *c; c++)
                columns += ((unsigned char)*c & 0xc0) != 0x80; /* letters, not bytes */
            if (columns > 80 || strstr(line, "sim_"))
                fail_msg("%s", line);
        }
        assert_true(printed > 30);
    }
}

static void every_family_starts_with_nothing_else_said(void **state)
{
    (void)state;
    for (size_t i = 0; i < sim_styles_count; i++) {
        struct sim_options options;
        struct sim_nature nature;
        struct said why;
        sim_options_init(&options);
        options.tcp = 0;
        options.hand = "manual";
        options.family = sim_styles[i].family;
        options.style = sim_styles[i].style;
        if (sim_options_check(&options, &nature, &why) != 0)
            fail_msg("%s %s: %s", options.family, options.style, why.code);
        assert_true(nature.load.capacity_g >= 3);
        /* what it says is full it can write, and three parts of it below zero too */
        struct load_reading reading = {.stable = true, .steps = (int64_t)(nature.load.capacity_g * 100 + 0.5)};
        struct sim_weight weight;
        uint8_t frame[SIM_FRAME_MAX];
        assert_true(sim_weight_of(&reading, nature.load.d, nature.unit, &weight));
        assert_true(sim_write(nature.style, &weight, frame) > 0);
    }
}

static const struct {
    int64_t steps;
    struct load_interval d;
    enum sim_unit unit;
    uint64_t digits;
    int decimals;
    bool negative;
} units[] = {
    {6000, {1, -2}, SIM_G, 6000, 2, false},   {-31, {2, -1}, SIM_G, 62, 1, true},
    {0, {1, -2}, SIM_G, 0, 2, false},         {31, {5, 1}, SIM_G, 1550, 0, false},
    {6000, {1, -2}, SIM_KG, 6000, 5, false}, /* 60.00 g = 0.06000 kg */
    {60, {1, 0}, SIM_T, 60, 6, false},        {60, {1, 0}, SIM_MG, 60000, 0, false},
    {6000, {1, -2}, SIM_LB, 13228, 5, false}, /* 60 / 453.59237 = 0.132277, d = 0.000022 lb */
    {6000, {1, -2}, SIM_OZ, 21164, 4, false}, /* 60 / 28.349523125 = 2.116438 */
    {6000, {1, -2}, SIM_GR, 9259, 1, false},  /* 60 / 0.06479891 = 925.942 */
};

static void digits_follow_the_unit(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        struct load_reading reading = {.steps = units[i].steps};
        struct sim_weight weight;
        assert_true(sim_weight_of(&reading, units[i].d, units[i].unit, &weight));
        if (weight.digits != units[i].digits || weight.decimals != units[i].decimals ||
            weight.negative != units[i].negative)
            fail_msg("row %zu: %llu with %d places, negative %d", i, (unsigned long long)weight.digits, weight.decimals,
                     weight.negative);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_command_line_is_read_or_refused),
        cmocka_unit_test(help_fits_in_either_language),
        cmocka_unit_test(help_wins_over_what_is_missing),
        cmocka_unit_test(every_family_starts_with_nothing_else_said),
        cmocka_unit_test(digits_follow_the_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
