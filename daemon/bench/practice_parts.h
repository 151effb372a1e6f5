/* practice_parts.h - the inside of a practice, shared by its files and by what of a bench would write (commit.c,
 * turns.c).
 */
#pragma once

#include "bench/bench_parts.h"
#include "bench/practice.h"

enum { PRACTICE_ENDED = 8, PRACTICE_QUEUE = 32, PRACTICE_ANSWERS = 64 };

struct practice {
    struct bench *bench;          /* the one that it is a practice of */
    struct config_station config; /* of the shop's first scale, under its own name */
    enum practice_scenario scenario;
    uv_timer_t timer; /* a reading each time, and what the store would have said */
    bool ending;
    int64_t acted_ms; /* loop time of the last act of hand or painter */
    /* the pan */
    double cup_g, paint_g; /* what stands on it */
    double to_g, step_g;   /* paint_g is on its way there, so much a reading */
    bool off;              /* the cup is in the hand */
    int still;             /* readings alike */
    /* the mishap */
    bool happened;         /* once a practice */
    bool empty;            /* the tin gives no more until that is said */
    char wrong[RECIPE_ID]; /* the tin that was really poured, until it is named; "": none */
    double lift_at_g;      /* the cup is lifted when the paint has come so far; NaN: it is not */
    /* for the verdict */
    int hasty, lifted_accepts; /* accepts refused: the weight moved; the cup was off */
    struct batch *ended[PRACTICE_ENDED];
    size_t ends;
    /* in place of the store */
    struct {
        store_done *done;
        void *arg;
    } queue[PRACTICE_QUEUE];
    size_t queued;
    struct {
        char request[65];
        json_t *answer;          /* owned */
    } answers[PRACTICE_ANSWERS]; /* the last ones, oldest overwritten */
    size_t answered;
};

/* ---- practice_store.c ---- */

/* store_submit, of a bench that may be a practice: then nothing is written, and done() is told so soon after. */
void bench_submit(struct bench *b, const struct store_write *write, store_done *done, void *arg);
/* Tells all that wait: what a timer does, and the end. */
void practice_tell(struct practice *p);
/* The answer that a request of this practice got before; NULL: none. Borrowed. */
json_t *practice_answer(const struct practice *p, const char *request);
void practice_keep_answer(struct practice *p, const char *request, json_t *answer);
/* The bench lets its batch go: freed, but for the verdict of a practice. */
void bench_let_batch_go(struct bench *b);
/* A held batch of this practice, taken out; NULL: none of that number. */
struct batch *practice_held(struct practice *p, const char *id);
/* Whether one of its batches is held. */
bool practice_holds(const struct practice *p);
/* An act was refused. */
void practice_refused(struct practice *p, const struct fault *f);

/* ---- practice_view.c ---- */

/* What a dip asks to be taken out and was not yet, grams; NaN: nothing is asked to come out. */
double practice_removal_g(const struct practice *p);

/* ---- practice_verdict.c ---- */
void practice_judge(const struct practice *p, struct practice_verdict *v);
