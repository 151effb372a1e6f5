#include "tests/e2e/mounts.h"

#include <fcntl.h>
#include <sched.h>
#include <stdio.h>
#include <string.h>
#include <sys/mount.h>
#include <unistd.h>

static bool write_text(const char *path, const char *text)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    if (fd < 0)
        return false;
    bool good = write(fd, text, strlen(text)) == (ssize_t)strlen(text);
    return close(fd) == 0 && good;
}

/* Who is not root becomes the root of a user namespace, in which files stay theirs. */
static bool own_root(void)
{
    char map[64];
    unsigned uid = getuid(), gid = getgid();
    if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0)
        return false;
    snprintf(map, sizeof map, "0 %u 1", uid);
    if (!write_text("/proc/self/uid_map", map) || !write_text("/proc/self/setgroups", "deny"))
        return false;
    snprintf(map, sizeof map, "0 %u 1", gid);
    return write_text("/proc/self/gid_map", map);
}

bool mounts_begin(void)
{
    static enum { NOT_ASKED, GOOD, BAD } known;
    if (known == NOT_ASKED) {
        bool parted = geteuid() == 0 ? unshare(CLONE_NEWNS) == 0 : own_root();
        known = parted && mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) == 0 ? GOOD : BAD;
    }
    return known == GOOD;
}

bool mounts_small(const char *folder, int kib)
{
    char options[48];
    snprintf(options, sizeof options, "size=%dk,mode=0700", kib);
    return mount("none", folder, "tmpfs", 0, options) == 0;
}

bool mounts_read_only(const char *folder)
{
    return mount(folder, folder, NULL, MS_BIND, NULL) == 0 &&
           mount("none", folder, NULL, MS_REMOUNT | MS_BIND | MS_RDONLY, NULL) == 0;
}

bool mounts_undo(const char *folder)
{
    return umount2(folder, MNT_DETACH) == 0;
}
