#include "store/aside.h"
#include "store/schema.h"
#include "store/verify.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PAGES_AT_ONCE = 256 };

struct backup {
    struct aside aside;
    store_copied *done;
    void *arg;
    char *file, *part; /* what it shall be called, and what it is called until it is whole */
    struct chain chain;
    struct fault fault; /* FAULT_NONE: done */
};

static bool fail(struct backup *b, const char *what, const char *why)
{
    return fault_set(&b->fault, FAULT_STORE, "file", "io", "Look at the disk it is to be written on, and try again.",
                     "cannot copy to %s: %s: %s", b->file, what, why);
}

/* One reading transaction holds the state that is copied, so that writes meanwhile neither change it nor wait. */
static bool copy_pages(struct backup *b, sqlite3 *to)
{
    sqlite3 *from = b->aside.db;
    if (sqlite3_exec(from, "BEGIN; SELECT max(seq) FROM event", NULL, NULL, NULL) != SQLITE_OK)
        return fail(b, "reading", sqlite3_errmsg(from));
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", from, "main");
    if (!copy)
        return fail(b, "writing", sqlite3_errmsg(to));
    int rc = sqlite3_backup_step(copy, PAGES_AT_ONCE);
    while (rc == SQLITE_OK && !aside_stopping(&b->aside))
        rc = sqlite3_backup_step(copy, PAGES_AT_ONCE);
    sqlite3_backup_finish(copy);
    if (rc == SQLITE_OK)
        return fail(b, "stopped", "the daemon is ending");
    return rc == SQLITE_DONE || fail(b, "writing", sqlite3_errstr(rc));
}

/* A copy is a single file, and is believed only when its own chain is whole. */
static bool make_part(struct backup *b)
{
    sqlite3 *to = NULL;
    int64_t bad;
    if (!b->aside.db)
        return fail(b, "reading", "the store cannot be opened a second time");
    int fd = open(b->part, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (fd >= 0)
        close(fd);
    int rc = sqlite3_open_v2(b->part, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX, NULL);
    bool good = rc == SQLITE_OK ? copy_pages(b, to) : fail(b, "making it", sqlite3_errmsg(to));
    if (good && sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL) != SQLITE_OK)
        good = fail(b, "writing", sqlite3_errmsg(to));
    if (good && !verify_chain(to, &b->aside, &b->chain, &bad))
        good = fail(b, "reading it again", bad ? "the chain of hashes is broken" : "not to the end");
    sqlite3_close(to);
    return good;
}

static bool sync_path(const char *path, int flags)
{
    int fd = open(path, flags | O_RDONLY | O_CLOEXEC);
    bool good = fd >= 0 && fsync(fd) == 0;
    int error = errno;
    if (fd >= 0)
        close(fd);
    errno = error;
    return good;
}

/* Gives it its name, unless something has that name: a copy made before is never written over. */
static bool give_name(struct backup *b)
{
    char system[96];
    if (!sync_path(b->part, 0))
        return fail(b, "syncing", strerror_r(errno, system, sizeof system));
    if (renameat2(AT_FDCWD, b->part, AT_FDCWD, b->file, RENAME_NOREPLACE) != 0)
        return fail(b, "naming it", strerror_r(errno, system, sizeof system));
    char *slash = strrchr(b->part, '/');
    slash[slash == b->part ? 1 : 0] = '\0'; /* of no more use: now the folder */
    return sync_path(b->part, O_DIRECTORY) || fail(b, "syncing its folder", strerror_r(errno, system, sizeof system));
}

static void run(struct aside *a)
{
    struct backup *b = (struct backup *)(void *)a;
    if (make_part(b))
        give_name(b);
    if (b->fault.kind != FAULT_NONE)
        unlink(b->part);
}

static void end(struct aside *a)
{
    struct backup *b = (struct backup *)(void *)a;
    char head[2 * CHAIN_BYTES + 1];
    chain_hex(b->chain.head, head);
    b->done(b->arg, b->fault.kind == FAULT_NONE ? NULL : &b->fault, b->chain.seq, head);
    free(b->file);
    free(b->part);
    free(b);
}

bool store_backup(struct store *s, const char *file, store_copied *done, void *arg, struct fault *fault)
{
    if (*file != '/')
        return fault_set(fault, FAULT_INVALID, "file", "relative", "Give the whole path, beginning with /.",
                         "a copy needs a whole path");
    if (access(file, F_OK) == 0)
        return fault_set(fault, FAULT_INVALID, "file", "exists", "Give a name that is not taken yet.",
                         "%s is there already", file);
    struct backup *b = calloc(1, sizeof *b);
    if (!b || !(b->file = strdup(file)) || asprintf(&b->part, "%s.part", file) < 0) {
        if (b)
            free(b->file);
        free(b);
        return fault_set(fault, FAULT_STORE, NULL, "io", "Free some memory.", "no memory for a copy");
    }
    unlink(b->part); /* of a copy that was cut short */
    b->aside.run = run;
    b->aside.end = end;
    b->done = done;
    b->arg = arg;
    aside_start(&b->aside, s);
    return true;
}
