/* Put under poised with LD_PRELOAD: a disk that goes bad when told. $POISE_DISK names a file that holds `write N` or
 * `sync N`, N an errno: writes or syncs of the journal then fail with it. Empty or missing: a good disk. */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

/* What fails now, an errno, 0: nothing. */
static int told(const char *what)
{
    char text[32] = "";
    const char *path = getenv("POISE_DISK");
    int fd = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    if (fd < 0)
        return 0;
    ssize_t len = read(fd, text, sizeof text - 1);
    close(fd);
    size_t word = strlen(what);
    return len > 0 && strncmp(text, what, word) == 0 ? atoi(text + word) : 0;
}

static int is_journal(int fd)
{
    char link[32], path[512];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t len = readlink(link, path, sizeof path - 1);
    path[len > 0 ? len : 0] = '\0';
    return strstr(path, "/poise.db") != NULL;
}

static int refused(const char *what, int fd)
{
    int error = told(what);
    if (error == 0 || !is_journal(fd))
        return 0;
    errno = error;
    return 1;
}

static void *real(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

ssize_t write(int fd, const void *bytes, size_t len)
{
    ssize_t (*f)(int, const void *, size_t);
    *(void **)&f = real("write");
    return refused("write", fd) ? -1 : f(fd, bytes, len);
}

ssize_t pwrite(int fd, const void *bytes, size_t len, off_t at)
{
    ssize_t (*f)(int, const void *, size_t, off_t);
    *(void **)&f = real("pwrite");
    return refused("write", fd) ? -1 : f(fd, bytes, len, at);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    ssize_t (*f)(int, const void *, size_t, off64_t);
    *(void **)&f = real("pwrite64");
    return refused("write", fd) ? -1 : f(fd, bytes, len, at);
}

int fsync(int fd)
{
    int (*f)(int);
    *(void **)&f = real("fsync");
    return refused("sync", fd) ? -1 : f(fd);
}

int fdatasync(int fd)
{
    int (*f)(int);
    *(void **)&f = real("fdatasync");
    return refused("sync", fd) ? -1 : f(fd);
}
