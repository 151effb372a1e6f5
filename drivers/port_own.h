/* port_own.h - the inside of a port, for the six files that are its life. Nobody else includes it.
 *
 * Calls go one way: port.c (create, close) -> opening.c -> listen.c -> seeking.c -> port_own.c. What must go back up
 * goes by `open`, or by what is returned.
 *
 *   WAITING --turn--> RESOLVING (tcp) --> CONNECTING (tcp) --> SETTLING (serial) --> OPEN
 *      ^---------------- any fault, or the port is gone -------------------------------'
 *
 * What a painter sees (live, stale, absent) follows from frames and time, not from these steps: a port that opens stays
 * absent until a frame is believed, or is stale when none was for 1 s.
 */
#pragma once

#include "drivers/decode/framer.h"
#include "drivers/decode/guess.h"
#include "drivers/port.h"
#include "drivers/seek.h"
#include "drivers/transport.h"

#include <netdb.h>

enum { PORT_BACKOFF_FIRST_MS = 100, PORT_BACKOFF_MOST_MS = 2000, PORT_STRANGE = 256 };

enum step { WAITING, RESOLVING, CONNECTING, SETTLING, OPEN, CLOSING };

struct port {
    uv_loop_t *loop;
    struct port_events events;
    void *owner;
    const struct scale_family *family; /* NULL while it is sought */
    const struct transport *transport;
    struct channel channel;
    enum step step;

    enum port_state state;
    bool told; /* the state was told at least once */
    struct said why;

    uv_poll_t poll;   /* lives as long as one descriptor */
    bool polled;      /* its close callback has not come yet */
    uv_timer_t turn;  /* the next step: retry, connect limit, settling */
    uv_timer_cb open; /* port_open() */
    uv_timer_t stale;
    uv_timer_t ask;
    uv_timer_t quiet; /* runs while a whole frame waits for a byte that may not come */
    uv_getaddrinfo_t lookup;
    bool looking;
    struct addrinfo *far_ends, *next_far_end;
    int handles; /* libuv handles and requests that must come back before the memory goes */
    void (*closed)(void *owner);

    unsigned backoff_ms;
    uint64_t valid_at;   /* the last believed frame, or the opening */
    uint64_t beat_at;    /* CLOCK_BOOTTIME when timer `stale` is due while listening, so that a sleep shows; ms */
    uint64_t deaf_until; /* bytes that come before it waited while we slept; loop time */
    int empty_wakes;
    bool asked;                    /* a question is out whose first answer is ACK */
    uint64_t heard_at;             /* the last bytes */
    uint64_t heard;                /* bytes since the last believed frame */
    uint8_t strange[PORT_STRANGE]; /* the first of them while nothing is believed: of which other family are they? */
    size_t strange_len;
    bool strange_told;         /* `why` speaks of them */
    bool tare_said;            /* the last frame was a tare, which is no load */
    char digits[SCALE_DIGITS]; /* the last weight as sent, for port_section */
    enum scale_unit unit;
    struct framer framer;
    struct port_settings settings;

    /* Finding out (seeking.c): only with profile `auto`. */
    struct guess *guess;
    struct seek seek;
    struct seek_step trying;
    size_t echo;        /* bytes of the question that came back so far */
    size_t heard_asked; /* guess_heard() when it was last asked */
    bool round_heard;   /* a byte came in this round */
    bool tie_told;
    bool found_out;  /* the family in force is one that was found out */
    bool found_poll; /* and so is the question */
    unsigned stayed; /* at this step beyond its time, for the sake of a slow scale */
};

/* port_own.c: a new state, told to the owner where it is new. */
void port_change(struct port *p, enum port_state state, struct said why);
/* port_own.c: lets go of the descriptor, if there is one, and stops all timers. */
void port_drop(struct port *p);
/* port_own.c: opens it after so many ms, by the same path as the first time. */
void port_open_later(struct port *p, unsigned ms);
/* port_own.c: the port is gone, or would not open: says so, and tries again later. */
void port_lose(struct port *p, struct said why);
/* port_own.c: one handle or request has come back; with the last one of a closed port its memory goes. */
void port_handle_back(struct port *p);
/* port_own.c: forgets the addresses looked up. */
void port_forget_far_ends(struct port *p);
/* port_own.c: sends; what cannot go out now is lost. */
void port_say(struct port *p, const char *bytes, size_t len);
/* settings.c: the family that the settings name; NULL: none, or `auto`. */
const struct scale_family *port_family_of(const struct port_settings *settings);
/* seeking.c: chooses the first settings. False: out of memory. */
bool seeking_begin(struct port *p);
/* seeking.c: another scale is there than was found out: closes, and finds out anew. */
void seeking_again(struct port *p);
/* seeking.c: the descriptor is ready: listen, or ask. */
void seeking_listen(struct port *p);
/* seeking.c: bytes came. True: the family is known now, port_listen() is due. */
bool seeking_take(struct port *p, const uint8_t *bytes, size_t len);
/* listen.c: the descriptor is ready: frames count from now on. */
void port_listen(struct port *p);
/* listen.c: reads what is there, bounded. */
void port_read(struct port *p);
/* opening.c: the next step, when timer `turn` fires. */
void port_open(uv_timer_t *turn);
