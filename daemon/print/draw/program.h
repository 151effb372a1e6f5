/* program.h - poise-label: one JSON object in, one PDF out.
 *
 * Its own program so that cairo and its fonts stay out of the daemon's memory and off its loop.
 * Exits   0 done; 64 usage; 65 what came in cannot be a label; 70 our own fault; 74 cannot read or write.
 * Errors  One line on err: `poise-label: WHAT: WHY. HELP`.
 */
#pragma once

#include <stdio.h>

/* All of the program but the process: main calls it, and so do tests. in, out and err stay open. The PDF goes
 * to argv[1], written beside it and renamed when whole, or to out where that is `-`. */
int label_program(int argc, char **argv, FILE *in, FILE *out, FILE *err);
