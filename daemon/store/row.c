#include "store/row.h"

#include "store/chain.h"

#include <math.h>
#include <string.h>

static const char *text(sqlite3_stmt *stmt, int column)
{
    return (const char *)sqlite3_column_text(stmt, column);
}

static double number(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(stmt, column);
}

void row_event(sqlite3_stmt *stmt, struct store_event *e)
{
    *e = (struct store_event){
        .seq = sqlite3_column_int64(stmt, 0),
        .kind = text(stmt, 1),
        .station = text(stmt, 2),
        .batch = text(stmt, 3),
        .revision = sqlite3_column_int64(stmt, 4),
        .time = text(stmt, 5),
        .mono_ns = sqlite3_column_int64(stmt, 6),
        .boot = text(stmt, 7),
        .person = text(stmt, 8),
        .client = text(stmt, 9),
        .request = text(stmt, 10),
        .method = text(stmt, 11),
        .version = text(stmt, 12),
        .body = text(stmt, 13),
    };
    if (sqlite3_column_bytes(stmt, 14) == CHAIN_BYTES)
        chain_hex(sqlite3_column_blob(stmt, 14), e->hash);
}

void row_batch(sqlite3_stmt *stmt, struct store_batch *b)
{
    *b = (struct store_batch){
        .batch = text(stmt, 0),
        .state = text(stmt, 1),
        .station = text(stmt, 2),
        .formula = text(stmt, 3),
        .name = text(stmt, 4),
        .variant = text(stmt, 5),
        .coat = text(stmt, 6),
        .order = text(stmt, 7),
        .painter = text(stmt, 8),
        .place = text(stmt, 9),
        .begun = text(stmt, 10),
        .finished = text(stmt, 11),
        .total_g = number(stmt, 12),
        .left_g = number(stmt, 13),
        .use_by = text(stmt, 14),
    };
}

/* `words` begins with the store's own word and the space after it (words.c). */
void row_item(sqlite3_stmt *stmt, struct store_item *i)
{
    const char *words = text(stmt, 7);
    const char *behind = words ? strchr(words, ' ') : NULL;
    *i = (struct store_item){
        .kind = text(stmt, 0),
        .id = text(stmt, 1),
        .revision = sqlite3_column_int64(stmt, 2),
        .time = text(stmt, 3),
        .reason = text(stmt, 4),
        .source = text(stmt, 5),
        .body = text(stmt, 6),
        .text = behind ? behind + 1 : NULL,
    };
}
