/* output.h - what a command writes: sentences in the person's language, figures, times, JSON for programs, and how it
 * ends when something is wrong.
 *
 * All text that reaches a terminal passes output_clean: names, frames and answers may hold anything. Without UTF-8 what
 * is not ASCII is written as near as ASCII comes.
 */
#pragma once

#include "text/said.h"

#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>

struct output_style {
    bool utf8; /* the terminal takes UTF-8; else plain ASCII */
    enum words_language language;
    struct number_style number; /* the shop's decimal sign, known once the daemon told it (ask_style) */
};

/* ---- for programs: one object a line, in UTF-8 whatever the terminal. What would move a terminal's cursor or turn its
 * text round is written as \\uXXXX: the same value to a program, harmless to a person who looks on ---- */

void output_json(const json_t *value);
/* The same on any stream. */
void output_json_to(const json_t *value, FILE *to);
/* Each item of a list on a line of its own. */
void output_items(const json_t *list);

/* ---- for a person ---- */

/* A text cleaned for the terminal, to be freed. NULL only without memory. */
char *output_clean(const char *text, bool utf8);
/* A stranger's text, cleaned. */
void output_text(const char *text, struct output_style style, FILE *to);
/* The sentence of a code with its slots (text/said.h), without a line end; and as a whole line of stdout. */
void output_say(struct output_style style, FILE *to, const char *form, ...) __attribute__((format(printf, 3, 4)));
void output_line(struct output_style style, const char *form, ...) __attribute__((format(printf, 2, 3)));

/* A sentence as a value: to be a cell or a slot. */
struct wording {
    char text[640];
};
struct wording wording_of(struct output_style style, const char *form, ...) __attribute__((format(printf, 2, 3)));
/* What the daemon says: its said in the person's language, or the English text beside it. */
struct wording wording_said(struct output_style style, const json_t *said, const char *text);
/* A fixed word of the contract by its family: `coat`, `ground`; as it is where no language has a word for it. */
const char *wording_fixed(struct output_style style, const char *family, const char *name);

/* Why the system refused, in words; strerror's where none of ours is. */
const char *wording_errno(struct output_style style, int error);

/* ---- figures and times ---- */

struct figure {
    char text[64];
};
/* `value` with so many decimals and a unit ("": none). NaN, what is not known, is "-". Never a minus before a zero. */
struct figure figure_of(double value, int decimals, const char *unit, struct output_style style);
/* The same with a plus sign before what is above zero: deviations. */
struct figure figure_signed(double value, int decimals, const char *unit, struct output_style style);
/* Grams to the scale's interval (style.number.d_g), as its own display shows them; 2 decimals where that is unknown. */
struct figure figure_weight(double g, struct output_style style);
/* As many decimals as it needs, at most 6: what a person typed or a file holds. */
struct figure figure_plain(double value, const char *unit, struct output_style style);
/* Of a time of the daemon: `2026-11-25 14:03:07`, the same to the minute, the day alone; "" stays "". */
struct figure figure_time(const char *time);
struct figure figure_minute(const char *time);
struct figure figure_day(const char *time);

/* ---- how a command ends when something is wrong: one line on stderr and an exit code (sysexits.h) ----
 *
 *   poise: WHAT: WHY. HELP
 *
 * WHY is the words of a code, HELP those of CODE.help, in the person's language. The table from the daemon's error
 * codes to exit codes is in output.c and nowhere else.
 */

enum { FAILURE_NOTHING_FOUND = 1 }; /* exit code of a list that is empty */

/* Exit code of a JSON-RPC error code (contract section 3); 70 for one that is not known. */
int failure_exit(json_int_t code);
/* Exit code of an errno where a file could not be opened: 66 missing, 77 not allowed, else 74. */
int failure_errno(int error);

/* Prints the line and returns `exit`. The form as in text/said.h. Ends of sentences are put right. */
int failure_say(struct output_style style, int exit, const char *what, const char *form, ...)
    __attribute__((format(printf, 4, 5)));
/* The same from a said that somebody else made. */
int failure_said(struct output_style style, int exit, const char *what, const struct said *s);
/* The same from the daemon's error object: from data.code and data.args, else from its English message and help. */
int failure_error(struct output_style style, const char *what, const json_t *error);
