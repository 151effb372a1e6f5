/* polltext.h - what is sent to ask a scale, as a person writes it in the configuration or behind --poll.
 *
 * A text goes out with CR LF behind it; one with an escape (\r \n \xNN) as it stands. Pure; knows nobody.
 */
#pragma once

#include <stddef.h>

enum { POLLTEXT_ROOM = 64 }; /* bytes */
enum polltext_fault { POLLTEXT_FINE, POLLTEXT_TOO_LONG, POLLTEXT_BAD_ESCAPE };

/* The bytes to send, and how many; sense only with POLLTEXT_FINE. */
enum polltext_fault polltext_read(const char *text, char out[POLLTEXT_ROOM], size_t *len);
