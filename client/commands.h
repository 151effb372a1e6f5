/* commands.h - the one table of commands, the function of each, and the pages of help that the tables make. Only
 * poise.c (and tests) read the table, and hand it on by options_parse: a command that printed the table by its name
 * would close a circle of calls. */
#pragma once

#include "client/options.h"

extern const struct command commands[]; /* ends with a NULL name */

/* Each returns the exit code of the program. */
int command_bench(struct poise_options *opt);
int command_move(struct poise_options *opt); /* plan, begin, and accept to scrap */
int command_kiosk(struct poise_options *opt);
int command_status(struct poise_options *opt);
int command_find(struct poise_options *opt);
int command_show(struct poise_options *opt);
int command_why(struct poise_options *opt);
int command_repeat(struct poise_options *opt);
int command_scan(struct poise_options *opt);
int command_shelf(struct poise_options *opt); /* shelve, leftover, discard */
int command_stock(struct poise_options *opt);
int command_sign(struct poise_options *opt); /* in and out */
int command_order(struct poise_options *opt);
int command_card(struct poise_options *opt);
int command_label(struct poise_options *opt);
int command_book(struct poise_options *opt);
int command_import(struct poise_options *opt);
int command_export(struct poise_options *opt);
int command_backup(struct poise_options *opt);
int command_verify(struct poise_options *opt);
int command_restore(struct poise_options *opt);
int command_scales(struct poise_options *opt);
int command_check_weight(struct poise_options *opt);
int command_checks(struct poise_options *opt);
int command_seek(struct poise_options *opt);
int command_record(struct poise_options *opt);
int command_decode(struct poise_options *opt);
int command_call(struct poise_options *opt);
int command_completion(struct poise_options *opt);
int command_man(struct poise_options *opt);
int command_help_run(struct poise_options *opt);

/* ---- what the tables of commands and options say, as pages ---- */

/* `poise` alone and `poise --help`: what it is, all commands by group. */
void help_overview(const struct command *all, struct output_style style);
/* `poise COMMAND --help`. */
void help_command(const struct command *c, struct output_style style);
