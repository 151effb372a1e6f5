/* refusal.c - why a port would not open, with the names that a person needs to fix it. Reads /etc/passwd, /etc/group
 * and /proc: only when an opening has failed. It knows no words: those of its codes stand in the folder words. */
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

/* The name of a user or a group; its number where nobody has that name, as in a container. */
static void name_or_number(const char *found, long id, char name[NAME])
{
    if (found)
        snprintf(name, NAME, "%s", found);
    else
        snprintf(name, NAME, "%ld", id);
}

/* The _r form, with room of our own: another thread may look a name up at the same time. */
static void user_name(uid_t id, char name[NAME])
{
    struct passwd entry, *found = NULL;
    char room[NSS_ROOM];
    bool known = getpwuid_r(id, &entry, room, sizeof room, &found) == 0 && found;
    name_or_number(known ? entry.pw_name : NULL, (long)id, name);
}

static void group_name(gid_t id, char name[NAME])
{
    struct group entry, *found = NULL;
    char room[NSS_ROOM];
    bool known = getgrgid_r(id, &entry, room, sizeof room, &found) == 0 && found;
    name_or_number(known ? entry.gr_name : NULL, (long)id, name);
}

/* Without a stat the folder itself is closed to us, and all we know is our own name. */
static struct said denied(const char *path)
{
    struct stat node;
    char user[NAME], owner[NAME], group[NAME], mode[8];
    user_name(geteuid(), user);
    if (stat(path, &node) != 0)
        return say("port_folder_denied user=%s port=%s", user, path);
    user_name(node.st_uid, owner);
    group_name(node.st_gid, group);
    snprintf(mode, sizeof mode, "%04o", (unsigned)node.st_mode & 07777);
    if ((node.st_mode & 060) == 060)
        return say("port_denied user=%s port=%s owner=%s group=%s mode=%s", user, path, owner, group, mode);
    return say("port_denied_mode user=%s port=%s owner=%s group=%s mode=%s", user, path, owner, group, mode);
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

/* As the kernel has it, 15 letters at most; "" where the process ended meanwhile. */
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
static struct said busy(const char *path, int ours)
{
    struct stat node;
    char self[24];
    bool there = stat(path, &node) == 0;
    snprintf(self, sizeof self, "%ld", (long)getpid());
    if (there && holds(self, &node) > ours)
        return say("port_shared port=%s", path);
    struct said why = say("port_busy port=%s", path);
    DIR *processes = there ? opendir("/proc") : NULL;
    for (struct dirent *e; processes && (e = readdir(processes));) {
        char name[NAME];
        if (!isdigit((unsigned char)e->d_name[0]) || strcmp(e->d_name, self) == 0 || !holds(e->d_name, &node))
            continue;
        process_name(e->d_name, name);
        why = say("port_busy_by program=%s process=%s port=%s", name, e->d_name, path);
        break;
    }
    if (processes)
        closedir(processes);
    return why;
}

/* By what a person can do about it, not by errno: rights, another program, a cable, another device, or a system that
 * says something else. */
struct said refusal_said(const char *path, int error)
{
    if (error == EACCES || error == EPERM)
        return denied(path);
    if (error == EBUSY)
        return busy(path, 0);
    if (error == ENOENT || error == ENXIO || error == ENODEV || error == EIO)
        return say("port_missing port=%s", path);
    if (error == ENOTTY || error == EINVAL || error == EISDIR)
        return say("port_not_serial port=%s", path);
    return refusal_system(path, error);
}

/* The name of the error (EMFILE) rather than its sentence: the system's sentences are in its own language, not the
 * reader's. */
struct said refusal_system(const char *path, int error)
{
    const char *name = strerrorname_np(error);
    return say("port_failed port=%s error=%s", path, name ? name : "?");
}

/* flock on top of TIOCEXCL: root passes TIOCEXCL, and two poised of one shop must not read half of each frame. A system
 * that cannot lock is no reason to refuse. */
bool refusal_lock(int fd, const char *path, struct said *why)
{
    if (flock(fd, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK)
        return true;
    *why = busy(path, 1);
    return false;
}
