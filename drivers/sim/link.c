/* link.c - the list of connections: who listens, what they sent, what goes out. What stands behind it is in ends.c. */
#include "drivers/sim/link.h"
#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { SLOW_LIMIT_MS = 5000 };

static void drop(struct sim_connection *connection)
{
    if (connection->fd >= 0)
        close(connection->fd);
    *connection = (struct sim_connection){.fd = -1};
}

/* A free place in the list, made by dropping a deaf connection if need be; NULL when there is none. */
static struct sim_connection *free_place(struct sim_link *link)
{
    struct sim_connection *deaf = NULL;
    for (int i = 0; i < SIM_CONNECTIONS; i++) {
        struct sim_connection *connection = &link->connection[i];
        if (connection->fd < 0)
            return connection;
        if (connection->deaf && !deaf)
            deaf = connection;
    }
    if (deaf)
        drop(deaf);
    return deaf;
}

void sim_link_unplug(struct sim_link *link)
{
    if (link->kind == SIM_PTY)
        sim_pty_end(link);
    if (link->listener >= 0)
        close(link->listener);
    link->listener = -1;
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        drop(&link->connection[i]);
}

/* Plugging in twice is no fault: the old end goes first. */
bool sim_link_plug(struct sim_link *link, char why[SIM_WHY_MAX])
{
    sim_link_unplug(link);
    return link->kind == SIM_PTY ? sim_pty_make(link, why) : sim_tcp_make(link, why);
}

void sim_link_close(struct sim_link *link)
{
    sim_link_unplug(link);
}

size_t sim_link_polls(struct sim_link *link, struct pollfd *polls)
{
    size_t count = 0;
    if (link->kind == SIM_PTY)
        sim_pty_look(link);
    if (link->listener >= 0)
        polls[count++] = (struct pollfd){.fd = link->listener, .events = POLLIN};
    for (int i = 0; i < SIM_CONNECTIONS; i++) /* a pty that nobody has open would wake poll() for ever */
        if (link->connection[i].fd >= 0 && !link->connection[i].deaf && !link->hung)
            polls[count++] = (struct pollfd){.fd = link->connection[i].fd, .events = POLLIN};
    return count;
}

/* The newest bytes stay, as a test asks for what came last. */
static void keep_heard(struct sim_link *link, const uint8_t *bytes, size_t len)
{
    if (len > SIM_HEARD_MAX - link->heard_len) {
        size_t gone = len - (SIM_HEARD_MAX - link->heard_len);
        memmove(link->heard, link->heard + gone, link->heard_len - gone);
        link->heard_len -= gone;
    }
    memcpy(link->heard + link->heard_len, bytes, len);
    link->heard_len += len;
}

/* A TCP client that has shut its sending down may still listen, as `nc` does; a pty's user may come back. */
static void hear(struct sim_link *link, struct sim_connection *connection)
{
    uint8_t bytes[64];
    ssize_t got = read(connection->fd, bytes, sizeof bytes);
    if (got < 0 && (errno == EAGAIN || errno == EINTR))
        return;
    if (got <= 0) {
        if (link->kind == SIM_PTY)
            return; /* EIO: closed on the other side; it may come back */
        if (got < 0)
            drop(connection);
        else
            connection->deaf = true; /* perhaps it listens still; the next write will tell */
        return;
    }
    size_t len = (size_t)got;
    keep_heard(link, bytes, len);
    if (len > sizeof connection->asked - connection->asked_len)
        connection->asked_len = 0; /* no question is that long */
    if (len > sizeof connection->asked)
        len = sizeof connection->asked;
    memcpy(connection->asked + connection->asked_len, bytes, len);
    connection->asked_len += len;
}

/* One too many is turned away at once, rather than left waiting in the queue. */
static void welcome(struct sim_link *link)
{
    int fd = sim_tcp_accept(link);
    struct sim_connection *place = fd >= 0 ? free_place(link) : NULL;
    if (place)
        *place = (struct sim_connection){.fd = fd, .streams = !link->polled};
    else if (fd >= 0)
        close(fd);
}

void sim_link_serve(struct sim_link *link, const struct pollfd *polls, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!polls[i].revents)
            continue;
        if (polls[i].fd == link->listener) {
            welcome(link);
            continue;
        }
        for (int k = 0; k < SIM_CONNECTIONS; k++)
            if (link->connection[k].fd == polls[i].fd)
                hear(link, &link->connection[k]);
    }
}

bool sim_link_heeded(struct sim_link *link)
{
    if (link->kind == SIM_PTY)
        sim_pty_look(link);
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        if (link->connection[i].fd >= 0)
            return !link->hung;
    return false;
}

/* Waits until more can be written; false when the time is up. */
static bool make_room(int fd)
{
    struct pollfd room = {.fd = fd, .events = POLLOUT};
    return poll(&room, 1, SLOW_LIMIT_MS) > 0 && room.revents & POLLOUT;
}

/* All of it or, on TCP, none from then on: half a frame followed by the next one would be a lie. */
static void send_to(struct sim_link *link, struct sim_connection *connection, const uint8_t *bytes, size_t len,
                    bool wait)
{
    size_t sent = 0;
    while (sent < len) {
        ssize_t put = write(connection->fd, bytes + sent, len - sent);
        if (put > 0) {
            sent += (size_t)put;
            continue;
        }
        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0 && errno == EAGAIN && wait && make_room(connection->fd))
            continue;
        if (link->kind == SIM_TCP)
            drop(connection);
        return;
    }
}

void sim_connection_send(struct sim_link *link, struct sim_connection *connection, const uint8_t *bytes, size_t len)
{
    if (connection->fd >= 0 && !link->hung)
        send_to(link, connection, bytes, len, false);
}

void sim_link_send(struct sim_link *link, enum sim_to to, const uint8_t *bytes, size_t len, bool wait)
{
    if (link->kind == SIM_PTY)
        sim_pty_look(link);
    if (link->hung)
        return;
    for (int i = 0; i < SIM_CONNECTIONS; i++) {
        struct sim_connection *connection = &link->connection[i];
        if (connection->fd >= 0 && (to == SIM_TO_ALL || connection->streams))
            send_to(link, connection, bytes, len, wait);
    }
}

size_t sim_link_heard(struct sim_link *link, uint8_t out[SIM_HEARD_MAX])
{
    size_t len = link->heard_len;
    memcpy(out, link->heard, len);
    link->heard_len = 0;
    return len;
}
