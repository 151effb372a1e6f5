/* received.c - how many bytes a connection has received. It stands alone: linux/tcp.h, which has that member, and the
 * netinet/tcp.h that libuv includes exclude each other.
 */
#include "http/received.h"

#include <linux/tcp.h>
#include <netinet/in.h>
#include <sys/socket.h>

/* Since Linux 4.1. 0 where the kernel does not say: such a connection then counts as idle, never as dripping. */
uint64_t http_received(int fd)
{
    struct tcp_info info;
    socklen_t size = sizeof info;
    if (getsockopt(fd, IPPROTO_TCP, TCP_INFO, &info, &size) < 0)
        return 0;
    return info.tcpi_bytes_received;
}
