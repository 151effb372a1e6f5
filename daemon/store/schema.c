/* schema.c - the tables of the store's file, one step a version, and the bringing up of an older file.
 *
 * Knows no row but the event that a step leaves in the journal.
 */
#include "store/schema.h"

#include "clock.h"
#include "log.h"
#include "store/chain.h"
#include "text/version.h"

#include <stddef.h>
#include <stdio.h>
#include <string.h>

#define APPLICATION_ID 1349482867 /* "Pois": what file(1) and we ourselves know the file by */

/* The answer to a request stands with the first event that came of it: apart it would cost each commit two pages more,
 * a tenth of its time. It is the last column, so that reading an event does not read it.
 * An event is never changed: the triggers stop our own mistakes, the chain of hashes shows everybody else's. The text
 * of the table `event` is the seed of that chain (chain.h), so a step that touches it must say how old rows are read.
 */
static const char step_1[] =
    "CREATE TABLE event(\n"
    "  seq INTEGER PRIMARY KEY, kind TEXT, station TEXT, batch TEXT, revision INTEGER, time TEXT, mono_ns INTEGER,\n"
    "  boot TEXT, person TEXT, client TEXT, request TEXT, method TEXT, version TEXT, body TEXT, hash BLOB NOT NULL,\n"
    "  answer TEXT\n"
    ");"
    "CREATE INDEX event_of_batch ON event(batch) WHERE batch IS NOT NULL;"
    /* Ids that rise with time keep the last page of this index in the cache. */
    "CREATE UNIQUE INDEX event_answered ON event(request) WHERE answer IS NOT NULL;"
    /* Check weights are few among many events; a commit that holds none does not touch this. */
    "CREATE INDEX event_checked ON event(station) WHERE kind = 'checked';"
    /* Each station's revision as of the last event whose number is a multiple of SCHEMA_STATION_EVERY; the events since
     * are few enough to be looked through. An index instead would cost every commit a page. */
    "CREATE TABLE station(name TEXT PRIMARY KEY, revision INTEGER NOT NULL) WITHOUT ROWID;"
    "CREATE TRIGGER event_not_changed BEFORE UPDATE ON event BEGIN"
    "  SELECT RAISE(ABORT, 'an event is never changed'); END;"
    "CREATE TRIGGER event_not_removed BEFORE DELETE ON event BEGIN"
    "  SELECT RAISE(ABORT, 'an event is never removed'); END;"
    /* `words` is exactly what batch_words holds of the row: a contentless table forgets only what it is told. */
    "CREATE TABLE batch(\n"
    "  id INTEGER PRIMARY KEY, state TEXT, station TEXT, formula TEXT, name TEXT, variant TEXT, coat TEXT,\n"
    "  repair_order TEXT, painter TEXT, place TEXT, begun TEXT, finished TEXT, total_g REAL, left_g REAL,\n"
    "  words TEXT NOT NULL, use_by TEXT\n"
    ");"
    "CREATE INDEX batch_by_formula ON batch(formula);"
    "CREATE INDEX batch_by_variant ON batch(variant);"
    "CREATE INDEX batch_by_coat ON batch(coat);"
    "CREATE INDEX batch_by_order ON batch(repair_order) WHERE repair_order IS NOT NULL;"
    "CREATE INDEX batch_by_painter ON batch(painter) WHERE painter IS NOT NULL;"
    "CREATE INDEX batch_by_place ON batch(place) WHERE place IS NOT NULL;"
    "CREATE INDEX batch_by_state ON batch(state) WHERE state <> 'finished';"
    "CREATE VIRTUAL TABLE batch_words USING fts5(words, content='', detail=none, prefix='1 2 3',\n"
    "  tokenize=\"unicode61 remove_diacritics 2 tokenchars '='\");"
    "CREATE VIRTUAL TABLE batch_terms USING fts5vocab(batch_words, instance);"
    /* Which numbers were begun on a day: turns a range of days into one of ids, whatever the clock did meanwhile. */
    "CREATE TABLE day(day TEXT PRIMARY KEY, first INTEGER NOT NULL, last INTEGER NOT NULL) WITHOUT ROWID;"
    /* Every revision of a thing of the catalogue; body NULL: removed by this revision. */
    "CREATE TABLE item(\n"
    "  id INTEGER PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL, revision INTEGER NOT NULL, time TEXT,\n"
    "  reason TEXT, source TEXT, body TEXT, words TEXT, present INTEGER NOT NULL, UNIQUE(kind, name, revision)\n"
    ");"
    "CREATE INDEX item_present ON item(kind, name) WHERE present;"
    "CREATE VIRTUAL TABLE item_words USING fts5(words, content='', detail=none, prefix='1 2 3',\n"
    "  tokenize=\"unicode61 remove_diacritics 2 tokenchars '='\");"
    "CREATE VIRTUAL TABLE item_terms USING fts5vocab(item_words, instance);";

/* The shop's own id is random and made once; it stands in each exported record, so that two shops' numbers are told
 * apart. What a cup holds beside its formula is kept with the batch, so that a list shows it without reading events.
 * `event` is left as it is: rows of both schemas are read alike, and the chain keeps its seed. */
static const char step_2[] =
    "CREATE TABLE shop(id TEXT NOT NULL);"
    "INSERT INTO shop VALUES(lower(hex(randomblob(16))));"
    "ALTER TABLE batch ADD COLUMN activated INTEGER;"
    "ALTER TABLE batch ADD COLUMN tinted_toners TEXT;"
    "ALTER TABLE batch ADD COLUMN foreign_toners TEXT;"
    /* Steps of the schema are few among many events, and the walk along the chain begins with the first. */
    "CREATE INDEX event_of_schema ON event(kind) WHERE kind = 'schema';";

/* The last steady reading of each station's open step: a pour of an hour changes one row, where it added one to the
 * journal each second before. It stands outside the chain, since it tells nothing that happened: `seq` says behind
 * which event it belongs. Kept readings in older journals are folded as they always were. */
static const char step_3[] =
    "CREATE TABLE kept(station TEXT PRIMARY KEY, batch TEXT NOT NULL, seq INTEGER NOT NULL, body TEXT NOT NULL) "
    "WITHOUT ROWID;";

/* Small rows. What hardly differs from event to event (who, by what, since which start of the machine) stands here
 * once; the columns boot, person, client, method and version hold its number as a blob, and a body that belongs to a
 * batch is a blob too, packed (pack.h). A text in such a column is a text: rows of before are read as they stand, and
 * the chain goes over the texts in both cases. What a search asks for in pairs stands in pairs: neither of two common
 * values leads to the few rows that have both. Few batches have an order or stand on the shelf, so their own indexes
 * suffice with anything else. */
static const char step_4[] =
    "CREATE TABLE word(id INTEGER PRIMARY KEY, text TEXT NOT NULL UNIQUE);"
    "CREATE INDEX batch_by_variant_coat ON batch(variant, coat);"
    "CREATE INDEX batch_by_painter_variant ON batch(painter, variant) WHERE painter IS NOT NULL;"
    "CREATE INDEX batch_by_painter_coat ON batch(painter, coat) WHERE painter IS NOT NULL;"
    "CREATE INDEX batch_by_formula_variant ON batch(formula, variant);"
    "CREATE INDEX batch_by_formula_coat ON batch(formula, coat);"
    "CREATE INDEX batch_by_formula_painter ON batch(formula, painter) WHERE painter IS NOT NULL;";

/* The shelf: when a cup was weighed back, and what of it was thrown away; left_g, place and use_by stood in the row
 * from the beginning. A batch knows which coat of its order it was mixed for, and what its content cost. Orders,
 * spray-out cards and people are items like toners: what was put is kept as a revision. They are listed in the order in
 * which they were first put, so the first revision of each has an index. `stock` counts grams by tin's lot ('' where
 * nobody named one); a toner without a row was never counted, and an accepted pour of it writes nothing here. stock_use
 * is what was poured of a toner on a day, to foresee its end. */
static const char step_5[] =
    "ALTER TABLE batch ADD COLUMN weighed TEXT;"
    "ALTER TABLE batch ADD COLUMN coat_n INTEGER;"
    "ALTER TABLE batch ADD COLUMN cost REAL;"
    "ALTER TABLE batch ADD COLUMN discarded_g REAL;"
    "CREATE INDEX batch_on_shelf ON batch(id) WHERE state = 'finished' AND (left_g > 0 OR (left_g IS NULL AND place "
    "IS NOT NULL));"
    "CREATE TABLE touch_up(id INTEGER PRIMARY KEY, batch INTEGER NOT NULL, repair_order TEXT NOT NULL, grams REAL NOT "
    "NULL, time TEXT NOT NULL);"
    "CREATE INDEX touch_up_of_order ON touch_up(repair_order);"
    "CREATE INDEX item_first ON item(kind) WHERE revision = 1;"
    "ALTER TABLE item ADD COLUMN about TEXT;"
    "CREATE INDEX item_about ON item(about) WHERE about IS NOT NULL;"
    "CREATE TABLE stock(id INTEGER PRIMARY KEY, toner TEXT NOT NULL, lot TEXT NOT NULL, grams REAL NOT NULL, opened "
    "TEXT, UNIQUE(toner, lot));"
    "CREATE TABLE stock_use(toner TEXT NOT NULL, day TEXT NOT NULL, grams REAL NOT NULL, PRIMARY KEY(toner, day)) "
    "WITHOUT ROWID;"
    "CREATE TABLE stirred(toner TEXT PRIMARY KEY, time TEXT NOT NULL) WITHOUT ROWID;"
    "CREATE TABLE signed_in(station TEXT PRIMARY KEY, painter TEXT NOT NULL) WITHOUT ROWID;"
    "CREATE TABLE seen(painter TEXT PRIMARY KEY, time TEXT NOT NULL) WITHOUT ROWID;";

/* What is typed in other letters, a formula's cups on the shelf and the orders that are open are each led to by an
 * index of their own: a shop of ten years has some of them among very many. `about` of an open order is STORE_OPEN;
 * only the present revision of a thing is about something. */
static const char step_6[] =
    "CREATE INDEX item_any_case ON item(kind, name COLLATE NOCASE) WHERE present;"
    "CREATE INDEX batch_on_shelf_of ON batch(formula) WHERE state = 'finished' AND (left_g > 0 OR (left_g IS NULL AND "
    "place IS NOT NULL));"
    "UPDATE item SET about = NULL WHERE about IS NOT NULL AND NOT present;"
    "UPDATE item SET about = '" STORE_OPEN "' WHERE kind = '" STORE_JOB "' AND present AND json_valid(body) AND "
    "json_extract(body, '$.closed') IS NOT 1;";

static const char *const steps[] = {step_1, step_2, step_3, step_4, step_5, step_6};
enum { STEPS = sizeof steps / sizeof *steps };

static bool number_of(sqlite3 *db, const char *pragma, int *out)
{
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, pragma, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    bool found = sqlite3_step(stmt) == SQLITE_ROW;
    *out = found ? sqlite3_column_int(stmt, 0) : 0;
    sqlite3_finalize(stmt);
    return found;
}

static bool refuse(sqlite3 *db, struct fault *fault)
{
    return fault_said(fault, FAULT_STORE, NULL, (sqlite3_errcode(db) & 0xff) == SQLITE_FULL ? "full" : "io",
                      "store_unreadable why=%s", sqlite3_errmsg(db));
}

static bool add_event(sqlite3 *db, struct chain *chain, const struct store_event *e)
{
    static const char sql[] =
        "INSERT INTO event(seq, kind, revision, time, mono_ns, boot, client, version, body, hash) "
        "VALUES(?1, ?2, -1, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
    const char *texts[] = {e->boot, e->client, e->version, e->body};
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    chain_add(chain, e, NULL);
    sqlite3_bind_int64(stmt, 1, chain->seq);
    sqlite3_bind_text(stmt, 2, e->kind, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 3, e->time, -1, SQLITE_STATIC);
    sqlite3_bind_int64(stmt, 4, e->mono_ns);
    for (int i = 0; i < 4; i++)
        sqlite3_bind_text(stmt, 5 + i, texts[i], -1, SQLITE_STATIC);
    sqlite3_bind_blob(stmt, 9, chain->head, CHAIN_BYTES, SQLITE_STATIC);
    int rc = sqlite3_step(stmt);
    return sqlite3_finalize(stmt) == SQLITE_OK && rc == SQLITE_DONE;
}

/* What an old file is told of its new schema, and the chain with it; members as in chain.h. */
static bool note_step(sqlite3 *db, struct chain *chain, int from, const struct chain *seed)
{
    char head[2 * CHAIN_BYTES + 1], begun[2 * CHAIN_BYTES + 1], text[2 * CHAIN_BYTES + 1], body[512];
    char time[CLOCK_TEXT], boot[40];
    uint8_t hash[CHAIN_BYTES];
    if (!chain_schema(db, hash))
        return false;
    chain_hex(chain->head, head);
    chain_hex(seed->head, begun);
    chain_hex(hash, text);
    snprintf(body, sizeof body, "{\"v\":1,\"from\":%d,\"schema\":%d,\"head\":\"%s\",\"seed\":\"%s\",\"text\":\"%s\"}",
             from, STEPS, head, begun, text);
    clock_text(clock_wall_ms(), time);
    clock_boot_id(boot);
    return add_event(db, chain,
                     &(struct store_event){.kind = CHAIN_SCHEMA_KIND,
                                           .revision = -1,
                                           .time = time,
                                           .mono_ns = clock_mono_ns(),
                                           .boot = boot,
                                           .client = "poised",
                                           .version = POISE_VERSION,
                                           .body = body});
}

/* All steps that a file has not seen, in one transaction. */
static bool run_steps(sqlite3 *db, int from)
{
    char stamp[96];
    struct chain chain, seed;
    snprintf(stamp, sizeof stamp, "PRAGMA application_id = %d; PRAGMA user_version = %d; COMMIT;", APPLICATION_ID,
             STEPS);
    bool good = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK &&
                (from == 0 || (chain_load(db, &chain) && chain_seed(db, &seed)));
    for (int i = from; good && i < STEPS; i++)
        good = sqlite3_exec(db, steps[i], NULL, NULL, NULL) == SQLITE_OK;
    if (good && from > 0)
        good = note_step(db, &chain, from, &seed);
    return good && sqlite3_exec(db, stamp, NULL, NULL, NULL) == SQLITE_OK;
}

/* Always true. */
static bool later(int version, struct fault *fault)
{
    fault_said(fault, FAULT_STORE, NULL, "newer", "store_newer schema=%d known=%d", version, STEPS);
    return true;
}

bool schema_is_later(sqlite3 *db, struct fault *fault)
{
    int version;
    return number_of(db, "PRAGMA user_version", &version) && version > STEPS && later(version, fault);
}

/* ---- indexes that somebody took away ---- */

/* The next `CREATE INDEX` of a step from *at on, of which *at gets the end; *head is what stands before its name. NULL:
 * there is none. */
static const char *next_index(const char **at, const char **head)
{
    static const char *const heads[] = {"CREATE INDEX ", "CREATE UNIQUE INDEX "};
    const char *first = NULL;
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        const char *found = strstr(*at, heads[i]);
        if (found && (!first || found < first)) {
            first = found;
            *head = heads[i];
        }
    }
    if (first)
        *at = first + strcspn(first, ";");
    return first ? first + strlen(*head) : NULL;
}

static int count_indexes(void)
{
    const char *head;
    int count = 0;
    for (int i = 0; i < STEPS; i++)
        for (const char *at = steps[i]; next_index(&at, &head);)
            count++;
    return count;
}

/* Each as its step made it; one that is there is passed over. SQLite keeps the text without the words added here. */
static bool make_indexes(sqlite3 *db)
{
    char sql[512];
    const char *head, *name;
    bool good = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK;
    for (int i = 0; good && i < STEPS; i++)
        for (const char *at = steps[i]; good && (name = next_index(&at, &head));) {
            int length = snprintf(sql, sizeof sql, "%sIF NOT EXISTS %.*s", head, (int)(at - name), name);
            good = length < (int)sizeof sql && sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK;
        }
    return good && sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) == SQLITE_OK;
}

/* A file may come from another program, or have been mended by hand. Without its indexes each question would walk
 * through all of the shop's years. False: they could not be made. */
static bool indexes_stand(sqlite3 *db)
{
    static const char sql[] =
        "SELECT count(*) FROM sqlite_schema WHERE type = 'index' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'";
    int there;
    if (!number_of(db, sql, &there))
        return false;
    if (there >= count_indexes())
        return true;
    log_warnx("store: the file has %d of %d indexes; the others are made, which takes its time", there,
              count_indexes());
    return make_indexes(db);
}

bool schema_bring_up(sqlite3 *db, struct fault *fault)
{
    int version, id, tables;
    if (!number_of(db, "PRAGMA user_version", &version) || !number_of(db, "PRAGMA application_id", &id) ||
        !number_of(db, "SELECT count(*) FROM sqlite_schema", &tables))
        return refuse(db, fault);
    if (version > STEPS)
        return !later(version, fault);
    if (version < 0 || (tables > 0 && (version == 0 || id != APPLICATION_ID)))
        return fault_said(fault, FAULT_STORE, NULL, "foreign", "store_foreign");
    if (version == STEPS ? indexes_stand(db) : run_steps(db, version))
        return true;
    refuse(db, fault);
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return false;
}
