/* bench_parts.h - the inside of a bench, shared by the files of this folder only.
 *
 * Reading   the port calls bench.c; the tracker moves, the cue is judged, publish.c tells the watchers, commit.c keeps
 *           what a restart would need, and an accept that waits is tried (turns.c). Nothing of this waits for the disk.
 * Act       a call joins the row (turns.c), is decided at its turn, tried on a copy, written (commit.c), and only then
 *           folded into the live batch, answered and shown. While it is being written no other act runs.
 * Arrows    bench.c knows all files here; turns.c knows commit.c and publish.c; commit.c comes back by go_on; everybody
 *           may ask bench_state.c.
 * Memory    the bench is freed with its last handle (open_handles): four timers, the port, each write on its way, each
 *           label that is being printed. So no callback ever finds it gone.
 */
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
    struct rpc_call *call;  /* answered exactly once, by the turn or by the act made of it */
    json_t *params;         /* a copy: the transport's own live until the method returns */
    struct command command; /* TURN_COMMAND: what is to be decided */
    enum turn_kind { TURN_COMMAND, TURN_BEGIN, TURN_RESUME } kind;
    char request[65]; /* unique for ever in the journal */
    int labels;       /* a finish: to be printed then */
    bench_then *then;
};

/* What is being written: one or two events of one act. */
struct bench_act {
    struct bench *bench;
    struct rpc_call *call; /* waits for the disk */
    struct event event[2]; /* owned; two where a batch ends and another begins */
    size_t events;
    struct batch *after;                 /* the batch as it will be, already folded once to try it; NULL: idle */
    json_t *screen;                      /* as it will be; NULL: nobody asked */
    char *answer;                        /* the same as text; NULL: no memory either */
    int64_t batch_number;                /* given to a new batch, 0: none */
    struct store_take take[EVENT_HAVES]; /* out of cups of the shelf; their numbers are the events' */
    size_t takes;
    char request[65];
    int labels;
    bench_then *then;
};

struct practice; /* practice_parts.h */

struct bench {
    struct practice *practice;           /* nothing is written, and a simulated hand pours; NULL: a real bench */
    struct daemon *daemon;               /* outlives the bench */
    const struct config_station *config; /* in daemon->config */
    struct batch *batch;                 /* owned; NULL: idle */
    int64_t revision;                    /* acts on disk; a call must name it */
    /* each reading touches these, and the head of track */
    int64_t read_ms;                /* loop time of the last weight */
    enum port_state scale;          /* as its port told it last */
    enum mix_cue cue;               /* of the last reading; kept, since leaving `ease` asks for more than entering it */
    bool writing;                   /* an act is on its way to the disk; no other may begin */
    const struct bench_act *act;    /* that one; NULL: none, or a note */
    bool waiting;                   /* turn[0] is an accept that waits for a steady weight */
    enum front_limit limit;         /* the scale's own over, under, error */
    struct settle settle;           /* whether the weight stands, as a screen shows it */
    size_t frame_len, bare_len;     /* bytes of frame, and of bare; 0: a weight came since */
    uint8_t frame[SCALE_FRAME_MAX]; /* that the last weight came in */
    struct track track;             /* what counts as poured */
    struct mix_flow flow;           /* how fast it runs, and where it will land */
    struct jump jump;               /* what came at once, as no pour does */
    int glances;                    /* batches of the painter's that a second person must still look at */
    char signed_in[EVENT_NAME];     /* who works here; "": nobody said */
    struct {
        bool running, stopped; /* stopped by a key or a touch */
        bool due;              /* it is over: the pour is to be taken now */
        int in_s;              /* whole seconds left, so that a screen goes out once each; 0: none runs */
        int64_t since_ms;      /* read_ms of the reading that it began with */
        int64_t at_ug;         /* what stood there when it began, or was stopped */
        int64_t revision;      /* then */
    } count;                   /* to an accept by itself (by_itself.c) */
    /* the scale */
    struct port *port;              /* owned; NULL: not opened, or lent to a search */
    void (*lent)(void *arg);        /* the port is closing, to be lent */
    void *lent_arg;                 /* handed to it */
    struct scale_profile *declared; /* the shop's own family, as long as the port; NULL: a built-in one */
    uv_timer_t patience;            /* an accept waits up to 3 s for a steady weight */
    uv_timer_t slow;                /* keep the last reading; look what only time changes */
    int open_handles;               /* what must come back before the memory goes; see bench_back */
    void (*closed)(void *arg);      /* told then */
    void *closed_arg;
    bool closing;                  /* nothing new begins; what comes back is let go */
    struct said why;               /* why the scale is not live, as its port says it; nothing said: it is */
    char scale_why[256];           /* the same in a line of English */
    char profile[48];              /* the family in force, as found out or named */
    uint8_t bare[SCALE_FRAME_MAX]; /* the last frame that bore no weight */
    /* the turn */
    void (*go_on)(struct bench *b);        /* bench.c: a write has come back, what waited for it may run */
    struct bench_turn turn[BENCH_WAITING]; /* the first is at work, the others wait */
    size_t turns;
    /* noted alone */
    struct keep keep;        /* what a restart would find of the open step */
    bool lift_due, lift_now; /* a lift or a return is to be noted, and which of them */
    bool hardener_due;       /* the first hardener is in the cup and not on its way yet */
    struct event hardener;   /* on its way to the disk where hardener_writing */
    bool hardener_writing;
    bool clock_due;                          /* the clock was set, or is wrong: to be noted of the batch */
    int64_t clock_due_ms;                    /* by so much */
    struct event clock;                      /* the same on its way to the disk */
    struct rpc_call *looking[BENCH_LOOKING]; /* asked for the screen meanwhile */
    size_t lookers;
    bool note_failed;     /* logged once each way */
    struct said printing; /* why the last label was not printed */
    struct {
        struct front_key key;     /* of the last reading that was looked at */
        uint64_t clock;           /* front_clock_key of the last second */
        struct front_marks marks; /* of the batch as it stands at... */
        int64_t marks_of;         /* ...this revision; -1: of none yet */
        uint64_t hash;            /* of the last screen sent */
        int64_t at_ms;            /* loop time of it */
        uv_timer_t timer;         /* a screen that is due within SHOW_MS */
    } shown;
    struct cup_tares cups;    /* of the catalogue, while a cup is waited for */
    enum front_disk disk;     /* how the last write went */
    struct bench_check check; /* scale_check.h */
};

/* An act of words: no weight is behind it, so what flows, what came at once and the cue go on. */
static inline bool bench_act_weighs(enum event_kind kind)
{
    return kind != EVENT_NOTED && kind != EVENT_TIN;
}

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
/* A scale's trouble as a refusal (FAULT_SCALE): what ails it and what helps. */
bool bench_fault_said(struct fault *f, const char *why, const struct said *said, const struct said *help);
/* The fault of an act that needs a weight, without one: why, and what fixes it. False always. */
bool bench_not_live(const struct bench *b, struct fault *f);
/* ---- glance.c: the second person ---- */

/* Reads how many glances the batch's painter still owes; for a batch that begins here, and whenever that may change. */
void bench_read_glances(struct bench *b);
/* Whether the open pour may be accepted only with a second person's name. */
bool bench_glance_due(const struct bench *b);
/* Puts who looked into an accept. False: *f, `glance`: nobody did, or the painter alone, or nobody of that name works
 * here. */
bool bench_glance(const struct bench *b, const struct command *c, struct event *e, struct fault *f);
/* What an act changes of what the painter owes, as an item to be written with it; the body is malloc'd. False: nothing.
 */
bool bench_glance_item(const struct bench *b, const struct event *e, const char *time, struct store_item *item,
                       char **body);
/* ---- by_itself.c: `accept_after_s` ---- */

/* Each reading begins, goes on with or ends the count; before anything is shown. */
void bench_count_reading(struct bench *b);
/* A key or a touch: the station does not accept by itself until the weight moves or somebody acts. */
void bench_count_stop(struct bench *b);
/* ---- turn_checks.c ---- */

/* The request of a call. False: *f, none, or not of 1 to 64 printable ASCII characters. */
bool bench_read_request(const json_t *params, char out[65], struct fault *f);
/* Whether the first turn names the present revision, or may leave it out. False: *f. */
bool bench_revision_holds(const struct bench *b, struct fault *f);
/* ---- turns.c ---- */

/* An accept with nobody to answer: its event is by `station`. Refused, the count stops as by a key. */
void bench_accept_by_itself(struct bench *b);

/* Runs the row until an act is being written or an accept waits. */
void bench_next_turn(struct bench *b);
/* A reading came, or the scale changed its state: the accept that waits may be decided now. */
void bench_try_waiting(struct bench *b);
/* Refuses all that wait; for the end. */
void bench_drop_turns(struct bench *b, const struct fault *why);
/* rescue_offer.c: an act that leads to an overpour of colour first waits for what cups of the shelf could do about it;
 * then(), later, with the offer in the act's event and batch. False: nothing is to be waited for. */
typedef void bench_offered(struct bench *b, struct bench_act *act, const struct track *track);
bool bench_offer_rescue(struct bench *b, struct bench_act *act, const struct track *track, bench_offered *then);
/* Whether the cups that were offered still hold so much: another bench may have poured from them. False: *fault. */
bool bench_rescue_stands(struct bench *b, struct fault *fault);
/* commit.c: writes the act; takes all it owns. */
void bench_write(struct bench *b, struct bench_act *act);
/* bench_act.c: an act of a turn, with no event yet. NULL: no memory, and the call is still the turn's. */
struct bench_act *bench_act_new(struct bench *b, struct bench_turn *turn);
/* One that was not written. */
void bench_act_free(struct bench_act *act);
/* Answers the call of one that is on disk; the call stays where there was no memory for the answer. */
void bench_act_answer(struct bench_act *act);
/* Fills what every event carries: time, station, revision, weight's frame. */
void bench_stamp(struct bench *b, struct event *e, const char *person, int64_t revision);
/* stock_taken.c: what an act pours out of a cup of the shelf, below 0: what it gives back. False: nothing. The number
 * is the batch's own text. */
bool bench_cup_taken(const struct batch *before, const struct event *e, struct store_take *take);
/* stock_taken.c: what an act pours out of tins, or (below 0 poured) gives back: how many moves. Their texts are the
 * batches' and the event's; day must live as long. */
size_t bench_stock_taken(const struct batch *before, const struct batch *after, const struct event *e, const char *day,
                         struct store_move moves[RECIPE_PARTS]);
/* publish.c */
/* The scale went live, silent or away, or says why it has no weight: told to all who watch. */
void bench_note_scale(struct bench *b);
/* The whole screen, now. */
void bench_publish_screen(struct bench *b);
/* Sends a screen if what a person sees has changed without an act; after a reading, and with the clock, only where it
 * can have. */
void bench_follow(struct bench *b);
void bench_follow_reading(struct bench *b);
void bench_follow_clock(struct bench *b);
/* Answers those who asked for the screen while it waited for the disk. */
void bench_show_all(struct bench *b);
/* The reading that has just come, with what follows from it. */
void bench_publish_weight(struct bench *b);
/* What needs a look each second has begun. */
void bench_look_soon(struct bench *b);
/* The tracker's note of a reading: a cup lifted or put back is journalled. */
void bench_note_lift(struct bench *b, enum track_note note);
/* Writes what was noted while an act was being written. */
void bench_note_due(struct bench *b);
/* A look at the clock, and what it found noted of this bench's batch. */
void bench_note_clock(struct bench *b);

/* ---- clock_step.c ---- */

/* Whether somebody set the clock since the last look; if so, that is journalled, and due to be noted of each open
 * batch (bench_note_due). */
void bench_look_at_clock(struct daemon *d);
