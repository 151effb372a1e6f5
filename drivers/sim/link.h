/* link.h - the wire of the simulated scale: a pseudo terminal behind a symlink, or a TCP server on loopback.
 *
 * Open one with sim_pty_open() or sim_tcp_open(); from then on both are a list of connections that get the same bytes.
 * Nothing waits: a TCP client that does not read is dropped, and bytes for a pty that nobody has open, or reads, are
 * lost, as on a cable. (Replay alone may wait, see sim_link_send.)
 * pty     The slave is not kept open: while nobody has it open the master reports a hang-up and nothing is
 *         written, so that who opens it next hears what is on the pan now and no backlog. The pty itself stays,
 *         with its raw settings, so that it can be closed and opened at any time.
 * Owner   The caller owns struct sim_link; sim_link_close() closes descriptors and removes the symlink.
 */
#pragma once
#include "text/said.h"
#include <poll.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SIM_CONNECTIONS = 16, SIM_HEARD_MAX = 4096, SIM_PATH_MAX = 512 };

enum sim_link_kind { SIM_PTY, SIM_TCP };

/* One listener: the pty's master, or a TCP client. */
struct sim_connection {
    int fd;            /* -1: free */
    bool deaf;         /* a TCP client that has shut its own sending down; it may still listen */
    bool streams;      /* gets frames unasked */
    bool wants_stable; /* asked for a stable weight, and waits for it */
    uint8_t asked[64]; /* what it sent and nobody has taken yet */
    size_t asked_len;
};

struct sim_link {
    enum sim_link_kind kind;
    char path[SIM_PATH_MAX]; /* pty: the symlink */
    char slave[64];          /* pty: what it points to */
    bool hung;               /* pty: nobody has the slave open */
    int listener;            /* tcp: the listening socket; -1: pty, or unplugged */
    int port;                /* tcp: as bound */
    bool polled;             /* new connections do not stream */
    struct sim_connection connection[SIM_CONNECTIONS];
    uint8_t heard[SIM_HEARD_MAX]; /* all that was sent to the scale, the newest; sim_link_heard() empties it */
    size_t heard_len;
};

/* Makes the pty and the symlink. An old symlink into /dev/pts is replaced, anything else at path is left alone. False:
 * *why. */
bool sim_pty_open(struct sim_link *link, const char *path, bool polled, struct said *why);
/* Listens on 127.0.0.1; port 0 takes a free one (link->port). False: *why. */
bool sim_tcp_open(struct sim_link *link, int port, bool polled, struct said *why);
/* For good; the same as unplugging, and harmless twice. */
void sim_link_close(struct sim_link *link);

/* The cable pulled (all connections end, the path or port is gone) and plugged in again by the same path or port. */
void sim_link_unplug(struct sim_link *link);
bool sim_link_plug(struct sim_link *link, struct said *why);

/* What to poll for; fills at most SIM_CONNECTIONS + 1, returns how many. */
size_t sim_link_polls(struct sim_link *link, struct pollfd *polls);
/* Accepts and reads what poll() found. */
void sim_link_serve(struct sim_link *link, const struct pollfd *polls, size_t count);

/* True when somebody listens. */
bool sim_link_heeded(struct sim_link *link);
/* To every connection, or to those alone that stream. wait: up to 5 s for each that is slow, and none is dropped
 * before. */
enum sim_to { SIM_TO_ALL, SIM_TO_STREAMING };
void sim_link_send(struct sim_link *link, enum sim_to to, const uint8_t *bytes, size_t len, bool wait);
/* To one. */
void sim_connection_send(struct sim_link *link, struct sim_connection *connection, const uint8_t *bytes, size_t len);

/* Takes the newest bytes that were sent to the scale; returns how many, at most SIM_HEARD_MAX. */
size_t sim_link_heard(struct sim_link *link, uint8_t out[SIM_HEARD_MAX]);
