/* bare_open FILE: the least that opens a store: SQLite, one row, `ready`. A start of poised is held against it. */
#include <sqlite3.h>
#include <stdio.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    sqlite3 *db;
    sqlite3_stmt *stmt;
    if (argc < 2 || sqlite3_open_v2(argv[1], &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(db, "SELECT max(id) FROM batch", -1, &stmt, NULL) != SQLITE_OK ||
        sqlite3_step(stmt) != SQLITE_ROW)
        return 1;
    printf("ready %lld\n", sqlite3_column_int64(stmt, 0));
    fflush(stdout);
    pause();
    return 0;
}
