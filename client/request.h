/* request.h - the id of one wish, so that the same call sent twice is done once.
 *
 * 16 hexadecimal digits of nanoseconds since 1970 first, so that ids rise with time and the journal's index grows at
 * its end; then 16 digits of randomness, so that two benches never meet.
 */
#pragma once

#include <stdbool.h>

enum { REQUEST_SIZE = 34 }; /* 16 + '-' + 16 + NUL */

/* A new id; within one process each is greater than the one before, even if the clock is set back. `last` is the id
 * before it, or "". False with errno where the system gives no randomness. */
bool request_make(char id[REQUEST_SIZE], const char *last);
