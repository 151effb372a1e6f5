#include "store/lock.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static bool refuse(struct fault *fault, const char *dir, const char *what, int error)
{
    const char *why = error == EROFS || error == EACCES || error == EPERM    ? "readonly"
                      : error == ENOSPC || error == EDQUOT || error == EFBIG ? "full"
                                                                             : "io";
    return fault_set(fault, FAULT_STORE, NULL, why,
                     error == ENOENT ? "Make the directory above it, or give another one with --state DIR."
                                     : "Give poised a directory that it may write in with --state DIR.",
                     "%s %s: %s", what, dir, strerror(error));
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

int lock_refusal(const struct lock *l, const char *file)
{
    struct stat st;
    if (fstat(l->dir, &st) != 0 || faccessat(l->dir, ".", W_OK | X_OK, AT_EACCESS) != 0)
        return errno;
    if (mode_refusal(&st))
        return EACCES;
    if (fstatat(l->dir, file, &st, 0) != 0 || faccessat(l->dir, file, W_OK, AT_EACCESS) != 0)
        return errno;
    return mode_refusal(&st);
}

bool lock_take(struct lock *l, const char *dir, struct fault *fault)
{
    *l = (struct lock){.dir = -1, .file = -1};
    if (mkdir(dir, S_IRWXU) == 0) {
        int error = sync_parent(dir);
        if (error)
            return refuse(fault, dir, "cannot keep the new state directory", error);
    } else if (errno != EEXIST) {
        return refuse(fault, dir, "cannot make the state directory", errno);
    }
    l->dir = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (l->dir < 0)
        return refuse(fault, dir, "cannot open the state directory", errno);
    l->file = openat(l->dir, "lock", O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, S_IRUSR | S_IWUSR);
    int error = l->file < 0 ? errno : lock_refusal(l, "lock");
    if (error) {
        lock_release(l);
        return refuse(fault, dir, "cannot write in the state directory", error);
    }
    if (flock(l->file, LOCK_EX | LOCK_NB) == 0)
        return true;
    error = errno;
    lock_release(l);
    if (error != EWOULDBLOCK)
        return refuse(fault, dir, "cannot lock the state directory", error);
    return fault_set(fault, FAULT_NOT_PERMITTED, NULL, "busy",
                     "Stop the other poised, or give this one another directory with --state DIR.",
                     "another poised is using the state directory %s", dir);
}

void lock_release(struct lock *l)
{
    if (l->file >= 0)
        close(l->file);
    if (l->dir >= 0)
        close(l->dir);
    *l = (struct lock){.dir = -1, .file = -1};
}
