/* Put under a program with LD_PRELOAD: each sync takes 20 ms longer, as on a slow card or beside another that writes.
 */
#include <dlfcn.h>
#include <poll.h>
#include <unistd.h>

static int late(const char *name, int fd)
{
    int (*sync_fd)(int) = 0;
    *(void **)&sync_fd = dlsym(RTLD_NEXT, name);
    poll(0, 0, 20);
    return sync_fd(fd);
}

int fsync(int fd)
{
    return late("fsync", fd);
}

int fdatasync(int fd)
{
    return late("fdatasync", fd);
}
