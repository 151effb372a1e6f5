/* arguments.h - what a simulated scale is told to be: one table for the command line, --help and a scenario's head.
 *
 * Owner   Texts are borrowed (argv, or the scenario's text) and must outlive the options.
 * Errors  A reason names the option, what is wrong and how to fix it.
 */
#pragma once
#include "drivers/sim/load.h"
#include "drivers/sim/styles.h"
#include "text/said.h"
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

/* Numbers are doubles, whole ones too, so that one kind of row serves all of them. */
struct sim_options {
    const char *link;
    double tcp; /* port; -1: none */
    const char *hand, *scenario, *replay;
    const char *family, *style, *unit, *parity;
    double rate_hz, d_g, noise_g, settle_ms, lag_ms, drift_g_per_min, capacity_g, seed;
    double speed;         /* replay: times are divided by it; 0: as fast as it goes */
    double chunk;         /* replay: bytes a write; 0: as recorded */
    const char *language; /* `en`, `de`; NULL: that of the environment */
    bool poll, help, version;
    uint32_t given; /* a bit for each row of the table that the command line set */
};

/* The defaults that --help names in brackets. */
void sim_options_init(struct sim_options *options);

/* Reads the command line. Returns 0, or 64 with the reason in why. */
int sim_options_read(struct sim_options *options, int argc, char **argv, struct said *why);

/* Sets one by its name from a scenario's head, unless the command line did. False: why. */
bool sim_options_set(struct sim_options *options, const char *name, const char *value, struct said *why);

/* What they say together, with the family's row and the scale's settings worked out. A capacity that nobody gave is the
 * greatest of 3000, 300, ... that the family's frames can hold. Returns 0, 64, or 78 for a language that it has not. */
struct sim_nature {
    const struct sim_style *style;
    enum sim_unit unit;
    int parity; /* 0 none; 1 even, 2 odd in bit 7 */
    struct load_settings load;
};
int sim_options_check(const struct sim_options *options, struct sim_nature *out, struct said *why);

/* The language of all that it says: the option, else the environment. */
enum words_language sim_options_language(const struct sim_options *options);

/* --help, or `--style list`: families and their styles alone. */
void sim_options_help(FILE *out, enum words_language language, bool styles_only);
