/* bench_parts.h - the inside of a bench, shared by the files of this folder only. */
#pragma once

#include "bench/bench.h"
#include "bench/scale_check.h"
#include "drivers/port.h"
#include "front/front.h"
#include "station/keep.h"
#include "station/track.h"

#define BENCH_LOOKING    16   /* more than that see the screen as it is */
#define BENCH_READING_MS 1000 /* an older reading is no weight */
#define BENCH_WAITING    32   /* calls that may stand behind one that is being written */

/* A call that waits its turn. Owns params and what the command holds. */
struct bench_turn {
    struct rpc_call *call;
    json_t *params;
    struct command command;
    enum turn_kind { TURN_COMMAND, TURN_BEGIN, TURN_RESUME } kind;
    char request[65];
    int labels; /* a finish: to be printed then */
    bench_then *then;
};

/* What is being written: one or two events of one act. */
struct bench_act {
    struct bench *bench;
    struct rpc_call *call;
    struct event event[2];
    size_t events;
    struct batch *after; /* the batch as it will be, already folded once to try it; NULL: idle */
    json_t *answer;
    int64_t batch_number; /* given to a new batch, 0: none */
    char request[65];
    int labels;
    bench_then *then;
};

/* publish.c: what a screen follows from between two acts; two that are alike make the same foot line and moves. */
struct bench_key {
    enum mix_cue cue;
    enum front_limit limit;
    bool settled, lifted;
    bool begun, holds, cup, below; /* poured, in the cup, a cup on the pan, less than nothing on it */
    int64_t weight_ug;             /* only while it stands still and is told; else 0 */
};

struct bench {
    struct daemon *daemon;
    const struct config_station *config;
    struct batch *batch; /* NULL: idle */
    int64_t revision;
    /* each reading touches these, and the head of track */
    int64_t read_ms; /* loop time of the last weight */
    enum port_state scale;
    enum mix_cue cue;
    bool writing;
    bool waiting;           /* turn[0] is an accept that waits for a steady weight */
    enum front_limit limit; /* the scale's own over, under, error */
    struct settle settle;
    size_t frame_len;
    uint8_t frame[SCALE_FRAME_MAX]; /* that the last weight came in */
    struct track track;
    struct mix_flow flow;
    struct jump jump;
    /* the scale */
    struct port *port;
    void (*lent)(void *arg); /* the port is closing, to be lent */
    void *lent_arg;
    struct scale_profile *declared; /* the shop's own family, as long as the port; NULL: a built-in one */
    uv_timer_t patience;            /* an accept waits up to 3 s for a steady weight */
    uv_timer_t slow;                /* once a second: keep the last reading */
    int open_handles;
    void (*closed)(void *arg);
    void *closed_arg;
    bool closing;
    struct said why;     /* why the scale is not live, as its port says it; nothing said: it is */
    char scale_why[256]; /* the same in a line of English */
    char profile[48];
    /* the turn */
    void (*go_on)(struct bench *b); /* bench.c: a write has come back, what waited for it may run */
    struct bench_turn turn[BENCH_WAITING];
    size_t turns;
    /* noted alone */
    struct keep keep; /* what a restart would find of the open step */
    bool lift_due, lift_now, hardener_due;
    struct event hardener; /* on its way to the disk where hardener_writing */
    bool hardener_writing;
    struct rpc_call *looking[BENCH_LOOKING]; /* asked for the screen meanwhile */
    size_t lookers;
    bool note_failed;
    struct said printing; /* why the last label was not printed */
    struct {
        struct bench_key key;
        uint64_t hash; /* of the last screen sent */
        int64_t at_ms; /* loop time of it */
        uv_timer_t timer;
    } shown;
    struct cup_tares cups; /* of the catalogue, while a cup is waited for */
    enum front_disk disk;  /* how the last write went */
    struct bench_check check;
};

/* ---- bench_state.c ---- */

/* A handle or a write has come back: the bench may be freed now, where it is closing. */
void bench_back(struct bench *b);
/* All that the bench shows, as of now; it points into the bench. */
void bench_front(const struct bench *b, struct front *f);
/* Reads which cups the shop has, where one is waited for. */
void bench_read_cups(struct bench *b);
/* What a still weight may move by, micrograms: the open step's tolerance, or the station's. */
int64_t bench_tolerance_ug(const struct bench *b);
/* The frame that the last weight came in, as an event holds it. */
void bench_frame_hex(const struct bench *b, char out[200]);
/* Why the scale is not live; NULL: its port was not opened yet. */
void bench_scale_says(struct bench *b, const struct said *why);
/* Refusals that several files word alike; each returns false, for `return bench_fault_...`. */
/* The station's state, as a refusal names it. */
bool bench_put_state(const struct bench *b, struct fault *f);
/* What a port says of why it is not live (port_why), with what to do. */
bool bench_fault_port(struct fault *f, const char *field, const char *why, const struct said *said);
/* A scale's trouble as a refusal (FAULT_SCALE): what is said and what helps. */
bool bench_fault_said(struct fault *f, const char *why, const struct said *said, const struct said *help);
/* The fault of an act that needs a weight where there is none: why, and what mends it. False always. */
bool bench_not_live(const struct bench *b, struct fault *f);
/* ---- turns.c ---- */

void bench_next_turn(struct bench *b);
void bench_try_waiting(struct bench *b);
void bench_wait_over(uv_timer_t *timer);
void bench_drop_turns(struct bench *b, const struct fault *why);
void bench_turn_done(struct bench *b);
/* commit.c: writes the act; takes all it owns. */
void bench_write(struct bench *b, struct bench_act *act);
struct bench_act *bench_act_new(struct bench *b, struct bench_turn *turn);
void bench_act_free(struct bench_act *act);
/* Fills what every event carries: time, station, revision, weight's frame. */
void bench_stamp(struct bench *b, struct event *e, const char *person, int64_t revision);
/* The row that find and restart see. text: room that must live as long as the row. */
struct bench_row_text {
    char begun[36], finished[36], use_by[36];
    char tinted[BATCH_BITS * 96], foreign[BATCH_BITS * 96];
};
void bench_row(const struct batch *batch, struct store_batch *row, struct bench_row_text *text);
/* publish.c */
void bench_note_scale(struct bench *b);
void bench_publish_screen(struct bench *b);
/* Sends a screen if what a person sees has changed without an act; after a reading only where it can have. */
void bench_follow(struct bench *b);
void bench_follow_reading(struct bench *b);
/* Answers those who asked for the screen while it waited for the disk. */
void bench_show_all(struct bench *b);
void bench_publish_weight(struct bench *b);
/* notes.c */
void bench_disk(struct bench *b, const struct store_outcome *o);
void bench_keep(uv_timer_t *timer);
void bench_note_lift(struct bench *b, enum track_note note);
void bench_note_due(struct bench *b);
