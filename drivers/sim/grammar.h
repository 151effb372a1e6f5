/* grammar.h - the grammar of the hand: a line of words to an act. Used for standard input and for scenario files.
 *
 * Start at sim_act_read(). The table in grammar.c names every word with its arguments; hand.c carries acts out.
 */
#pragma once
#include "drivers/sim/styles.h"
#include "text/said.h"
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum { SIM_RAW_MAX = 512, SIM_LINE_MAX = 1200 };

/* In the order of the table in grammar.c, and of what a wrong word is answered with. */
enum sim_word {
    WORD_CUP,
    WORD_OFF,
    WORD_LIFT,
    WORD_PUT,
    WORD_POUR,
    WORD_STOP,
    WORD_ADD,
    WORD_REMOVE,
    WORD_TARE,
    WORD_ZERO,
    WORD_MUTE,
    WORD_SPEAK,
    WORD_RAW,
    WORD_SETTLE,
    WORD_WEIGH,
    WORD_DRIFT,
    WORD_NOISE,
    WORD_SAYS,
    WORD_RESTART,
    WORD_UNPLUG,
    WORD_PLUG,
    WORD_HEARD,
    WORD_QUIT,
    WORDS
};

struct sim_act {
    enum sim_word word;
    double first;  /* the first number: grams, grams a minute, milliseconds */
    double second; /* pour: grams a second */
    enum sim_status says;
    uint8_t raw[SIM_RAW_MAX];
    size_t raw_len;
};

/* As it is typed. */
const char *sim_word_name(enum sim_word word);

/* Reads one line. False: why, the word first. */
bool sim_act_read(const char *line, struct sim_act *out, struct said *why);

/* Hex digits, blanks between bytes allowed, to bytes. False when it is no hex, or more than room, or nothing. */
bool sim_hex_read(const char *text, uint8_t *out, size_t room, size_t *len);
