/* options.h - what a person typed after `poise`, sorted by one table.
 *
 * Start with commands.c: the one table of commands. From it and the table of options below come the parser, `--help`,
 * the bash completion and the man page (help.c). To add a command, write its function in the file of its group and
 * add a row; to add an option, add its id here and its row in options.c. What they say stands in the folder words.
 * Owner   Texts point into argv; a struct poise_options is filled once and read by the command.
 */
#pragma once

#include "client/output.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum option_id {
    OPTION_HELP,
    OPTION_VERSION,
    OPTION_JSON,
    OPTION_SOCKET,
    OPTION_NO_COLOR,
    OPTION_LANGUAGE,
    OPTION_STATION,
    OPTION_VARIANT,
    OPTION_COAT,
    OPTION_GRAMS,
    OPTION_ML,
    OPTION_PANEL,
    OPTION_PRODUCT,
    OPTION_PARTS,
    OPTION_REDUCE,
    OPTION_REDUCER,
    OPTION_CUP,
    OPTION_HAVE,
    OPTION_ORDER,
    OPTION_PAINTER,
    OPTION_AS,
    OPTION_SHORT,
    OPTION_LESS,
    OPTION_TARED,
    OPTION_SURE,
    OPTION_LOT,
    OPTION_REALLY,
    OPTION_GLANCE, /* who else looked at a pour */
    OPTION_UNCOUNTED,
    OPTION_LOST,
    OPTION_FOLLOW,
    OPTION_PAGE,
    OPTION_FORMULA,
    OPTION_PLACE,
    OPTION_FROM,
    OPTION_TO,
    OPTION_CSV,
    OPTION_LIMIT,
    OPTION_OUT,
    OPTION_COPIES,
    OPTION_SIZE,
    OPTION_LID,
    OPTION_PROFILE,
    OPTION_TOLERANCE,
    OPTION_DRIFT,
    OPTION_SECONDS,
    OPTION_ASK,
    OPTION_SPEED,
    OPTION_FRAME,
    OPTION_POLL,
    OPTION_WHAT,
    OPTION_STATE,
    OPTION_GROSS,        /* a cup with what is left in it */
    OPTION_TARE,         /* the same cup empty */
    OPTION_USE_BY,       /* of a cup on the shelf */
    OPTION_DUE,          /* only what is past its date */
    OPTION_REORDER,      /* only what is low */
    OPTION_COST,         /* of a tin that came in */
    OPTION_VEHICLE,      /* of an order, in words */
    OPTION_BY,           /* the day an order is wanted by */
    OPTION_CLOSE,        /* an order is done */
    OPTION_ALL,          /* closed ones as well */
    OPTION_COATS,        /* sprayed on a card */
    OPTION_MIDS,         /* mid coats on a card */
    OPTION_LIGHT,        /* that a card was judged in */
    OPTION_VERDICT,      /* of a card */
    OPTION_COAT_N,       /* which coat of an order, from 1 */
    OPTION_HARDENER,     /* of a product: one of its own */
    OPTION_TEMPERATURE,  /* of the shop, for a product's reducer */
    OPTION_FILM,         /* dry film of one coat */
    OPTION_TRANSFER,     /* how much reaches the panel */
    OPTION_LOSS,         /* what cup and hose keep */
    OPTION_CONTROL_COAT, /* half a coat more, misted on last */
    OPTION_EDGES,        /* jambs and edges alone */
    OPTION_OUTSIDES,     /* all but them */
    OPTION_POUR_ORDER,   /* another one than the station's */
    OPTION_GLANCES,      /* how many batches of a person are looked at */
    OPTION_RETIRED,      /* a person works here no more */
    OPTION_TRAINED,      /* the day of a person's last training */
    OPTION_DEFAULT,      /* a setting as it was before anybody put it */
    OPTION_PREMIX,       /* of the bank, which a batch takes from */
    OPTION_PREMIX_FIRST, /* made of what is too small for the scale */
    OPTION_KEEP,         /* a finished premix, as a toner of the bank */
    OPTION_COUNT
};

/* A set of options, a bit each, so that a command stays a row of a table. More than 64 there are soon, and C17 has no
 * integer of 128 bits without a word. */
__extension__ typedef unsigned __int128 option_set;
#define OPTION_BIT(id) ((option_set)1 << (id))

struct option_row {
    const char *name;  /* without the dashes */
    const char *value; /* the word in its place in help, such as `G`; NULL: it takes none.
                        * `a|b` is a choice: another value is refused */
    bool many;         /* may be given more than once, each counts */
};

extern const struct option_row option_rows[OPTION_COUNT];

enum { POISE_WORDS = 64, POISE_MANY = 32 };

struct poise_options {
    const struct command *commands; /* the table that options_parse was given: help, completion and man print it */
    const struct command *command;  /* the row named; NULL: none */
    const char *socket;             /* path of the daemon's socket: --socket, $POISE_SOCKET, or the usual one */
    const char *station;            /* --station, or NULL */
    bool json;                      /* one object a line */
    bool color;                     /* false: --no-color, NO_COLOR, or stdout is no terminal */
    struct output_style style;      /* language and terminal, from the start; the shop's decimal sign comes later */
    bool help, version;             /* asked for; words are not counted then */
    const char *text[OPTION_COUNT]; /* the value of each option given (the last one), "" for one without; or NULL */
    struct {
        enum option_id id;
        const char *text;
    } many[POISE_MANY]; /* options that may repeat, in the order given */
    size_t many_count;
    const char *word[POISE_WORDS]; /* after the command's name */
    size_t word_count;
};

struct command {
    const char *name;
    const char *words;  /* as in help: "BATCH [FIELD]", "FILE...", "grow|dip"; the grammar is read from it */
    option_set options; /* OPTION_BITs beside those that every command takes */
    enum command_group { GROUP_MIX, GROUP_RECORD, GROUP_BOOKS, GROUP_SCALE, GROUP_REST, GROUP_COUNT } group;
    const char *example;                   /* as typed; NULL: among the words, command_example */
    int (*run)(struct poise_options *opt); /* its exit code */
};

/* Sorts argv by a table of commands, which ends with a NULL name. 0, or 64 after one line on stderr. Reads the
 * environment as text (POISE_SOCKET, NO_COLOR, LC_ALL, LC_CTYPE, LC_MESSAGES, LANG): no locale need be generated. */
int options_parse(struct poise_options *opt, const struct command *commands, int argc, char **argv);
/* Does the command take this option beside those that all take? Is it one that all take (the command is not looked at)?
 */
bool command_takes(const struct command *c, enum option_id id);
bool option_is_everywhere(const struct command *c, enum option_id id);
/* The words of a command and of an option: `command.NAME`, its paragraph `command.NAME.more` ("": none), and
 * `option.NAME`, or `option.COMMAND.NAME` where the command means something else by it than the others. */
const char *command_help(const struct command *c, enum words_language language);
const char *command_more(const struct command *c, enum words_language language);
const char *option_help(const struct command *c, enum option_id id, enum words_language language);
/* What to type, whole: the row's example, or `command.NAME.example` where it holds words of a language. */
const char *command_example(const struct command *c, enum words_language language);
/* A shape such as "BATCH [FIELD]" with its placeholders in the person's language (`value.BATCH`); what has no word, a
 * choice for one, stays as it is. Cut to fit. */
enum { PLACEHOLDERS = 128 };
void placeholders(const char *shape, enum words_language language, char *out, size_t size);
/* The row of that name in the table in use; NULL: none. */
const struct command *command_named(const struct poise_options *opt, const char *name);
/* 64 and the line about an unknown command, with the one that was meant where one is near. */
int command_unknown(const struct poise_options *opt, const char *name);
/* How many words `words` asks for; *most is SIZE_MAX where it ends with "...". */
size_t command_words(const char *words, size_t *most);
/* All words from the first to the last with one space between them; to be freed, NULL: none. */
char *options_sentence(const struct poise_options *opt, size_t first);

/* ---- from what was typed to the members of a call: `--grams 250` becomes "grams": 250 ----
 *
 * One table (params.c) says which member an option fills and what type it has.
 */

enum number_fault {
    NUMBER_OK,
    NUMBER_TRASH,    /* not a number from its first to its last character */
    NUMBER_TWO_WAYS, /* `1,250`: a thousand or a comma? */
};

/* Digits with at most one point or comma, and a sign. No exponent, no unit, no space, no thousands. */
enum number_fault number_parse(const char *text, double *value);

/* The same for an option: *value, or exit code 64 after one line. `what` is such as `--grams`. */
int number_read(struct output_style style, const char *what, const char *text, double *value);
/* The same for what must be above 0, and for a whole number from 1 to `most`. */
int number_read_above_0(struct output_style style, const char *what, const char *text, double *value);
int number_read_count(struct output_style style, const char *what, const char *text, int most, int *count);

/* The members of all options given, as a new object in *params. 0, or 64 after one line about a value that is no
 * number, no day, no NAME:COATS:SHARE or no BATCH:GRAMS; *params is NULL then. */
int params_of(const struct poise_options *opt, json_t **params);
/* Adds `NAME[:COATS[:SHARE]][:edges]` to the list `panels`. 0, or 64 after one line; `what` is where it was typed. */
int params_panel(struct output_style style, const char *what, json_t *params, const char *text);
/* A whole number leaves as an integer: a count as a real would be refused. A new reference. */
json_t *params_number(double value);
/* 0, or 64 after one line where --grams, --ml and --panel are not exactly one (at most one, where none is needed). */
int params_amount(const struct poise_options *opt, bool needed);
