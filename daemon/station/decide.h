/* decide.h - a command against a batch: the event that follows from it, or why not.
 *
 * Pure. The shell (bench/) has checked request and revision, and that the scale is live where a weight is taken; it
 * fills in the event's time, person, raw frame and revision afterwards.
 * Errors  *fault as fault.h; the contract's section 5 tells which.
 */
#pragma once

#include "fault.h"
#include "station/batch.h"
#include "station/shade.h"

enum command_kind {
    COMMAND_ACCEPT,
    COMMAND_UNDO,
    COMMAND_REMEDY,
    COMMAND_RETARE,
    COMMAND_TINT,
    COMMAND_TIN,
    COMMAND_HOLD,
    COMMAND_NOTE,
    COMMAND_FINISH,
    COMMAND_SCRAP
};

/* Weights of the empty cups that the shop has, as its catalogue tells them. None: any weight may be a cup. */
#define CUP_TARES 64
struct cup_tares {
    double g[CUP_TARES];
    size_t count;
};

struct command {
    enum command_kind kind;
    enum event_short short_mode;
    bool tared;
    bool sure;                    /* a doubtful cup all the same */
    const struct cup_tares *cups; /* accept in state cup; NULL: not known */
    char lot[64];
    char really[RECIPE_ID];   /* "" : the open step's own toner; a tin: the toner that is in it */
    char line[16];            /* a tint: the toner's line; "": not known */
    struct recipe_part *part; /* data of `really` or of a tint's toner; NULL where it is in the recipe or unknown */
    enum event_remedy remedy;
    char glance[EVENT_NAME];    /* accept: the second person who looked; "": nobody */
    char keep[RECIPE_ID];       /* finish: a premix becomes this toner; "": it does not */
    char place[32];             /* and stands there */
    double uncounted_g, lost_g; /* NaN: left out */
    char text[256];
};

enum decision {
    DECIDED,
    REFUSED,
    NOT_YET /* the weight moves: ask again with the next reading, for up to 3 s */
};

enum decision decide(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                     struct fault *fault);
/* Whether what stands there is likely no empty cup, said with its figures: another thing, or something added to it. */
bool decide_doubts(const struct batch *b, const struct track *t, const struct cup_tares *cups, struct said *said);
/* Grams that the reducer of a cup which was held has lost while it stood, by the present reading; in state cup, else 0.
 * 0 as well where more is gone than evaporation explains. */
double decide_evaporated_g(const struct batch *b, const struct track *t);
/* From which pour of the open step on, in micrograms, an accept takes it as enough, and a smaller batch can be made of
 * it. INT64_MAX: from none. For who shows what may be done: between two marks the answers stay the same. */
void decide_marks(const struct batch *b, int64_t *enough_ug, int64_t *less_ug);
/* Grams of the open pour above which an undo is refused. */
double decide_uncounted_g(const struct batch *b);
/* Whether the command takes a weight off the scale, so that the scale must be live. */
bool command_weighs(const struct batch *b, const struct command *c);
/* What a beginning says of what is in the cup already: a toner that no total makes right, the total that one too many
 * of it forces, reducer beyond what is wanted; else which half of an order's coat it is. Nothing where there is nothing
 * to say. */
struct said decide_begin_said(const struct batch *b);
/* What the tracker must know of the batch. */
void batch_track_context(const struct batch *b, struct track_context *c);

/* ---- remedies.c: what can be done about an overpour, with what each costs; of a batch in state over ----
 *
 * Units   grams, millilitres, the shop's currency; NaN: not known. Lists run in the order of the steps, a toner named
 *         twice at its first step. */

struct remedy {
    bool possible;
    double total_g;   /* colour alone */
    double volume_ml; /* ready to spray, with reducer and hardener that are still to come: what must fit the cup */
    double waste_g;
    double spent_g, cost; /* beyond the plan without error: paint from the shelf, and its price */
    const char *why;      /* NULL: it fits; else `cup`, `scale`, `foreign` */
    double add_g[RECIPE_PARTS];
    struct shade shade; /* what the cup then looks like beside its formula */
};

struct batch_remedies {
    struct remedy grow, dip, leave;
    double take_g;
    double deviation_pct[RECIPE_PARTS]; /* leave; NaN: null */
    double foreign_pct;
    char ratio[64]; /* leave in hardener: the ratio that results; "" else */
    bool again;
    double again_cost;
    const struct remedy *nearest; /* the one that fits and looks least off, of grow, dip and leave; NULL: not known */
    struct remedy
        rescue; /* by cups of the shelf, where the overpour's event offers them; possible: and it is cheaper */
    double rescue_take_g;
};

void batch_remedies(const struct batch *b, struct batch_remedies *out);
/* Grams are poured out of the open cup: counted for it, or with `really` for the toner. decide_rescue.c */
enum decision decide_cup_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                              struct fault *f);
/* What a rescue that is chosen says first: how much to take out, or which cup to pour. */
struct said decide_rescue_said(const struct event_rescue *r);
/* Tries the accept *e on a copy of b and writes into it what follows (over, grown, what to say). step is what it counts
 * for; -1: the whole cup, or a wrong tin, which the copy puts last. False: no memory. decide_accept.c */
bool decide_judge(const struct batch *b, struct event *e, int step);
/* Opens a toner by eye, and counts what was poured of it; with `really` of another toner. decide_tint.c */
enum decision decide_tint(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                          struct fault *f);
enum decision decide_tint_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                               struct fault *f);
/* What goes with an overpour: `over toner over_g`, or `over_foreign toner in_cup_g`. */
struct said batch_over_said(const struct batch *b);

/* ---- for decide*.c ---- */

/* Refuses with what *f says; the state stands beside it. */
enum decision decide_refuse(struct fault *f, const struct batch *b);
/* Refuses a pour that is too small, with how much lacks in grams, never below 0: a client says it without a sum of its
 * own. nothing: nothing was poured at all. */
enum decision decide_too_little(const struct batch *b, struct fault *f, double short_g, bool nothing);
/* Grams in the cup of the open step that no accept counted yet; 0: none, or less than the scale surely shows. */
double decide_open_pour_g(const struct batch *b, const struct track *t);
/* The weight that the event stands on. */
void decide_weight(struct event *e, const struct track *t);
enum decision decide_accept(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f);
