/* fault.h - how a command ends when something is wrong: one line on stderr and an exit code (sysexits.h).
 *
 *   poise: WHAT: WHY. HELP
 *
 * The table from the daemon's error codes to exit codes is here and nowhere else.
 */
#pragma once

#include <jansson.h>

/* Exit code of a JSON-RPC error code (contract section 3); 70 for one that is not known. */
int fault_exit(json_int_t code);

/* Prints `poise: WHAT: WHY. HELP` and returns `exit`. WHY is a format; ends of sentences are mended. */
int fault_say(int exit, const char *what, const char *help, const char *why, ...) __attribute__((format(printf, 4, 5)));

/* The same from the daemon's error object. */
int fault_say_error(const char *what, const json_t *error);
