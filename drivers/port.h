/* port.h - one scale's port: opened, read, framed, decoded, and opened again for as long as the daemon lives.
 *
 * A port opens by itself after port_create. When that fails, or the port goes, it tries again by the same path after
 * 100 ms, doubled up to 2 s, for ever. Each whole frame that its family believes goes to `reading` as soon as its last
 * byte is in. Who holds paint and batches knows nothing of this file, and it nothing of them.
 * States  live (a frame other than a tare came within the last second), stale (open, but none for 1 s), absent (not
 * there, or gone), seeking (profile `auto`: not known yet what it speaks). `state` is called on changes only, once each
 *         way, so that the caller can log it as it comes; the first call says how the first opening went.
 * Owner   port_create copies the settings. The port is freed in the last close callback of its libuv handles; `closed`
 *         is called just before that, and nothing is called after it.
 * Thread  The loop's. Nothing here blocks; a flood is read in bounded bites, so that it starves nobody.
 * Errors  Bad bytes are skipped and counted. Nothing stops a port but port_close.
 */
#pragma once

#include "drivers/scale.h"
#include "text/said.h"

#include <uv.h>

enum {
    PORT_PATH = 256,   /* bytes of a port as a station names it, NUL included */
    POLLTEXT_ROOM = 64 /* bytes of a question to the scale */
};

enum port_flow { PORT_FLOW_NONE, PORT_FLOW_XONXOFF, PORT_FLOW_RTSCTS };

enum port_state { PORT_LIVE, PORT_STALE, PORT_ABSENT, PORT_SEEKING };

/* What finding out has come to: told as it goes, so that a person sees what is tried. */
enum port_sought {
    PORT_SOUGHT_TRYING,  /* these settings, this question, for so long */
    PORT_SOUGHT_NOTHING, /* a whole round, and not one byte: the cable, most likely */
    PORT_SOUGHT_NOISE,   /* a whole round: bytes came, but of no family known */
    PORT_SOUGHT_TIE,     /* these families read it alike: a person must choose */
    PORT_SOUGHT_FOUND    /* believed, and spoken from now on */
};

struct port_note {
    enum port_sought what;
    int speed;            /* 0: the port has none */
    const char *frame;    /* `8N1`, once found what it is really */
    const char *question; /* in words such as `SI CR LF`, "" when listening */
    const char *families; /* FOUND: the name, TIE: names with commas; else "" */
    unsigned pass;        /* which round, from 1 */
    unsigned ms;          /* TRYING: for how long */
};

struct port_settings {
    char port[PORT_PATH];     /* `tcp:HOST:PORT`, `pty:PATH`, `hid:/dev/hidrawN`, else the path of a serial device */
    char profile[48];         /* a family's name, or `auto`; `hid` is implied by a hid: port */
    int speed;                /* baud, serial only; 0 means 9600; with `auto` a speed at which it may be asked */
    char frame[4];            /* data bits, parity, stop bits such as `8N1`; "" means 8N1; serial only */
    char poll[POLLTEXT_ROOM]; /* bytes to send every poll_ms, ready to go out (escapes and CR LF done by the caller) */
    size_t poll_len;          /* 0: only listen */
    int poll_ms;              /* at least 20; 0 means 200 */
    enum port_flow flow;      /* serial only */
    enum scale_unit unit;     /* of a frame that names none; SCALE_UNIT_NONE means g */
    int64_t d_ug;             /* the scale interval, 0: not known. Kept for the caller, decides nothing here */
    bool may_ask;             /* with `auto`: the user has consented to questions that change nothing (seek.h) */
    const struct scale_family *declared; /* a family from a profile file, alive as long as the port; NULL: by name */
};

struct port_events {
    /* One believed frame: the reading, and the bytes it was decoded from (bit 7 as it came). Both die on return. */
    void (*reading)(void *owner, const struct scale_reading *reading, const uint8_t *frame, size_t len);
    /* The state has changed; `why` as port_why, never NULL, dies on return. May be NULL. */
    void (*state)(void *owner, enum port_state state, const struct said *why);
    /* With `auto`: what is tried and what was found. The note dies on return. May be NULL. */
    void (*sought)(void *owner, const struct port_note *note);
    /* Every chunk as it came, before it is framed: for recordings. May be NULL. */
    void (*bytes)(void *owner, const uint8_t *bytes, size_t len, uint64_t at_ms);
};

struct port;

/* Starts opening; events come from the loop, never before this returns. NULL: out of memory, or the settings name no
 * known family (port_settings_fault says what is wrong with them). */
struct port *port_create(uv_loop_t *loop, const struct port_settings *settings, const struct port_events *events,
                         void *owner);
/* Closes; closed(owner) is called from the loop when nothing of it is left. port may be NULL: nothing happens then. */
void port_close(struct port *port, void (*closed)(void *owner));

/* What is not sound in the settings; nothing said: they are. */
struct said port_settings_fault(const struct port_settings *settings);

enum port_state port_state(const struct port *port);
/* live stale absent seeking. */
const char *port_state_name(enum port_state state);
/* Why it is not live; nothing said when live. Valid until the next turn of the loop. The codes begin with `port_`. */
const struct said *port_why(const struct port *port);
/* What to do about it: the same figures under CODE.help; nothing said where no fix is known. */
struct said port_mend(const struct said *why);
/* Both in one line, `what is wrong: what to do`, for a log or a row of a table. Returns out. */
const char *port_words(const struct said *why, enum words_language language, char *out, size_t size);
/* The same in one word, for a program: `silent` nothing comes, `strange` bytes come that do not read as the family,
 * `tare` its tare alone, `trying` it is being found out, `tie` several families read it alike; "" there is no more to
 * say than the state. */
const char *port_cause(const struct port *port);
/* The family it speaks: the one configured or found out; `auto` while seeking. */
const char *port_profile(const struct port *port);
/* The settings in force: those found out, where they were sought. */
const struct port_settings *port_settings(const struct port *port);
/* A `[station NAME]` section ready to paste, of the settings in force. d_g is guessed from the decimals last sent, and
 * says so. False: it did not fit, or it is not known yet what the port speaks. */
bool port_section(const struct port *port, const char *station, char *out, size_t size);
/* The first bytes that came since the last believed frame where the port is not live, borrowed; *len 0: none. */
const uint8_t *port_strange(const struct port *port, size_t *len);
/* Since creation: frames believed, frames refused (failed check, wrong shape), bytes that belonged to no frame. */
uint64_t port_frames(const struct port *port);
uint64_t port_refused(const struct port *port);
uint64_t port_skipped(const struct port *port);

/* What is sent to ask a scale, as a person writes it in the configuration or behind --poll: a text goes out with CR LF
 * behind it, one with an escape (\r \n \xNN) as it stands. The bytes and their number make sense only with FINE. */
enum polltext_fault { POLLTEXT_FINE, POLLTEXT_TOO_LONG, POLLTEXT_BAD_ESCAPE };
enum polltext_fault polltext_read(const char *text, char out[POLLTEXT_ROOM], size_t *len);
