/* call_tap.h - a socket between a client and poised: what the client says goes through as it is, and each act among it
 * (a call with a `request`) is kept, in order, for the test to look at.
 *
 * A thread of its own carries the bytes, so that a client never waits for the test. A poised that is away is met as one
 * that hangs up. Owner: tap_begin makes the socket in a folder of the harness, tap_end ends thread and socket. */
#ifndef TESTS_E2E_CALL_TAP_H
#define TESTS_E2E_CALL_TAP_H

#include <jansson.h>
#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

enum { TAP_PATH = 320, TAP_LINE = 1 << 17, TAP_ACTS = 64 };

struct call_tap {
    char path[TAP_PATH], to[TAP_PATH]; /* where the client connects; the daemon's own */
    pthread_t thread;
    pthread_mutex_t lock; /* of what follows */
    json_t *acts[TAP_ACTS];
    size_t n;
    bool ends;
    int listener, client, daemon; /* of the thread; -1: none */
    char line[TAP_LINE];
    size_t len;
};

void tap_begin(struct call_tap *t, const char *dir, const char *socket);
void tap_end(struct call_tap *t);
/* The oldest act that was not taken yet, {method, params}, for the caller to let go; NULL: none. */
json_t *tap_act(struct call_tap *t);

#endif
