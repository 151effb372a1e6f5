/* rpc.h - JSON-RPC 2.0: one table of methods, calls that may be answered later, and notes to those who watch.
 *
 * To add a method: write it in rpc/methods/NOUN_methods.c, add its row to methods.c and what it takes and answers to
 * methods/method_params.c and results.c; `make papers` then writes docs/protocol.md anew. Nothing else.
 * Flow    a transport (unix.c) frames a line, dispatch.c checks it and runs the row's function, which answers at once
 *         or keeps the call and answers from a callback on the loop.
 * Owner   A call belongs to the dispatcher until rpc_answer or rpc_fail is called on it, exactly once. It outlives its
 *         connection: answering a call whose client has gone is allowed and does nothing.
 *         Answering runs nothing else: the client's next call is taken later, from the loop.
 * Thread  The loop's.
 */
#pragma once

#include "fault.h"
#include "rights.h"
#include "shape/shape.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <uv.h>

struct rpc_call;
struct rpc_server;
struct store_outcome; /* store/store.h */
struct daemon;        /* daemon.h: what main owns; handed to every method */

struct rpc_method {
    const char *name;
    enum right needs; /* above RIGHT_READ: it writes something, needs the token over HTTP, and takes `request` */
    void (*run)(struct daemon *d, struct rpc_call *call, const json_t *params); /* params: an object, never NULL */
    const struct shape *params; /* checked before run; null counts as left out. NULL: nothing is checked */
    const struct shape *result; /* for rpc.discover and the papers; NULL: not told */
    const char *about;          /* one sentence of English */
    const char *errors;         /* those that are its own: `-32004 short, unsteady`; NULL: none */
};

extern const struct rpc_method rpc_methods[]; /* ends with a NULL name; in methods.c */

/* Answers; takes the reference. NULL is answered as an internal error. */
void rpc_answer(struct rpc_call *call, json_t *result);
void rpc_answer_text(struct rpc_call *call, const char *json); /* a first answer given again, or made beforehand */
/* A result as rpc_answer would write it, made beforehand; malloc'd. NULL: no memory for all of it. */
char *rpc_answer_form(const json_t *result);
/* What stands before the result in an answer, for who puts a long one together off the loop; the caller frees it. NULL:
 * nobody wants an answer, or no memory. */
char *rpc_answer_head(const struct rpc_call *call);
/* An answer put together so: head, result, a brace, its NUL and room for one byte more. Takes the text. */
void rpc_answer_line(struct rpc_call *call, char *text);
/* Refuses. A `request` that was answered before gets that answer instead, whatever it carries now. */
void rpc_fail(struct rpc_call *call, const struct fault *fault);
/* Answers a call whose write came back without being STORE_DONE, which ends the call: a full disk or a repeated request
 * reads the same from a bench and from the catalogue. A repeated request gets its first answer, or -32602 where that
 * was of another method; a store that refused is -32007 with why `full`, `readonly` or `io`. */
void rpc_not_written(struct rpc_call *call, const struct store_outcome *outcome);
/* Was the `request` of this call answered before? Then the call is answered so and is gone: true. For a method that
 * does more than one store_submit, which looks by itself. */
bool rpc_answered_before(struct rpc_call *call);
/* Where the call came from, for the journal: `http`, or `unix:USER`. Lives as long as the call. */
const char *rpc_client(const struct rpc_call *call);
const char *rpc_method_name(const struct rpc_call *call);
/* All methods that this call could have named: for those that tell of the others, which stand below the table. */
const struct rpc_method *rpc_method_table(const struct rpc_call *call);
/* Nobody is there any more to hear the answer: what takes long may end. It must still be answered, to be freed. */
bool rpc_is_gone(const struct rpc_call *call);
/* The connection that made the call now watches a station (name kept), until it closes. */
void rpc_watch(struct rpc_call *call, const char *station);

/* Listens on a Unix socket (mode 0660, a stale one replaced only after connect says refused). False: *fault. */
struct rpc_server *rpc_listen(uv_loop_t *loop, struct daemon *d, const char *socket_path, struct fault *fault);
/* Stops listening, drops connections, removes the socket file; closed() when all handles are closed. */
void rpc_close(struct rpc_server *s, void (*closed)(void *arg), void *arg);

/* Reading members. Absent (or null) leaves *out as it was and is true; a wrong type is refused (FAULT_PARAMS with
 * field), a number that is not finite is FAULT_INVALID. */
bool rpc_get_text(const json_t *params, const char *name, const char **out, struct fault *fault);
bool rpc_get_number(const json_t *params, const char *name, double *out, struct fault *fault);
bool rpc_get_flag(const json_t *params, const char *name, bool *out, struct fault *fault);
