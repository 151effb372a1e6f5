/* failure.h - how a command ends when something is wrong: one line on stderr and an exit code (sysexits.h).
 *
 *   poise: WHAT: WHY. HELP
 *
 * WHY is the words of a code, HELP those of CODE.help, in the person's language. The table from the daemon's error
 * codes to exit codes is here and nowhere else.
 */
#pragma once

#include "client/output.h"

#include <jansson.h>

enum { FAILURE_NOTHING_FOUND = 1 }; /* exit code of a list that is empty */

/* Exit code of a JSON-RPC error code (contract section 3); 70 for one that is not known. */
int failure_exit(json_int_t code);

/* Prints the line and returns `exit`. The form as in text/said.h. Ends of sentences are put right. */
int failure_say(struct output_style style, int exit, const char *what, const char *form, ...)
    __attribute__((format(printf, 4, 5)));
/* The same from a said that somebody else made. */
int failure_said(struct output_style style, int exit, const char *what, const struct said *s);
/* The same from the daemon's error object: from data.code and data.args, else from its English message and help. */
int failure_error(struct output_style style, const char *what, const json_t *error);
