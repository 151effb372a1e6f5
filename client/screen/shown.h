/* shown.h - what the daemon sent, in C: the screen of the bench (shown.c), and the answers that the pages beside it
 * show (lists.c).
 *
 * shown_read() makes a struct of the JSON of a `screen` (contract sections 5 and 5a), under the protocol's own names.
 * It decides nothing: the next move, the moves that are open, the verdicts and the troubles stand in the JSON, and what
 * is only shown is read from it when it is drawn. What is null there is NAN, "" or NULL here. An answer is kept as it
 * came (struct lists) and read when it is drawn. Pure but for memory.
 *
 * Owner   A struct shown and a struct lists hold a reference to their JSON; texts and acts point into it, shown_finish
 *         and lists_finish let it go. */
#pragma once

#include "client/member.h"
#include "text/said.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SHOWN_STEPS = 72, SHOWN_TEXT = 256 };

enum bench_state {
    BENCH_IDLE, /* no batch */
    BENCH_CUP,  /* an empty cup is awaited */
    BENCH_POUR, /* a step is open, or paint is taken out */
    BENCH_OVER, /* too much was accepted: a remedy is awaited */
    BENCH_DONE, /* nothing is left to pour */
};
enum step_state {
    STEP_NEXT,  /* still to come */
    STEP_NOW,   /* open */
    STEP_AGAIN, /* open, and poured before */
    STEP_DONE,  /* asks for nothing more */
};
enum verdict {
    VERDICT_NONE,    /* not poured yet */
    VERDICT_ON_AIM,  /* within its tolerance */
    VERDICT_SHORT,   /* closed without the rest */
    VERDICT_OVER,    /* waits for its remedy */
    VERDICT_LEFT,    /* over, and left so */
    VERDICT_FOREIGN, /* not in the formula */
    VERDICT_TINTED,  /* added by eye */
};
enum cue {
    CUE_NONE, /* nothing to pour, or no weight to say it by */
    CUE_POUR, /* far off */
    CUE_EASE, /* pour slower */
    CUE_STOP, /* what is in the air will fill it */
    CUE_OK,   /* on aim */
    CUE_OVER, /* past the tolerance */
};
enum scale_state {
    SCALE_LIVE,
    SCALE_STALE,   /* the port is there and says nothing */
    SCALE_ABSENT,  /* the port is not there */
    SCALE_SEEKING, /* what it speaks is being found out */
};
enum next_kind {
    NEXT_HAND,   /* the hand must do something first */
    NEXT_KEY,    /* Enter does it */
    NEXT_CHOOSE, /* one of the moves is to be chosen */
    NEXT_WAIT,   /* nothing can be done but wait */
};

struct shown_step {
    const char *toner, *name; /* toner: of a cup from the shelf its number */
    bool shelf_cup;           /* poured out of a cup of the shelf */
    double aim_g;             /* NAN: nothing is known yet */
    double poured_g;          /* NAN or 0: nothing was poured */
    double to_go_g;           /* what was not counted of it yet; NAN: nothing is asked */
    double deviation_pct;     /* off its aim; NAN: not known */
    const json_t *looks;      /* a said: what that looks like; NULL: nothing to tell */
    enum step_state state;
    enum verdict verdict;
};

/* The open step by the last reading; a `weight` note moves the last four on. */
struct shown_now {
    bool open;      /* there is an open step */
    bool take_out;  /* the taking out after a dip: no toner, aims below 0 */
    bool shelf_cup; /* poured out of a cup of the shelf: `toner` is its number */
    const char *toner, *name;
    const char *lot;                     /* of the tin that was scanned; "": none was */
    double aim_g, tolerance_g;           /* NAN: by eye (a tint) */
    double in_cup_g, to_go_g, landing_g; /* landing: in cup if the hand stops now; NAN: not known */
    enum cue cue;
};

struct shown {
    json_t *held; /* the JSON itself */
    enum bench_state state;
    int64_t revision; /* of the bench; ascends with each act */
    int64_t settings; /* ascends with each change of a setting: daemon.info is then read anew */
    const char *batch, *formula, *name, *variant, *coat, *order, *painter, *currency;
    const char *signed_in; /* who works here; "": nobody said */
    size_t step;           /* from 1; 0: none open */
    size_t n_steps;        /* at most SHOWN_STEPS: what is beyond is not shown */
    struct shown_step steps[SHOWN_STEPS];
    struct shown_now now;
    enum next_kind next;
    const json_t *next_said, *next_act, *second_said, *second_act; /* NULL: none */
    bool next_looks, second_looks;                                 /* a second person must look first, and be named */
    double next_in_s;                                              /* so long until it accepts by itself; NAN: never */
    const json_t *moves, *cautions, *facts, *remedies, *sure;      /* as sent */
    const json_t *said, *trouble, *fix;                            /* saids; NULL: none */
    double colour_g, spray_g, spray_ml, cup_ml;                    /* `fill` */
    const char *part;                                              /* what colour_g is of; "": colour */
    double pot_left_s;                                             /* as of sending; NAN: no pot life runs */
    bool activated;                                                /* hardener is in: pot_left_s NAN is not known */
    bool lifted;
    enum scale_state scale;
};

/* An empty one: idle, nothing known. */
void shown_init(struct shown *b);
/* Fills *b from a screen. False, with *b left alone, where the JSON is not an object with a state that is known. What
 * *b held before is the caller's to finish. */
bool shown_read(struct shown *b, json_t *screen);
void shown_finish(struct shown *b);

/* The move of a method whose params hold `key` with that text, or true (value NULL), or which asks for it; key NULL:
 * whichever comes first. NULL: it is not among this state's moves. */
/* `400 g colour`, or of a product's part, and what is to spray where it is known (NAN: it is not). */
struct said shown_amounts(const char *part, double total_g, double spray_ml);
const json_t *shown_move(const struct shown *b, const char *method, const char *key, const char *value);
bool shown_is_open(const json_t *move);
/* True where something was counted for a step. */
bool shown_poured(const struct shown_step *step);

/* The printed name of a state or cue to its value; false, and nothing changed, for another. */
bool shown_scale_state(const char *name, enum scale_state *state);
bool shown_cue(const char *name, enum cue *cue);

/* A said or an act, NULL where it is not. */
const json_t *shown_object(const json_t *object, const char *key);
/* The sentence of a said (NULL: none) by its code, or for a code that this program does not know its English. Returns
 * buf. */
const char *shown_said(const json_t *said, enum words_language language, const struct number_style *style, char *buf,
                       size_t size);

/* ---- lists.c: what the pages beside the pour show ---- */

enum list_kind {
    LIST_TODAY,    /* batch.find, newest first */
    LIST_FORMULAS, /* formula.list of the text that is written */
    LIST_PRODUCTS, /* product.list */
    LIST_TONERS,   /* toner.list */
    LIST_SCALES,   /* scale.list */
    LIST_RECORD,   /* batch.get of the batch that is done */
    LIST_LABEL,    /* its label's text: batch.label of no copies */
    LIST_HELD,     /* batch.find of the held ones, however old */
    LIST_FOUND,    /* batch.find of the text that is written */
    LIST_BATCH,    /* batch.get of the open record */
    LIST_PLAN,     /* mix.plan of what is written, or why nothing can be planned */
    LIST_WORKOFF,  /* mix.workoff of the same, or of the coat that waits */
    LIST_INSTEAD,  /* toner.substitute of the open step's toner */
    LIST_PANELS,   /* panel.list */
    LIST_CUPS,     /* cup.list */
    LIST_CHECK,    /* the check weight's last reading */
    LIST_DRIFT,    /* how the empty pan drifts, or why it was not watched */
    LIST_SEEK,     /* what a port speaks, or why it was not sought */
    LIST_ORDERS,   /* order.list */
    LIST_ORDER,    /* order.get of the open order */
    LIST_LAYERS,   /* mix.plan of the open order, or why nothing can be planned */
    LIST_CARDS,    /* card.match of the open coat, or card.list */
    LIST_SHELF,    /* shelf.list */
    LIST_DUE,      /* the same of what must go */
    LIST_STOCK,    /* stock.list of what must be ordered */
    LIST_PEOPLE,   /* people.list */
    LIST_SETTINGS, /* settings.list */
    LIST_LEARNT,   /* learn.end: how the practice went */
    LIST_WANTED,   /* no answer: the formula, product or batch that is to be mixed */
    LIST_KINDS
};

struct lists {
    json_t *answer[LIST_KINDS];
    char today[12]; /* YYYY-MM-DD */
};

/* Keeps the answer in place of an older one. */
void lists_keep(struct lists *l, enum list_kind kind, json_t *result);
void lists_finish(struct lists *l);
/* Lines of a record: its parts, the reducer, facts and cautions. */
size_t lists_record_lines(const json_t *batch);
/* Which day is today, by the shop's own wall clock in seconds. */
void lists_day(struct lists *l, int64_t wall_s);

/* The first coat of an order that nobody has mixed, NULL: all are; the n-th order that has one, NULL beyond the last.
 */
const json_t *lists_next_coat(const json_t *order);
const json_t *lists_waiting(const struct lists *l, size_t n);
/* True of an order, false of a batch: an idle bench lists both. */
bool lists_is_order(const json_t *one);
/* What an idle bench offers, the n-th: orders that wait for a coat, then batches that wait or were finished today,
 * newest first, then those that were held longer ago; NULL beyond the last. True: a batch can be taken up again. */
const json_t *lists_batch(const struct lists *l, size_t n);
bool lists_waits(const json_t *batch);
size_t lists_batches(const struct lists *l);
/* When it was finished, `10:51`; "" while it is not. When it was begun, `2026-11-25 10:51`. */
enum { CLOCK_HOUR = 6, CLOCK_DAY = 17 };
void lists_finished(const json_t *batch, char hour[CLOCK_HOUR]);
void lists_begun(const json_t *batch, char day[CLOCK_DAY]);
/* An activated cup: whether it is one, until what hour it can be used (false: not known), and whether that is past.
 * wall_s: now, in seconds of the shop's own wall clock, as the daemon's times are. */
bool lists_activated(const json_t *batch);
bool lists_use_by(const json_t *batch, char hour[CLOCK_HOUR]);
bool lists_past_use(const json_t *batch, int64_t wall_s);
/* Its variant where it is another than the standard one, which says nothing in a list; else "". */
const char *lists_other_variant(const json_t *batch);

/* The n-th of what the text names: a batch by its number, formulas, the products whose id or name holds the text (any
 * case), then batches. NULL beyond the last. */
const json_t *lists_match(const struct lists *l, const char *text, size_t n);
size_t lists_matches(const struct lists *l, const char *text);
/* True where the first match is surely meant: a batch by its number, the only colour, or the only one at all. */
bool lists_meant(const struct lists *l, const char *text);
bool lists_is_product(const json_t *match);
bool lists_is_batch(const json_t *match);
/* The number in `1042`, `#1042` or `POISE:1042`; NULL where the text is no number. */
const char *lists_number(const char *text);
/* Keeps a copy of what is to be mixed: a match, or of a batch the colour that it was mixed by. */
void lists_want(struct lists *l, const json_t *match);
void lists_want_colour_of(struct lists *l, const json_t *batch);
/* The product whose hardeners and reducers a coat of what is wanted takes; NULL: none. */
const json_t *lists_product_of(const struct lists *l, const json_t *wanted, const char *coat);
/* What a colour, a product or a toner is called by; "" where it is NULL. */
const char *lists_id(const json_t *one);
/* The coats of a match, and the variants of one of them. A product has one coat, its role, and no variants. */
size_t lists_coats(const json_t *match);
const char *lists_coat(const json_t *match, size_t coat);
size_t lists_variants(const json_t *match, size_t coat);
const char *lists_variant(const json_t *match, size_t coat, size_t variant);

/* The n-th toner whose id or name holds the text, and how many there are. */
const json_t *lists_toner(const struct lists *l, const char *text, size_t n);
size_t lists_toners(const struct lists *l, const char *text);
/* The n-th scale, and behind the scales the ports that none uses (they have no `station`). */
const json_t *lists_scale(const struct lists *l, size_t n);
