/* help.h - what the tables of commands and options say, as pages: help, bash completion, manual page. */
#pragma once

#include "client/output.h"

struct command;

/* `poise` alone and `poise --help`: what it is, all commands by group. */
void help_overview(const struct command *all, struct output_style style);
/* `poise COMMAND --help`. */
void help_command(const struct command *c, struct output_style style);
