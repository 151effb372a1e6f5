#include "tests/e2e/raw_client.h"

#include <errno.h>
#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cmocka.h>

enum { LIMIT_MS = 20000 };

struct raw_client *raw_client_open(struct harness *h)
{
    struct raw_client *c = malloc(sizeof *c);
    if (!c)
        fail_msg("no memory");
    c->fd = harness_connect(h);
    c->len = 0;
    return c;
}

void raw_client_close(struct raw_client *c)
{
    close(c->fd);
    free(c);
}

bool raw_client_send(struct raw_client *c, const void *bytes, size_t len)
{
    for (size_t sent = 0; sent < len;) {
        struct pollfd p = {.fd = c->fd, .events = POLLOUT};
        if (poll(&p, 1, LIMIT_MS) <= 0)
            fail_msg("the daemon takes nothing");
        ssize_t n = send(c->fd, (const char *)bytes + sent, len - sent, MSG_NOSIGNAL | MSG_DONTWAIT);
        if (n < 0 && errno != EAGAIN)
            return false;
        sent += n > 0 ? (size_t)n : 0;
    }
    return true;
}

bool raw_client_say(struct raw_client *c, const char *line)
{
    return raw_client_send(c, line, strlen(line)) && raw_client_send(c, "\n", 1);
}

static json_t *take(struct raw_client *c, const char *newline)
{
    json_error_t why;
    size_t len = (size_t)(newline - c->inbox);
    json_t *v = json_loadb(c->inbox, len, JSON_REJECT_DUPLICATES, &why);
    if (!v)
        fail_msg("no JSON (%s): %.*s", why.text, (int)len, c->inbox);
    c->len -= len + 1;
    memmove(c->inbox, newline + 1, c->len);
    return v;
}

json_t *raw_client_answer(struct raw_client *c)
{
    for (;;) {
        char *newline = memchr(c->inbox, '\n', c->len);
        if (newline)
            return take(c, newline);
        struct pollfd p = {.fd = c->fd, .events = POLLIN};
        if (poll(&p, 1, LIMIT_MS) <= 0)
            fail_msg("no answer came");
        ssize_t n = recv(c->fd, c->inbox + c->len, sizeof c->inbox - c->len, 0);
        if (n <= 0)
            return NULL;
        c->len += (size_t)n;
    }
}

int raw_client_code(struct raw_client *c)
{
    json_t *v = raw_client_answer(c);
    if (!v)
        fail_msg("the daemon hung up");
    json_t *error = json_object_get(v, "error");
    int code = (int)json_integer_value(json_object_get(error, "code"));
    if (error) { /* contract, section 3: always a line and a help */
        assert_true(*json_string_value(json_object_get(error, "message")));
        assert_true(*json_string_value(json_object_get(json_object_get(error, "data"), "help")));
        assert_true(code != 0);
    } else {
        assert_non_null(json_object_get(v, "result"));
    }
    json_decref(v);
    return code;
}

void raw_client_lives(struct raw_client *c)
{
    assert_true(raw_client_say(c, "{\"jsonrpc\":\"2.0\",\"id\":\"alive\",\"method\":\"daemon.info\"}"));
    json_t *v = raw_client_answer(c);
    const char *id = json_string_value(json_object_get(v, "id"));
    if (!id || strcmp(id, "alive") != 0 || !json_object_get(v, "result"))
        fail_msg("daemon.info was not the next answer");
    json_decref(v);
}
