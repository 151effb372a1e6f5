/* calls.h - what the screen asks the daemon, and what the answers do to the model.
 *
 * Pure but for memory: a call is a method and its params, kept in a queue; loop.c sends them. Reads carry no request. A
 * move is an act as the daemon has given it, with a request id and what it asks for, so that it may be sent again after
 * a broken link and is done once.
 * One act, from a key to the page: act_do puts a call of the screen's act into the queue and marks that it waits;
 * calls_take hands it to the socket; its answer comes to calls_answer, which puts the new screen into the model and
 * asks for the lists that this screen shows. A refusal changes nothing but the footnote.
 *
 * Owner   A queue owns its params until calls_take hands one out; calls_finish drops the rest. */
#pragma once

#include "client/screen/keys.h"

#include <jansson.h>

enum call_kind {
    CALL_INFO,     /* how the shop writes numbers, what it pays in */
    CALL_SCALES,   /* the scales of all benches, and ports that none uses */
    CALL_WATCH,    /* the screen, and from then on its notes */
    CALL_TODAY,    /* the newest batches */
    CALL_FORMULAS, /* those that match what is written */
    CALL_PRODUCTS, /* all of them: a short list */
    CALL_TONERS,   /* all of them */
    CALL_RECORD,   /* what was poured of the batch that is done */
    CALL_LABEL,    /* its text; nothing is printed */
    CALL_HELD,     /* batches that are held, however old */
    CALL_FOUND,    /* batches that match what is written */
    CALL_BATCH,    /* the open record */
    CALL_PLAN,     /* what comes of what is written */
    CALL_WORKOFF,  /* which cups could go into it */
    CALL_INSTEAD,  /* what may be poured in place of the open step's toner */
    CALL_PANELS,   /* kinds of panels */
    CALL_CUPS,     /* kinds of cups */
    CALL_DRIFT,    /* the empty pan is watched */
    CALL_SEEK,     /* what a port speaks */
    CALL_SCAN,     /* what a code is that was scanned */
    CALL_ORDERS,   /* open orders */
    CALL_ORDER,    /* the open one */
    CALL_LAYERS,   /* all its coats planned at once */
    CALL_CARDS,    /* spray-out cards */
    CALL_SHELF,    /* cups that are left */
    CALL_DUE,      /* those that must go */
    CALL_STOCK,    /* toners that must be ordered */
    CALL_PEOPLE,   /* who works here */
    CALL_SETTINGS, /* what may be set */
    CALL_WAIT,     /* a key was pressed: no accept by itself */
    CALL_MOVE,     /* an act: the only one that changes something */
};

struct call {
    enum call_kind kind;
    char method[32]; /* of the protocol */
    json_t *params;  /* NULL: memory was short */
};

enum { CALLS_ROOM = CALL_MOVE + 1 }; /* a newer read takes the place of one of its kind, and one move waits at most */

struct calls {
    struct call call[CALLS_ROOM];
    size_t n;
};

/* A read. What does not fit is left out (it will be asked again with the next screen). */
void calls_read(struct calls *q, const struct model *m, enum call_kind kind);
/* A move of ACT_CALL. request: a new id of 1 to 64 characters. False: the screen has no such act any more. */
bool calls_move(struct calls *q, const struct model *m, uint32_t value, const char *request);
/* A ready call as the daemon gave it, beside those of the screen. False: there is none, or another move waits. */
bool calls_act(struct calls *q, struct model *m, const json_t *act, const char *request, struct moment now);
/* The first of the queue; the params are the caller's. False: empty. */
bool calls_take(struct calls *q, struct call *call);
void calls_finish(struct calls *q);

/* What the open page shows of the daemon's lists, read anew each time it comes up. */
void calls_after_page(struct calls *q, const struct model *m);
/* What a new screen makes worth reading: today's batches in idle, record and label when done. */
void calls_after_screen(struct calls *q, const struct model *m);

/* An answer: exactly one of result and error is not NULL. Reads fill lists; a move brings a screen, or is refused and
 * said on the footnote line. */
void calls_answer(struct calls *q, struct model *m, const struct call *call, json_t *result, const json_t *error,
                  struct moment now);

/* scanned.c: what the page does with the answer to CALL_SCAN; one of found and error is NULL. False: nothing has that
 * code, and it was written into a field, which may take its Enter. */
bool scanned(struct model *m, const json_t *found, const json_t *error, const char *request, struct calls *q,
             struct moment now);

/* The footnote of an error. */
void calls_error_text(const struct model *m, const json_t *error, char *buf, size_t size);
