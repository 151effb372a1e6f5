/* put.h - what all puts and removals of the catalogue share: one event and one item in one write, and its answer.
 *
 * The answer is given when the write is on disk: the thing as stored with its revision. Else rpc_not_written.
 */
#pragma once

#include "clock.h"
#include "rpc/rpc.h"
#include "store/store.h"

/* An event of now that belongs to no station: kind, body and the room for its time are the caller's, and must live
 * until store_submit. call NULL: the daemon's own act. */
struct store_event put_event(const struct daemon *d, const struct rpc_call *call, const char *kind, const char *body,
                             char time[CLOCK_TEXT]);

struct put_kind {
    const char *kind;     /* `toner` ..., as the store knows it */
    const char *revision; /* the answer's member that holds the revision given; NULL: it tells none */
    bool dated;           /* the answer tells date and reason as well */
    /* Called once the thing is on disk, before the answer; NULL: nothing follows from it. */
    void (*kept)(struct daemon *d, const json_t *thing);
};

/* The longest id of a thing that is put: a setting's key is longer than other ids. */
enum { PUT_ID_MAX = 96 };

/* Stores a thing (taken over), found again by its id, as one event `KIND.put`. `reason` and `person` are taken from
 * params. */
void put_thing(struct daemon *d, struct rpc_call *call, const json_t *params, const struct put_kind *kind,
               const char *id, json_t *thing);
/* The same of a thing that is answered otherwise than it is kept: takes both over. */
void put_answered(struct daemon *d, struct rpc_call *call, const json_t *params, const struct put_kind *kind,
                  const char *id, json_t *thing, json_t *answer);
/* Removes it, as one event `KIND.remove`; the answer is {"id","removed":true}. */
void put_removal(struct daemon *d, struct rpc_call *call, const json_t *params, const char *kind, const char *id);

/* Whether a put or removal of that kind is not on disk yet. */
bool put_on_its_way(const struct daemon *d, const char *kind);

/* The id that params name under one of these members (a NULL-ended list; the first is named where all are missing).
 * NULL: *fault. */
const char *put_id(const json_t *params, const char *const names[], struct fault *fault);
/* Answers -32001 for a thing that is not there. */
void put_unknown(struct daemon *d, struct rpc_call *call, const char *field, const char *id);
