/* opener.c - runs in the guest: tries to open a port as somebody without rights would, and says how that went.
 *
 * opener PORT. The kernel lets root open what another has taken for itself alone, so the shell there cannot tell. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { SOMEBODY = 1000 };

int main(int argc, char **argv)
{
    if (argc != 2 || setgid(SOMEBODY) != 0 || setuid(SOMEBODY) != 0)
        return 64;
    int fd = open(argv[1], O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    printf("%s: %s\n", argv[1], fd < 0 ? strerror(errno) : "opened");
    return fd < 0 ? 1 : 0;
}
