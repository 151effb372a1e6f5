/* transport.c - the list of transports, and the two that need no library: tcp (a scale behind a serial-to-Ethernet
 * adapter, or the simulator: a plain stream of the scale's bytes) and pty (a pseudo terminal: the simulator's, or a
 * bridge program's, which libserialport refuses by name and at TIOCMGET). It knows no family and keeps no timer. */
#include "drivers/transport.h"

#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

/* An adapter that lost its power says nothing: the kernel asks after 5 s of silence, and gives up 3 questions later. */
enum { KEEP_IDLE_S = 5, KEEP_EVERY_S = 2, KEEP_TIMES = 3, UNSENT_MS = 10000 };

/* Neither a socket nor a pty holds anything back at its end. */
static void close_plain(struct channel *channel)
{
    close(channel->fd);
    channel->fd = -1;
}

/* ---- tcp ---- */

/* The last colon parts them: an IPv6 address has many, and may stand in brackets. */
bool tcp_split(const char *port, char *host, size_t host_size, char *service, size_t service_size)
{
    const char *from = port + strlen("tcp:");
    const char *colon = strrchr(from, ':');
    if (!colon || colon == from || strspn(colon + 1, "0123456789") != strlen(colon + 1) || strlen(colon + 1) > 5 ||
        strlen(colon + 1) == 0)
        return false;
    size_t len = (size_t)(colon - from);
    if (len > 2 && from[0] == '[' && from[len - 1] == ']') {
        from++;
        len -= 2;
    }
    if (len >= host_size || strlen(colon + 1) >= service_size)
        return false;
    memcpy(host, from, len);
    host[len] = '\0';
    snprintf(service, service_size, "%s", colon + 1);
    return true;
}

static void option(int fd, int level, int name, int value)
{
    setsockopt(fd, level, name, &value, sizeof value); /* each only helps: without it the port works too */
}

static bool tcp_open(struct channel *channel, const struct port_settings *settings, const struct sockaddr *far_end,
                     struct said *why)
{
    int fd = socket(far_end->sa_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (fd < 0) {
        *why = refusal_system(settings->port, errno);
        return false;
    }
    option(fd, IPPROTO_TCP, TCP_NODELAY, 1);
    option(fd, SOL_SOCKET, SO_KEEPALIVE, 1);
    option(fd, IPPROTO_TCP, TCP_KEEPIDLE, KEEP_IDLE_S);
    option(fd, IPPROTO_TCP, TCP_KEEPINTVL, KEEP_EVERY_S);
    option(fd, IPPROTO_TCP, TCP_KEEPCNT, KEEP_TIMES);
    option(fd, IPPROTO_TCP, TCP_USER_TIMEOUT, UNSENT_MS);
    socklen_t len = far_end->sa_family == AF_INET6 ? sizeof(struct sockaddr_in6) : sizeof(struct sockaddr_in);
    if (connect(fd, far_end, len) != 0 && errno != EINPROGRESS) {
        *why = say("port_no_answer port=%s", settings->port + strlen("tcp:"));
        close(fd);
        return false;
    }
    channel->fd = fd;
    return true;
}

static const struct transport transport_tcp = {
    .prefix = "tcp:",
    .open = tcp_open,
    .close = close_plain,
    .resolves = true,
    .connects = true,
    .zero_is_gone = true,
};

/* ---- pty ---- */

/* Raw: no echo, no line editing, no signals; a byte wakes us. */
static bool set_raw(int fd)
{
    struct termios mode;
    if (tcgetattr(fd, &mode) != 0)
        return false;
    cfmakeraw(&mode);
    mode.c_cc[VMIN] = 1;
    mode.c_cc[VTIME] = 0;
    return tcsetattr(fd, TCSANOW, &mode) == 0;
}

static bool pty_open(struct channel *channel, const struct port_settings *settings, const struct sockaddr *far_end,
                     struct said *why)
{
    (void)far_end;
    const char *path = settings->port + strlen("pty:");
    int fd = open(path, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0) {
        *why = refusal_said(path, errno);
        return false;
    }
    /* No TIOCEXCL here: on a pty it outlives our death for as long as the master is open, and would lock us out. */
    if (!refusal_lock(fd, path, why)) {
        close(fd);
        return false;
    }
    if (!set_raw(fd)) {
        *why = refusal_said(path, errno);
        close(fd);
        return false;
    }
    channel->fd = fd;
    return true;
}

static const struct transport transport_pty = {
    .prefix = "pty:",
    .open = pty_open,
    .close = close_plain,
};

/* ---- */

const struct transport *transport_find(const char *port)
{
    static const struct transport *const all[] = {&transport_tcp, &transport_pty, &transport_hidraw, NULL};
    for (size_t i = 0; all[i]; i++) {
        if (strncmp(port, all[i]->prefix, strlen(all[i]->prefix)) == 0)
            return all[i];
    }
    return &transport_serial;
}
