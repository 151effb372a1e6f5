/* commands.h - the one table of commands, the function of each, and the pages of help that the tables make. Only
 * poise.c (and tests) read the table, and hand it on by options_parse: a command that printed the table by its name
 * would close a circle of calls. */
#pragma once

#include "client/options.h"

extern const struct command commands[]; /* ends with a NULL name */

/* Each returns the exit code of the program. */
int command_bench(struct poise_options *opt);      /* the full-screen pour */
int command_move(struct poise_options *opt);       /* plan, begin, and accept to scrap */
int command_workoff(struct poise_options *opt);    /* which cups of the shelf a batch could use up */
int command_practice(struct poise_options *opt);   /* the terminal, at a simulated scale */
int command_kiosk(struct poise_options *opt);      /* the page, full screen */
int command_status(struct poise_options *opt);     /* what a bench shows, once or as it changes */
int command_find(struct poise_options *opt);       /* batches, newest first */
int command_show(struct poise_options *opt);       /* one batch as it was poured */
int command_why(struct poise_options *opt);        /* how a number of a batch came about */
int command_repeat(struct poise_options *opt);     /* a batch like an earlier one */
int command_scan(struct poise_options *opt);       /* what a code is */
int command_shelf(struct poise_options *opt);      /* shelve, leftover, discard */
int command_stock(struct poise_options *opt);      /* tins: listed, received, counted, stirred */
int command_sign(struct poise_options *opt);       /* in and out */
int command_people(struct poise_options *opt);     /* who works here: listed, or one of them put */
int command_keep(struct poise_options *opt);       /* a tinted batch as a variant of the shop's own */
int command_substitute(struct poise_options *opt); /* what may stand in for a toner that ran out */
int command_settings(struct poise_options *opt);   /* listed, or one of them put */
int command_order(struct poise_options *opt);      /* one order, shown or put */
int command_card(struct poise_options *opt);       /* a spray-out card kept, or what matched */
int command_label(struct poise_options *opt);      /* of a batch, as a PDF or printed */
int command_book(struct poise_options *opt);       /* every list of the shop's */
int command_import(struct poise_options *opt);     /* files of the catalogue */
int command_export(struct poise_options *opt);     /* the same, written */
int command_backup(struct poise_options *opt);     /* a copy of the journal */
int command_verify(struct poise_options *opt);     /* whether it is whole */
int command_restore(struct poise_options *opt);    /* a backup in the place of the journal */
/* What store.verify answers, of a backup. 0 and *result is the caller's, or the exit code and one line was said. */
int backup_verify(const struct poise_options *opt, const char *file, json_t **result);
int command_scales(struct poise_options *opt);       /* of all benches, and free ports */
int command_check_weight(struct poise_options *opt); /* led, reading by reading */
int command_checks(struct poise_options *opt);       /* the log of check weights */
int command_seek(struct poise_options *opt);         /* what a port speaks */
int command_record(struct poise_options *opt);       /* bytes of a port into a file */
int command_decode(struct poise_options *opt);       /* what such bytes say */
int command_call(struct poise_options *opt);         /* any method of the protocol */
int command_completion(struct poise_options *opt);   /* for bash */
int command_man(struct poise_options *opt);          /* the manual page */
int command_help_run(struct poise_options *opt);     /* `poise help` */

/* ---- what the tables of commands and options say, as pages ---- */

/* `poise` alone and `poise --help`: what it is, all commands by group. */
void help_overview(const struct command *all, struct output_style style);
/* `poise COMMAND --help`. */
void help_command(const struct command *c, struct output_style style);
