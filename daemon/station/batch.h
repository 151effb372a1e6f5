/* batch.h - one cup's worth as a fold of its events.
 *
 * Start here to understand a pour: decide.h turns a command into an event, batch_fold applies it, aims.h says what is
 * to be poured now, batch_record.h what is told of it; front/ makes the screen. Pure: no clock, no I/O; memory only for
 * its own history. Who writes each field: batch_fold and what it calls, nobody else.
 */
#pragma once

#include "station/event.h"
#include "station/track.h"

enum batch_state { BATCH_CUP, BATCH_POUR, BATCH_OVER, BATCH_DONE, BATCH_HELD, BATCH_FINISHED, BATCH_SCRAPPED };
enum batch_now { NOW_STEP, NOW_TAKE_OUT, NOW_TINT, NOW_CUP };

#define BATCH_BITS 16 /* tints, and wrong tins, that a batch remembers by toner */

/* A toner that came into the cup beside the recipe. */
struct batch_bit {
    char toner[RECIPE_ID];
    double grams; /* of it in the cup: poured, less what a dip or a loss took along */
};

/* A cup of the shelf that a rescue pours in: a step of its own. */
#define BATCH_CUPS 16 /* of all rescues of one batch */
struct batch_cup {
    char batch[24];
    double aim_g, poured_g;
    bool done; /* its accept has come */
};

struct batch {
    char id[24], station[RECIPE_ID], order[EVENT_NAME], painter[EVENT_NAME], repeat_of[24];
    int coat_n; /* which coat of its order, from 1; 0: none was named */
    int edges;  /* of that coat its jambs and edges alone: 1, all but them: 2; 0: every panel */
    struct recipe recipe;
    int rules; /* EVENT_RULES as it was when the batch was begun */
    struct event_settings set;
    enum batch_state state;
    double wanted_g; /* what a person last agreed to */
    double target_g; /* the T that the least total starts from: wanted, or what a dip, less or leave settled on */
    /* by step */
    double step_g[RECIPE_PARTS];    /* counted */
    bool step_poured[RECIPE_PARTS]; /* an accept counted for it */
    bool step_short[RECIPE_PARTS];  /* left short for good */
    /* by part */
    bool part_left[RECIPE_PARTS]; /* its error was accepted: out of the maximum until poured again */
    /* Accepted at 0 to go on the edge of its tolerance, at this total: likewise out of the maximum, and not asked for
     * again until the total grows. NaN: not. */
    double part_edge_g[RECIPE_PARTS];
    char part_lot[RECIPE_PARTS][96];
    struct {
        char toner[RECIPE_ID], lot[64];
    } tin;    /* scanned, and nothing counted of it yet; "": none. Its lot goes with the next accept of that toner */
    int open; /* index of the open step, -1: none */
    int over; /* index of the step that asks for a remedy, -1 */
    double over_total_g; /* the least total before that pour: T of the remedies */
    /* The step whose pour a hold or a tint counted without an accept: it moves no aim until it is judged, -1: none. */
    int unjudged;
    bool dip_held; /* a dip was held half-way: likewise each part that is still over, until the cup is back */
    enum batch_now now;
    /* what the open step asks: worked out once an act, since every reading asks for it */
    struct batch_asked {
        bool open;    /* something is asked; else the rest means nothing */
        bool running; /* the reading counts on top; false: it was accepted, and asks for a remedy */
        double aim_g, counted_g, tolerance_g; /* aim and tolerance NaN: none */
    } asked;
    /* Which scale an act named last, since the last undo: the next act on it need not name it again. port "": none. */
    struct batch_scale {
        char profile[48], port[128];
        double d_g;
    } scale;
    double take_g;                    /* NOW_TAKE_OUT: what shall come out */
    struct event_rescue rescue;       /* offered in state over, or under way; cups 0: none */
    bool rescuing;                    /* under way: taking out, then cup by cup; no part asks meanwhile */
    bool rescue_exact;                /* so far each act was as asked, within its tolerance */
    struct batch_cup cup[BATCH_CUPS]; /* of all rescues so far; the last rescue.cups of them are this one's */
    size_t cups, open_cup;            /* NOW_CUP: which is poured */
    struct recipe_part tint;          /* NOW_TINT */
    double cup_ml, fill_pct, kind_tare_g, tare_g; /* NaN: not known */
    double waste_g;
    double estimate_g;   /* what its panels were estimated at, ready to spray; NaN: not begun by panels */
    double evaporated_g; /* of its reducer, while it was held: emitted, and no longer in the cup */
    /* Kept for good, whatever the recipe becomes: a tint makes one of what is in the cup, wrong tins with it. */
    struct batch_bit tinted[BATCH_BITS], foreign[BATCH_BITS];
    size_t tints, foreigns;
    struct event_have have[EVENT_HAVES + BATCH_CUPS]; /* begun with, then the cups of rescues */
    size_t haves;
    struct said caution[EVENT_CAUTIONS];
    size_t cautions;
    struct said said; /* the last thing that the station did by itself, or what it asks */
    bool retired;     /* `again` was chosen: finished, and its cup is a leftover */
    bool glanced;     /* a second person has looked at a pour of it */
    bool hardened;    /* a toner of role hardener was tinted in: it counts as colour now, and activates all the same */
    int64_t
        hardened_ms; /* wall time of the first accept of hardener by mistake or by eye, 0: none; no pot life of it */
    int64_t hardener_ms; /* wall time of the first reading of hardener, 0: none yet */
    int64_t hardener_mono_ns;
    char hardener_boot[40];
    /* The clock while it was open: set at clock_ms, as it then stood (0: never), by the last step and by all together.
     */
    int64_t clock_ms, clock_step_ms, clock_shift_ms;
    bool clock_wrong; /* it was known to be wrong as the batch began */
    int64_t begun_ms, finished_ms;
    char scrap_why[256];
    /* What undo folds again. An event never changes once it has been folded, so copies of a batch hold the same ones.
     */
    struct event **history;
    size_t events, room;
    bool trial; /* batch_try: it has no history and takes none */
};

extern const char *const batch_state_names[];  /* as batch.get says: open, held, finished, scrapped */
extern const char *const screen_state_names[]; /* as the screen says: cup, pour, over, done, and idle for the rest */

/* Applies one event, the first being EVENT_BEGUN. t may be NULL (a record is read, no scale is there).
 * False: the event does not fit (a damaged journal), and neither *b nor *t is to be used; or there is no memory: then
 * *b is not, but *t has moved along. */
bool batch_fold(struct batch *b, struct track *t, const struct event *e);
void batch_init(struct batch *b);
void batch_finish(struct batch *b);
/* A copy that lives on its own, with the history. Both must be of one thread. False: no memory. */
bool batch_copy(struct batch *to, const struct batch *from);
/* A copy to try an event on, other than an undo, or counts: it owns nothing, so there is nothing to finish. Parts that
 * the recipe has no use for are not copied: each reading of a pour tries some twenty times. */
void batch_try(struct batch *to, const struct batch *from);
/* Wall time until which the activated mix may be used, by the clock that stood then; 0: not activated, or no pot life.
 */
int64_t batch_use_by_ms(const struct batch *b);
/* How weights of this batch are shown: to the scale's interval, with the shop's decimal sign. */
struct number_style batch_number_style(const struct batch *b);
/* The toner that is poured now, by step or by eye; NULL: none, or paint is being taken out, or comes from a
 * cup of the shelf. */
const char *batch_open_toner(const struct batch *b);
/* The lot of the tin that was scanned for this toner; "": none was, or it bears no lot. */
const char *batch_tin_lot(const struct batch *b, const char *toner);
/* Leaves the scale out of an event that would name the one named last: a batch of ten pours says it once. */
void batch_scale_left_out(const struct batch *b, struct event *e);
/* Whether the cup holds hardener. */
bool batch_activated(const struct batch *b);

/* ---- for fold.c, fold_accept.c and who judges what an event would lead to (decide_accept.c) ---- */

/* Opens what is to be poured next, or is done. */
void fold_settle(struct batch *b);
/* Counts what was in the cup already, grams by part. */
void fold_have(struct batch *b, const double have_g[RECIPE_PARTS]);
/* What the station grew to by itself stays agreed to, through everything that follows. */
void fold_grown(struct batch *b, const struct event *e);
/* The first colour step that is over at a total, -1: none. What goes on top is judged at its own accept alone. */
int fold_find_over(const struct batch *b, double total_g);
/* The same of a cup that came back: of what goes on top the step that a hold counted, -1: none, is looked at as well.
 */
int fold_cup_over(const struct batch *b, int judged, double total_g);
/* What a hold or a tint counted of a step (-1: none) was judged: it is poured if it wants no more, and edge says that
 * it ended on the edge of its tolerance in this total. */
void fold_judged(struct batch *b, int step, bool edge, double total_g);
/* Asks for a remedy for this step; step -1 asks nothing. */
void fold_ask(struct batch *b, int step, double total_before_g);
/* Asks for whatever is still over at the present total. */
void fold_ask_again(struct batch *b);
/* What is asked now, for batch.asked. */
struct batch_asked fold_asked_of(const struct batch *b);
/* Adds a lot to those that a part was poured from; "": nothing. */
void fold_lot(struct batch *b, int part, const char *lot);
/* Which tin stands at the scale. False: no step takes from a tin. */
bool fold_tin(struct batch *b, const struct event *e);
/* Adds grams of a toner to a list of what the batch remembers; a toner beyond its room is left out. */
void fold_remember(struct batch_bit list[BATCH_BITS], size_t *count, const char *toner, double grams);
/* Hardener comes into paint that asks for none: the isocyanate caution stands first from now on. */
void fold_caution(struct batch *b, const struct recipe_part *part);
/* Puts an act at the end of the history, and the scale that it names beside it. held: the event itself where a history
 * of this thread holds it; NULL: it is copied. False: no memory. batch.c */
bool batch_remember(struct batch *b, const struct event *e, struct event *held);
/* What the event offers for the overpour that it led to; NULL: nothing. */
void fold_offer(struct batch *b, const struct event_rescue *offer);
/* ---- fold_rescue.c ---- */
/* The rescue that was offered is begun: paint out first, or the first cup. False: nothing was offered. */
bool fold_rescue_begin(struct batch *b, const struct event *e);
/* Grams out of the open cup; the step stays open. */
void fold_rescue_count(struct batch *b, double grams);
/* The taking out is over; enough: the first cup follows, else the rescue ends and what is over asks again. */
void fold_rescue_taken(struct batch *b, bool enough);
/* An accept in state pour with NOW_CUP. */
bool fold_cup_accepted(struct batch *b, struct track *t, const struct event *e);
/* Given up; cups that were not poured are no steps any more. */
void fold_rescue_end(struct batch *b);
/* What asks once the last cup is in: as fold_find_over, but a stranger goes first, since no growth takes it in. */
int fold_rescue_over(const struct batch *b, double total_g);
/* Counts a toner that was poured while something else was asked for. False: the recipe is full. fold_accept.c */
bool fold_tin_meanwhile(struct batch *b, const struct event *e);
/* Counts a tint and takes the shares anew from what is in the cup. False: the recipe is full. */
bool fold_tinted(struct batch *b, const struct event *e);
bool fold_accepted(struct batch *b, struct track *t, const struct event *e);
