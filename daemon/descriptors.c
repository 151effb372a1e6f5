/* descriptors.c - the limit that the system sets (RLIMIT_NOFILE, raised to its hard one at the start), less what is not
 * for clients. It must not know who they are.
 */
#include "descriptors.h"

#include <stdint.h>
#include <sys/resource.h>

enum { OTHERS = 96, PAGES_LEAST = 16, PAGES_MOST = 256, CLIENTS_LEAST = 8 }; /* others: ports, journal, children */

static size_t left(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) != 0 || limit.rlim_cur == RLIM_INFINITY)
        return SIZE_MAX;
    return limit.rlim_cur > OTHERS ? (size_t)limit.rlim_cur - OTHERS : 0;
}

size_t descriptors_for_pages(void)
{
    size_t third = left() / 3;
    return third > PAGES_MOST ? PAGES_MOST : third < PAGES_LEAST ? PAGES_LEAST : third;
}

size_t descriptors_for_clients(bool pages)
{
    size_t all = left(), taken = pages ? descriptors_for_pages() : 0;
    if (all == SIZE_MAX)
        return SIZE_MAX;
    return all > taken + CLIENTS_LEAST ? all - taken : CLIENTS_LEAST;
}
