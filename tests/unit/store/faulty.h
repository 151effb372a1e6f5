/* faulty.h - a disk that fails when told to: a layer over SQLite's own files, for tests.
 *
 * It counts what changes the disk (writes, truncations, syncs) and lets one of them, or all from one on, fail with an
 * errno, as the system's own layer would report it. Reads and locks pass. Register it before a store is opened.
 */
#pragma once

#include "tests/unit/store/world.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <stdbool.h>

enum faulty_what { FAULTY_WRITES = 1, FAULTY_SYNCS = 2, FAULTY_SHARED = 4 };

static struct {
    atomic_int what;     /* which kinds are counted and may fail */
    atomic_int until;    /* how many pass before the failure; below 0: none fails */
    atomic_int error;    /* errno of the failure */
    atomic_bool lasting; /* all after it fail too */
    atomic_int failed;   /* how many have failed */
    atomic_int count;    /* of those counted since armed */
    atomic_int last_error;
    sqlite3_vfs *real;
    sqlite3_vfs layer;
    sqlite3_io_methods methods;
} faulty;

struct faulty_file {
    sqlite3_file base;
    sqlite3_file *real;
};

static inline void faulty_arm(int what, int until, int error, bool lasting)
{
    faulty.failed = faulty.count = 0;
    faulty.error = error;
    faulty.lasting = lasting;
    faulty.until = until;
    faulty.what = what;
}

static inline void faulty_disarm(void)
{
    faulty.what = 0;
}

static inline bool faulty_fails(int what)
{
    if (!(faulty.what & what))
        return false;
    int n = faulty.count++;
    bool fails = faulty.until >= 0 && (faulty.lasting ? n >= faulty.until : n == faulty.until);
    if (fails) {
        faulty.failed++;
        faulty.last_error = errno = faulty.error;
    }
    return fails;
}

#define FAULTY_REAL(file)            (((struct faulty_file *)(void *)(file))->real)
#define FAULTY_CALL(file, call, ...) FAULTY_REAL(file)->pMethods->call(FAULTY_REAL(file), __VA_ARGS__)

static inline int faulty_close(sqlite3_file *f)
{
    sqlite3_file *real = FAULTY_REAL(f);
    return real->pMethods ? real->pMethods->xClose(real) : SQLITE_OK;
}
static inline int faulty_read(sqlite3_file *f, void *to, int n, sqlite3_int64 at)
{
    return FAULTY_CALL(f, xRead, to, n, at);
}
/* A write that fails may have written a part. */
static inline int faulty_write(sqlite3_file *f, const void *from, int n, sqlite3_int64 at)
{
    if (!faulty_fails(FAULTY_WRITES))
        return FAULTY_CALL(f, xWrite, from, n, at);
    int error = faulty.error;
    FAULTY_CALL(f, xWrite, from, n / 2, at);
    errno = error;
    return error == ENOSPC ? SQLITE_FULL : SQLITE_IOERR_WRITE;
}
static inline int faulty_truncate(sqlite3_file *f, sqlite3_int64 size)
{
    return faulty_fails(FAULTY_WRITES) ? SQLITE_IOERR_TRUNCATE : FAULTY_CALL(f, xTruncate, size);
}
static inline int faulty_sync(sqlite3_file *f, int flags)
{
    return faulty_fails(FAULTY_SYNCS) ? SQLITE_IOERR_FSYNC : FAULTY_CALL(f, xSync, flags);
}
static inline int faulty_size(sqlite3_file *f, sqlite3_int64 *size)
{
    return FAULTY_CALL(f, xFileSize, size);
}
static inline int faulty_lock(sqlite3_file *f, int level)
{
    return FAULTY_CALL(f, xLock, level);
}
static inline int faulty_unlock(sqlite3_file *f, int level)
{
    return FAULTY_CALL(f, xUnlock, level);
}
static inline int faulty_reserved(sqlite3_file *f, int *out)
{
    return FAULTY_CALL(f, xCheckReservedLock, out);
}
static inline int faulty_control(sqlite3_file *f, int op, void *arg)
{
    if (op == SQLITE_FCNTL_LAST_ERRNO && faulty.failed) {
        *(int *)arg = faulty.last_error;
        return SQLITE_OK;
    }
    return FAULTY_CALL(f, xFileControl, op, arg);
}
static inline int faulty_sector(sqlite3_file *f)
{
    return FAULTY_REAL(f)->pMethods->xSectorSize(FAULTY_REAL(f));
}
static inline int faulty_device(sqlite3_file *f)
{
    return FAULTY_REAL(f)->pMethods->xDeviceCharacteristics(FAULTY_REAL(f));
}
static inline int faulty_shm_map(sqlite3_file *f, int page, int size, int extend, void volatile **out)
{
    if (extend && faulty_fails(FAULTY_SHARED))
        return SQLITE_IOERR_SHMSIZE;
    return FAULTY_CALL(f, xShmMap, page, size, extend, out);
}
static inline int faulty_shm_lock(sqlite3_file *f, int offset, int n, int flags)
{
    return FAULTY_CALL(f, xShmLock, offset, n, flags);
}
static inline void faulty_shm_barrier(sqlite3_file *f)
{
    FAULTY_REAL(f)->pMethods->xShmBarrier(FAULTY_REAL(f));
}
static inline int faulty_shm_unmap(sqlite3_file *f, int remove)
{
    return FAULTY_CALL(f, xShmUnmap, remove);
}

static inline int faulty_open(sqlite3_vfs *v, const char *name, sqlite3_file *f, int flags, int *out)
{
    struct faulty_file *file = (struct faulty_file *)(void *)f;
    (void)v;
    file->real = (sqlite3_file *)(void *)(file + 1);
    memset(file->real, 0, (size_t)faulty.real->szOsFile);
    int rc = faulty.real->xOpen(faulty.real, name, file->real, flags, out);
    file->base.pMethods = rc == SQLITE_OK ? &faulty.methods : NULL;
    return rc;
}
static inline int faulty_last_error(sqlite3_vfs *v, int n, char *text)
{
    (void)v, (void)n, (void)text;
    return faulty.failed ? (int)faulty.last_error : errno;
}

/* Puts the layer under every connection opened from now on. */
static inline void faulty_register(void)
{
    faulty.real = sqlite3_vfs_find(NULL);
    faulty.layer = *faulty.real;
    faulty.layer.zName = "faulty";
    faulty.layer.szOsFile = (int)sizeof(struct faulty_file) + faulty.real->szOsFile;
    faulty.layer.xOpen = faulty_open;
    faulty.layer.xGetLastError = faulty_last_error;
    faulty.methods = (sqlite3_io_methods){.iVersion = 2,
                                          .xClose = faulty_close,
                                          .xRead = faulty_read,
                                          .xWrite = faulty_write,
                                          .xTruncate = faulty_truncate,
                                          .xSync = faulty_sync,
                                          .xFileSize = faulty_size,
                                          .xLock = faulty_lock,
                                          .xUnlock = faulty_unlock,
                                          .xCheckReservedLock = faulty_reserved,
                                          .xFileControl = faulty_control,
                                          .xSectorSize = faulty_sector,
                                          .xDeviceCharacteristics = faulty_device,
                                          .xShmMap = faulty_shm_map,
                                          .xShmLock = faulty_shm_lock,
                                          .xShmBarrier = faulty_shm_barrier,
                                          .xShmUnmap = faulty_shm_unmap};
    sqlite3_vfs_register(&faulty.layer, 1);
}

/* The disk is the layer's; a file system in memory below it makes a thousand runs quick. */
static inline struct world *faulty_world(void)
{
    return world_at(access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
}

static const struct {
    const char *name;
    int what, error;
    bool lasting;
    enum store_result result;
    int stride; /* every one is tried of those that differ; of those that SQLite tells apart by the errno only, some */
} faulty_disks[] = {
    {"one write finds no space", FAULTY_WRITES, ENOSPC, false, STORE_FULL, 1},
    {"no more space", FAULTY_WRITES, ENOSPC, true, STORE_FULL, 11},
    {"over quota", FAULTY_WRITES, EDQUOT, true, STORE_FULL, 31},
    {"file size limit", FAULTY_WRITES, EFBIG, true, STORE_FULL, 31},
    {"file system turned read-only", FAULTY_WRITES, EROFS, true, STORE_READONLY, 31},
    {"one write fails", FAULTY_WRITES, EIO, false, STORE_DEAD, 5},
    {"all writes fail", FAULTY_WRITES, EIO, true, STORE_DEAD, 31},
    {"one sync fails", FAULTY_SYNCS, EIO, false, STORE_DEAD, 1},
    {"a sync finds no space", FAULTY_SYNCS, ENOSPC, false, STORE_DEAD, 1},
    {"all syncs fail", FAULTY_SYNCS, EIO, true, STORE_DEAD, 1},
};
enum { FAULTY_DISKS = sizeof faulty_disks / sizeof *faulty_disks };

/* The file is sound, the chain whole, and each batch has its words. */
static inline void faulty_check_whole(struct world *w, const char *name, int n)
{
    sqlite3 *db;
    int64_t bad;
    char head[65];
    if (!store_verify(w->store, &bad, head))
        fail_msg("%s at %d: the chain is broken at %lld", name, n, (long long)bad);
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    if (sqlite3_exec(db,
                     "INSERT INTO batch_words(batch_words) VALUES('integrity-check');"
                     "INSERT INTO item_words(item_words) VALUES('integrity-check')",
                     NULL, NULL, NULL) != SQLITE_OK ||
        world_number_of(db, "SELECT count(*) FROM pragma_quick_check WHERE quick_check <> 'ok'"))
        fail_msg("%s at %d: the file is damaged", name, n);
    if (world_number_of(db, "SELECT count(*) FROM batch_words WHERE batch_words MATCH 'copper*'") !=
        world_number_of(db, "SELECT count(*) FROM batch"))
        fail_msg("%s at %d: the words do not fit the batches", name, n);
    sqlite3_close(db);
}

static inline int faulty_setup(void **state)
{
    (void)state;
    faulty_register();
    return 0;
}
