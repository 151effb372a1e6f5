/* json.c - numbers as the protocol shows them: at most 6 decimals, null for what is not known. */
#include "rpc/rpc.h"

#include <math.h>

/* From here on a double holds no 6 decimals any more. */
#define LARGE 1e9

json_t *rpc_number(double value)
{
    if (!isfinite(value))
        return json_null();
    if (fabs(value) < LARGE)
        value = round(value * 1e6) / 1e6;
    if (fabs(value) < LARGE && value == trunc(value))
        return json_integer((json_int_t)value);
    return json_real(value);
}

json_t *rpc_number_ug(int64_t ug)
{
    if (ug % 1000000 == 0)
        return json_integer(ug / 1000000);
    return json_real((double)ug / 1e6);
}

json_t *rpc_money(double value)
{
    if (!isfinite(value))
        return json_null();
    return rpc_number(fabs(value) < LARGE ? round(value * 100) / 100 : value);
}
