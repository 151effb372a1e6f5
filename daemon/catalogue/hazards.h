/* hazards.h - hazard statements by their codes, and the few words of them that go on a label. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* H, three figures and at most two letters, or EUH, three figures and at most one letter. */
bool hazard_code_fits(const char *code, size_t len);
