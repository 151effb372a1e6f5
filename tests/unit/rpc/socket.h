/* socket.h - for tests: a server on a socket of its own folder, and clients of it, all on one loop and one thread.
 *
 * Every wait ends with an event on the loop or the client, or fails the test when its limit has passed.
 */
#pragma once

#include "daemon.h"
#include "rpc/conn.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <errno.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#define LIMIT_MS 20000

struct bench_socket {
    uv_loop_t loop;
    char dir[64], path[96];
    struct rpc_server *server;
    bool closed;
    struct daemon daemon; /* its hub alone */
};

static inline void on_server_closed(void *arg)
{
    *(bool *)arg = true;
}

static inline void socket_begin(struct bench_socket *b)
{
    struct fault fault;

    memset(b, 0, sizeof *b);
    assert_int_equal(0, uv_loop_init(&b->loop));
    snprintf(b->dir, sizeof b->dir, "/tmp/poise-rpc-XXXXXX");
    assert_non_null(mkdtemp(b->dir));
    snprintf(b->path, sizeof b->path, "%s/sock", b->dir);
    b->server = rpc_listen(&b->loop, &b->daemon, b->path, &fault);
    if (!b->server)
        fail_msg("%s", fault.message);
}

static inline void socket_end(struct bench_socket *b)
{
    rpc_close(b->server, on_server_closed, &b->closed);
    uv_run(&b->loop, UV_RUN_DEFAULT);
    assert_true(b->closed);
    hub_finish(&b->daemon.hub);
    assert_int_equal(0, uv_loop_close(&b->loop));
    assert_int_equal(-1, access(b->path, F_OK));
    assert_int_equal(0, rmdir(b->dir));
}

static inline int socket_client(const char *path)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);

    snprintf(address.sun_path, sizeof address.sun_path, "%s", path);
    assert_true(fd >= 0);
    assert_int_equal(0, connect(fd, (struct sockaddr *)&address, sizeof address));
    return fd;
}

/* Lets the loop do what is ready; waits for it or for the client, unless there was something. */
static inline void socket_step(struct bench_socket *b, int fd, short events, uint64_t began)
{
    struct pollfd wait[2] = {{.fd = uv_backend_fd(&b->loop), .events = POLLIN}, {.fd = fd, .events = events}};
    int timeout;

    uv_run(&b->loop, UV_RUN_NOWAIT);
    timeout = uv_backend_timeout(&b->loop);
    if (timeout < 0 || timeout > 1000)
        timeout = 1000;
    poll(wait, 2, timeout);
    uv_update_time(&b->loop);
    if (uv_now(&b->loop) - began > LIMIT_MS)
        fail_msg("nothing came within the limit");
}

static inline void socket_write(struct bench_socket *b, int fd, const char *text, size_t len)
{
    uint64_t began = uv_now(&b->loop);

    while (len > 0) {
        ssize_t n = send(fd, text, len, MSG_NOSIGNAL);

        if (n > 0) {
            text += n;
            len -= (size_t)n;
        } else if (n < 0 && errno == EAGAIN) {
            socket_step(b, fd, POLLOUT, began);
        } else {
            fail_msg("write: %s", strerror(errno));
        }
    }
}

/* One byte at a time would hide nothing and costs little: a line into out, without its newline. False: end of file. */
static inline bool socket_line(struct bench_socket *b, int fd, char *out, size_t size)
{
    uint64_t began = uv_now(&b->loop);
    size_t at = 0;

    for (;;) {
        ssize_t n = recv(fd, out + at, 1, 0);

        if (n == 0 || (n < 0 && errno == ECONNRESET))
            return false;
        if (n < 0) {
            socket_step(b, fd, POLLIN, began);
            continue;
        }
        if (out[at] == '\n') {
            out[at] = '\0';
            return true;
        }
        at++;
        assert_true(at < size);
    }
}

/* Runs the loop until nothing more is ready at once. */
static inline void socket_settle(struct bench_socket *b)
{
    for (int i = 0; i < 50; i++)
        uv_run(&b->loop, UV_RUN_NOWAIT);
}

/* cmocka setup and teardown: *state is the struct bench_socket. */
static inline int socket_setup(void **state)
{
    struct bench_socket *b = malloc(sizeof *b);

    if (!b)
        return -1;
    socket_begin(b);
    *state = b;
    return 0;
}

static inline int socket_teardown(void **state)
{
    socket_end(*state);
    free(*state);
    return 0;
}

/* A call with n as its id and its only param. */
static inline void socket_ask(struct bench_socket *b, int fd, const char *method, int n)
{
    char text[128];
    int len = snprintf(text, sizeof text, "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"%s\",\"params\":{\"n\":%d}}\n",
                       n, method, n);

    socket_write(b, fd, text, (size_t)len);
}

/* The very next line is this result (as JSON) of this call. */
static inline void socket_expect(struct bench_socket *b, int fd, int id, const char *result)
{
    char line[256], want[256];

    if (!socket_line(b, fd, line, sizeof line))
        fail_msg("closed before the answer to %d", id);
    snprintf(want, sizeof want, "{\"jsonrpc\":\"2.0\",\"id\":%d,\"result\":%s}", id, result);
    assert_string_equal(want, line);
}
