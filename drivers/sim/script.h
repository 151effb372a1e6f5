/* script.h - what the simulated scale plays with nobody at the keyboard: a scenario (timed words) or a replay (bytes
 * that a real scale sent, with their times).
 *
 * A scenario, read whole before anything is done:
 *   AT WORD...   AT is MS since the start, +MS since the line before, or done+MS since all was answered
 *   NAME VALUE   before the first timed line: a setting of the command line (family, d, rate, ...), which that wins
 *   loop         as the last line: begins again when all is done and answered
 * A recording. It begins when somebody listens, waits for who is slow, and when it is over the link stays open, silent:
 *   # family: hdr2          head lines, all of them for people (and for the tests); none is needed
 *   MS HEXBYTES             milliseconds since the start, never falling; blanks between bytes allowed
 * In both `# ...` is a comment.
 * Owner   The read functions allocate, the finish functions free. Options set from a head borrow the scenario's text.
 * Errors  A fault names file:line, what is wrong and how to fix it.
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

/* What is wrong in a file, and on which line of it; 0: in the whole of it. */
struct script_fault {
    struct said why;
    int line;
};

/* `FILE:LINE: WHAT`, `FILE: WHAT` where it is no line's, WHAT alone where `file` is NULL. Returns out. */
const char *script_fault_text(const struct script_fault *fault, const char *file, enum words_language language,
                              char *out, size_t size);

/* Reads the file and puts its head into options. Returns 0, 65 bad data, 66 no such file, 70 no memory; and the fault.
 */
int scenario_read(struct scenario *scenario, const char *path, struct sim_options *options, struct script_fault *fault);
/* May be called twice, and on one that was never read. */
void scenario_finish(struct scenario *scenario);

/* From the first line, at this time; a loop begins anew by the same call. */
void scenario_start(struct scenario *scenario, int64_t now_us);

/* The words that are due, each once, NULL when none is. idle: all said before has been answered. */
const char *scenario_due(struct scenario *scenario, int64_t now_us, bool idle);

/* When the next line is due, -1 when nothing is or it hangs on an answer. */
int64_t scenario_next_us(const struct scenario *scenario);

struct replay_line {
    int64_t ms;
    size_t end; /* in bytes[]: up to where they are due at ms */
};

struct replay {
    uint8_t *bytes;
    struct replay_line *lines;
    size_t count;
    double speed; /* 0: all is due at once */
    size_t chunk; /* 0: as recorded */
    /* where it is */
    int64_t start_us;
    size_t next; /* line */
    size_t sent; /* bytes */
};

/* Returns as scenario_read(). */
int replay_read(struct replay *replay, const char *path, double speed, size_t chunk, struct script_fault *fault);
/* Frees both blocks; harmless on one that was never read. */
void replay_finish(struct replay *replay);
void replay_start(struct replay *replay, int64_t now_us);

/* The next bytes to write in one go, and how many; 0 when none are due. */
size_t replay_due(struct replay *replay, int64_t now_us, const uint8_t **bytes);
/* When more are due; -1 at the end. */
int64_t replay_next_us(const struct replay *replay);
