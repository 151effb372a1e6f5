/* store.h - the shop's journal and what is known from it, in one SQLite file.
 *
 * One writer thread owns the only connection that writes (WAL, synchronous=FULL); all writes that wait when a sync
 * begins share it. Reads that are short run on the loop over a read-only connection, all others as tasks on helper
 * threads (below). The store knows no station: an event's body is text to it, kept, chained by hash and given back in
 * order. Units   times are RFC 3339 text, mono_ns is CLOCK_BOOTTIME. Owner   store_submit copies all it is given. Rows
 * given to a reader's callback live until it returns. Thread  Every function here belongs to the loop's thread; `done`
 * is called there too (uv_async). Errors  A refused write (full, read-only) leaves no trace and the store goes on; a
 * write whose outcome is unknown (I/O error, failed sync) makes the store dead: it acknowledges nothing more and `dead`
 * is called, the daemon exits 74 and recovers by replay.
 */
#pragma once

#include "fault.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <uv.h>

struct store;

/* What a look-up came to. Not found and not readable are never the same: a caller that asks == STORE_FOUND alone must
 * have a good reason to take what could not be read for what is not there. */
enum store_found {
    STORE_NONE,   /* read, and not there */
    STORE_FOUND,  /* read, and handed out */
    STORE_UNREAD, /* could not be read (store_why): a damaged or failing disk, or no memory */
    STORE_LATE    /* the look-up took longer than it was given (struct store_find), and was ended */
};

enum { STORE_NUMBER = 24, STORE_TIME = 40, STORE_SHOP = 40 }; /* room for a batch's number, a time, a shop's id */

/* One thing that happened. Text members may be NULL where not known. */
struct store_event {
    int64_t seq;         /* set by the store: 1, 2, ... */
    const char *kind;    /* `begun`, `accepted`, ... ; for the catalogue `toner.put` ... */
    const char *station; /* NULL for what belongs to no station */
    const char *batch;   /* decimal text, or NULL */
    int64_t revision;    /* the station's revision after it; -1 where none */
    const char *time;    /* wall, RFC 3339 */
    int64_t mono_ns;
    const char *boot; /* which start of the kernel mono_ns belongs to */
    const char *person;
    const char *client;  /* what sent it: a program's name and how it came */
    const char *request; /* the client's request id, unique for ever; NULL for what the daemon noted alone */
    const char *method;
    const char *version; /* of this software */
    const char *body;    /* compact JSON, never NULL or empty: such a write is refused whole */
    char hash[65];       /* set by the store: SHA-256 hex over the hash before and every field above */
};

/* A batch as find and restart see it. Written whole each time. */
struct store_batch {
    const char *batch;   /* decimal text */
    const char *state;   /* open, held, finished, scrapped */
    const char *station; /* where it is or was last */
    const char *formula, *name, *variant, *coat, *order, *painter, *place;
    const char *begun, *finished; /* RFC 3339 or NULL */
    double total_g, left_g;       /* NaN: not known */
    const char *use_by;           /* activated: RFC 3339, else NULL */
    int activated;                /* 1: holds hardener; 0; -1: not known (a row of schema 1) */
    const char *tinted, *foreign; /* JSON lists of {"toner","grams"}, or NULL */
    const char *weighed;          /* when its cup was weighed back, RFC 3339; NULL: never */
    int coat_n;                   /* which coat of its order, from 1; 0: none was named */
    double cost;                  /* of what the cup held when it was finished; NaN: a price is missing */
    double discarded_g;           /* thrown away since; NaN: nothing */
    bool anew;                    /* writing: also what stands there already; reading: false */
};

/* The kind of the shop's repair orders. `order` was taken: the catalogue keeps the sequence of its ids under it. */
#define STORE_JOB "job"
/* What an order that is not closed is about. */
#define STORE_OPEN "open"
/* What a painter's job used beside what it was estimated at (bench/learnt.h); an order is a job too, and no such thing.
 */
#define STORE_LEARNT "learnt"

/* A thing of the catalogue: kind `toner`, `formula`, `product`, `cup`, `panel`. body NULL removes it. */
struct store_item {
    const char *kind, *id;
    int64_t revision; /* 0: the store gives the next one; reading: the one it has */
    const char *time, *reason;
    const char *source; /* hash of the file section it was read from; NULL for a put */
    const char *body;   /* JSON object; NULL: removed */
    const char *text;   /* words to find it by (id, name, ...) */
    const char *about;  /* of a card its formula, of a job its painter and coat; NULL: nothing. Not handed out again */
};

/* The last steady reading of a station's open step. One row a station, overwritten each time, outside the chain and the
 * revisions: it tells nothing that happened, only how far a pour had come if the power goes. */
struct store_kept {
    const char *station;
    const char *batch; /* decimal text: whose step it was */
    int64_t seq;       /* set by the store: the journal's last event when it was kept; later ones came after it */
    const char *body;  /* compact JSON, never NULL or empty */
};

/* Grams out of a cup of the shelf, into another batch. */
struct store_take {
    const char *batch; /* decimal text */
    double grams;
};

/* Paint of a shelf cup that an order was touched up with. */
struct store_touch {
    const char *batch, *order, *time;
    double grams;
};

/* Grams into (or, below 0, out of) the shop's tins of a toner. */
struct store_move {
    const char *toner;
    const char *lot; /* NULL: of the tin that is in use, the one opened last, else the oldest */
    const char *day; /* YYYY-MM-DD */
    double grams;
    bool used; /* a pour: it counts as use of that day, and only where the toner was ever counted or received */
};

/* A tin of a toner and what is in it; lot "" where none was named, opened the day of its first pour or NULL. */
struct store_tin {
    const char *toner, *lot, *opened;
    double grams; /* below 0: more was poured than was ever counted or received */
};

struct store_stir {
    const char *toner, *time;
};

/* Who works at a station. */
struct store_sign {
    const char *station, *painter; /* painter NULL: nobody any more */
    const char *time;
};

struct store_write {
    const struct store_event *events;
    size_t event_count;
    const struct store_batch *batches;
    size_t batch_count;
    const struct store_item *items;
    size_t item_count;
    const struct store_take *takes;
    size_t take_count;
    const struct store_move *moves;
    size_t move_count;
    const struct store_stir *stirs;
    size_t stir_count;
    const struct store_touch *touch; /* NULL: none */
    const struct store_sign *sign;   /* NULL: none */
    const struct store_kept *kept;   /* NULL: none. It may come alone: then the journal does not grow */
    /* request NULL: nothing to answer a repeat with. The first event is kept with this request and method, and with the
     * answer beside it; a write with a request and no event gets one of kind `answered`. */
    const char *request, *method;
    /* JSON given again to a repeated request, or STORE_AGAIN; with a request never NULL or empty */
    const char *answer;
};

/* In place of an answer: it follows from the journal and is made again by folding to that event (store_acted). A screen
 * for each act would take twice the room of all else. */
#define STORE_AGAIN "again"

enum store_result {
    STORE_DONE,     /* on disk */
    STORE_REPEATED, /* that request was answered before: answer and method say how; nothing was written */
    STORE_FULL,     /* refused: no space. Nothing was written, the store goes on */
    STORE_READONLY, /* refused: not writable. Nothing was written, the store goes on */
    STORE_REFUSED,  /* refused: an event without a body, or a request without an answer (no memory). Nothing was written
                     */
    STORE_DEAD      /* outcome unknown, or the store is dead already */
};

struct store_outcome {
    enum store_result result;
    const char *answer, *method;   /* STORE_REPEATED */
    int64_t first_seq;             /* of the events written */
    const int64_t *item_revisions; /* as many as items, in order */
    const char *why;               /* SQLite's or the system's words, for the log */
};
typedef void store_done(void *arg, const struct store_outcome *outcome);

/* Opens or makes DIR (mode 0700; made where only the last part is missing) and takes its lock. Blocks; for start only.
 * NULL: *fault is FAULT_NOT_PERMITTED with why `busy` (another poised holds it: exit 75) or FAULT_STORE (exit 74).
 * dead(arg, why) is called at most once, on the loop. */
struct store *store_open(uv_loop_t *loop, const char *dir, void (*dead)(void *arg, const char *why), void *arg,
                         struct fault *fault);
/* Queues one atomic write. done is always called later, on the loop, in the order of submission. */
void store_submit(struct store *s, const struct store_write *write, store_done *done, void *arg);
/* Finishes what is queued, joins the thread; closed() is called when the memory is gone. */
void store_close(struct store *s, void (*closed)(void *arg), void *arg);

/* The start is over: what only it read is let go. From now on what cannot be read is logged; before, the caller tells
 * it in its own one line. */
void store_serve(struct store *s);
/* Why the last look-up that could not be read could not. Lives until the next. */
const char *store_why(struct store *s);
/* The same as a refusal for who asked: -32007 `io`. Always false, so that a caller may return it. */
bool store_say_unread(struct store *s, struct fault *fault);
/* How many look-ups could not be read so far. Whoever does many, and takes what is not there for an answer, compares
 * before and after: what could not be read is not an answer. */
uint64_t store_unread(struct store *s);
/* Counts what a caller could not take in, though it was read: no memory for it. */
void store_lost(struct store *s);

/* ---- reading: on the loop, each bounded; what grows with the shop belongs into a task (below) ---- */
/* First answer of a request, both malloc'd (caller frees); NULL unless found. */
enum store_found store_answer(struct store *s, const char *request, char **answer, char **method);
/* The event that a request came to: its batch is what the answer tells of. Of two that were written together, where a
 * batch ends and the next begins, the beginning. */
enum store_found store_acted(struct store *s, const char *request, void (*each)(void *arg, const struct store_event *e),
                             void *arg);
/* Calls each() for every event of a batch in order; stops when it returns false. False: could not be read. */
bool store_events(struct store *s, const char *batch, bool (*each)(void *arg, const struct store_event *e), void *arg);
/* The same of those after `seq`. */
bool store_events_since(struct store *s, const char *batch, int64_t seq,
                        bool (*each)(void *arg, const struct store_event *e), void *arg);
/* The newest `count` before number `seq` (0: of all), newest first, without kept readings. */
bool store_events_before(struct store *s, const char *batch, int64_t seq, int count,
                         bool (*each)(void *arg, const struct store_event *e), void *arg);
/* The number of a batch's last event. */
enum store_found store_last_event(struct store *s, const char *batch, int64_t *seq);
/* What was kept last of a station's open step; each() called at most once. */
enum store_found store_kept_get(struct store *s, const char *station,
                                void (*each)(void *arg, const struct store_kept *k), void *arg);
/* The last revision of a station; 0 unless found. */
enum store_found store_revision(struct store *s, const char *station, int64_t *revision);
/* The open batch of a station; "" unless found. Looks twice, without an index too, and walks
 * the chain from that batch's first event on: for start. */
enum store_found store_open_batch(struct store *s, const char *station, char batch[STORE_NUMBER]);
/* The highest batch number ever given; 0 unless found. */
enum store_found store_last_batch(struct store *s, int64_t *last);
/* Whether any batch of the shop is held, for somebody to go on with: STORE_FOUND or STORE_NONE. */
enum store_found store_any_held(struct store *s);
/* Both times of the last event of a batch, and the start of the kernel that mono_ns is of: for start. */
struct store_moment {
    char time[40], boot[40];
    int64_t mono_ns;
};
enum store_found store_last_moment(struct store *s, struct store_moment *out);
/* Events of kind `checked` (a check weight was put on a scale), oldest first: of the days from and to (YYYY-MM-DD,
 * inclusive) and of a station, each NULL: any. Stops when each() returns false. False: could not be read. */
bool store_weight_checks(struct store *s, const char *station, const char *from, const char *to,
                         bool (*each)(void *arg, const struct store_event *e), void *arg);
/* The last of them at a station before event `seq` (0: of all); each() called at most once. */
enum store_found store_last_weight_check(struct store *s, const char *station, int64_t seq,
                                         void (*each)(void *arg, const struct store_event *e), void *arg);
/* The numbers of the batches of which something was weighed at a station after the check weight `seq` and before the
 * next one there, rising. Takes as long as the journal between the two is. False: could not be read. */
bool store_weighed_after(struct store *s, const char *station, int64_t seq, void (*each)(void *arg, const char *batch),
                         void *arg);
/* The time of the journal's first event; "" unless found. */
enum store_found store_begun(struct store *s, char time[STORE_TIME]);
/* One batch row; each() called at most once. */
enum store_found store_batch_get(struct store *s, const char *batch,
                                 void (*each)(void *arg, const struct store_batch *b), void *arg);
/* The shop's own id, 32 hexadecimal digits. */
enum store_found store_shop(struct store *s, char id[STORE_SHOP]);

struct store_find {
    const char *text; /* words, all must begin a word of code, name, order, painter, place or be the batch's number */
    const char *order, *formula, *variant, *coat, *painter, *place; /* exact, NULL: any */
    const char *from, *to;                                          /* YYYY-MM-DD inclusive by the day begun */
    const char *state;                                              /* NULL: any */
    int limit;                                                      /* 1 to 1000 */
    const char *after;                                              /* `next` of the page before, NULL: the newest */
    /* How long it may work, 0: as long as it takes. That is time of the processor, so that a busy machine refuses no
     * quick question; by the clock it may be five times that. */
    int most_ms;
};
/* Newest first: by number, which rises. `next` is "" where there is no more. STORE_FOUND: the page was given, though it
 * may be empty. STORE_LATE: it took too long, and part of the page was given. STORE_NONE: no such search (limit or
 * after makes no sense, or text has more than 32 words). */
enum store_found store_batch_find(struct store *s, const struct store_find *f,
                                  void (*each)(void *arg, const struct store_batch *b), void *arg,
                                  char next[STORE_NUMBER]);
/* Whether a search by its words, its number and its day leads to a batch's row. */
enum store_found store_batch_listed(struct store *s, const struct store_batch *b, bool *listed);
/* Batches of which the journal has events and that have no row; it walks through all of the journal's index. False:
 * could not be read. */
bool store_batches_missing(struct store *s, void (*each)(void *arg, const char *batch), void *arg);
/* The present (revision 0) or a given revision of an item. */
enum store_found store_item_get(struct store *s, const char *kind, const char *id, int64_t revision,
                                void (*each)(void *arg, const struct store_item *i), void *arg);
/* The id of a present item that differs from this one in the case of ASCII letters alone. It looks at all ids of the
 * kind, but at nothing else of them: some 5 ms for 50,000. */
enum store_found store_item_other_case(struct store *s, const char *kind, const char *id, char *out, size_t size);
/* Ids of a kind that may be meant where one was typed that there is not: some thousands at most, however many the shop
 * has, since it is asked on the loop. One may come twice. False: could not be read. */
bool store_item_ids(struct store *s, const char *kind, const char *beside, void (*each)(void *arg, const char *id),
                    void *arg);
struct store_item_page {
    const char *kind;
    const char *text;  /* words that must all begin a word of the item's text; NULL: any */
    const char *after; /* the id that the page before ended with; NULL: from the first */
    int limit;         /* 0: all */
    int most_ms;       /* of looking for them, without what each() takes; 0: as long as it takes */
    bool *late;        /* set where that was too little, and part was given; NULL where most_ms is 0 */
};
/* Present items in the order of ids (bytewise). False: could not be read, or more than 32 words. */
bool store_item_page(struct store *s, const struct store_item_page *page,
                     void (*each)(void *arg, const struct store_item *i), void *arg);
/* All of a kind; text as above. */
bool store_item_list(struct store *s, const char *kind, const char *text,
                     void (*each)(void *arg, const struct store_item *i), void *arg);
/* ---- the shop's day (day_find.c) ---- */

struct store_shelf {
    const char *formula, *place; /* NULL: any */
    const char *due;             /* a day: only cups whose use-by lies before it, or activated ones; NULL: all */
    int limit;
    const char *after; /* `next` of the page before, NULL: the oldest */
    int most_ms;       /* as of store_find: then part was given, and the answer is STORE_LATE */
};
/* Finished cups with something left, or put on the shelf and never weighed back; oldest first. */
enum store_found store_shelf_page(struct store *s, const struct store_shelf *f,
                                  void (*each)(void *arg, const struct store_batch *b), void *arg,
                                  char next[STORE_NUMBER]);
/* The batches that were mixed for the coats of an order, by number. False: could not be read. */
bool store_order_batches(struct store *s, const char *order, void (*each)(void *arg, const struct store_batch *b),
                         void *arg);
/* What an order was touched up with, in order of time. */
bool store_touch_ups(struct store *s, const char *order, void (*each)(void *arg, const struct store_touch *t),
                     void *arg);
struct store_newest {
    const char *kind;
    const char *text;  /* as in store_item_page */
    const char *about; /* only what is about this; NULL: any. Where very many are, others come too */
    int64_t after;     /* the place of the last one of the page before; 0: from the newest */
};
/* Items of a kind, the one first put last coming first. place: of the first put, for `after`. Stops when each() returns
 * false. False: could not be read, or more than 32 words. */
bool store_item_newest(struct store *s, const struct store_newest *q,
                       bool (*each)(void *arg, const struct store_item *i, int64_t place), void *arg);
/* Items of a kind that are about something (a formula's spray-out cards), the newest revision first. Stops when each()
 * returns false. */
bool store_items_about(struct store *s, const char *kind, const char *about,
                       bool (*each)(void *arg, const struct store_item *i), void *arg);
/* The highest number that an item of a kind has for its id; 0: none. */
enum store_found store_item_last_number(struct store *s, const char *kind, int64_t *last);
/* The tins of a toner (NULL: of all), by toner and then in the order in which they came. */
bool store_tins(struct store *s, const char *toner, void (*each)(void *arg, const struct store_tin *t), void *arg);
/* Grams poured of a toner since a day, and the day of the first of these pours ("": none). */
enum store_found store_toner_used(struct store *s, const char *toner, const char *from, double *grams, char first[16]);
/* When a toner was stirred last; "" unless found. */
enum store_found store_stirred(struct store *s, const char *toner, char time[STORE_TIME]);
/* Who is signed in at a station, and when somebody was there last; "" unless found. */
enum store_found store_signed_in(struct store *s, const char *station, char *painter, size_t size);
enum store_found store_seen(struct store *s, const char *painter, char time[STORE_TIME]);

/* The number and hash of the last event (0 and the chain's beginning of an empty journal): what must stand outside the
 * file too (label, backup, export), else a cut tail goes unnoticed. False: could not be read. */
bool store_head(struct store *s, int64_t *seq, char head[65]);
/* Walks the whole chain. True: whole, and head (65 bytes) is its end; else *bad_seq is the first event whose hash does
 * not follow, 0: could not be read. Takes as long as the journal is: for small ones and tests, else store_check. */
bool store_verify(struct store *s, int64_t *bad_seq, char head[65]);

/* ---- tasks: reads that must not hold up the loop ----
 *
 * A task is the first member of a larger struct that holds what is asked and, later, what was found. Three lanes run
 * beside each other on helper threads, each one task at a time and in order, each with one read-only connection that
 * stays open: what a screen waits for never stands behind a report, nor a report behind a backup. All that one task
 * reads is of one moment.
 * Owner   The struct is the caller's; it must live until end() is called, which is always called.
 * Thread  run() on a helper thread: it touches its own struct and the view, and nothing else. All else on the loop. */
enum store_lane {
    STORE_QUICK, /* what a person waits for: a record, a search */
    STORE_SLOW,  /* reports and long lists */
    STORE_WHOLE, /* what reads the whole file: a copy, a check */
    STORE_LANES
};

struct store_task {
    struct store_task *next;
    struct store *store; /* whose it is */
    /* The view answers the reading functions above (store_events ... store_head) and no others. */
    void (*run)(struct store_task *t, struct store *view);
    void (*end)(struct store_task *t);
};

/* Queues it. run and end are set by the caller. */
void store_task_start(struct store *s, enum store_lane lane, struct store_task *t);
/* Whether the store is being closed: run() should then end early. Any thread. */
bool store_task_stopping(const struct store_task *t);

/* ---- long work, on a helper thread; done is called later, on the loop, also when the store is closed meanwhile ----
 */
/* whole: the chain and the file are sound, seq and head are the last event's. Else bad_seq is the first event whose
 * hash does not follow, 0: the file itself is damaged, or could not be read to its end, -1: there was no memory to find
 * out. */
typedef void store_checked(void *arg, bool whole, int64_t bad_seq, int64_t seq, const char *head);
/* False: no memory, done is not called. */
bool store_check(struct store *s, store_checked *done, void *arg);
/* fault NULL: done, seq and head are those of the last event in the copy, whose chain was walked. */
typedef void store_copied(void *arg, const struct fault *fault, int64_t seq, const char *head);
/* Copies what is on disk now to FILE, while writing goes on: under another name, synced, then named. FILE is a whole
 * path and not there yet (FAULT_INVALID). False: *fault says why, done is not called. */
bool store_backup(struct store *s, const char *file, store_copied *done, void *arg, struct fault *fault);
