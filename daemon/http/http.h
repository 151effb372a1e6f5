/* http.h - the page, JSON-RPC by POST and server-sent events: a transport of the hub like the Unix socket (contract
 * section 2).
 *
 * server.c listens and runs the library on the loop; gate.c says who may ask what; exchange.c is one request until it
 * is answered; events.c one reader of server-sent events; the other files answer one kind of path each.
 * Owner   The daemon owns the server. Thread: the loop's.
 */
#pragma once

#include "fault.h"

#include <uv.h>

struct daemon;
struct http_server;

/* Serves HTTP on the configured address. port: 0 takes a free one. NULL: *fault (a configuration error, or why the
 * address could not be taken). */
struct http_server *http_listen(uv_loop_t *loop, struct daemon *d, int port, struct fault *fault);
/* The address as a browser on this machine writes it: `127.0.0.1:8470`. Lives as long as the server. */
const char *http_address(const struct http_server *s);
/* Ends all requests; closed() when the handles are closed. */
void http_close(struct http_server *s, void (*closed)(void *arg), void *arg);
