#include "store/room.h"

#include "store/schema.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

enum {
    LEAST = 128 * 1024,         /* below this the disk counts as full: a commit is some 30 KiB */
    CHUNK = 1024 * 1024,        /* how much is made at once: some 10 ms */
    ENOUGH = 4 * 1024 * 1024,   /* the log is moved into the file at 1,000 pages */
    PLENTY = 256 * 1024 * 1024, /* on a smaller disk the log's room is left to others */
};

/* Bytes that we may still write; INT64_MAX where the file system does not say. */
static int64_t left(const struct lock *l)
{
    struct statvfs st;
    if (fstatvfs(l->dir, &st) != 0 || st.f_blocks == 0)
        return INT64_MAX;
    uint64_t blocks = geteuid() == 0 ? st.f_bfree : st.f_bavail;
    return blocks > INT64_MAX / st.f_frsize ? INT64_MAX : (int64_t)(blocks * st.f_frsize);
}

int room_refusal(const struct lock *l)
{
    return left(l) < LEAST ? ENOSPC : 0;
}

/* Noughts from `from` to `to`; whether all of them were taken. What fails here is no failed commit. */
static bool fill(int fd, off_t from, off_t to)
{
    static const char noughts[16384];
    while (from < to) {
        size_t part = to - from < (off_t)sizeof noughts ? (size_t)(to - from) : sizeof noughts;
        ssize_t taken = pwrite(fd, noughts, part, from);
        if (taken <= 0)
            return false;
        from += taken;
    }
    return true;
}

int room_for_log(const struct lock *l, long used)
{
    struct stat st;
    int error = 0;
    if (used >= ENOUGH || fstatat(l->dir, SCHEMA_FILE "-wal", &st, 0) != 0 || st.st_size >= ENOUGH ||
        st.st_size - used >= LEAST || left(l) < PLENTY)
        return 0;
    int fd = openat(l->dir, SCHEMA_FILE "-wal", O_WRONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0)
        return 0;
    off_t to = st.st_size + CHUNK < ENOUGH ? st.st_size + CHUNK : ENOUGH;
    if (fill(fd, st.st_size, to) && fdatasync(fd) != 0)
        error = errno;
    close(fd);
    return error;
}
