/* backup.c - a copy of the file while writing goes on: made under another name, walked, synced, then named.
 *
 * Knows nothing of what the file holds but its chain.
 */
#include "store/chain.h"
#include "store/reader.h"
#include "store/schema.h"
#include "store/small.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* 1 MiB between two looks at whether the daemon ends. */
enum { PAGES_AT_ONCE = 256 };

/* One copy on its way; freed when it has been told. */
struct backup {
    struct store_task task;
    sqlite3 *from;
    const char *why; /* of the view, where `from` is NULL */
    store_copied *done;
    void *arg;
    char *file, *part; /* what it shall be called, and what it is called until it is whole */
    struct chain chain;
    struct fault fault; /* FAULT_NONE: done */
};

/* Always false: the store itself. */
static bool not_read(struct backup *b, const char *why)
{
    return fault_said(&b->fault, FAULT_STORE, NULL, "io", "store_unreadable why=%s", why);
}

/* Always false: the copy, its folder or its disk. */
static bool not_written(struct backup *b, const char *why)
{
    return fault_said(&b->fault, FAULT_STORE, "file", "io", "copy_not_written file=%s why=%s", b->file, why);
}

/* The task's reading transaction holds the state that is copied, so that writes meanwhile neither change it nor wait;
 * the first look begins it. */
static bool copy_pages(struct backup *b, sqlite3 *to)
{
    if (sqlite3_exec(b->from, "SELECT max(seq) FROM event", NULL, NULL, NULL) != SQLITE_OK)
        return not_read(b, sqlite3_errmsg(b->from));
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", b->from, "main");
    if (!copy)
        return not_written(b, sqlite3_errmsg(to));
    int rc = sqlite3_backup_step(copy, PAGES_AT_ONCE);
    while (rc == SQLITE_OK && !store_task_stopping(&b->task))
        rc = sqlite3_backup_step(copy, PAGES_AT_ONCE);
    sqlite3_backup_finish(copy);
    if (rc == SQLITE_OK)
        return fault_said(&b->fault, FAULT_STORE, "file", "io", "copy_stopped file=%s", b->file);
    return rc == SQLITE_DONE || not_written(b, sqlite3_errstr(rc));
}

/* A copy is a single file, and is believed only when its own chain is whole. */
static bool make_part(struct backup *b)
{
    sqlite3 *to = NULL;
    int64_t bad;
    if (!b->from)
        return not_read(b, b->why);
    int fd = open(b->part, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (fd >= 0)
        close(fd);
    int rc = sqlite3_open_v2(b->part, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc == SQLITE_OK)
        rc = small_functions(to); /* its chain is walked through them */
    bool good = rc == SQLITE_OK ? copy_pages(b, to) : not_written(b, sqlite3_errmsg(to));
    if (good && sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL) != SQLITE_OK)
        good = not_written(b, sqlite3_errmsg(to));
    if (good && !verify_chain(to, &b->task, &b->chain, &bad))
        good = fault_said(&b->fault, FAULT_STORE, "file", "io", "copy_broken file=%s event=%d", b->file, (int)bad);
    sqlite3_close(to);
    return good;
}

/* False: errno is that of what failed, not of closing. */
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
    if (!sync_path(b->part, 0))
        return not_written(b, said_reason(errno));
    if (renameat2(AT_FDCWD, b->part, AT_FDCWD, b->file, RENAME_NOREPLACE) != 0)
        return not_written(b, said_reason(errno));
    char *slash = strrchr(b->part, '/');
    slash[slash == b->part ? 1 : 0] = '\0'; /* of no more use: now the folder */
    return sync_path(b->part, O_DIRECTORY) || not_written(b, said_reason(errno));
}

/* On the helper thread. What is not whole is taken away again. */
static void run(struct store_task *t, struct store *view)
{
    struct backup *b = (struct backup *)(void *)t;
    b->from = store_view_db(view);
    b->why = store_why(view);
    if (make_part(b))
        give_name(b);
    if (b->fault.kind != FAULT_NONE)
        unlink(b->part);
}

/* On the loop. The head is that of the copy, so it vouches for the copy itself. */
static void end(struct store_task *t)
{
    struct backup *b = (struct backup *)(void *)t;
    char head[2 * CHAIN_BYTES + 1];
    chain_hex(b->chain.head, head);
    b->done(b->arg, b->fault.kind == FAULT_NONE ? NULL : &b->fault, b->chain.seq, head);
    free(b->file);
    free(b->part);
    free(b);
}

/* Two copies to one name at a time would share a `.part`; the lane does one after the other, and the second finds the
 * name taken. */
bool store_backup(struct store *s, const char *file, store_copied *done, void *arg, struct fault *fault)
{
    if (*file != '/')
        return fault_said(fault, FAULT_INVALID, "file", "relative", "copy_relative");
    if (access(file, F_OK) == 0)
        return fault_said(fault, FAULT_INVALID, "file", "exists", "copy_exists file=%s", file);
    struct backup *b = calloc(1, sizeof *b);
    if (!b || !(b->file = strdup(file)) || asprintf(&b->part, "%s.part", file) < 0) {
        if (b)
            free(b->file);
        free(b);
        return fault_said(fault, FAULT_STORE, NULL, "io", "no_memory");
    }
    unlink(b->part); /* of a copy that was cut short */
    b->task.run = run;
    b->task.end = end;
    b->done = done;
    b->arg = arg;
    store_task_start(s, STORE_WHOLE, &b->task);
    return true;
}
