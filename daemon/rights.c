/* rights.c - roles by user and group, and the user at the other end of a socket. It must not know what a role may call
 * (rpc/methods.c), nor the file they are written in.
 */
#include "rights.h"

#include "text/utf8.h"

#include <grp.h>
#include <pwd.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>

const char *const right_names[RIGHTS] = {
    [RIGHT_READ] = "read", [RIGHT_PAINT] = "paint", [RIGHT_KEEP] = "keep", [RIGHT_OWN] = "own"};

enum { GROUPS_MOST = 256, LOOKUP = 4096 };

static bool find_user(const char *name, unsigned *id)
{
    struct passwd entry, *found = NULL;
    char room[LOOKUP];
    if (getpwnam_r(name, &entry, room, sizeof room, &found) != 0 || !found)
        return false;
    *id = found->pw_uid;
    return true;
}

/* A group's members stand in its entry: a long one is refused as not known rather than cut. */
static bool find_group(const char *name, unsigned *id)
{
    struct group entry, *found = NULL;
    char room[4 * LOOKUP];
    if (getgrnam_r(name, &entry, room, sizeof room, &found) != 0 || !found)
        return false;
    *id = found->gr_gid;
    return true;
}

/* The next of a list to `id`; *text moves behind it. False: this machine does not know it. */
static bool next_name(const char **text, bool *group, unsigned *id)
{
    char name[64];
    const char *at = *text + strspn(*text, " \t"), *colon = strchr(at, ':');
    size_t length = strcspn(at, ",");
    *text = at + length + (at[length] == ',');
    while (length > 0 && strchr(" \t", at[length - 1]))
        length--;
    size_t head = colon ? (size_t)(colon - at) : length;
    *group = head == 5 && strncmp(at, "group", head) == 0;
    if (head + 1 >= length || length - head > sizeof name || !(*group || (head == 4 && strncmp(at, "user", head) == 0)))
        return false;
    snprintf(name, sizeof name, "%.*s", (int)(length - head - 1), colon + 1);
    return *group ? find_group(name, id) : find_user(name, id);
}

bool rights_fit(const char *text)
{
    bool group, good = true;
    unsigned id;
    do
        good = next_name(&text, &group, &id);
    while (good && *text);
    return good;
}

bool rights_add(struct rights *r, enum right right, const char *text)
{
    while (*text) {
        bool group;
        unsigned id;
        if (!next_name(&text, &group, &id))
            continue;
        if (r->count == RIGHTS_MOST)
            return false;
        r->entry[r->count].right = right;
        r->entry[r->count].group = group;
        r->entry[r->count++].id = id;
    }
    return true;
}

enum right rights_of(const struct rights *r, unsigned uid, const unsigned *gid, size_t gids)
{
    enum right best = r->given ? RIGHT_READ : RIGHT_OWN;
    for (size_t i = 0; i < r->count; i++) {
        bool is = !r->entry[i].group && r->entry[i].id == uid;
        for (size_t g = 0; r->entry[i].group && g < gids; g++)
            is = is || r->entry[i].id == gid[g];
        if (is && r->entry[i].right > best)
            best = r->entry[i].right;
    }
    return best;
}

/* The kernel notes both when the other end connects, so nobody can pretend, and a name given up since does not count. A
 * user of more groups than GROUPS_MOST has only the first one here. */
enum right rights_of_socket(const struct rights *r, int fd)
{
    struct ucred peer;
    gid_t gid[GROUPS_MOST + 1];
    socklen_t size = sizeof peer, room = GROUPS_MOST * sizeof gid[0];
    if (!r->given)
        return RIGHT_OWN;
    if (getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &size) != 0)
        return RIGHT_READ;
    size_t gids = getsockopt(fd, SOL_SOCKET, SO_PEERGROUPS, gid, &room) == 0 ? room / sizeof gid[0] : 0;
    gid[gids++] = peer.gid;
    return rights_of(r, peer.uid, gid, gids);
}

void rights_user(int fd, char out[RIGHTS_USER])
{
    struct ucred peer;
    socklen_t size = sizeof peer;
    struct passwd entry, *found = NULL;
    char room[LOOKUP];
    out[0] = '\0';
    if (getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &size) != 0)
        return;
    if (getpwuid_r(peer.uid, &entry, room, sizeof room, &found) == 0 && found)
        utf8_copy(out, RIGHTS_USER, found->pw_name);
    else
        snprintf(out, RIGHTS_USER, "%u", (unsigned)peer.uid);
}
