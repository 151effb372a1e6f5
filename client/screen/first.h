/* first.h - what a screen begins with: the link, the bench that is meant, its first screen. */
#pragma once

#include "client/ask.h"
#include "client/screen/model.h"

struct poise_options;

/* The present moment, its wall clock in the local zone. */
struct moment moment_now(void);

/* Opens the link, watches the bench and begins the model with its screen; the faults are those of every command. An
 * exit code: 0, or of the fault that was said. The link stays with `a`, also on a fault; m is begun only with 0. */
int first_screen(struct ask *a, struct poise_options *opt, struct model *m, bool utf8);
