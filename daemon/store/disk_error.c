/* disk_error.c - what an error of SQLite or the system means for a write: refused, or of unknown outcome.
 *
 * Knows no job and no transaction: it looks at codes only.
 */
#include "store/disk_error.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum store_result disk_error_of_errno(int error)
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

enum store_result disk_error(sqlite3 *db, int rc, enum stage stage)
{
    bool committing = stage == STAGE_COMMIT;
    switch (rc & 0xff) {
    case SQLITE_FULL: /* also ENOSPC of a write */
        return STORE_FULL;
    case SQLITE_READONLY:
        return STORE_READONLY;
    case SQLITE_BUSY: /* a foreign program holds the file's write lock; nothing was written */
        return committing ? STORE_DEAD : STORE_READONLY;
    case SQLITE_IOERR:
        if (rc == SQLITE_IOERR_FSYNC || rc == SQLITE_IOERR_DIR_FSYNC || (committing && rc != SQLITE_IOERR_WRITE))
            return STORE_DEAD;
        return disk_error_of_errno(system_error(db, rc, stage));
    case SQLITE_CANTOPEN:
        return committing ? STORE_DEAD : disk_error_of_errno(system_error(db, rc, stage));
    default:
        return STORE_DEAD;
    }
}

void disk_error_words(sqlite3 *db, int rc, enum stage stage, char *out, size_t size)
{
    char system[96];
    int error = system_error(db, rc, stage);
    if (error)
        snprintf(out, size, "%s (%d): %s", sqlite3_errstr(rc), rc, strerror_r(error, system, sizeof system));
    else
        snprintf(out, size, "%s (%d)", sqlite3_errmsg(db), rc);
}
