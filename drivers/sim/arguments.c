/* arguments.c - the one table of options, and what they mean together. It opens nothing: files and links are the
 * program's. */
#include "drivers/sim/arguments.h"
#include "drivers/sim/sim.h"
#include <errno.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* How a value is kept in struct sim_options: a borrowed text, a double, a bool. */
enum kind { TEXT, NUMBER, FLAG };

/* The command line, --help and a scenario's head all come from these rows. At most 32: `given` is a bit each. */
static const struct row {
    const char *name;
    enum kind kind;
    size_t at; /* in struct sim_options */
    double low, high;
    bool head;                /* may stand in a scenario's head too */
    const char *value, *help; /* how its value is named; the code of what it does */
} rows[] = {
#define AT(field) offsetof(struct sim_options, field)
    {"link", TEXT, AT(link), 0, 0, false, "PATH", "sim_option_link"},
    {"tcp", NUMBER, AT(tcp), 0, 65535, false, "PORT", "sim_option_tcp"},
    {"family", TEXT, AT(family), 0, 0, true, "NAME", "sim_option_family"},
    {"style", TEXT, AT(style), 0, 0, true, "NAME", "sim_option_style"},
    {"unit", TEXT, AT(unit), 0, 0, true, "UNIT", "sim_option_unit"},
    {"parity", TEXT, AT(parity), 0, 0, true, "none|even|odd", "sim_option_parity"},
    {"rate", NUMBER, AT(rate_hz), 0.1, 20000, true, "HZ", "sim_option_rate"},
    {"d", NUMBER, AT(d_g), 1e-6, 500, true, "G", "sim_option_d"},
    {"capacity", NUMBER, AT(capacity_g), 1e-3, 1e6, true, "G", "sim_option_capacity"},
    {"noise", NUMBER, AT(noise_g), 0, 1e4, true, "G", "sim_option_noise"},
    {"settle", NUMBER, AT(settle_ms), 0, 20000, true, "MS", "sim_option_settle"},
    {"lag", NUMBER, AT(lag_ms), 0, LOAD_LAG_MAX_MS, true, "MS", "sim_option_lag"},
    {"drift", NUMBER, AT(drift_g_per_min), -1e4, 1e4, true, "G_PER_MIN", "sim_option_drift"},
    {"seed", NUMBER, AT(seed), 0, 4294967295.0, true, "N", "sim_option_seed"},
    {"poll", FLAG, AT(poll), 0, 0, true, NULL, "sim_option_poll"},
    {"hand", TEXT, AT(hand), 0, 0, false, "manual", "sim_option_hand"},
    {"scenario", TEXT, AT(scenario), 0, 0, false, "FILE", "sim_option_scenario"},
    {"replay", TEXT, AT(replay), 0, 0, false, "FILE", "sim_option_replay"},
    {"speed", NUMBER, AT(speed), 0, 1e6, false, "F", "sim_option_speed"},
    {"chunk", NUMBER, AT(chunk), 0, 65536, false, "N", "sim_option_chunk"},
    {"language", TEXT, AT(language), 0, 0, false, "LANG", "sim_option_language"},
    {"help", FLAG, AT(help), 0, 0, false, NULL, "sim_option_help"},
    {"version", FLAG, AT(version), 0, 0, false, NULL, "sim_option_version"},
#undef AT
};
enum { ROWS = sizeof rows / sizeof *rows };

/* A common bench scale: 10 frames a second, 10 mg, half a second to rest. */
void sim_options_init(struct sim_options *options)
{
    *options = (struct sim_options){.tcp = -1,
                                    .family = "hdr2",
                                    .style = "",
                                    .unit = "g",
                                    .parity = "none",
                                    .rate_hz = 10,
                                    .d_g = 0.01,
                                    .settle_ms = 500,
                                    .speed = 1,
                                    .seed = 1};
}

/* The row of a name that need not end there (`rate=20`); -1: none. */
static int find(const char *name, size_t len)
{
    for (int i = 0; i < ROWS; i++)
        if (strlen(rows[i].name) == len && !memcmp(rows[i].name, name, len))
            return i;
    return -1;
}

/* The range stands in the row, so a new option needs no code. `shown` is its name as it was written. */
static bool store(struct sim_options *options, const struct row *row, const char *shown, const char *value,
                  struct said *why)
{
    char *field = (char *)options + row->at;
    if (row->kind == FLAG) {
        memcpy(field, &(bool){true}, sizeof(bool));
        return true;
    }
    if (row->kind == TEXT) {
        memcpy(field, &value, sizeof value);
        return true;
    }
    double number;
    if (!sim_number(value, &number) || number < row->low || number > row->high) {
        *why =
            say("sim_no_number name=%s value=%s low=%f high=%f form=%s", shown, value, row->low, row->high, row->value);
        return false;
    }
    memcpy(field, &number, sizeof number);
    return true;
}

/* What the command line has set stays: so one scenario can be tried with other noise. */
bool sim_options_set(struct sim_options *options, const char *name, const char *value, struct said *why)
{
    int at = find(name, strlen(name));
    if (at < 0 || !rows[at].head) {
        *why = say("sim_no_setting name=%s", name);
        return false;
    }
    if (rows[at].kind == FLAG ? *value != 0 : *value == 0) {
        *why = *value ? say("sim_flag_value name=%s", name)
                      : say("sim_value_missing name=%s form=%s", name, rows[at].value);
        return false;
    }
    return (options->given >> at & 1) || store(options, &rows[at], name, value, why);
}

/* --help and --version end it: what is wrong behind them does not matter then. */
int sim_options_read(struct sim_options *options, int argc, char **argv, struct said *why)
{
    for (int i = 1; i < argc; i++) {
        const char *word = argv[i], *equals = strchr(word, '=');
        size_t len = equals ? (size_t)(equals - word) : strlen(word);
        int at = len > 2 && !strncmp(word, "--", 2) ? find(word + 2, len - 2) : -1;
        if (at < 0 || (equals && rows[at].kind == FLAG)) {
            *why = say("sim_no_option name=%s", word);
            return 64;
        }
        char shown[16];
        snprintf(shown, sizeof shown, "--%s", rows[at].name);
        const char *value = equals ? equals + 1 : NULL;
        if (!value && rows[at].kind != FLAG)
            value = ++i < argc ? argv[i] : NULL;
        if (rows[at].kind != FLAG && (!value || !*value)) {
            *why = say("sim_value_missing name=%s form=%s", shown, rows[at].value);
            return 64;
        }
        if (!store(options, &rows[at], shown, value, why))
            return 64;
        options->given |= 1u << at;
        if (options->help || options->version)
            return 0;
    }
    return 0;
}

/* A language that is not known is told by sim_options_check(); until then the environment's will do. */
enum words_language sim_options_language(const struct sim_options *options)
{
    enum words_language language;
    if (options->language && words_language_of(options->language, &language))
        return language;
    return words_language_of_environment();
}

/* The widest weight that this scale can show goes into a frame of its style. */
static bool fits(const struct sim_nature *nature)
{
    uint8_t frame[SIM_FRAME_MAX];
    struct sim_weight weight;
    struct load_reading full = {.steps = llround(nature->load.capacity_g / load_interval_g(nature->load.d)),
                                .stable = true};
    return sim_weight_of(&full, nature->load.d, nature->unit, &weight) && sim_write(nature->style, &weight, frame) > 0;
}

/* Exactly one wire, and exactly one that says what happens on the pan. */
static int check_wire(const struct sim_options *options, struct said *why)
{
    int sources = (options->hand != NULL) + (options->scenario != NULL) + (options->replay != NULL);
    if ((options->link != NULL) == (options->tcp >= 0)) {
        *why = say("sim_one_wire");
        return 64;
    }
    if (sources != 1) {
        *why = say("sim_one_source");
        return 64;
    }
    if (options->hand && strcmp(options->hand, "manual") != 0) {
        *why = say("sim_no_hand value=%s", options->hand);
        return 64;
    }
    return 0;
}

/* The words that are names in another table: family, style, unit, parity. */
static int check_words(const struct sim_options *options, struct sim_nature *out, struct said *why)
{
    out->style = sim_style_find(options->family, options->style);
    if (!out->style) {
        bool family = sim_style_find(options->family, NULL) != NULL;
        *why = say("sim_unknown name=%s value=%s", family ? "--style" : "--family",
                   family ? options->style : options->family);
        return 64;
    }
    int unit = 0, parity = 0;
    while (unit < SIM_PCS && strcmp(options->unit, sim_unit_names[unit]) != 0)
        unit++;
    static const char *const parities[] = {"none", "even", "odd"};
    while (parity < 3 && strcmp(options->parity, parities[parity]) != 0)
        parity++;
    if (unit == SIM_PCS || parity == 3) {
        *why = say("sim_unknown name=%s value=%s", unit == SIM_PCS ? "--unit" : "--parity",
                   unit == SIM_PCS ? options->unit : options->parity);
        return 64;
    }
    out->unit = (enum sim_unit)unit;
    out->parity = parity;
    return 0;
}

/* The wire first, then words, then numbers: in the order in which a person fixes them. What is worked out here (row of
 * the family, interval, capacity) is worked out once. */
int sim_options_check(const struct sim_options *options, struct sim_nature *out, struct said *why)
{
    enum words_language language;
    memset(out, 0, sizeof *out);
    if (options->language && !words_language_of(options->language, &language)) {
        *why = say("sim_no_language value=%s", options->language);
        return 78;
    }
    int code = check_wire(options, why);
    if (!code)
        code = check_words(options, out, why);
    if (code)
        return code;
    out->load = (struct load_settings){.capacity_g = options->capacity_g,
                                       .noise_g = options->noise_g,
                                       .drift_g_per_min = options->drift_g_per_min,
                                       .settle_ms = (int)options->settle_ms,
                                       .lag_ms = (int)options->lag_ms,
                                       .seed = (uint64_t)options->seed};
    if (!load_interval_of(options->d_g, &out->load.d)) {
        *why = say("sim_no_interval d_g=%f", options->d_g);
        return 64;
    }
    /* A capacity nobody gave shrinks until it fits; one that was given is refused, as the person relies on it. */
    bool asked = options->capacity_g > 0;
    if (!asked)
        out->load.capacity_g = 3000;
    while (!asked && !fits(out) && out->load.capacity_g > options->d_g)
        out->load.capacity_g /= 10;
    if (!fits(out)) {
        *why = say("sim_capacity_wide capacity_g=%f d_g=%f family=%s", out->load.capacity_g, options->d_g,
                   options->family);
        return 64;
    }
    return 0;
}

/* A line a family, its styles behind it. */
static void list_styles(FILE *out)
{
    for (size_t i = 0; i < sim_styles_count; i++)
        if (*sim_styles[i].style)
            fprintf(out, " %s", sim_styles[i].style);
        else
            fprintf(out, "%s%s", i ? "\n" : "", sim_styles[i].family);
    fputs("\n", out);
}

enum { COLUMNS = 79 };

/* The names of all families, in lines that a terminal of 80 columns takes. */
static void list_families(FILE *out, const char *head)
{
    fprintf(out, "\n%s", head);
    size_t column = strlen(head); /* plain letters alone, in either language */
    for (size_t i = 0; i < sim_styles_count; i++) {
        if (*sim_styles[i].style)
            continue;
        size_t len = strlen(sim_styles[i].family) + 1;
        bool full = column + len > COLUMNS;
        fprintf(out, "%s %s", full ? "\n " : "", sim_styles[i].family);
        column = full ? len + 1 : column + len;
    }
    fputc('\n', out);
}

/* Every line fits 80 columns in either language (tests/unit/sim/test_arguments.c). */
void sim_options_help(FILE *out, enum words_language language, bool styles_only)
{
    if (styles_only) {
        list_styles(out);
        return;
    }
    fprintf(out,
            "poise-sim (--link PATH | --tcp PORT)\n"
            "          (--hand manual | --scenario FILE | --replay FILE) [OPTION]...\n\n%s\n\n",
            words_of(language, "sim_help"));
    for (int i = 0; i < ROWS; i++)
        fprintf(out, "  --%-8s %-13s %s\n", rows[i].name, rows[i].value ? rows[i].value : "",
                words_of(language, rows[i].help));
    list_families(out, words_of(language, "sim_help_families"));
    fprintf(out, "%s\n", words_of(language, "sim_help_words"));
}
