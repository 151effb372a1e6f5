/* notify.c - one datagram to the service manager. Knows no part of the daemon. */
#include "notify.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

void notify_service(const char *state)
{
    const char *path = getenv("NOTIFY_SOCKET");
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    if (!path || (path[0] != '/' && path[0] != '@') || strlen(path) >= sizeof to.sun_path)
        return;
    size_t n = strlen(path);
    memcpy(to.sun_path, path, n);
    /* An abstract socket: its name begins with a NUL byte in place of the @, and its length ends it. */
    if (path[0] == '@')
        to.sun_path[0] = '\0';
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0)
        return;
    sendto(fd, state, strlen(state), MSG_NOSIGNAL | MSG_DONTWAIT, (struct sockaddr *)&to,
           (socklen_t)(offsetof(struct sockaddr_un, sun_path) + n));
    close(fd);
}
