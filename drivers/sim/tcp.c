#include "drivers/sim/link.h"
#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

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

void sim_tcp_accept(struct sim_link *link)
{
    int fd = accept4(link->listener, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC), one = 1, room = 65536;
    if (fd < 0)
        return;
    struct sim_connection *place = sim_link_place(link);
    if (!place) {
        close(fd);
        return;
    }
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &one, sizeof one);
    setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &room, sizeof room); /* one that does not read shows soon */
    *place = (struct sim_connection){.fd = fd, .streams = !link->polled};
}

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
