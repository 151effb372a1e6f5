/* relay PORT SOCKET: the least a daemon between a scale and a client can do, as the measure for poised.
 *
 * Bytes of the port to the one client on the Unix socket, line by line, as they are: poll, read, write. No parsing, no
 * time-outs, no second client. Prints `ready` once it listens.
 */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <termios.h>
#include <unistd.h>

/* What came in and is no whole line yet. */
struct tail {
    char text[4096];
    size_t len;
};

static int fail(const char *what)
{
    fprintf(stderr, "relay: %s: %s\n", what, strerror(errno));
    return 1;
}

static int listen_on(const char *path)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    if (strlen(path) >= sizeof at.sun_path) {
        errno = ENAMETOOLONG;
        return -1;
    }
    memcpy(at.sun_path, path, strlen(path) + 1);
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) < 0 || listen(fd, 1) < 0)
        return -1;
    return fd;
}

/* Reads once; whole lines go to the client, the rest stays. Returns 0 when the port is gone. */
static int pass_on(int port, int client, struct tail *tail)
{
    ssize_t got = read(port, tail->text + tail->len, sizeof tail->text - tail->len);
    if (got <= 0)
        return 0;
    tail->len += (size_t)got;
    char *end = memrchr(tail->text, '\n', tail->len);
    size_t whole = end ? (size_t)(end + 1 - tail->text) : tail->len == sizeof tail->text ? tail->len : 0;
    if (whole && client >= 0 && write(client, tail->text, whole) < 0)
        return 0;
    memmove(tail->text, tail->text + whole, tail->len - whole);
    tail->len -= whole;
    return 1;
}

int main(int argc, char **argv)
{
    static struct tail tail;
    if (argc != 3) {
        fputs("relay: two words are needed: PORT SOCKET\n", stderr);
        return 64;
    }
    int port = open(argv[1], O_RDWR | O_NOCTTY | O_CLOEXEC), client = -1;
    if (port < 0)
        return fail(argv[1]);
    int listener = listen_on(argv[2]);
    if (listener < 0)
        return fail(argv[2]);
    puts("ready");
    fflush(stdout);
    for (;;) {
        struct pollfd polls[2] = {{.fd = port, .events = POLLIN}, {.fd = client < 0 ? listener : -1, .events = POLLIN}};
        if (poll(polls, 2, -1) < 0)
            return fail("poll");
        if (polls[1].revents)
            client = accept4(listener, NULL, NULL, SOCK_CLOEXEC);
        if (polls[0].revents && !pass_on(port, client, &tail))
            return 0;
    }
}
