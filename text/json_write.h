/* json_write.h - the daemon's writer of JSON: for sockets and for the store.
 *
 * Errors  NULL: no memory. Never a text that lacks a piece, nor one of a value that lacks a piece: where json_watch was
 *         called, what could not be made for a value since the last text of this thread is remembered.
 * Thread  Any.
 */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/* From now on each value that finds no memory is noted, for the thread that asked. Once, before any other thread. */
void json_watch(void);
/* Whether one was, since the last json_write of this thread: what was put together meanwhile may lack a member, so it
 * must not be kept. */
bool json_lost(void);
/* A new question begins: what an earlier one lacked is no matter to it. */
void json_forget(void);
/* A deep copy; NULL where there was no memory for the whole of it. New reference. */
json_t *json_whole_copy(const json_t *json);
enum { JSON_ESCAPE = 8 };
/* The next piece of a text of `len` bytes, above 0, as it stands within a string: a run of letters as they are, or one
 * control, quote or backslash, made in `room` (RFC 8259, section 7; of those that may stand in two ways the one that
 * jansson writes). Returns how many bytes of the text it stands for. */
size_t json_piece(const char *text, size_t len, char room[JSON_ESCAPE], const char **piece, size_t *bytes);
/* A value as text, malloc'd and ended with NUL; flags are jansson's (JSON_COMPACT, ...). NULL of NULL, and where
 * json_lost(), which is forgotten then. */
char *json_write(const json_t *json, size_t flags);
