/* fake_scale.h - a bench scale owned by the test: it listens on a free loopback port and says what it is told.
 *
 * Once told a weight it repeats that frame every 50 ms, as a real scale does, but only while the harness waits for
 * something (fake_scale_tick): there is no thread. Frames are of the family hdr2: `ST,+00123.45  g` CR LF.
 * Owner   fake_scale_init and fake_scale_finish are a pair; the harness calls both for the scales of its stations.
 */
#ifndef TESTS_E2E_FAKE_SCALE_H
#define TESTS_E2E_FAKE_SCALE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct fake_scale {
    int listener;   /* -1: the port is closed (fake_scale_unplug) */
    int peer;       /* the daemon's connection, -1 while there is none */
    int port;       /* on 127.0.0.1; stays the same over unplug and plug */
    int decimals;   /* of a gram, as sent; 2 unless the test changes it */
    char frame[64]; /* what is repeated, "" while it says nothing */
    int64_t next_ms;
};

/* Listens on a free port. False with errno where that cannot be. */
bool fake_scale_init(struct fake_scale *scale);
void fake_scale_finish(struct fake_scale *scale);

/* Says `grams` from now on, marked stable or moving. */
void fake_scale_show(struct fake_scale *scale, double grams, bool stable);
/* Sends these bytes once, as they are, and goes on repeating what it said before. */
void fake_scale_raw(struct fake_scale *scale, const void *bytes, size_t len);
/* Says nothing from now on; the connection stays, so the scale becomes stale. */
void fake_scale_mute(struct fake_scale *scale);
/* Closes the connection and the port, so the scale becomes absent; plug opens the same port again. */
void fake_scale_unplug(struct fake_scale *scale);
bool fake_scale_plug(struct fake_scale *scale);

/* Takes a new connection, drops a closed one, repeats the frame when it is time. Never blocks. */
void fake_scale_tick(struct fake_scale *scale, int64_t now_ms);

#endif
