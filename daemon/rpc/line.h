/* line.h - bytes of one connection until they make lines.
 *
 * A line may hold RPC_LINE_MAX bytes without its newline. Bytes are read straight into the room handed out, so that a
 * call is copied once. Start with a zeroed struct; an idle one keeps at most RPC_LINE_ROOM bytes.
 * Owner   The caller owns the struct and ends it with rpc_line_finish. A line handed out is valid until the next call.
 */
#pragma once

#include <stddef.h>

#define RPC_LINE_MAX  65536u
#define RPC_LINE_ROOM 4096u

struct rpc_line {
    char *data;
    size_t start, end, cap; /* what came and was not taken lies in data[start..end) */
    size_t seen;            /* bytes from start on that are known to hold no newline */
};

enum rpc_line_result {
    RPC_LINE_NONE,    /* more bytes are needed */
    RPC_LINE_WHOLE,   /* *line and *len, without the newline; not NUL-ended */
    RPC_LINE_TOO_LONG /* the line at hand is beyond RPC_LINE_MAX, ended or not */
};

/* Room for at least one byte, *room bytes of it. NULL: no memory. */
char *rpc_line_room(struct rpc_line *l, size_t *room);
/* n bytes were put there. */
void rpc_line_filled(struct rpc_line *l, size_t n);
enum rpc_line_result rpc_line_next(struct rpc_line *l, const char **line, size_t *len);
/* Forgets what came. */
void rpc_line_drop(struct rpc_line *l);
void rpc_line_finish(struct rpc_line *l);
