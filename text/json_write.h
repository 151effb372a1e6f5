/* json_write.h - the daemon's writer of JSON: for sockets and for the store.
 *
 * Errors  NULL: no memory. Never a text that lacks a piece.
 * Thread  Any.
 */
#pragma once

#include <jansson.h>
#include <stddef.h>

/* A value as text, malloc'd and ended with NUL; flags are jansson's (JSON_COMPACT, ...). NULL of NULL. */
char *json_write(const json_t *json, size_t flags);
