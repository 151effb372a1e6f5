/* check.h - check weights at one bench: the shell around station/check.h. Part of bench_parts.h.
 *
 * scale.check is called once for each reading. The first call with a weight begins: it takes the empty pan. The answer
 * says what is wanted next, so does the screen's message; the same call again takes it, waiting up to 3 s for the
 * weight to be there and at rest. The third reading ends it: it is judged, journalled as an event `checked`, answered.
 * One that is left standing lapses after 5 minutes, or when a pour begins. It never blocks anything.
 */
#pragma once

#include "rpc/rpc.h"
#include "station/check.h"

struct bench;

struct bench_check {
    struct check check;
    int64_t touched_ms; /* loop time of the last call */
    char person[64];
    char raw[3][200]; /* the frames behind the readings */
    /* a call that waits for the weight, or for the end of a watch */
    struct rpc_call *call;
    char request[65];
    bool watching, writing;
    struct check before; /* while writing: what it was, should the store refuse */
    struct drift drift;
    uv_timer_t timer;
    /* what is known of the scale */
    bool has_last, last_passed;
    int64_t last_ms;  /* wall time of the last check */
    json_t *last;     /* its body; owned */
    int64_t since_ms; /* wall time from which on days without one count, where none was ever made */
    int shown_days;   /* days overdue, as last published */
};

void bench_check_init(struct bench *b);
/* Answers a waiting call, frees. The timer is closed by the caller. */
void bench_check_stop(struct bench *b, const struct fault *why);
/* A reading came in. */
void bench_check_reading(struct bench *b);
/* Once a second: what lapses, what falls due. */
void bench_check_tick(struct bench *b);
/* What the screen says of it: NULL, or a sentence. */
const char *bench_check_message(const struct bench *b, char *out, size_t size);
const char *bench_check_failed(const struct bench *b, char *out, size_t size);
const char *bench_check_due(const struct bench *b, char *out, size_t size);
