/* raw_client.h - a client without manners: it sends any bytes and reads answers line by line, or not at all.
 *
 * A wait that lasts 20 s fails the test; nothing sleeps. The scales of the story stand still while it waits.
 */
#ifndef TESTS_E2E_RAW_CLIENT_H
#define TESTS_E2E_RAW_CLIENT_H

#include "tests/e2e/harness.h"

enum { RAW_CLIENT_ROOM = 1 << 18 };

struct raw_client {
    int fd;
    size_t len;
    char inbox[RAW_CLIENT_ROOM];
};

/* The caller closes; NULL never. */
struct raw_client *raw_client_open(struct harness *h);
void raw_client_close(struct raw_client *c);
/* Sends all of it; false: the daemon hung up before. */
bool raw_client_send(struct raw_client *c, const void *bytes, size_t len);
/* One call with its newline. */
bool raw_client_say(struct raw_client *c, const char *line);
/* The next line as JSON, for the caller to free; NULL: the daemon hung up. */
json_t *raw_client_answer(struct raw_client *c);
/* The next line's error code, 0 for a result; fails the test at the connection's end. */
int raw_client_code(struct raw_client *c);
/* Is the daemon at the end of this connection alive? Asks daemon.info and takes the very next answer. */
void raw_client_lives(struct raw_client *c);

#endif
