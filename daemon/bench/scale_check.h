/* scale_check.h - check weights at one bench: the shell around station/weight_check.h. Part of bench_parts.h.
 *
 * scale.check is called once for each reading. The first call with a weight begins (with `begin` it only begins, so
 * that a hand may be asked for first): it takes the empty pan. The answer says what is wanted next, so does the
 * screen's message; the same call again takes it, waiting up to 3 s for the weight to be there and at rest. The third
 * reading ends it: it is judged, journalled as an event `checked`, answered. Before that nothing is kept: one that is
 * cancelled, or left standing for 5 minutes, or overtaken by a pour, or whose scale fell silent, is gone. It never
 * blocks anything.
 * Files   scale_check.c the call and the empty pan watched, scale_check_reading.c its readings, scale_check_last.c what
 *         the last one tells of the scale, and in what words, scale_doubt.c how sure a pour is.
 */
#pragma once

#include "rpc/rpc.h"
#include "station/event.h"
#include "station/weight_check.h"

struct bench;

struct bench_check {
    struct check check;      /* which reading is wanted, and those that were taken */
    int64_t touched_ms;      /* loop time of the last call */
    int64_t seen_ms;         /* loop time of the last reading */
    char person[EVENT_NAME]; /* who leads it; "": nobody said */
    char raw[3][200];        /* the frames behind the readings */
    /* a call that waits for the weight, or for the end of a watch */
    struct rpc_call *call; /* NULL: none waits */
    char request[65];      /* of that call; "": a repeat finds no answer */
    bool watching;         /* the empty pan, until the timer ends it */
    bool writing;          /* an answer is on its way to the disk, and the call waits for it */
    struct check before;   /* while writing: what it was, should the store refuse */
    struct drift drift;    /* what the empty pan did so far */
    uv_timer_t timer;      /* how long a call may wait: patience for a reading, or the length of a watch */
    /* what is known of the scale */
    bool has_last, last_passed; /* one was ever made here, and how it came out */
    int64_t last_ms;            /* wall time of the last check */
    json_t *last;               /* its body; owned */
    double repeatability_g;     /* learnt of them; NaN: they are too few */
    int doubt_checks;           /* of how many */
    double drift_g;             /* learnt of the empty pan that was watched; 0: it stood, or nobody watched */
    int64_t since_ms;           /* wall time from which on days without one count, where none was ever made */
    int shown_days;             /* days overdue, as last published */
};

/* Reads the last check of this scale from the journal, and from when on days count. At start. */
void bench_check_init(struct bench *b);
/* Answers a waiting call, frees. The timer is closed by the caller. */
void bench_check_stop(struct bench *b, const struct fault *why);
/* A reading came in. */
void bench_check_reading(struct bench *b);
/* Once a second: what lapses, what falls due. */
void bench_check_tick(struct bench *b);
/* What a screen says of it, nothing said where there is nothing: the next move of a check or a watch under way; that
 * the last check failed; that one is due. */
struct said bench_check_lead(const struct bench *b);
struct said bench_check_failed(const struct bench *b);
struct said bench_check_due(const struct bench *b);

/* scale_doubt.c: learns anew from the last check weights, and from a pan that went so far in a minute. */
void bench_doubt_learn(struct bench *b);
void bench_doubt_watched(struct bench *b, double g_per_min);
/* Standard uncertainties of one pour as learnt; NaN: the file says it, or nothing was learnt. */
double bench_doubt_repeatability_g(const struct bench *b);
double bench_doubt_drift_g(const struct bench *b);
/* Both as sentences that tell where they come from. A new reference. */
json_t *bench_doubt_said(const struct bench *b);

/* ---- between these files ---- */

/* No batch is being poured: idle, or waiting for a cup. */
bool bench_check_may(const struct bench *b);
/* Begun, and not all readings taken. */
bool bench_check_running(const struct bench_check *k);
/* The interval at a load, in grams. */
double bench_check_d_g(const struct bench *b, int64_t weight_ug);
/* Days since the last one, where that is check_days or more; else 0. */
int bench_check_days(const struct bench *b);
/* What a check that is done says of the scale, body as journalled. */
struct said bench_check_verdict(const json_t *body);
/* This check, just journalled, is the last one now. Takes a reference of its own. */
void bench_check_made(struct bench *b, json_t *body);
/* Whether the scale says weights at all; a weight that it refuses for now (over, under) is another matter. */
bool bench_check_scale_lives(const struct bench *b, struct fault *f);
/* Takes the reading that is wanted, if the scale shows it. True: the call is over, answered or being written. */
bool bench_check_try(struct bench *b);
/* Answers the call. Till the last reading that is written only where a request must find its answer again. */
void bench_check_keep(struct bench *b, bool done);
/* The time of the call that waits is up. */
void bench_check_patience_over(uv_timer_t *timer);
