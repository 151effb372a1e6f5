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
    bool head; /* may stand in a scenario's head too */
    const char *value, *help;
} rows[] = {
#define AT(field) offsetof(struct sim_options, field)
    {"link", TEXT, AT(link), 0, 0, false, "PATH", "make a pseudo terminal, and PATH a symlink to it"},
    {"tcp", NUMBER, AT(tcp), 0, 65535, false, "PORT", "listen on 127.0.0.1; 0 takes a free port and prints it"},
    {"family", TEXT, AT(family), 0, 0, true, "NAME", "the frames it writes (hdr2)"},
    {"style", TEXT, AT(style), 0, 0, true, "NAME", "a variant of the family; `--style list` names them"},
    {"unit", TEXT, AT(unit), 0, 0, true, "UNIT", "g, kg, lb, oz, mg, t, gr (g)"},
    {"parity", TEXT, AT(parity), 0, 0, true, "none|even|odd", "in bit 7, as 7E1 or 7O1 looks at 8N1 (none)"},
    {"rate", NUMBER, AT(rate_hz), 0.1, 20000, true, "HZ", "frames a second (10)"},
    {"d", NUMBER, AT(d_g), 1e-6, 500, true, "G", "scale interval: 1, 2 or 5 times a power of ten (0.01)"},
    {"capacity", NUMBER, AT(capacity_g), 1e-3, 1e6, true, "G",
     "above it the scale says over (3000, or what fits the frames)"},
    {"noise", NUMBER, AT(noise_g), 0, 1e4, true, "G", "standard deviation of the reading (0)"},
    {"settle", NUMBER, AT(settle_ms), 0, 20000, true, "MS", "from a change to its stable mark (500)"},
    {"lag", NUMBER, AT(lag_ms), 0, LOAD_LAG_MAX_MS, true, "MS", "dead time of the scale (0)"},
    {"drift", NUMBER, AT(drift_g_per_min), -1e4, 1e4, true, "G_PER_MIN", "of the reading; negative as paint dries (0)"},
    {"seed", NUMBER, AT(seed), 0, 4294967295.0, true, "N", "of the noise (1)"},
    {"poll", FLAG, AT(poll), 0, 0, true, NULL, "answer only when asked"},
    {"hand", TEXT, AT(hand), 0, 0, false, "manual", "do what is said on standard input, a word a line"},
    {"scenario", TEXT, AT(scenario), 0, 0, false, "FILE", "do what the file says, at its times"},
    {"replay", TEXT, AT(replay), 0, 0, false, "FILE", "send recorded bytes"},
    {"speed", NUMBER, AT(speed), 0, 1e6, false, "F", "replay so many times faster; 0: at once (1)"},
    {"chunk", NUMBER, AT(chunk), 0, 65536, false, "N", "replay N bytes a write; 0: as recorded (0)"},
    {"help", FLAG, AT(help), 0, 0, false, NULL, "this text"},
    {"version", FLAG, AT(version), 0, 0, false, NULL, "the version"},
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

/* The range stands in the row, so a new option needs no code. */
static bool store(struct sim_options *options, const struct row *row, const char *value, char *why, size_t room)
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
        snprintf(why, room, "%s: %s is no number from %g to %g. Give %s", row->name, value, row->low, row->high,
                 row->value);
        return false;
    }
    memcpy(field, &number, sizeof number);
    return true;
}

/* What the command line has set stays: so one scenario can be tried with other noise. */
bool sim_options_set(struct sim_options *options, const char *name, const char *value, char *why, size_t room)
{
    int at = find(name, strlen(name));
    if (at < 0 || !rows[at].head) {
        snprintf(why, room, "%s: no such setting. Put family, d, rate, settle and their like in the head", name);
        return false;
    }
    if (rows[at].kind == FLAG ? *value != 0 : *value == 0) {
        snprintf(why, room, "%s: %s. Write `%s%s%s`", name, *value ? "it takes no value" : "its value is missing", name,
                 rows[at].value ? " " : "", rows[at].value ? rows[at].value : "");
        return false;
    }
    return (options->given >> at & 1) || store(options, &rows[at], value, why, room);
}

/* --help and --version end it: what is wrong behind them does not matter then. */
int sim_options_read(struct sim_options *options, int argc, char **argv, char *why, size_t room)
{
    for (int i = 1; i < argc; i++) {
        const char *word = argv[i], *equals = strchr(word, '=');
        size_t len = equals ? (size_t)(equals - word) : strlen(word);
        int at = len > 2 && !strncmp(word, "--", 2) ? find(word + 2, len - 2) : -1;
        if (at < 0 || (equals && rows[at].kind == FLAG)) {
            snprintf(why, room, "%s: no such option. Try --help", word);
            return 64;
        }
        const char *value = equals ? equals + 1 : NULL;
        if (!value && rows[at].kind != FLAG)
            value = ++i < argc ? argv[i] : NULL;
        if (rows[at].kind != FLAG && (!value || !*value)) {
            snprintf(why, room, "--%s: its value is missing. Give %s", rows[at].name, rows[at].value);
            return 64;
        }
        char inner[200];
        if (!store(options, &rows[at], value, inner, sizeof inner)) {
            snprintf(why, room, "--%s", inner);
            return 64;
        }
        options->given |= 1u << at;
        if (options->help || options->version)
            return 0;
    }
    return 0;
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
static int check_wire(const struct sim_options *options, char *why, size_t room)
{
    int sources = (options->hand != NULL) + (options->scenario != NULL) + (options->replay != NULL);
    if ((options->link != NULL) == (options->tcp >= 0)) {
        snprintf(why, room, "--link, --tcp: one of the two is needed. Give --link PATH or --tcp PORT");
        return 64;
    }
    if (sources != 1) {
        snprintf(why, room, "--hand, --scenario, --replay: one of the three is needed. Try --hand manual");
        return 64;
    }
    if (options->hand && strcmp(options->hand, "manual") != 0) {
        snprintf(why, room, "--hand: %s is not known. Give --hand manual", options->hand);
        return 64;
    }
    return 0;
}

/* The words that are names in another table: family, style, unit, parity. */
static int check_words(const struct sim_options *options, struct sim_nature *out, char *why, size_t room)
{
    out->style = sim_style_find(options->family, options->style);
    if (!out->style) {
        bool family = sim_style_find(options->family, NULL) != NULL;
        snprintf(why, room, "%s: %s is not known. Try --help, or --style list", family ? "--style" : "--family",
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
        snprintf(why, room, "%s: %s is not known. Try --help", unit == SIM_PCS ? "--unit" : "--parity",
                 unit == SIM_PCS ? options->unit : options->parity);
        return 64;
    }
    out->unit = (enum sim_unit)unit;
    out->parity = parity;
    return 0;
}

int sim_options_check(const struct sim_options *options, struct sim_nature *out, char *why, size_t room)
{
    memset(out, 0, sizeof *out);
    int code = check_wire(options, why, room);
    if (!code)
        code = check_words(options, out, why, room);
    if (code)
        return code;
    out->load = (struct load_settings){.capacity_g = options->capacity_g,
                                       .noise_g = options->noise_g,
                                       .drift_g_per_min = options->drift_g_per_min,
                                       .settle_ms = (int)options->settle_ms,
                                       .lag_ms = (int)options->lag_ms,
                                       .seed = (uint64_t)options->seed};
    if (!load_interval_of(options->d_g, &out->load.d)) {
        snprintf(why, room, "--d: %g is not 1, 2 or 5 times a power of ten. Give 0.01, say", options->d_g);
        return 64;
    }
    /* A capacity nobody gave shrinks until it fits; one that was given is refused, as the person relies on it. */
    bool asked = options->capacity_g > 0;
    if (!asked)
        out->load.capacity_g = 3000;
    while (!asked && !fits(out) && out->load.capacity_g > options->d_g)
        out->load.capacity_g /= 10;
    if (!fits(out)) {
        snprintf(why, room,
                 "--capacity: %g g at d %g has more digits than %s frames hold. Give a smaller one or a coarser --d",
                 out->load.capacity_g, options->d_g, options->family);
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

void sim_options_help(FILE *out, bool styles_only)
{
    if (styles_only) {
        list_styles(out);
        return;
    }
    fputs("usage: poise-sim (--link PATH | --tcp PORT)\n"
          "                 (--hand manual | --scenario FILE | --replay FILE) [OPTION]...\n"
          "A bench scale that is not there: frames of a family on a pseudo terminal or a\n"
          "TCP port, and a hand that pours.\n\n",
          out);
    for (int i = 0; i < ROWS; i++)
        fprintf(out, "  --%-8s %-13s %s\n", rows[i].name, rows[i].value ? rows[i].value : "", rows[i].help);
    fputs("\nFamilies:", out);
    size_t column = strlen("Families:");
    for (size_t i = 0; i < sim_styles_count; i++) {
        if (*sim_styles[i].style)
            continue;
        size_t len = strlen(sim_styles[i].family) + 1;
        bool full = column + len > COLUMNS;
        fprintf(out, "%s %s", full ? "\n " : "", sim_styles[i].family);
        column = full ? len + 1 : column + len;
    }
    fputs("\nWords of the hand, and the files: drivers/sim/README.md.\n", out);
}
