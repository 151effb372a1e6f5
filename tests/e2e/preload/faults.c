/* Put under poised with LD_PRELOAD: the Nth allocation fails, or the Nth write or sync of the journal. $POISE_FAULTS
 * names the file with a struct faults. Without it, and in poised's children, nothing fails. */
#include "tests/e2e/preload/faults.h"

#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/types.h>
#include <unistd.h>

static struct faults *told; /* NULL: nothing fails */

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("POISE_FAULTS");
    int fd = path && strcmp(program_invocation_short_name, "poised") == 0 ? open(path, O_RDWR | O_CLOEXEC) : -1;
    if (fd < 0)
        return;
    void *page = mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    close(fd);
    void *first[1];
    (void)backtrace(first, 1); /* the first one asks for memory */
    told = page == MAP_FAILED ? NULL : page;
}

/* With $POISE_FAULTS_TRACE the call that fails tells on stderr where it was made (addresses for addr2line). */
static void trace(void)
{
    void *at[24];
    if (getenv("POISE_FAULTS_TRACE"))
        backtrace_symbols_fd(at, backtrace(at, 24), STDERR_FILENO);
}

static int fails(enum fault_of what)
{
    if (!told || atomic_fetch_add(&told->count[what], 1) + 1 != atomic_load(&told->fails_at[what]))
        return 0;
    trace();
    return 1;
}

/* ---- memory: glibc's own names stand behind the public ones ---- */

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);

static void *no_memory(void)
{
    errno = ENOMEM;
    return NULL;
}

void *malloc(size_t size)
{
    return fails(OF_MEMORY) ? no_memory() : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails(OF_MEMORY) ? no_memory() : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return fails(OF_MEMORY) ? no_memory() : __libc_realloc(old, size);
}

/* ---- the journal's disk ---- */

static int is_journal(int fd)
{
    char link[32], path[512];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t len = readlink(link, path, sizeof path - 1);
    path[len > 0 ? len : 0] = '\0';
    return strstr(path, "/poise.db") != NULL;
}

static int refused(enum fault_of what, int fd)
{
    if (!told || !is_journal(fd) || !fails(what))
        return 0;
    if (atomic_load(&told->error) == FAULTS_KILL)
        (void)kill(getpid(), SIGKILL);
    errno = atomic_load(&told->error);
    return 1;
}

ssize_t write(int fd, const void *bytes, size_t len)
{
    ssize_t (*f)(int, const void *, size_t);
    *(void **)&f = dlsym(RTLD_NEXT, "write");
    return refused(OF_WRITE, fd) ? -1 : f(fd, bytes, len);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    ssize_t (*f)(int, const void *, size_t, off64_t);
    *(void **)&f = dlsym(RTLD_NEXT, "pwrite64");
    return refused(OF_WRITE, fd) ? -1 : f(fd, bytes, len, at);
}

ssize_t pwrite(int fd, const void *bytes, size_t len, off_t at)
{
    return pwrite64(fd, bytes, len, at);
}

int fsync(int fd)
{
    int (*f)(int);
    *(void **)&f = dlsym(RTLD_NEXT, "fsync");
    return refused(OF_SYNC, fd) ? -1 : f(fd);
}

int fdatasync(int fd)
{
    int (*f)(int);
    *(void **)&f = dlsym(RTLD_NEXT, "fdatasync");
    return refused(OF_SYNC, fd) ? -1 : f(fd);
}
