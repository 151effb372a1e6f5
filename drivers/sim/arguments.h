/* arguments.h - what a simulated scale is told to be: one table for the command line, --help and a scenario's head.
 *
 * Owner   Texts are borrowed (argv, or the scenario's text) and must outlive the options.
 * Errors  A reason is the second half of a line `WHAT: WHY. HELP`.
 */
#pragma once
#include "drivers/sim/load.h"
#include "drivers/sim/styles.h"
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
    double speed; /* replay: times are divided by it; 0: as fast as it goes */
    double chunk; /* replay: bytes a write; 0: as recorded */
    bool poll, help, version;
    uint32_t given; /* a bit for each row of the table that the command line set */
};

/* The defaults that --help names in brackets. */
void sim_options_init(struct sim_options *options);

/* Reads the command line. Returns 0, or 64 with the reason (without the program's name) in why. */
int sim_options_read(struct sim_options *options, int argc, char **argv, char *why, size_t room);

/* Sets one by its name from a scenario's head, unless the command line did. False: why. */
bool sim_options_set(struct sim_options *options, const char *name, const char *value, char *why, size_t room);

/* What they say together, with the family's row and the scale's settings worked out. A capacity that nobody gave is the
 * greatest of 3000, 300, ... that the family's frames can hold. Returns 0 or 64. */
struct sim_nature {
    const struct sim_style *style;
    enum sim_unit unit;
    int parity; /* 0 none; 1 even, 2 odd in bit 7 */
    struct load_settings load;
};
int sim_options_check(const struct sim_options *options, struct sim_nature *out, char *why, size_t room);

/* --help, or `--style list`: families and their styles alone. */
void sim_options_help(FILE *out, bool styles_only);
