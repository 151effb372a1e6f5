/* recorder.h - keeps what a port sends as a recording (decode/recording.h), for a bug report or a test.
 *
 * Connect record_bytes to port_events.bytes. Each chunk is on its way to the disk when the call returns (flushed, not
 * synced): a recording of a pulled cable must hold the last byte.
 * Owner   create and destroy are a pair.
 * Errors  The first write that fails is kept; later ones are dropped. record_fault says it.
 */
#pragma once

#include "drivers/port.h"

struct record;

/* Begins the file, which must not exist yet, with its head. `date` is text for the head, `what` what happens, one line
 * each; either may be NULL. NULL with errno. Blocks for an open: not for the loop of a busy daemon. */
struct record *record_create(const char *path, const struct port_settings *settings, const char *date,
                             const char *what);
/* A chunk; at_ms on any clock that only rises, the first call is 0. */
void record_bytes(struct record *record, const uint8_t *bytes, size_t len, uint64_t at_ms);
/* 0, or errno of the first write that failed. */
int record_fault(const struct record *record);
/* Closes; the fault as above, also of the close. NULL: 0. */
int record_destroy(struct record *record);
