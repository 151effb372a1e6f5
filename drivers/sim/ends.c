/* ends.c - what stands behind the wire's list of connections: a pseudo terminal, or a TCP server on loopback. It knows
 * nothing of scales. */
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

/* Where the symlink at path points to; false when there is none. */
static bool points_to(const char *path, char target[SIM_PATH_MAX])
{
    ssize_t len = readlink(path, target, SIM_PATH_MAX - 1);
    if (len < 0)
        return false;
    target[len] = 0;
    return true;
}

/* Puts the symlink in its place in one step, so that who looks meets the old one or the new one. */
static bool place_symlink(const struct sim_link *link, char why[SIM_WHY_MAX])
{
    char target[SIM_PATH_MAX], beside[SIM_PATH_MAX + 16];
    struct stat st;
    if (lstat(link->path, &st) == 0 && (!points_to(link->path, target) || strncmp(target, "/dev/pts/", 9) != 0)) {
        snprintf(why, SIM_WHY_MAX, "something that is not a link to a terminal is there. Give another path");
        return false;
    }
    snprintf(beside, sizeof beside, "%s.%ld", link->path, (long)getpid());
    if (symlink(link->slave, beside) < 0 || rename(beside, link->path) < 0) {
        snprintf(why, SIM_WHY_MAX, "%s. Give a path in a folder that you may write", strerror(errno));
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
bool sim_pty_make(struct sim_link *link, char why[SIM_WHY_MAX])
{
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (master < 0 || grantpt(master) < 0 || unlockpt(master) < 0 ||
        ptsname_r(master, link->slave, sizeof link->slave) != 0) {
        snprintf(why, SIM_WHY_MAX, "no pseudo terminal: %s. Mount /dev/pts, or use --tcp", strerror(errno));
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
void sim_pty_end(struct sim_link *link)
{
    char target[SIM_PATH_MAX];
    if (points_to(link->path, target) && !strcmp(target, link->slave))
        unlink(link->path);
}

/* The master tells of a hang-up when nobody has the slave open any more. */
void sim_pty_look(struct sim_link *link)
{
    if (link->connection[0].fd < 0)
        return;
    struct pollfd look = {.fd = link->connection[0].fd};
    bool hung = poll(&look, 1, 0) > 0 && look.revents & POLLHUP;
    if (hung && !link->hung)
        sweep(link);
    link->hung = hung;
}

/* A path that was cut would lead elsewhere, so a long one is refused. */
bool sim_pty_open(struct sim_link *link, const char *path, bool polled, char why[SIM_WHY_MAX])
{
    memset(link, 0, sizeof *link);
    link->kind = SIM_PTY;
    link->listener = -1;
    link->polled = polled;
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        link->connection[i].fd = -1;
    if (strlen(path) >= sizeof link->path) {
        snprintf(why, SIM_WHY_MAX, "the path is too long. Give one of at most %d bytes", SIM_PATH_MAX - 1);
        return false;
    }
    memcpy(link->path, path, strlen(path) + 1);
    return sim_pty_make(link, why);
}

/* Loopback alone: a simulated scale must not be heard on a shop's network. */
bool sim_tcp_make(struct sim_link *link, char why[SIM_WHY_MAX])
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0), one = 1;
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)link->port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t len = sizeof at;
    if (fd >= 0)
        setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) < 0 || listen(fd, SIM_CONNECTIONS) < 0 ||
        getsockname(fd, (struct sockaddr *)&at, &len) < 0) {
        snprintf(why, SIM_WHY_MAX, "cannot listen: %s. Give another port, or 0 for a free one", strerror(errno));
        if (fd >= 0)
            close(fd);
        return false;
    }
    link->listener = fd;
    link->port = ntohs(at.sin_port);
    return true;
}

int sim_tcp_accept(const struct sim_link *link)
{
    int fd = accept4(link->listener, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC), one = 1, room = 65536;
    if (fd < 0)
        return -1;
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &one, sizeof one);
    setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &room, sizeof room); /* one that does not read shows soon */
    return fd;
}

/* The port as bound stays in the struct, so that plugging in again takes the same one. */
bool sim_tcp_open(struct sim_link *link, int port, bool polled, char why[SIM_WHY_MAX])
{
    memset(link, 0, sizeof *link);
    link->kind = SIM_TCP;
    link->listener = -1;
    link->port = port;
    link->polled = polled;
    for (int i = 0; i < SIM_CONNECTIONS; i++)
        link->connection[i].fd = -1;
    return sim_tcp_make(link, why);
}
