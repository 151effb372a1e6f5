/* conn.h - one client of the Unix socket, and the server they belong to. Inside daemon/rpc/ only.
 *
 * Bytes in: line.c frames lines, conn.c hands them on while the client takes its answers. Bytes out: out.c. Who watches
 * what: the daemon's hub. Listening: unix.c.
 * Bounds  Of what a client does not read, RPC_OUT_MAX bytes are kept, or one answer that is larger by itself, and that
 *         only while the client goes on taking it. Beyond this the connection is closed. Weights are never queued:
 *         the newest of each station waits in one place.
 * Owner   A connection is freed in the last close callback of its handles.
 */
#pragma once

#include "rpc/call.h"
#include "rpc/hub.h"

#include <stddef.h>
#include <sys/types.h>
#include <uv.h>

#define RPC_OUT_MAX  65536u /* what waits for a client that does not read */
#define RPC_OUT_EASY 16384u /* with more than this waiting, no further call is taken from it */
#define RPC_OPEN_MAX 16u    /* calls of one client at work */

/* ---- line.c: bytes until they make lines ----
 *
 * A line may hold RPC_LINE_MAX bytes without its newline. Bytes are read straight into the room handed out, so that a
 * call is copied once. Start with a zeroed struct; an idle one keeps at most RPC_LINE_ROOM bytes.
 * Owner   The caller owns the struct and ends it with rpc_line_finish. A line handed out is valid until the next call.
 */

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

/* ---- a connection ---- */

/* What was sent and not taken: `flying` is with the loop, `waiting` comes behind it. */
struct rpc_out {
    uv_write_t request;
    char *flying;
    char *waiting;
    size_t waiting_len, waiting_cap;
    size_t allowed;  /* RPC_OUT_MAX, more while one large answer is among it */
    uint64_t handed; /* bytes given to the loop so far */
    uint64_t taken;  /* of these, taken by the client when the timer last looked */
};

struct rpc_conn {
    struct rpc_caller caller;
    char user[RIGHTS_USER]; /* of the process that connected */
    struct hub_subscriber subscriber;
    struct rpc_server *server;
    /* conn.c's own, for out.c, which stands below it: closes at once; nothing can be sent any more; something was sent.
     */
    void (*close)(struct rpc_conn *c);
    void (*broken)(struct rpc_conn *c);
    void (*go_on)(struct rpc_conn *c);
    struct rpc_conn *prev, *next;
    uv_pipe_t pipe;
    uv_timer_t timer; /* a large answer that does not move; an end that the client does not see */
    uv_shutdown_t shutdown;
    int handles;
    struct rpc_line in;
    struct rpc_out out;
    struct rpc_holder *holder; /* the process it belongs to; NULL: it was never let in, or has left */
    uint64_t last_ms;          /* of the loop: its last call, or the last answer to one */
    uint64_t line_since;       /* of the loop: when the line at hand began; 0: none has */
    bool reading, pumping;
    bool due;     /* a call was answered: it is gone on with from the loop */
    bool eof;     /* the client sends no more; it may still read */
    bool hung;    /* it is gone: nothing is sent any more, what it sent is taken, then the connection is closed */
    bool ending;  /* we end it: what still comes is thrown away */
    bool ended;   /* the end is on its way to the client */
    size_t waste; /* bytes thrown away */
    bool closed;
};

struct rpc_server {
    uv_loop_t *loop;
    struct daemon *daemon;
    uv_pipe_t listener;
    uv_idle_t later; /* runs while a connection is due */
    char path[108];
    dev_t device; /* of our socket file: another's is not removed */
    ino_t inode;
    struct rpc_conn *first;
    struct rpc_holder *holders; /* limits.c: the processes at the other ends */
    size_t held;                /* connections that are let in */
    size_t crowded;             /* not let in, or closed for room, since that was last logged */
    uint64_t told_ms, due_at;   /* of the loop: when it was logged, 0: never; what the timer is set to */
    uv_timer_t due;             /* the next line or idle connection whose time is over */
    size_t count;               /* of connections with memory */
    unsigned handles;           /* of its own that are open */
    uv_pipe_t away;             /* a client that there is no memory for */
    bool away_open;             /* it is being closed */
    bool away_waiting;          /* another such client waits for that */
    bool closing;
    void (*forget)(struct rpc_server *s); /* unix.c's own: a connection's memory is gone */
    void (*closed)(void *arg);
    void *closed_arg;
};

/* conn.c */
/* Takes the client that waits. False: no memory, it still waits. */
bool rpc_conn_accept(struct rpc_server *s);
/* Closes at once; what waits is lost. May be called at any time, more than once. */
void rpc_conn_close(struct rpc_conn *c);

/* ---- limits.c: [limits] ---- */

/* A connection that is accepted and in the list. False: it was told why not and is closed, or there is no memory; in
 * its place another may have been closed. */
bool rpc_room_enter(struct rpc_conn *c);
/* When it closes; of one that was never let in nothing. */
void rpc_room_leave(struct rpc_conn *c);
/* Bytes came or calls were taken: sets the time by which the line at hand must end. */
void rpc_room_mind(struct rpc_conn *c);
/* A whole call came, or one was answered: it is not idle. */
void rpc_room_call(struct rpc_conn *c);

/* out.c */
enum rpc_out_kind { RPC_OUT_ANSWER, RPC_OUT_NOTE };
void rpc_out_send(struct rpc_conn *c, enum rpc_out_kind kind, const char *text, size_t len);
/* The same of an answer, whose text is taken: a long one is not copied. */
void rpc_out_give(struct rpc_conn *c, char *text, size_t len);
/* A weight: sent now, or false where anything waits already; true where the client is gone. */
bool rpc_out_try(struct rpc_conn *c, const char *text, size_t len);
size_t rpc_out_pending(const struct rpc_conn *c);
/* Forgets what waits behind what is with the loop already. */
void rpc_out_drop(struct rpc_conn *c);
void rpc_out_finish(struct rpc_conn *c);
