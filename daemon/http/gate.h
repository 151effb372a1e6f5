/* gate.h - who may ask what over HTTP: host, origin, token, cookie.
 *
 * A page of any other site can make a browser on this network send requests here. So: the Host must be one of ours on
 * every request (else a foreign name may be rebound to our address), an Origin must be ours where there is one, and
 * what changes something needs the token of this start in a header, which only our own page can read and send.
 * Rules: contract section 2; RFC 9110 (421, Host), RFC 6454 (Origin), RFC 6265bis (SameSite).
 */
#pragma once

#include "fault.h"
#include "rights.h"

#include <stdbool.h>
#include <stddef.h>

#define GATE_TOKEN_ROOM 65 /* 32 random bytes in hex, and a NUL */
#define GATE_TOKENS_MAX 64 /* lines of a token file */
#define GATE_HOSTS_MAX  16

struct gate_entry {
    enum right right;
    char token[129];
    char cookie[GATE_TOKEN_ROOM]; /* made from the token alone, so that it outlives a restart */
};

struct http_gate {
    char host[GATE_HOSTS_MAX][96]; /* lower case, with port; also without it where it stands so in the configuration */
    size_t hosts;
    bool tls;
    char token[GATE_TOKEN_ROOM]; /* of this start */
    enum right right;            /* of whoever holds it, where there is no token file */
    struct gate_entry entry[GATE_TOKENS_MAX];
    size_t entries; /* 0: no token file */
    bool file;
};

/* Who asks, as far as the head tells. */
struct http_asker {
    bool known;       /* no token file is set, or a cookie of ours came */
    enum right right; /* what that lets it do */
    bool token;       /* the header held the token of this start */
};

struct gate_settings {
    const char *hosts, *token_file; /* "" left out */
    enum right right;
    int port;
    bool tls, loopback;
};

/* False: *fault says what of [http] is wrong (exit 78). */
bool gate_open(struct http_gate *g, const struct gate_settings *settings, struct fault *fault);
bool gate_host_fits(const struct http_gate *g, const char *host);
/* origin: `http://bench.local:8470`; `null` never fits. */
bool gate_origin_fits(const struct http_gate *g, const char *origin);
/* header: of X-Poise-Token; cookie: of Cookie; NULL: none. */
struct http_asker gate_ask(const struct http_gate *g, const char *header, const char *cookie);
/* The entry of a token typed in; NULL: none has it. */
const struct gate_entry *gate_enter(const struct http_gate *g, const char *token);
