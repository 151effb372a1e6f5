#include "store/verdict.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum store_result verdict_errno(int error)
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

enum store_result verdict(sqlite3 *db, int rc, bool committing)
{
    switch (rc & 0xff) {
    case SQLITE_FULL: /* also ENOSPC of a write */
        return STORE_FULL;
    case SQLITE_READONLY:
        return STORE_READONLY;
    case SQLITE_BUSY: /* a foreign program holds the file's write lock; nothing was written */
        return committing ? STORE_DEAD : STORE_READONLY;
    case SQLITE_CANTOPEN:
        return committing ? STORE_DEAD : verdict_errno(sqlite3_system_errno(db));
    case SQLITE_IOERR:
        if (rc == SQLITE_IOERR_FSYNC || rc == SQLITE_IOERR_DIR_FSYNC || (committing && rc != SQLITE_IOERR_WRITE))
            return STORE_DEAD;
        return verdict_errno(sqlite3_system_errno(db));
    default:
        return STORE_DEAD;
    }
}

void verdict_words(sqlite3 *db, int rc, char *out, size_t size)
{
    int error = (rc & 0xff) == SQLITE_IOERR || (rc & 0xff) == SQLITE_CANTOPEN ? sqlite3_system_errno(db) : 0;
    char system[96] = "";
    if (error)
        snprintf(out, size, "%s (%d): %s", sqlite3_errmsg(db), rc, strerror_r(error, system, sizeof system));
    else
        snprintf(out, size, "%s (%d)", sqlite3_errmsg(db), rc);
}
