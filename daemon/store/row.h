/* row.h - rows of the file as values: the columns to ask for, and the reading of them.
 *
 * Owner   Texts belong to the statement, until it is stepped or given back.
 */
#pragma once

#include "store/store.h"

#include <sqlite3.h>

#define ROW_EVENT                                                                                                      \
    "seq, kind, station, batch, revision, time, mono_ns, boot, person, client, request, method, version, body, hash"
#define ROW_ANSWER "answer" /* follows ROW_EVENT where it is wanted too */
#define ROW_BATCH                                                                                                      \
    "b.id, b.state, b.station, b.formula, b.name, b.variant, b.coat, b.repair_order, b.painter, b.place, b.begun, "    \
    "b.finished, b.total_g, b.left_g, b.use_by"
#define ROW_ITEM "i.kind, i.name, i.revision, i.time, i.reason, i.source, i.body, i.words"

void row_event(sqlite3_stmt *stmt, struct store_event *e);
void row_batch(sqlite3_stmt *stmt, struct store_batch *b);
void row_item(sqlite3_stmt *stmt, struct store_item *i);
