/* link.c - the wire's list of connections (who listens, what they sent, what goes out), and what stands behind it: a
 * pseudo terminal, or a TCP server on loopback. It knows nothing of scales. */
#include "drivers/sim/link.h"
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

/* Where the symlink at path points to; false: nowhere. */
static bool points_to(const char *path, char target[SIM_PATH_MAX])
{
    ssize_t len = readlink(path, target, SIM_PATH_MAX - 1);
    if (len < 0)
        return false;
    target[len] = 0;
    return true;
}

/* Puts the symlink in its place in one step, so that who looks meets the old one or the new one. */
static bool place_symlink(const struct sim_link *link, struct said *why)
{
    char target[SIM_PATH_MAX], beside[SIM_PATH_MAX + 16];
    struct stat st;
    if (lstat(link->path, &st) == 0 && (!points_to(link->path, target) || strncmp(target, "/dev/pts/", 9) != 0)) {
        *why = say("sim_path_taken path=%s", link->path);
        return false;
    }
    snprintf(beside, sizeof beside, "%s.%ld", link->path, (long)getpid());
    if (symlink(link->slave, beside) < 0 || rename(beside, link->path) < 0) {
        *why = say("sim_no_link path=%s cause=%s", link->path, said_reason(errno));
        unlink(beside);
        return false;
    }
    return true;
}

/* A moment with the slave: what nobody read goes away, and a lock that its last user left is taken off. Without one
 * opening the master would not report that nobody is there. */
static void sweep(const struct sim_link *link)
{
    int slave = open(link->slave, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (slave < 0)
        return;
    tcflush(slave, TCIOFLUSH);
    ioctl(slave, TIOCNXCL);
    close(slave);
}

/* Raw as a serial line is: no echo, no line editing, a byte is there as soon as it is sent. */
static void set_raw(int fd)
{
    struct termios raw;
    if (tcgetattr(fd, &raw) < 0)
        return;
    cfmakeraw(&raw);
    raw.c_cc[VMIN] = 1;
    raw.c_cc[VTIME] = 0;
    tcsetattr(fd, TCSANOW, &raw);
}

/* The master stays open for as long as the scale is plugged in; the slave is only touched by sweep(). */
static bool pty_make(struct sim_link *link, struct said *why)
{
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (master < 0 || grantpt(master) < 0 || unlockpt(master) < 0 ||
        ptsname_r(master, link->slave, sizeof link->slave) != 0) {
        *why = say("sim_no_terminal path=%s cause=%s", link->path, said_reason(errno));
        if (master >= 0)
            close(master);
        return false;
    }
    set_raw(master); /* on Linux the settings of a master are those of its slave */
    if (!place_symlink(link, why)) {
        close(master);
        return false;
    }
    sweep(link);
    link->hung = true;
    link->connection[0] = (struct sim_connection){.fd = master, .streams = !link->polled};
    return true;
}

/* Only a symlink that is still ours: another program may have put its own there. */
static void pty_end(struct sim_link *link)
{
    char target[SIM_PATH_MAX];
    if (points_to(link->path, target) && !strcmp(target, link->slave))
        unlink(link->path);
}

/* The master tells of a hang-up when nobody has the slave open any more. */
static void pty_look(struct sim_link *link)
{
    if (link->connection[0].fd < 0)
        return;
    struct pollfd look = {.fd = link->connection[0].fd};
    bool hung = poll(&look, 1, 0) > 0 && look.revents & POLLHUP;
    if (hung && !link->hung)
        sweep(link);
    link->hung = hung;
}

/* No connection, and nothing listens yet. */
static void init(struct sim_link *link, enum sim_link_kind kind, bool polled)
{
    memset(link, 0, sizeof *link);
    link->kind = kind;
    link->listener = -1;
    link->polled = polled;
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        link->connection[i].fd = -1;
}

/* A path that was cut would lead elsewhere, so a long one is refused. */
bool sim_pty_open(struct sim_link *link, const char *path, bool polled, struct said *why)
{
    init(link, SIM_PTY, polled);
    if (strlen(path) >= sizeof link->path) {
        *why = say("sim_path_long path=%s most=%d", path, SIM_PATH_MAX - 1);
        return false;
    }
    memcpy(link->path, path, strlen(path) + 1);
    return pty_make(link, why);
}

/* Loopback alone: a simulated scale must not be heard on a shop's network. */
static bool tcp_make(struct sim_link *link, struct said *why)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0), one = 1;
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)link->port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t len = sizeof at;
    if (fd >= 0)
        setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) < 0 || listen(fd, SIM_CONNECTIONS) < 0 ||
        getsockname(fd, (struct sockaddr *)&at, &len) < 0) {
        *why = say("sim_not_listening port=%d cause=%s", link->port, said_reason(errno));
        if (fd >= 0)
            close(fd);
        return false;
    }
    link->listener = fd;
    link->port = ntohs(at.sin_port);
    return true;
}

/* Each frame is sent at once: one held back would come together with later ones, and no scale does that. */
static int tcp_accept(const struct sim_link *link)
{
    int fd = accept4(link->listener, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC), one = 1, room = 65536;
    if (fd < 0)
        return -1;
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &one, sizeof one);
    setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &room, sizeof room); /* one that does not read shows soon */
    return fd;
}

/* The port as bound stays in the struct, so that plugging in again takes the same one. */
bool sim_tcp_open(struct sim_link *link, int port, bool polled, struct said *why)
{
    init(link, SIM_TCP, polled);
    link->port = port;
    return tcp_make(link, why);
}

enum { SLOW_LIMIT_MS = 5000 };

/* The place is free again; who is at the other end sees the end of the stream. */
static void drop(struct sim_connection *connection)
{
    if (connection->fd >= 0)
        close(connection->fd);
    *connection = (struct sim_connection){.fd = -1};
}

/* A free place in the list, made by dropping a deaf connection if need be; NULL: none. */
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

/* The symlink goes before the descriptors: nobody opens a terminal whose far end is gone. */
void sim_link_unplug(struct sim_link *link)
{
    if (link->kind == SIM_PTY)
        pty_end(link);
    if (link->listener >= 0)
        close(link->listener);
    link->listener = -1;
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        drop(&link->connection[i]);
}

/* Plugging in twice is no fault: the old end goes first. */
bool sim_link_plug(struct sim_link *link, struct said *why)
{
    sim_link_unplug(link);
    return link->kind == SIM_PTY ? pty_make(link, why) : tcp_make(link, why);
}

void sim_link_close(struct sim_link *link)
{
    sim_link_unplug(link);
}

/* What poll() is to wait for this time; *polls must have room for the listener and every connection. A link that hangs,
 * or a connection that is deaf, is left out, so bytes pile up in the kernel as with a scale that stopped. */
size_t sim_link_polls(struct sim_link *link, struct pollfd *polls)
{
    size_t count = 0;
    if (link->kind == SIM_PTY)
        pty_look(link);
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
    int fd = tcp_accept(link);
    struct sim_connection *place = fd >= 0 ? free_place(link) : NULL;
    if (place)
        *place = (struct sim_connection){.fd = fd, .streams = !link->polled};
    else if (fd >= 0)
        close(fd);
}

/* By descriptor and not by place: one that was just taken in may stand where another stood when the list was made. */
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

/* Of a pty the open slave counts, of TCP a connection: both may come without a byte. */
bool sim_link_heeded(struct sim_link *link)
{
    if (link->kind == SIM_PTY)
        pty_look(link);
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
        pty_look(link);
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
