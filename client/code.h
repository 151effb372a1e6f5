/* code.h - what a CODE on the command line names: a formula, or a product mixed by ratio. */
#pragma once

#include "client/ask.h"

/* *member is what CODE fills in a plan or a beginning: `formula` or `product`. Returns an exit code; a code that is
 * neither has been said on stderr, as the formula's fault. */
int code_member(struct ask *a, const char *code, const char **member);
