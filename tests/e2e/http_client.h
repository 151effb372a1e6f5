/* http_client.h - HTTP by hand: any bytes are sent, and what comes back is read as RFC 9112 frames it.
 *
 * A wait that lasts 20 s fails the test; nothing sleeps. Owner: the caller closes.
 */
#ifndef TESTS_E2E_HTTP_CLIENT_H
#define TESTS_E2E_HTTP_CLIENT_H

#include "tests/e2e/harness.h"

enum { HTTP_CLIENT_ROOM = 1 << 18 };

struct http_client {
    int fd;
    int port;
    size_t len;
    char inbox[HTTP_CLIENT_ROOM];
    int status;      /* of the last answer; 0: the daemon hung up */
    char head[4096]; /* its head, lines ended by CR LF */
    char *body;      /* the client's, with a NUL */
    size_t body_len;
};

/* To the port that poised named in its ready line. */
struct http_client *http_client_open(struct harness *h);
void http_client_close(struct http_client *c);
bool http_client_send(struct http_client *c, const void *bytes, size_t len);
/* One whole answer; its status. with_body false: the answer to HEAD. */
int http_client_answer(struct http_client *c, bool with_body);
/* A request with our own Host and `more` (header lines with CR LF, or ""), on a connection of its own: the status. The
 * body of the last one is *body where it is not NULL, for the caller to free. */
int http_client_ask(struct harness *h, const char *verb, const char *path, const char *more, const char *body,
                    char **answer);
/* A header's value of the last answer, "" where it is not there. */
const char *http_client_header(struct http_client *c, const char *name, char *out, size_t size);
/* The next server-sent event's data with that name; skips others. For the caller to free; NULL: the stream ended. */
json_t *http_client_event(struct http_client *c, const char *name);
/* The token that the page was given. */
void http_client_token(struct harness *h, char out[80]);

#endif
