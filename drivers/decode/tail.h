/* tail.h - whether a line is another one with its front cut off, as the first of a recording may be. */
#pragma once

#include "drivers/scale.h"

/* Both are frames of `family` as its framer cut them. True: `a` may be what is left of a line like `b`: the same unit
 * and decimals, and fewer bytes up to the last digit. A narrow number before a wider one looks the same. */
bool tail_of(const struct scale_family *family, const uint8_t *a, size_t a_len, const uint8_t *b, size_t b_len);
