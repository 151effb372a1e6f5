/* ports.h - the ports of this machine that a scale may hang on, with what is known of each.
 *
 * Serial ports as libserialport lists them, and USB scales of the HID class (usage page 0x8D in the report descriptor).
 * Thread  Any. Reads /sys, /dev/serial/by-id and rights, opens at most the built-in serial ports for a moment: a few
 *         milliseconds, so only when somebody asks.
 */
#pragma once

#include "drivers/port.h"

struct port_found {
    char port[PORT_PATH];  /* as a station names it: the by-id path where there is one */
    char device[64];       /* /dev/ttyUSB0 */
    char description[128]; /* what the adapter calls itself; "": nothing */
    struct said why;       /* why we may not use it (port.h, port_why); nothing said: we may */
};

void ports_list(void (*each)(void *arg, const struct port_found *found), void *arg);
