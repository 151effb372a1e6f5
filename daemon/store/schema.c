#include "store/schema.h"

#include <stddef.h>
#include <stdio.h>

#define APPLICATION_ID 1349482867 /* "Pois": what file(1) and we ourselves know the file by */

/* The answer to a request stands with the first event that came of it: apart it would cost each commit two pages more,
 * a tenth of its time. It is the last column, so that reading an event does not read it.
 * An event is never changed: the triggers stop our own mistakes, the chain of hashes shows everybody else's. The text
 * of the table `event` is the seed of that chain (chain.c), so a step that touches it must say how old rows are read.
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

static const char *const steps[] = {step_1};
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
    return fault_set(fault, FAULT_STORE, NULL, (sqlite3_errcode(db) & 0xff) == SQLITE_FULL ? "full" : "io",
                     "Look at the disk; a copy of the state directory made before may be put in its place.",
                     "cannot read or make " SCHEMA_FILE ": %s", sqlite3_errmsg(db));
}

static bool run_steps(sqlite3 *db, int from)
{
    char stamp[96];
    snprintf(stamp, sizeof stamp, "PRAGMA application_id = %d; PRAGMA user_version = %d; COMMIT;", APPLICATION_ID,
             STEPS);
    bool good = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK;
    for (int i = from; good && i < STEPS; i++)
        good = sqlite3_exec(db, steps[i], NULL, NULL, NULL) == SQLITE_OK;
    return good && sqlite3_exec(db, stamp, NULL, NULL, NULL) == SQLITE_OK;
}

bool schema_bring_up(sqlite3 *db, struct fault *fault)
{
    int version, id, tables;
    if (!number_of(db, "PRAGMA user_version", &version) || !number_of(db, "PRAGMA application_id", &id) ||
        !number_of(db, "SELECT count(*) FROM sqlite_schema", &tables))
        return refuse(db, fault);
    if (version > STEPS)
        return fault_set(fault, FAULT_STORE, NULL, "newer", "Start the later poised, or use another state directory.",
                         SCHEMA_FILE " was made by a later poised (schema %d, this one knows %d)", version, STEPS);
    if (version < 0 || (tables > 0 && (version == 0 || id != APPLICATION_ID)))
        return fault_set(fault, FAULT_STORE, NULL, "foreign", "Use another state directory.",
                         SCHEMA_FILE " is a database of some other program");
    if (version == STEPS || run_steps(db, version))
        return true;
    refuse(db, fault);
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return false;
}
