/* restore.c - a copy taken back: copied beside the journal, walked, synced, and only then given its name; or walked
 * where it lies, and left alone.
 *
 * Knows nothing of what the file holds but its chain. At no moment is there no journal: the old one gets a second name
 * before the new one takes its first, in one rename. Its log is moved into it before, since a log that outlived its
 * file would be read into the next.
 */
#include "store/restore.h"

#include "store/chain.h"
#include "store/directory.h"
#include "store/schema.h"
#include "store/small.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define PART SCHEMA_FILE ".restored"

struct restore {
    const char *dir, *file;
    int fd; /* of the state directory */
    char part[4096];
    struct restored *out;
    struct fault *fault;
};

/* Always false. */
static bool not_kept(struct restore *r, const char *why)
{
    return fault_said(r->fault, FAULT_STORE, NULL, "io", "restore_not_written dir=%s why=%s", r->dir, why);
}

static bool not_kept_errno(struct restore *r)
{
    return not_kept(r, said_reason(errno));
}

/* The file itself: missing, not to be read, or none of SQLite's. */
static bool open_copy(struct restore *r, sqlite3 **from)
{
    *from = NULL;
    int fd = open(r->file, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return fault_said(r->fault, FAULT_UNKNOWN, NULL, "missing", "restore_no_file why=%s", said_reason(errno));
    close(fd);
    if (sqlite3_open_v2(r->file, from, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK ||
        sqlite3_exec(*from, "SELECT count(*) FROM sqlite_schema", NULL, NULL, NULL) != SQLITE_OK)
        return fault_said(r->fault, FAULT_INVALID, NULL, "broken", "restore_foreign");
    return true;
}

/* Made for our eyes only, and for whoever owns the directory where we are root. */
static bool make_part(struct restore *r)
{
    struct stat st;
    unlinkat(r->fd, PART, 0); /* of a try that was cut short */
    int fd = openat(r->fd, PART, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR | S_IWUSR);
    bool good = fd >= 0 && fstat(r->fd, &st) == 0 && (geteuid() != 0 || fchown(fd, st.st_uid, st.st_gid) == 0);
    if (!good)
        not_kept_errno(r);
    if (fd >= 0)
        close(fd);
    return good;
}

/* All pages at once: nobody writes to either. */
static bool copy_pages(struct restore *r, sqlite3 *from, sqlite3 *to)
{
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", from, "main");
    if (!copy)
        return not_kept(r, sqlite3_errmsg(to));
    int rc = sqlite3_backup_step(copy, -1);
    sqlite3_backup_finish(copy);
    if (rc == SQLITE_CORRUPT || rc == SQLITE_NOTADB)
        return fault_said(r->fault, FAULT_INVALID, NULL, "broken", "store_damaged");
    return rc == SQLITE_DONE || not_kept(r, sqlite3_errstr(rc));
}

/* Its chain, and the file as SQLite sees it. *bad: the first event that does not follow; 0 with false: the file itself.
 */
static bool is_sound(sqlite3 *db, struct chain *chain, int64_t *bad)
{
    sqlite3_stmt *stmt = NULL;
    if (!verify_chain(db, NULL, chain, bad))
        return false;
    bool sound = sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &stmt, NULL) == SQLITE_OK &&
                 sqlite3_step(stmt) == SQLITE_ROW && strcmp((const char *)sqlite3_column_text(stmt, 0), "ok") == 0;
    sqlite3_finalize(stmt);
    return sound;
}

/* It is brought to our schema as well, which a start would do. */
static bool is_whole(struct restore *r, sqlite3 *db)
{
    struct chain chain = {0};
    int64_t bad;
    if (!is_sound(db, &chain, &bad))
        return bad ? fault_said(r->fault, FAULT_INVALID, NULL, "broken", "store_broken event=%lld", (long long)bad)
                   : fault_said(r->fault, FAULT_INVALID, NULL, "broken", "store_damaged");
    r->out->events = chain.seq;
    chain_hex(chain.head, r->out->head);
    return schema_bring_up(db, r->fault);
}

/* Before its chain is walked: that of a later version may not be ours to walk. */
static bool is_ours(struct restore *r, sqlite3 *db)
{
    sqlite3_stmt *stmt = NULL;
    bool read = sqlite3_prepare_v2(db, "PRAGMA application_id", -1, &stmt, NULL) == SQLITE_OK &&
                sqlite3_step(stmt) == SQLITE_ROW && sqlite3_column_int(stmt, 0) != 0;
    sqlite3_finalize(stmt);
    return read ? !schema_is_later(db, r->fault)
                : fault_said(r->fault, FAULT_INVALID, NULL, "foreign", "restore_foreign");
}

/* The copy beside the journal, believed and on the disk. */
static bool take_copy(struct restore *r)
{
    sqlite3 *from = NULL, *to = NULL;
    bool good = open_copy(r, &from) && is_ours(r, from) && make_part(r);
    if (good && (sqlite3_open_v2(r->part, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK ||
                 small_functions(to) != SQLITE_OK))
        good = not_kept(r, sqlite3_errmsg(to));
    good = good && copy_pages(r, from, to);
    if (good && sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL) != SQLITE_OK)
        good = not_kept(r, sqlite3_errmsg(to));
    good = good && is_whole(r, to);
    sqlite3_close(to);
    sqlite3_close(from);
    int fd = good ? openat(r->fd, PART, O_RDONLY | O_CLOEXEC) : -1;
    if (good && (fd < 0 || fsync(fd) != 0))
        good = not_kept_errno(r);
    if (fd >= 0)
        close(fd);
    return good;
}

/* Whoever closes last moves the log into the file. One that cannot be opened any more keeps its log under its own
 * second name; without its file it says nothing. */
static void settle_old(const struct restore *r)
{
    sqlite3 *db = NULL;
    char path[4096];
    snprintf(path, sizeof path, "%s/" SCHEMA_FILE, r->dir);
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) == SQLITE_OK)
        sqlite3_exec(db, "PRAGMA wal_checkpoint(TRUNCATE)", NULL, NULL, NULL);
    sqlite3_close(db);
}

/* A second name for a file of the old journal; that there is none is no fault. */
static bool keep(struct restore *r, const char *name, const char *kept)
{
    return linkat(r->fd, name, r->fd, kept, 0) == 0 || errno == ENOENT || not_kept_errno(r);
}

/* By the second; a number behind it where that is taken. */
static void free_name(const struct restore *r, char out[64])
{
    char day[32];
    struct tm t;
    time_t now = time(NULL);
    localtime_r(&now, &t);
    strftime(day, sizeof day, "%Y%m%d-%H%M%S", &t);
    snprintf(out, 64, SCHEMA_FILE ".before-%s", day);
    for (int i = 2; i < 100 && faccessat(r->fd, out, F_OK, 0) == 0; i++)
        snprintf(out, 64, SCHEMA_FILE ".before-%s-%d", day, i);
}

static bool keep_old(struct restore *r)
{
    char name[64], log[80];
    if (faccessat(r->fd, SCHEMA_FILE, F_OK, 0) != 0)
        return errno == ENOENT || not_kept_errno(r);
    settle_old(r);
    free_name(r, name);
    snprintf(log, sizeof log, "%s-wal", name);
    if (!keep(r, SCHEMA_FILE, name) || !keep(r, SCHEMA_FILE "-wal", log))
        return false;
    snprintf(r->out->kept, sizeof r->out->kept, "%.200s/%s", r->dir, name);
    if (fsync(r->fd) != 0)
        return not_kept_errno(r);
    unlinkat(r->fd, SCHEMA_FILE "-wal", 0);
    unlinkat(r->fd, SCHEMA_FILE "-shm", 0);
    return true;
}

static bool put_in_place(struct restore *r)
{
    return (renameat(r->fd, PART, r->fd, SCHEMA_FILE) == 0 && fsync(r->fd) == 0) || not_kept_errno(r);
}

bool store_restore(const char *dir, const char *file, struct restored *out, struct fault *fault)
{
    struct directory held;
    struct restore r = {.dir = dir, .file = file, .out = out, .fault = fault};
    *out = (struct restored){.events = 0};
    if ((size_t)snprintf(r.part, sizeof r.part, "%s/" PART, dir) >= sizeof r.part)
        return not_kept(&r, said_reason(ENAMETOOLONG));
    if (!directory_take(&held, dir, fault))
        return false;
    r.fd = held.fd;
    bool good = take_copy(&r) && keep_old(&r) && put_in_place(&r);
    if (!good)
        unlinkat(r.fd, PART, 0);
    directory_release(&held);
    return good;
}

bool store_verify_file(const char *file, struct verified *out, struct fault *fault)
{
    struct restore r = {.file = file, .fault = fault};
    struct chain chain = {0};
    sqlite3 *db;
    *out = (struct verified){.whole = false};
    bool good = open_copy(&r, &db) && is_ours(&r, db);
    if (good && small_functions(db) != SQLITE_OK)
        good = fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    if (good) {
        out->whole = is_sound(db, &chain, &out->bad);
        out->events = chain.seq;
        chain_hex(chain.head, out->head);
    }
    sqlite3_close(db);
    return good;
}
