#include "store/chain.h"
#include "store/reader.h"
#include "store/row.h"

#include <string.h>

bool store_verify(struct store *s, int64_t *bad_seq, char head[65])
{
    static const char sql[] = "SELECT " ROW_EVENT ", " ROW_ANSWER " FROM event ORDER BY seq";
    struct reader *r = store_reader(s);
    struct chain chain;
    bool failed = false, whole = true;
    *bad_seq = 1;
    head[0] = '\0';
    sqlite3_stmt *stmt = chain_seed(r->db, &chain) ? reader_take_once(r, sql) : NULL;
    if (!stmt)
        return false;
    while (whole && reader_row(r, stmt, &failed)) {
        struct store_event e;
        row_event(stmt, &e);
        chain_add(&chain, &e, (const char *)sqlite3_column_text(stmt, 15));
        chain_hex(chain.head, head);
        whole = e.seq == chain.seq && strcmp(e.hash, head) == 0;
        *bad_seq = whole ? e.seq + 1 : e.seq;
    }
    if (!chain.seq)
        chain_hex(chain.head, head);
    if (whole && !failed)
        *bad_seq = 0;
    reader_give(r, stmt);
    return whole && !failed;
}
