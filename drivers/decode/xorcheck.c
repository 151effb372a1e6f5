#include "drivers/decode/xorcheck.h"

uint8_t xor_of(const uint8_t *bytes, size_t len)
{
    uint8_t mixed = 0;
    for (size_t i = 0; i < len; i++)
        mixed = (uint8_t)(mixed ^ bytes[i]);
    return mixed;
}

/* -1: not one. */
static int hex_digit(uint8_t c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    if (c >= 'A' && c <= 'F')
        return c - 'A' + 10;
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

bool xor_hex_holds(const uint8_t *bytes, size_t len, const uint8_t hex[2])
{
    int high = hex_digit(hex[0]);
    int low = hex_digit(hex[1]);
    return high >= 0 && low >= 0 && xor_of(bytes, len) == high * 16 + low;
}
