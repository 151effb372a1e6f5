/* transport.c - the list of transports. A prefix tells them apart; what has none is the path of a serial device. */
#include "drivers/transport.h"

#include <string.h>

const struct transport *transport_find(const char *port)
{
    static const struct transport *const all[] = {&transport_tcp, &transport_pty, &transport_hidraw, NULL};
    for (size_t i = 0; all[i]; i++) {
        if (strncmp(port, all[i]->prefix, strlen(all[i]->prefix)) == 0)
            return all[i];
    }
    return &transport_serial;
}
