/* transport.h - how a port's descriptor is come by: one table a transport, used by port.c alone.
 *
 * A transport opens a descriptor that does not block and that poll() understands; reading and writing are the same for
 * all. It keeps no timer and tries nothing twice: port.c does that.
 * Thread  The loop's. open() may take the time of an open(2) with O_NONBLOCK, no more.
 * Errors  A said in `why`; the words of its code and, where a fix is known, of CODE.help stand in the folder words.
 */
#pragma once

#include "drivers/port.h"

#include <sys/socket.h>

struct channel {
    int fd;     /* -1: closed */
    void *held; /* the transport's own */
};

struct transport {
    const char *prefix; /* of the port setting, such as `tcp:`; "" is a device's path */
    /* False: why is filled, the channel stays closed. `far_end` is NULL where `resolves` is false. */
    bool (*open)(struct channel *channel, const struct port_settings *settings, const struct sockaddr *far_end,
                 struct said *why);
    void (*close)(struct channel *channel);
    /* Drops what the adapter or the kernel holds, in both directions. NULL: nothing is held. */
    void (*flush)(struct channel *channel);
    /* One read's bytes to those of a frame, 0 where they hold none. NULL: they are the same. */
    size_t (*convert)(struct channel *channel, const uint8_t *bytes, size_t len, uint8_t *out, size_t room);
    unsigned settle_ms; /* after opening, what comes within this time is dropped: adapters hold old bytes */
    bool resolves;      /* the port names a host, to be looked up first */
    bool connects;      /* the descriptor is ready once it is writable */
    bool zero_is_gone;  /* read() of 0 is the end; false: of a terminal, which may also have run dry */
};

extern const struct transport transport_serial, transport_hidraw;

/* The one that serves this port. Never NULL. */
const struct transport *transport_find(const char *port);

/* `tcp:HOST:PORT` (HOST may be in [ ]) taken apart. False: not of this form. */
bool tcp_split(const char *port, char *host, size_t host_size, char *service, size_t service_size);
/* Data bits 5-8, parity N E O M S, stop bits 1 or 2. False: none such. */
bool serial_frame(const char *frame, int *bits, char *parity, int *stop);

/* Why path could not be opened: names user, owner, group and mode when permission was refused, the holder when it is
 * busy. `error` is errno's value. */
struct said refusal_said(const char *path, int error);
/* The same for what no person can fix by name: the error by its symbol, such as EMFILE. */
struct said refusal_system(const char *path, int error);
/* Takes a lock that ends with the descriptor. False: another program holds the port; why names it. */
bool refusal_lock(int fd, const char *path, struct said *why);
