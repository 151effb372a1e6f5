/* Why a port would not open, in words that say what to do. Reads /etc/passwd, /etc/group and /proc: only when an
 * opening has failed. */
#include "drivers/transport.h"

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <grp.h>
#include <limits.h>
#include <pwd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAME = 40, NSS_ROOM = 4096 };

static void user_name(uid_t id, char name[NAME])
{
    struct passwd entry, *found = NULL;
    char room[NSS_ROOM];
    if (getpwuid_r(id, &entry, room, sizeof room, &found) == 0 && found)
        snprintf(name, NAME, "%s", found->pw_name);
    else
        snprintf(name, NAME, "%ld", (long)id);
}

static void group_name(gid_t id, char name[NAME])
{
    struct group entry, *found = NULL;
    char room[NSS_ROOM];
    if (getgrgid_r(id, &entry, room, sizeof room, &found) == 0 && found)
        snprintf(name, NAME, "%s", found->gr_name);
    else
        snprintf(name, NAME, "%ld", (long)id);
}

static void denied(const char *path, char *why, size_t size)
{
    struct stat node;
    char user[NAME], owner[NAME], group[NAME];
    user_name(geteuid(), user);
    if (stat(path, &node) != 0) {
        snprintf(why, size, "user %s may not look into the folder of %s", user, path);
        return;
    }
    user_name(node.st_uid, owner);
    group_name(node.st_gid, group);
    unsigned mode = (unsigned)node.st_mode & 07777;
    if ((mode & 060) == 060)
        snprintf(
            why, size,
            "user %s may not use %s (owner %s, group %s, mode %04o): put the user into the group with `adduser %s %s` "
            "as root, then log in anew; restart what runs as a service",
            user, path, owner, group, mode, user, group);
    else
        snprintf(why, size,
                 "user %s may not use %s (owner %s, group %s, mode %04o): the udev rule in docs/scales.md mends it "
                 "(GROUP=\"dialout\", MODE=\"0660\")",
                 user, path, owner, group, mode);
}

/* How many times that process has this node open, as far as we may look. */
static int holds(const char *process, const struct stat *node)
{
    char dir[64];
    snprintf(dir, sizeof dir, "/proc/%.20s/fd", process);
    DIR *fds = opendir(dir);
    int found = 0;
    for (struct dirent *e; fds && (e = readdir(fds));) {
        struct stat open_node;
        found += isdigit((unsigned char)e->d_name[0]) && fstatat(dirfd(fds), e->d_name, &open_node, 0) == 0 &&
                 open_node.st_rdev == node->st_rdev && open_node.st_ino == node->st_ino &&
                 open_node.st_dev == node->st_dev;
    }
    if (fds)
        closedir(fds);
    return found;
}

static void process_name(const char *process, char name[NAME])
{
    char path[64];
    snprintf(path, sizeof path, "/proc/%.20s/comm", process);
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t n = fd >= 0 ? read(fd, name, NAME - 1) : -1;
    if (fd >= 0)
        close(fd);
    name[n > 0 ? n : 0] = '\0';
    name[strcspn(name, "\n")] = '\0';
}

/* Names who else has the node open, as far as we may look. `ours`: how many times the caller has opened it itself. */
static void busy(const char *path, int ours, char *why, size_t size)
{
    struct stat node;
    char self[24];
    bool there = stat(path, &node) == 0;
    snprintf(self, sizeof self, "%ld", (long)getpid());
    if (there && holds(self, &node) > ours) {
        snprintf(why, size, "another station has %s already: give each a port of its own", path);
        return;
    }
    snprintf(why, size, "another program holds %s: end it first", path);
    DIR *processes = there ? opendir("/proc") : NULL;
    for (struct dirent *e; processes && (e = readdir(processes));) {
        char name[NAME];
        if (!isdigit((unsigned char)e->d_name[0]) || strcmp(e->d_name, self) == 0 || !holds(e->d_name, &node))
            continue;
        process_name(e->d_name, name);
        snprintf(why, size, "%s (process %.20s) holds %s: end it first", name, e->d_name, path);
        break;
    }
    if (processes)
        closedir(processes);
}

void refusal_words(const char *path, int error, char *why, size_t size)
{
    if (error == EACCES || error == EPERM)
        denied(path, why, size);
    else if (error == EBUSY)
        busy(path, 0, why, size);
    else if (error == ENOENT || error == ENXIO || error == ENODEV || error == EIO)
        snprintf(why, size, "%s is not there: is the cable plugged in, the adapter powered?", path);
    else if (error == ENOTTY || error == EINVAL || error == EISDIR)
        snprintf(why, size, "%s is no serial port: `poise scales` lists those there are", path);
    else
        snprintf(why, size, "%s: %s", path, strerror(error));
}

bool refusal_lock(int fd, const char *path, char *why, size_t size)
{
    if (flock(fd, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK)
        return true;
    busy(path, 1, why, size);
    return false;
}
