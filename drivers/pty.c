/* A pseudo-terminal: the simulator's, or a bridge program's. libserialport refuses these, by name and at TIOCMGET. */
#include "drivers/transport.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

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

static void pty_close(struct channel *channel)
{
    close(channel->fd);
    channel->fd = -1;
}

const struct transport transport_pty = {
    .prefix = "pty:",
    .open = pty_open,
    .close = pty_close,
};
