/* calls.h - what the screen asks the daemon, and what the answers do to the model.
 *
 * Pure but for memory: a call is a method and its params, kept in a queue; run.c sends them. Reads carry no request; a
 * move carries station, revision and a request id, so that it may be sent again after a broken link and is done once.
 * Owner   A queue owns its params until calls_take hands one out; calls_finish drops the rest. */
#ifndef POISE_CLIENT_SCREEN_CALLS_H
#define POISE_CLIENT_SCREEN_CALLS_H

#include "client/screen/keys.h"

#include <jansson.h>

enum call_kind {
    CALL_INFO,
    CALL_SCALES,
    CALL_WATCH,
    CALL_TODAY,
    CALL_FORMULAS,
    CALL_PRODUCTS,
    CALL_TONERS,
    CALL_CUPS,
    CALL_RECORD,
    CALL_LABEL, /* its text; nothing is printed */
    CALL_MOVE,
};

struct call {
    enum call_kind kind;
    enum act act; /* of a move */
    const char *method;
    json_t *params; /* NULL: memory was short */
};

enum { CALLS_ROOM = 16 };

struct calls {
    struct call call[CALLS_ROOM];
    size_t n;
};

/* A read. What does not fit is left out (it will be asked again with the next screen). */
void calls_read(struct calls *q, const struct model *m, enum call_kind kind, struct moment now);
/* A move by its act. request: a new id of 1 to 64 characters. False: this act is no call. */
bool calls_move(struct calls *q, const struct model *m, struct move move, const char *request);
/* The first of the queue; the params are the caller's. False: empty. */
bool calls_take(struct calls *q, struct call *call);
void calls_finish(struct calls *q);

/* What a new screen makes worth reading: today's batches in idle, record and label when done. */
void calls_after_screen(struct calls *q, const struct model *m, struct moment now);

/* An answer: exactly one of result and error is not NULL. Reads fill lists; a move brings a screen, or is refused and
 * said on the footnote line. A printed label asks for the finish: *finish is set then. */
void calls_answer(struct calls *q, struct model *m, const struct call *call, const json_t *result, const json_t *error,
                  struct moment now, bool *finish);

/* The footnote of an error. */
void calls_error_text(const struct model *m, const json_t *error, char *buf, size_t size);

#endif
