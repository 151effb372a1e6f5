/* relay.c - runs in the guest: carries bytes between the port that leads to the test and the daemon's socket.
 *
 * relay PORT SOCKET. The test calls the daemon as any client does, and nothing of it has to run in the guest. Ends when
 * either side ends. */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

/* What can be read at `from` goes to `to`, whole. False: one of them has ended. */
static bool carry(int from, int to)
{
    char bytes[16384];
    ssize_t got = read(from, bytes, sizeof bytes);
    if (got < 0 && (errno == EAGAIN || errno == EINTR))
        return true;
    if (got <= 0)
        return false;
    for (ssize_t at = 0; at < got;) {
        ssize_t put = write(to, bytes + at, (size_t)(got - at));
        if (put < 0 && errno != EINTR)
            return false;
        at += put > 0 ? put : 0;
    }
    return true;
}

int main(int argc, char **argv)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    if (argc != 3 || strlen(argv[2]) >= sizeof at.sun_path)
        return 64;
    memcpy(at.sun_path, argv[2], strlen(argv[2]) + 1);
    int port = open(argv[1], O_RDWR | O_CLOEXEC);
    int daemon = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (port < 0 || daemon < 0 || connect(daemon, (struct sockaddr *)&at, sizeof at) < 0) {
        fprintf(stderr, "relay: %s\n", strerror(errno));
        return 69;
    }
    struct pollfd both[] = {{.fd = port, .events = POLLIN}, {.fd = daemon, .events = POLLIN}};
    bool open = true;
    while (open && (poll(both, 2, -1) >= 0 || errno == EINTR)) {
        if (both[0].revents)
            open = carry(port, daemon);
        if (open && both[1].revents)
            open = carry(daemon, port);
    }
    return 0;
}
