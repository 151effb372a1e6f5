/* scenario.h - a file of timed words: what stands on the scale when, with nobody at the keyboard.
 *
 *   AT WORD...   AT is MS since the start, +MS since the time of the line before, or done+MS since all was answered
 *   NAME VALUE   before the first timed line: a setting of the command line (family, d, rate, ...), which the command
 * line wins loop         as the last line: begins again when all is done and answered       # ...   a comment Owner
 * scenario_read() allocates; scenario_finish() frees. Options set from the head borrow its text. Errors  Faults name
 * file:line, what and mend; the whole file is read before anything is done.
 */
#pragma once
#include "drivers/sim/arguments.h"
#include "drivers/sim/grammar.h"

enum scenario_from { FROM_START, FROM_LINE, FROM_ANSWERS };

struct scenario_line {
    enum scenario_from from;
    int64_t ms;
    const char *words;
};

/* The file's text with its lines cut out of it, and how far it has been played. `words` point into `text`. */
struct scenario {
    char *text;
    struct scenario_line *lines;
    size_t count;
    bool loop;
    /* where it is */
    size_t next;
    int64_t start_us;
    int64_t line_us;    /* the time of the line before */
    int64_t answers_us; /* since then all is answered; 0: not all is */
};

/* Reads the file and puts its head into options. Returns 0, 65 bad data, 66 no such file, 70 no memory; why. */
int scenario_read(struct scenario *scenario, const char *path, struct sim_options *options, char *why, size_t room);
/* May be called twice, and on one that was never read. */
void scenario_finish(struct scenario *scenario);

/* From the first line, at this time; a loop begins anew by the same call. */
void scenario_start(struct scenario *scenario, int64_t now_us);

/* The words that are due, each once, NULL when none is. idle: all said before has been answered. */
const char *scenario_due(struct scenario *scenario, int64_t now_us, bool idle);

/* When the next line is due, -1 when nothing is or it hangs on an answer. */
int64_t scenario_next_us(const struct scenario *scenario);
