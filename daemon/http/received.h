/* received.h - how many bytes a connection has received, as the kernel counts them. */
#pragma once

#include <stdint.h>

/* Of a TCP socket, since it was accepted; 0 where the kernel does not tell. */
uint64_t http_received(int fd);
