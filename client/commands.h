/* commands.h - the function of each command, for the table in commands.c alone. Each returns its exit code. */
#pragma once

struct poise_options;

int command_bench(struct poise_options *opt);
int command_plan(struct poise_options *opt);
int command_begin(struct poise_options *opt);
int command_accept(struct poise_options *opt);
int command_undo(struct poise_options *opt);
int command_remedy(struct poise_options *opt);
int command_retare(struct poise_options *opt);
int command_tint(struct poise_options *opt);
int command_note(struct poise_options *opt);
int command_hold(struct poise_options *opt);
int command_resume(struct poise_options *opt);
int command_finish(struct poise_options *opt);
int command_scrap(struct poise_options *opt);
int command_status(struct poise_options *opt);
int command_find(struct poise_options *opt);
int command_show(struct poise_options *opt);
int command_why(struct poise_options *opt);
int command_repeat(struct poise_options *opt);
int command_label(struct poise_options *opt);
int command_toners(struct poise_options *opt);
int command_formulas(struct poise_options *opt);
int command_products(struct poise_options *opt);
int command_panels(struct poise_options *opt);
int command_cups(struct poise_options *opt);
int command_import(struct poise_options *opt);
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
