/* help.h - what the tables of commands and options say, as pages: help, bash completion, manual page. */
#pragma once

struct command;

/* `poise` alone and `poise --help`: what it is, all commands by group. */
void help_overview(void);
/* `poise COMMAND --help`. */
void help_command(const struct command *c);
