/* transaction.c - the writing connection: a group of jobs in one transaction with one sync, and the log moved after it.
 *
 * Knows no table; apply.c does.
 */
#include "store/writer.h"

#include "store/schema.h"
#include "store/small.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The log is moved by hand (commit_tidy), after the answers are out. A quarter of a mebibyte of page cache is enough
 * for the right-hand edges of the indexes. */
static const char settings[] = "PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 0; PRAGMA cache_size = -256;"
                               "PRAGMA mmap_size = 0; PRAGMA temp_store = MEMORY; PRAGMA secure_delete = OFF;"
                               "PRAGMA trusted_schema = OFF; PRAGMA journal_size_limit = 8388608;";

/* ---- what an error means: refused, or of unknown outcome ---- */

/* Where the error came from. */
enum stage {
    STAGE_OPEN,  /* opening, and moving the log into the file */
    STAGE_WRITE, /* a statement before COMMIT: whatever is in the log is no commit yet */
    STAGE_COMMIT /* only a failed write, which comes before the sync, is sure to have left nothing behind */
};

/* What an errno of the system means for a write that it refused. */
static enum store_result disk_error_of_errno(int error)
{
    switch (error) {
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
        return STORE_FULL;
    case EROFS:
    case EPERM:
    case EACCES:
        return STORE_READONLY;
    default:
        return STORE_DEAD;
    }
}

/* What the system said. SQLite keeps that for a statement, but not for COMMIT (and does not forget an older one): there
 * it is asked of the log's file, the only one that a commit writes. 0: not known. */
static int system_error(sqlite3 *db, int rc, enum stage stage)
{
    sqlite3_file *log = NULL;
    int error = 0;
    if ((rc & 0xff) != SQLITE_IOERR && (rc & 0xff) != SQLITE_CANTOPEN)
        return 0;
    if (stage != STAGE_COMMIT)
        return sqlite3_system_errno(db);
    if (sqlite3_file_control(db, "main", SQLITE_FCNTL_JOURNAL_POINTER, (void *)&log) != SQLITE_OK || !log ||
        !log->pMethods || log->pMethods->xFileControl(log, SQLITE_FCNTL_LAST_ERRNO, &error) != SQLITE_OK)
        return 0;
    return error;
}

/* The same of SQLite's extended code, just returned on db. */
static enum store_result disk_error(sqlite3 *db, int rc, enum stage stage)
{
    bool committing = stage == STAGE_COMMIT;
    switch (rc & 0xff) {
    case SQLITE_FULL: /* also ENOSPC of a write */
        return STORE_FULL;
    case SQLITE_READONLY:
        return STORE_READONLY;
    case SQLITE_BUSY: /* a foreign program holds the file's write lock; nothing was written */
        return committing ? STORE_DEAD : STORE_READONLY;
    case SQLITE_NOMEM: /* asked for before anything was written; at COMMIT nobody knows */
        return committing ? STORE_DEAD : STORE_REFUSED;
    case SQLITE_IOERR:
        if (rc == SQLITE_IOERR_NOMEM && !committing)
            return STORE_REFUSED;
        if (rc == SQLITE_IOERR_FSYNC || rc == SQLITE_IOERR_DIR_FSYNC || (committing && rc != SQLITE_IOERR_WRITE))
            return STORE_DEAD;
        return disk_error_of_errno(system_error(db, rc, stage));
    case SQLITE_CANTOPEN:
        return committing ? STORE_DEAD : disk_error_of_errno(system_error(db, rc, stage));
    default:
        return STORE_DEAD;
    }
}

/* SQLite's words and the system's, for the log. */
static void disk_error_words(sqlite3 *db, int rc, enum stage stage, char *out, size_t size)
{
    char system[96];
    int error = system_error(db, rc, stage);
    if (error)
        snprintf(out, size, "%s (%d): %s", sqlite3_errstr(rc), rc, strerror_r(error, system, sizeof system));
    else
        snprintf(out, size, "%s (%d)", db ? sqlite3_errmsg(db) : sqlite3_errstr(rc), rc);
}

/* ---- the connection ---- */

static int exec(struct commit *c, const char *sql)
{
    return sqlite3_exec(c->apply.statements.db, sql, NULL, NULL, NULL);
}

static int note_log(void *arg, sqlite3 *db, const char *name, int pages)
{
    struct commit *c = arg;
    (void)db, (void)name;
    c->log_pages = pages;
    return SQLITE_OK;
}

static bool refuse(struct commit *c, int rc, struct fault *fault)
{
    static const char *const why[] = {
        [STORE_FULL] = "full", [STORE_READONLY] = "readonly", [STORE_REFUSED] = "io", [STORE_DEAD] = "io"};
    char words[JOB_WHY];
    disk_error_words(c->apply.statements.db, rc, STAGE_OPEN, words, sizeof words);
    enum store_result result = disk_error(c->apply.statements.db, rc, STAGE_OPEN);
    commit_close(c);
    return fault_said(fault, FAULT_STORE, NULL, why[result], "store_unreadable why=%s", words);
}

/* Where the log cannot be had (a file system without shared memory) SQLite keeps its old way and says so in the answer
 * only. */
static int begin_log(struct commit *c)
{
    sqlite3_stmt *stmt;
    int rc = sqlite3_prepare_v2(c->apply.statements.db, "PRAGMA journal_mode = WAL", -1, &stmt, NULL);
    if (rc != SQLITE_OK)
        return rc;
    rc = sqlite3_step(stmt);
    const char *mode = rc == SQLITE_ROW ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
    bool good = mode && strcmp(mode, "wal") == 0;
    int end = sqlite3_finalize(stmt);
    return good ? SQLITE_OK : end != SQLITE_OK ? end : SQLITE_CANTOPEN;
}

/* What the last run left in the log goes into the file now. After a sync that failed the system may hold pages as clean
 * that never reached the disk; writing and syncing them anew from the log is what makes going on safe.
 * The log is then cut to nothing, and that cut need not be on the disk yet: SQLite begins the next log with a head of
 * another salt and syncs it before any frame, so what a second power cut leaves of the old log is either in the file
 * already or no longer believed (test_power.c). Writing anything here by hand would break that. */
static int settle_log(struct commit *c)
{
    int rc = sqlite3_wal_checkpoint_v2(c->apply.statements.db, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
    if (rc != SQLITE_OK && disk_error(c->apply.statements.db, rc, STAGE_OPEN) != STORE_DEAD)
        return SQLITE_OK; /* full: the log stays, writes will be refused until there is room */
    return rc;
}

/* Opens the connection; SQLite's code. The file is made by us, for our eyes only: SQLite gives its log the same rights.
 */
static int open_writing(struct commit *c, const char *path)
{
    struct stat st;
    int fd = openat(c->directory->fd, SCHEMA_FILE, O_RDONLY | O_CREAT | O_CLOEXEC | O_NONBLOCK, S_IRUSR | S_IWUSR);
    bool file = fd < 0 || (fstat(fd, &st) == 0 && S_ISREG(st.st_mode)); /* a FIFO would keep us waiting for ever */
    if (fd >= 0)
        close(fd); /* no lock is held on it yet that this would drop */
    if (!file)
        return SQLITE_NOTADB;
    int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    int rc = sqlite3_open_v2(path, &c->apply.statements.db, flags, NULL);
    if (rc != SQLITE_OK)
        return rc;
    sqlite3_busy_timeout(c->apply.statements.db, 2000); /* another program may look at the file for a moment */
    if (sqlite3_db_readonly(c->apply.statements.db, "main") == 1)
        return SQLITE_READONLY;
    rc = small_functions(c->apply.statements.db);
    if (rc == SQLITE_OK)
        rc = begin_log(c);
    return rc == SQLITE_OK ? exec(c, settings) : rc;
}

/* The file's name must be on the disk before anything is acknowledged. That is so once an event stands in the store,
 * since the start before the first one came by here; the name of the log SQLite syncs by itself before its first
 * frame. What a restored copy lacks, its first sync brings. */
static int sync_names(const struct commit *c)
{
    if (c->apply.chain.seq > 0)
        return SQLITE_OK;
    return fsync(c->directory->fd) == 0 || errno == EINVAL /* a file system without it */ ? SQLITE_OK
                                                                                          : SQLITE_IOERR_DIR_FSYNC;
}

/* After the schema is there; SQLite's code. */
static int settle(struct commit *c)
{
    sqlite3_wal_hook(c->apply.statements.db, note_log, c);
    int rc = settle_log(c);
    if (rc == SQLITE_OK && !chain_load(c->apply.statements.db, &c->apply.chain)) {
        rc = sqlite3_extended_errcode(c->apply.statements.db);
        rc = rc == SQLITE_OK || rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_CORRUPT : rc;
    }
    return rc == SQLITE_OK ? sync_names(c) : rc;
}

bool commit_open(struct commit *c, const char *dir, struct directory *directory, struct fault *fault)
{
    char path[4096];
    *c = (struct commit){.directory = directory};
    if ((size_t)snprintf(path, sizeof path, "%s/" SCHEMA_FILE, dir) >= sizeof path)
        return fault_said(fault, FAULT_STORE, NULL, "io", "state_directory_refused dir=%s why=%s", dir,
                          said_reason(ENAMETOOLONG));
    int error = directory_refusal(directory, SCHEMA_FILE);
    if (error && error != ENOENT)
        return fault_said(fault, FAULT_STORE, NULL, "readonly", "store_not_writable file=%s why=%s", path,
                          said_reason(error));
    int rc = open_writing(c, path);
    if (rc != SQLITE_OK)
        return refuse(c, rc, fault);
    if (!schema_bring_up(c->apply.statements.db, fault)) {
        commit_close(c);
        return false;
    }
    rc = settle(c);
    sqlite3_db_release_memory(c->apply.statements.db); /* what only the start has read */
    return rc == SQLITE_OK || refuse(c, rc, fault);
}

/* All of a group get the same: none of it is on disk. */
static void settle_all(struct job *first, enum store_result result, const char *why)
{
    for (struct job *job = first; job; job = job->next)
        job_settle(job, result, why);
}

/* From here on nothing is written: what was written last is not known, and a replay at the next start finds out. */
static enum store_result die(struct commit *c, const char *why)
{
    c->dead = true;
    snprintf(c->why, sizeof c->why, "%s", why);
    return STORE_DEAD;
}

static int run(struct commit *c, const char *sql)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(&c->apply.statements, sql, &rc);
    return stmt ? statement_run(stmt) : rc;
}

static const char begin_sql[] = "BEGIN IMMEDIATE", commit_sql[] = "COMMIT", rollback_sql[] = "ROLLBACK",
                  savepoint_sql[] = "SAVEPOINT job", release_sql[] = "RELEASE job", undo_sql[] = "ROLLBACK TO job";

/* One job, behind a savepoint where others share the transaction. STORE_DONE: the transaction goes on (the job may have
 * been refused by itself). */
static enum store_result add_one(struct commit *c, struct job *job, bool alone, char *why, size_t size)
{
    struct chain before = c->apply.chain;
    int rc = alone ? SQLITE_OK : run(c, savepoint_sql);
    if (rc == SQLITE_OK)
        rc = apply_job(&c->apply, job);
    if (rc == SQLITE_OK && !alone)
        rc = run(c, release_sql);
    if (rc == SQLITE_OK)
        return STORE_DONE;
    enum store_result result = disk_error(c->apply.statements.db, rc, STAGE_WRITE);
    disk_error_words(c->apply.statements.db, rc, STAGE_WRITE, why, size);
    apply_back(&c->apply, &before);
    if (alone || result == STORE_DEAD || sqlite3_get_autocommit(c->apply.statements.db) ||
        run(c, undo_sql) != SQLITE_OK || run(c, release_sql) != SQLITE_OK)
        return result;
    job_settle(job, result, why);
    return STORE_DONE;
}

/* All jobs in one transaction. Not STORE_DONE: it was rolled back as a whole. */
static enum store_result try_group(struct commit *c, struct job *first, char *why, size_t size)
{
    struct chain before = c->apply.chain;
    enum store_result result = STORE_DONE;
    int rc = run(c, begin_sql);
    enum stage stage = STAGE_WRITE;
    if (rc == SQLITE_OK) {
        for (struct job *job = first; job && result == STORE_DONE; job = job->next)
            result = add_one(c, job, !first->next, why, size);
        if (result == STORE_DONE) {
            stage = STAGE_COMMIT;
            rc = run(c, commit_sql);
        }
    }
    if (rc != SQLITE_OK) {
        result = disk_error(c->apply.statements.db, rc, stage);
        disk_error_words(c->apply.statements.db, rc, stage, why, size);
    }
    if (result == STORE_DONE)
        return result;
    apply_back(&c->apply, &before);
    if (!sqlite3_get_autocommit(c->apply.statements.db) && run(c, rollback_sql) != SQLITE_OK && result != STORE_DEAD) {
        snprintf(why, size, "cannot roll back: %s", sqlite3_errmsg(c->apply.statements.db));
        return STORE_DEAD;
    }
    return result;
}

/* Descriptors that are open already would let a write pass that somebody has meanwhile forbidden. Looked at anew only
 * where rights have changed or the last look said no: two system calls less for each commit. */
static enum store_result may_write(struct commit *c, char *why, size_t size)
{
    char system[96];
    if (!directory_touched(c->directory, SCHEMA_FILE) && c->may_write)
        return STORE_DONE;
    int error = directory_refusal(c->directory, SCHEMA_FILE);
    if (!error)
        error = directory_full(c->directory);
    c->may_write = !error;
    if (!error)
        return STORE_DONE;
    snprintf(why, size, SCHEMA_FILE " cannot be written: %s", strerror_r(error, system, sizeof system));
    return disk_error_of_errno(error);
}

void commit_group(struct commit *c, struct job *first)
{
    char why[JOB_WHY] = "";
    if (c->dead) {
        settle_all(first, STORE_DEAD, c->why);
        return;
    }
    enum store_result result = may_write(c, why, sizeof why);
    if (result == STORE_DONE)
        result = try_group(c, first, why, sizeof why);
    if (result == STORE_DEAD)
        die(c, why);
    if (result == STORE_DONE)
        return;
    if (result == STORE_DEAD || !first->next) {
        settle_all(first, result, why);
        return;
    }
    for (struct job *job = first, *next; job; job = next) {
        next = job->next;
        job->next = NULL;
        commit_group(c, job);
        job->next = next;
    }
}

void commit_tidy(struct commit *c, int pages)
{
    char why[JOB_WHY];
    if (c->dead)
        return;
    pack_ready(&c->apply.packer);
    /* Room for the next commit, asked while nobody waits: the log has some of its own, and what is left of the disk at
     * this line is kept for the moving below. */
    c->may_write = c->may_write && directory_full(c->directory) == 0;
    if (c->log_pages < pages)
        return;
    int rc = sqlite3_wal_checkpoint_v2(c->apply.statements.db, NULL, SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
    c->log_pages = 0; /* known anew after the next commit; so a full disk is not tried at every turn */
    if (rc == SQLITE_OK || (rc & 0xff) == SQLITE_BUSY ||
        disk_error(c->apply.statements.db, rc, STAGE_OPEN) != STORE_DEAD)
        return;
    disk_error_words(c->apply.statements.db, rc, STAGE_OPEN, why, sizeof why);
    die(c, why);
}

void commit_close(struct commit *c)
{
    apply_finish(&c->apply);
    if (c->dead) /* leave the log as it is for the next start to settle */
        sqlite3_db_config(c->apply.statements.db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    sqlite3_close(c->apply.statements.db);
    c->apply.statements.db = NULL;
}
