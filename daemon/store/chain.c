#include "store/chain.h"

#include <sodium.h>
#include <string.h>

_Static_assert(CHAIN_BYTES == crypto_hash_sha256_BYTES, "the chain is SHA-256");

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

bool chain_seed(sqlite3 *db, struct chain *out)
{
    sqlite3_stmt *stmt;
    memset(out, 0, sizeof *out);
    if (sqlite3_prepare_v2(db, "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = 'event'", -1, &stmt,
                           NULL) != SQLITE_OK)
        return false;
    bool found = sqlite3_step(stmt) == SQLITE_ROW && sqlite3_column_text(stmt, 0);
    if (found)
        crypto_hash_sha256(out->head, sqlite3_column_text(stmt, 0), (unsigned long long)sqlite3_column_bytes(stmt, 0));
    sqlite3_finalize(stmt);
    return found;
}

bool chain_load(sqlite3 *db, struct chain *out)
{
    sqlite3_stmt *stmt;
    if (!chain_seed(db, out) ||
        sqlite3_prepare_v2(db, "SELECT seq, hash FROM event ORDER BY seq DESC LIMIT 1", -1, &stmt, NULL) != SQLITE_OK)
        return false;
    int rc = sqlite3_step(stmt);
    bool good = rc == SQLITE_DONE;
    if (rc == SQLITE_ROW && sqlite3_column_bytes(stmt, 1) == CHAIN_BYTES) {
        out->seq = sqlite3_column_int64(stmt, 0);
        memcpy(out->head, sqlite3_column_blob(stmt, 1), CHAIN_BYTES);
        good = true;
    }
    sqlite3_finalize(stmt);
    return good;
}
