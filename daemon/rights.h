/* rights.h - who may do what: the three roles, the section [rights] of poised.ini, and who is at the other end of a
 * socket.
 *
 * A role holds all of those before it. Without the section everyone who reaches the socket is RIGHT_OWN: the socket's
 * own mode says who that is. With it whoever no line names may read and nothing else, root too.
 * Thread  Any; rights_fit and rights_add ask the system's lists of users and groups, which may take a while: for start.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum right {
    RIGHT_READ,  /* whatever changes nothing */
    RIGHT_PAINT, /* the acts of a station, labels, check weights */
    RIGHT_KEEP,  /* the shop's toners, formulas and products as well */
    RIGHT_OWN,   /* imports, settings and copies as well */
    RIGHTS
};

extern const char *const right_names[RIGHTS]; /* `read`, `paint`, `keep`, `own` */

enum { RIGHTS_MOST = 64, RIGHTS_USER = 40 };

struct rights {
    bool given;   /* the section is there */
    size_t count; /* of names in it */
    struct {
        enum right right;
        bool group;
        unsigned id; /* a uid, or a gid */
    } entry[RIGHTS_MOST];
};

/* Whether a setting's text is a list of `user:NAME` and `group:NAME`, apart by commas, each known to this machine. */
bool rights_fit(const char *text);
/* Adds a text that fits. False: more than RIGHTS_MOST names in all. */
bool rights_add(struct rights *r, enum right right, const char *text);
/* The highest role of a user who is in these groups. */
enum right rights_of(const struct rights *r, unsigned uid, const unsigned *gid, size_t gids);
/* The same of whoever opened the other end of a Unix socket, as the kernel tells it. RIGHT_READ: it does not. */
enum right rights_of_socket(const struct rights *r, int fd);
/* The name of that user, or the number where there is no name; "": not known. */
void rights_user(int fd, char out[RIGHTS_USER]);
