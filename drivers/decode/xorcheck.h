/* xorcheck.h - frames that carry the exclusive or of their bytes. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* All bytes together. */
uint8_t xor_of(const uint8_t *bytes, size_t len);
/* The two digits at `hex` (either case) say the exclusive or of the bytes. */
bool xor_hex_holds(const uint8_t *bytes, size_t len, const uint8_t hex[2]);
