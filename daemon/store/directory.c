/* directory.c - the state directory: made where it is missing, held by one poised at a time, asked for rights and room.
 *
 * Knows nothing of what the store writes there but the names of its files.
 */
#include "store/directory.h"

#include "store/schema.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

enum { LEAST = 128 * 1024 }; /* below this the disk counts as full: a commit is some 30 KiB */

static bool refuse(struct fault *fault, const char *path, int error)
{
    const char *why = error == EROFS || error == EACCES || error == EPERM    ? "readonly"
                      : error == ENOSPC || error == EDQUOT || error == EFBIG ? "full"
                                                                             : "io";
    return fault_said(fault, FAULT_STORE, NULL, why, "state_directory_refused dir=%s why=%s", path, strerror(error));
}

/* A new directory's name stands in the one above; without this sync a power cut takes it and all that is in it. */
static int sync_parent(const char *dir)
{
    char *copy = strdup(dir);
    if (!copy)
        return ENOMEM;
    size_t len = strlen(copy);
    while (len > 1 && copy[len - 1] == '/')
        copy[--len] = '\0';
    char *slash = strrchr(copy, '/');
    if (slash)
        slash[slash == copy ? 1 : 0] = '\0';
    int fd = open(slash ? copy : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    int error = fd < 0 || fsync(fd) != 0 ? errno : 0;
    if (fd >= 0)
        close(fd);
    free(copy);
    return error;
}

static int mode_refusal(const struct stat *st)
{
    return (st->st_mode & (S_IWUSR | S_IWGRP | S_IWOTH)) == 0 ? EACCES : 0;
}

int directory_refusal(const struct directory *d, const char *file)
{
    struct stat st;
    if (fstat(d->fd, &st) != 0 || faccessat(d->fd, ".", W_OK | X_OK, AT_EACCESS) != 0)
        return errno;
    if (mode_refusal(&st))
        return EACCES;
    if (fstatat(d->fd, file, &st, 0) != 0 || faccessat(d->fd, file, W_OK, AT_EACCESS) != 0)
        return errno;
    return mode_refusal(&st);
}

/* What would make a look at the rights come out otherwise; that a file is written is none of it. */
static int watch_rights(const char *path)
{
    int fd = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    if (fd < 0)
        return -1;
    if (inotify_add_watch(fd, path, IN_ATTRIB | IN_DELETE | IN_MOVE | IN_DELETE_SELF | IN_MOVE_SELF) >= 0)
        return fd;
    close(fd);
    return -1;
}

bool directory_touched(const struct directory *d)
{
    char told[4096];
    bool any = d->watch < 0;
    ssize_t n = 0;
    while (d->watch >= 0 && (n = read(d->watch, told, sizeof told)) > 0)
        any = true;
    return any || n == 0 || errno != EAGAIN;
}

bool directory_take(struct directory *d, const char *path, struct fault *fault)
{
    int error = 0;
    *d = (struct directory){.fd = -1, .watch = -1, .lock = -1};
    if (mkdir(path, S_IRWXU) == 0)
        error = sync_parent(path);
    else if (errno != EEXIST)
        error = errno;
    if (error)
        return refuse(fault, path, error);
    d->fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (d->fd < 0)
        return refuse(fault, path, errno);
    d->watch = watch_rights(path);
    d->lock = openat(d->fd, "lock", O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, S_IRUSR | S_IWUSR);
    error = d->lock < 0 ? errno : directory_refusal(d, "lock");
    if (!error && flock(d->lock, LOCK_EX | LOCK_NB) == 0)
        return true;
    bool busy = !error && errno == EWOULDBLOCK;
    error = error ? error : errno;
    directory_release(d);
    if (busy)
        return fault_said(fault, FAULT_NOT_PERMITTED, NULL, "busy", "state_directory_busy dir=%s", path);
    return refuse(fault, path, error);
}

void directory_release(struct directory *d)
{
    if (d->lock >= 0)
        close(d->lock);
    if (d->watch >= 0)
        close(d->watch);
    if (d->fd >= 0)
        close(d->fd);
    *d = (struct directory){.fd = -1, .watch = -1, .lock = -1};
}

/* Bytes that we may still write; INT64_MAX where the file system does not say. */
static int64_t left(const struct directory *d)
{
    struct statvfs st;
    if (fstatvfs(d->fd, &st) != 0 || st.f_blocks == 0)
        return INT64_MAX;
    uint64_t blocks = geteuid() == 0 ? st.f_bfree : st.f_bavail;
    return blocks > INT64_MAX / st.f_frsize ? INT64_MAX : (int64_t)(blocks * st.f_frsize);
}

int directory_full(const struct directory *d)
{
    return left(d) < LEAST ? ENOSPC : 0;
}
