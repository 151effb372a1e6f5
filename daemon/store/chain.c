/* chain.c - the chain of hashes over the journal: its beginning, its next link, its end.
 *
 * Knows no event by its meaning but the one that a step of the schema leaves.
 */
#include "store/chain.h"

#include <sodium.h>
#include <string.h>

_Static_assert(CHAIN_BYTES == crypto_hash_sha256_BYTES, "the chain is SHA-256");

/* Eight bytes, the least first, on every machine: a file may be moved. */
static void add_number(crypto_hash_sha256_state *state, int64_t value)
{
    uint8_t bytes[8];
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (uint8_t)((uint64_t)value >> (8 * i));
    crypto_hash_sha256_update(state, bytes, sizeof bytes);
}

/* A missing text counts as length -1, so that it differs from an empty one. */
static void add_text(crypto_hash_sha256_state *state, const char *text)
{
    size_t length = text ? strlen(text) : 0;
    add_number(state, text ? (int64_t)length : -1);
    if (length)
        crypto_hash_sha256_update(state, (const unsigned char *)text, length);
}

/* All columns of a row but its hash, in an order that holds for ever. The hash before goes in first, so nothing can be
 * taken out or put between. */
void chain_add(struct chain *c, const struct store_event *e, const char *answer)
{
    crypto_hash_sha256_state state;
    const char *texts[] = {e->kind,   e->station, e->batch,  e->time,    e->boot, e->person,
                           e->client, e->request, e->method, e->version, e->body, answer};
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, c->head, sizeof c->head);
    c->seq++;
    add_number(&state, c->seq);
    add_number(&state, e->revision);
    add_number(&state, e->mono_ns);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        add_text(&state, texts[i]);
    crypto_hash_sha256_final(&state, c->head);
}

void chain_hex(const uint8_t hash[CHAIN_BYTES], char out[2 * CHAIN_BYTES + 1])
{
    sodium_bin2hex(out, 2 * CHAIN_BYTES + 1, hash, CHAIN_BYTES);
}

/* The one text that a question gives. False: it could not be read; *found says whether there was one. */
static bool one_text(sqlite3 *db, const char *sql, bool *found, void (*take)(void *to, const char *text, size_t length),
                     void *to)
{
    sqlite3_stmt *stmt;
    *found = false;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    int rc = sqlite3_step(stmt);
    const char *text = rc == SQLITE_ROW ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
    if (text) {
        *found = true;
        take(to, text, (size_t)sqlite3_column_bytes(stmt, 0));
    }
    sqlite3_finalize(stmt);
    return rc == SQLITE_DONE || text;
}

/* A seed as the event of a schema's step has it. */
static void take_hex(void *to, const char *text, size_t length)
{
    struct chain *out = to;
    sodium_hex2bin(out->head, sizeof out->head, text, length, NULL, NULL, NULL);
}

/* The seed of a store that never took such a step: the hash of the table's own text. */
static void take_hash(void *to, const char *text, size_t length)
{
    struct chain *out = to;
    crypto_hash_sha256(out->head, (const unsigned char *)text, (unsigned long long)length);
}

/* The first step of a schema keeps the seed from before it, since the table's text is another afterwards. */
bool chain_seed(sqlite3 *db, struct chain *out)
{
    static const char told[] =
        "SELECT json_extract(body, '$.seed') FROM event WHERE kind = '" CHAIN_SCHEMA_KIND "' ORDER BY seq LIMIT 1";
    static const char table[] = "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = 'event'";
    bool found;
    memset(out, 0, sizeof *out);
    if (!one_text(db, told, &found, take_hex, out))
        return false;
    return found || (one_text(db, table, &found, take_hash, out) && found);
}

/* Of all tables and indices by name, but those that SQLite makes for itself. */
bool chain_schema(sqlite3 *db, uint8_t out[CHAIN_BYTES])
{
    static const char sql[] = "SELECT name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\' "
                              "ORDER BY name";
    crypto_hash_sha256_state state;
    sqlite3_stmt *stmt;
    int rc;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    crypto_hash_sha256_init(&state);
    while ((rc = sqlite3_step(stmt)) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(stmt, 0),
                   *text = (const char *)sqlite3_column_text(stmt, 1);
        if (!name || !text) /* no memory, which must not look like another schema */
            break;
        add_text(&state, name);
        add_text(&state, text);
    }
    crypto_hash_sha256_final(&state, out);
    return sqlite3_finalize(stmt) == SQLITE_OK && rc == SQLITE_DONE;
}

/* A row whose hash has another length counts as unread: nothing may be chained to it. */
bool chain_before(sqlite3 *db, int64_t seq, struct chain *out)
{
    static const char sql[] = "SELECT seq, hash FROM event WHERE seq < ?1 ORDER BY seq DESC LIMIT 1";
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    sqlite3_bind_int64(stmt, 1, seq);
    memset(out, 0, sizeof *out);
    int rc = sqlite3_step(stmt);
    bool good = rc == SQLITE_ROW && sqlite3_column_bytes(stmt, 1) == CHAIN_BYTES;
    if (good) {
        out->seq = sqlite3_column_int64(stmt, 0);
        memcpy(out->head, sqlite3_column_blob(stmt, 1), CHAIN_BYTES);
    }
    sqlite3_finalize(stmt);
    return good || (rc == SQLITE_DONE && chain_seed(db, out));
}

bool chain_load(sqlite3 *db, struct chain *out)
{
    return chain_before(db, INT64_MAX, out);
}
