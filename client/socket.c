/* socket.c - lines of JSON over a Unix socket. It must not know any method, nor print. One thread, one connection,
 * no state but the struct's: what is read beyond a line waits in the inbox for the next call. All waiting is by poll
 * with a deadline of the monotonic clock, so a daemon that hangs is told apart from one that went. */
#include "client/socket.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

/* Bytes. No answer comes near 64 MB: what is longer is no daemon of ours. */
enum { INBOX_FIRST = 1 << 14, INBOX_MOST = 1 << 26 };

/* CLOCK_MONOTONIC: a clock that is set while a call waits makes no deadline fall. */
long long now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (long long)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* A path of 108 bytes or more fits no socket address (unix(7)); cutting it would open another one. */
bool socket_open(struct poise_socket *s, const char *path)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    s->fd = -1;
    s->inbox_len = 0;
    if (strlen(path) >= sizeof at.sun_path) {
        errno = ENAMETOOLONG;
        return false;
    }
    memcpy(at.sun_path, path, strlen(path) + 1);
    s->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (s->fd < 0)
        return false;
    if (connect(s->fd, (struct sockaddr *)&at, sizeof at) < 0) {
        int why = errno;
        socket_close(s);
        errno = why;
        return false;
    }
    return true;
}

/* May be called again, and on a socket that never opened. */
void socket_close(struct poise_socket *s)
{
    if (s->fd >= 0)
        close(s->fd);
    s->fd = -1;
    free(s->inbox);
    s->inbox = NULL;
    s->inbox_len = s->inbox_size = 0;
}

/* After a break in the stream no later line can be trusted, so the socket is closed at once. */
static enum socket_outcome give_up(struct poise_socket *s, enum socket_outcome why)
{
    socket_close(s);
    return why;
}

/* MSG_NOSIGNAL: a daemon that went must be an outcome, not SIGPIPE. A full buffer is waited for, a second at a time.
 * Only a daemon that reads nothing for SOCKET_PATIENCE_MS makes this fail: it slows a client that floods, and drops
 * none. */
static enum socket_outcome send_all(struct poise_socket *s, const char *line, size_t len)
{
    long long until = now_ms() + SOCKET_PATIENCE_MS;
    while (len > 0) {
        ssize_t sent = send(s->fd, line, len, MSG_NOSIGNAL | MSG_DONTWAIT);
        if (sent >= 0) {
            line += sent;
            len -= (size_t)sent;
        } else if (errno == EAGAIN || errno == EINTR) {
            struct pollfd p = {.fd = s->fd, .events = POLLOUT};
            if (now_ms() >= until)
                return give_up(s, SOCKET_LOST);
            (void)poll(&p, 1, 1000);
        } else {
            return give_up(s, SOCKET_LOST);
        }
    }
    return SOCKET_OK;
}

/* JSON_REAL_PRECISION(15): more digits would show that 0.1 is no binary fraction, and say nothing. Ids count up
 * within a connection, so an answer that was given up is known when it comes. */
enum socket_outcome socket_send(struct poise_socket *s, const char *method, json_t *params, json_int_t *id)
{
    if (s->fd < 0) {
        json_decref(params);
        return SOCKET_LOST;
    }
    *id = ++s->last_id;
    json_t *call = json_pack("{s:s, s:I, s:s, s:o}", "jsonrpc", "2.0", "id", *id, "method", method, "params", params);
    char *line = json_dumps(call, JSON_COMPACT | JSON_REAL_PRECISION(15));
    json_decref(call);
    if (!line)
        return give_up(s, SOCKET_LIES);
    size_t len = strlen(line);
    line[len] = '\n'; /* in place of the NUL: a call leaves in one piece */
    enum socket_outcome outcome = send_all(s, line, len + 1);
    free(line);
    return outcome;
}

/* Doubles, so that a long line costs few copies. INBOX_MOST is a bound against what is no daemon: a stream without a
 * line end would fill the memory. */
static bool make_room(struct poise_socket *s)
{
    if (s->inbox_len < s->inbox_size)
        return true;
    size_t size = s->inbox_size ? 2 * s->inbox_size : INBOX_FIRST;
    char *inbox = size <= INBOX_MOST ? realloc(s->inbox, size) : NULL;
    if (!inbox)
        return false;
    s->inbox = inbox;
    s->inbox_size = size;
    return true;
}

/* Takes the first line out of the inbox: SOCKET_LATE where there is no whole one. Keys that stand twice are refused:
 * which of them counts would be a guess. */
static enum socket_outcome take_line(struct poise_socket *s, json_t **message)
{
    char *end = s->inbox_len ? memchr(s->inbox, '\n', s->inbox_len) : NULL;
    if (!end)
        return SOCKET_LATE;
    size_t len = (size_t)(end - s->inbox);
    bool taken = s->takes && s->takes(s->takes_arg, s->inbox, len);
    *message = taken ? NULL : json_loadb(s->inbox, len, JSON_REJECT_DUPLICATES, NULL);
    s->inbox_len -= len + 1;
    memmove(s->inbox, end + 1, s->inbox_len);
    return taken || json_is_object(*message) ? SOCKET_OK : SOCKET_LIES;
}

/* A line that is there already is taken before the clock is looked at, so a timeout of 0 never misses one. A stream
 * that broke off in the middle of a line is lost: half a message is no message. */
enum socket_outcome socket_receive(struct poise_socket *s, json_t **message, int timeout_ms)
{
    long long until = now_ms() + timeout_ms;
    *message = NULL;
    for (;;) {
        if (s->fd < 0)
            return SOCKET_LOST;
        enum socket_outcome outcome = take_line(s, message);
        if (outcome == SOCKET_LIES) {
            json_decref(*message);
            *message = NULL;
            return give_up(s, SOCKET_LIES);
        }
        if (outcome == SOCKET_OK)
            return outcome;
        if (timeout_ms > 0) { /* else recv tells by itself that nothing is there */
            long long left = until - now_ms();
            struct pollfd p = {.fd = s->fd, .events = POLLIN};
            int ready = poll(&p, 1, left > 0 ? (int)left : 0);
            if (ready == 0 || (ready < 0 && errno == EINTR && left <= 0))
                return SOCKET_LATE;
            if (ready < 0)
                continue;
        }
        if (!make_room(s))
            return give_up(s, SOCKET_LIES);
        ssize_t got = recv(s->fd, s->inbox + s->inbox_len, s->inbox_size - s->inbox_len, MSG_DONTWAIT);
        if (got < 0 && errno == EAGAIN && timeout_ms <= 0)
            return SOCKET_LATE;
        if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR))
            return give_up(s, SOCKET_LOST);
        s->inbox_len += got > 0 ? (size_t)got : 0;
    }
}

/* An answer without an id is to a call that the daemon could not even read: it is this one, as there is one call at
 * a time on a connection of commands. */
enum socket_outcome socket_call(struct poise_socket *s, const char *method, json_t *params, json_t **answer,
                                int timeout_ms)
{
    json_int_t id = 0;
    *answer = NULL;
    enum socket_outcome outcome = socket_send(s, method, params, &id);
    long long until = now_ms() + timeout_ms;
    while (outcome == SOCKET_OK) {
        long long left = until - now_ms();
        json_t *message = NULL;
        outcome = socket_receive(s, &message, left > 0 ? (int)left : 0);
        if (outcome != SOCKET_OK)
            break;
        const char *note = json_string_value(json_object_get(message, "method"));
        json_t *its = json_object_get(message, "id");
        if (!note && (json_integer_value(its) == id || json_is_null(its))) { /* null: it could not even read the call */
            *answer = message;
            return SOCKET_OK;
        }
        if (note && s->notify)
            s->notify(s->notify_arg, note, json_object_get(message, "params"));
        json_decref(message);
    }
    return outcome;
}
