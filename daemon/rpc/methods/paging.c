/* paging.c - how much of a list is asked for. It must not know of what. */
#include "rpc/methods/paging.h"

#include <math.h>

enum { LIMIT_USUAL = 50, LIMIT_MOST = 1000 }; /* a screen several times over; a message below a megabyte */

bool page_read(const json_t *params, int *limit, const char **after, struct fault *fault)
{
    double rows = LIMIT_USUAL;
    if (!rpc_get_number(params, "limit", &rows, fault) || !rpc_get_text(params, "after", after, fault))
        return false;
    if (!(rows >= 1 && rows <= LIMIT_MOST && rows == floor(rows)))
        return fault_said(fault, FAULT_INVALID, "limit", "range", "record_whole_number field=%s most=%f", "limit",
                          (double)LIMIT_MOST);
    *limit = (int)rows;
    return true;
}
