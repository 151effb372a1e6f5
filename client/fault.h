/* fault.h - the screen's three refusals, until it words them by codes (failure.h). */
#pragma once

#include <stdio.h>

static inline int fault_say(int exit, const char *what, const char *help, const char *why)
{
    fprintf(stderr, "poise: %s: %s. %s\n", what, why, help);
    return exit;
}
