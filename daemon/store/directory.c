/* directory.c - the state directory: made where it is missing, held by one poised at a time, asked for rights and room.
 *
 * Knows nothing of what the store writes there but the names of its files.
 */
#include "store/directory.h"

#include "log.h"
#include "store/schema.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

enum { LEAST = 128 * 1024 }; /* below this the disk counts as full: a commit is some 30 KiB */

/* Always false. The one word tells a client what kind of trouble it is, the system's own sentence the rest. */
static bool refuse(struct fault *fault, const char *path, int error)
{
    const char *why = error == EROFS || error == EACCES || error == EPERM    ? "readonly"
                      : error == ENOSPC || error == EDQUOT || error == EFBIG ? "full"
                                                                             : "io";
    return fault_said(fault, FAULT_STORE, NULL, why, "state_directory_refused dir=%s why=%s", path, said_reason(error));
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

/* For root, whom the kernel refuses nothing: a file that nobody may write was made so on purpose. */
static int mode_refusal(const struct stat *st)
{
    return (st->st_mode & (S_IWUSR | S_IWGRP | S_IWOTH)) == 0 ? EACCES : 0;
}

/* errno's number, 0: both may be written. The effective user counts, which is the one that writes. */
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

static struct directory_seen seen_of(const struct directory *d, const char *name)
{
    struct stat st;
    if (fstatat(d->fd, name, &st, 0) != 0)
        return (struct directory_seen){0};
    return (struct directory_seen){
        .inode = st.st_ino, .device = st.st_dev, .mode = st.st_mode, .user = st.st_uid, .group = st.st_gid};
}

static bool same(const struct directory_seen *a, const struct directory_seen *b)
{
    return a->inode == b->inode && a->device == b->device && a->mode == b->mode && a->user == b->user &&
           a->group == b->group;
}

/* inotify would tell it by one call, but whoever ends waits until the kernel has let its watch go: 15 to 60 ms, of the
 * 0.1 s in which a disk that refused a sync must end us. */
bool directory_touched(struct directory *d, const char *file)
{
    const struct directory_seen now[2] = {seen_of(d, "."), seen_of(d, file)};
    bool touched = !same(&now[0], &d->seen[0]) || !same(&now[1], &d->seen[1]);
    memcpy(d->seen, now, sizeof now);
    return touched;
}

/* ---- who else may look in ---- */

/* A link that we or root made is followed. One of anybody else was laid here while others could write: its end is not
 * touched, and not believed. False: it is such a one. What is missing, or no file of ours to shut, has mode 0. */
static bool is_ours(const struct directory *d, const char *name, struct stat *st)
{
    if (fstatat(d->fd, name, st, AT_SYMLINK_NOFOLLOW) != 0)
        *st = (struct stat){0};
    if (!S_ISLNK(st->st_mode))
        return true;
    bool ours = st->st_uid == geteuid() || st->st_uid == 0;
    if (fstatat(d->fd, name, st, 0) != 0 || !S_ISREG(st->st_mode))
        *st = (struct stat){0};
    return ours;
}

/* What the shop mixed, for whom and who mixed it is nobody else's. False: others may write there and we cannot forbid
 * it, so that nothing in it can be believed. Of one that others may only read, and that is not ours to change, it is
 * said and left. */
static bool shut(const struct directory *d, const char *name, const char *path)
{
    struct stat st;
    const char *slash = strcmp(name, ".") == 0 ? "" : "/", *shown = *slash ? name : ""; /* the directory itself */
    if (!is_ours(d, name, &st))
        return false;
    if ((st.st_mode & 077) == 0)
        return true;
    if (fchmodat(d->fd, name, st.st_mode & 0700, 0) == 0) {
        log_warnx("%s%s%s was open to others (mode %04o); it is no more", path, slash, shown, st.st_mode & 07777);
        return true;
    }
    log_warn("%s%s%s is open to others (mode %04o)", path, slash, shown, st.st_mode & 07777);
    return (st.st_mode & 022) == 0;
}

/* The directory first: as long as others may come in, they could put back what was shut. */
static bool shut_all(const struct directory *d, const char *path, struct fault *fault)
{
    static const char *const names[] = {".", SCHEMA_FILE, SCHEMA_FILE "-wal", SCHEMA_FILE "-shm", "lock"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (!shut(d, names[i], path))
            return fault_said(fault, FAULT_STORE, NULL, "open", "state_directory_open path=%s/%s", path, names[i]);
    return true;
}

/* ---- one poised at a time ---- */

/* For whoever finds the lock held. It is no lock itself, so that it cannot be written is no reason to stop. Written
 * over the number before and cut only where that was longer: a cut waits for the file system's journal, some
 * milliseconds of every start. */
static void sign(const struct directory *d)
{
    char pid[24];
    struct stat st;
    int len = snprintf(pid, sizeof pid, "%ld\n", (long)getpid());
    if (pwrite(d->lock, pid, (size_t)len, 0) != len ||
        (fstat(d->lock, &st) == 0 && st.st_size > len && ftruncate(d->lock, len) != 0))
        log_warn("our process number is not in the state directory's lock");
}

/* The other one wrote its number there; one that has just taken the lock may not have yet. */
static bool busy(const struct directory *d, const char *path, struct fault *fault)
{
    char text[24] = "";
    ssize_t len = pread(d->lock, text, sizeof text - 1, 0);
    long pid = len > 0 ? strtol(text, NULL, 10) : 0;
    if (pid > 0)
        return fault_said(fault, FAULT_NOT_PERMITTED, NULL, "busy", "state_directory_busy_by dir=%s pid=%ld", path,
                          pid);
    return fault_said(fault, FAULT_NOT_PERMITTED, NULL, "busy", "state_directory_busy dir=%s", path);
}

/* The lock goes with its descriptor, so a daemon that crashed leaves none behind. False: *fault, and nothing is held.
 */
bool directory_take(struct directory *d, const char *path, struct fault *fault)
{
    int error = 0;
    *d = (struct directory){.fd = -1, .lock = -1};
    if (mkdir(path, S_IRWXU) == 0)
        error = sync_parent(path);
    else if (errno != EEXIST)
        error = errno;
    if (error)
        return refuse(fault, path, error);
    d->fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (d->fd < 0)
        return refuse(fault, path, errno);
    d->lock = openat(d->fd, "lock", O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, S_IRUSR | S_IWUSR);
    error = d->lock < 0 ? errno : directory_refusal(d, "lock");
    if (!error && flock(d->lock, LOCK_EX | LOCK_NB) != 0)
        error = errno;
    bool fine = !error && shut_all(d, path, fault);
    if (fine)
        sign(d);
    else if (error == EWOULDBLOCK)
        busy(d, path, fault);
    else if (error)
        refuse(fault, path, error);
    if (!fine)
        directory_release(d);
    return fine;
}

/* May be called twice, and of one that was never taken. */
void directory_release(struct directory *d)
{
    if (d->lock >= 0)
        close(d->lock);
    if (d->fd >= 0)
        close(d->fd);
    *d = (struct directory){.fd = -1, .lock = -1};
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

/* Asked before SQLite finds out, since a commit that fails halfway costs more than one refused. */
int directory_full(const struct directory *d)
{
    return left(d) < LEAST ? ENOSPC : 0;
}
