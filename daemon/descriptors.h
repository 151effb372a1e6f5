/* descriptors.h - how the descriptors that this process may have are shared out.
 *
 * Whoever takes the last one leaves none for a scale that comes back, for a child, or for the client that is to be told
 * why it is not let in.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* Connections over HTTP: 16 to 256, a third of what ports, journal and children leave. */
size_t descriptors_for_pages(void);
/* Clients of the socket, beside pages where HTTP is served; at least 8, so that a tight limit still shows a bench.
 * SIZE_MAX: the system sets no limit. */
size_t descriptors_for_clients(bool pages);
