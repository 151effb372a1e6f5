/* event.h - what happened at a station: the journal's words as values.
 *
 * decide.c makes an event from a command, the store writes it, fold.c applies it. An event carries what was decided
 * (grown by itself, over, how much was counted), so that a later version folds an old journal to the same cup.
 * Units   weights off the scale in integer micrograms, all else grams as double.
 */
#pragma once

#include "station/recipe.h"
#include "text/said.h"

#include <jansson.h>

enum event_kind {
    EVENT_BEGUN,    /* recipe, amounts, have */
    EVENT_CUP,      /* the cup as it stands was accepted */
    EVENT_ACCEPTED, /* a pour was counted */
    EVENT_TAKEN,    /* dip: what was really taken out */
    EVENT_REMEDY,
    EVENT_UNDONE,
    EVENT_RETARED,
    EVENT_TINT, /* a toner by eye was opened */
    EVENT_TIN,  /* the tin that is poured from was scanned: toner and lot */
    EVENT_HELD,
    EVENT_RESUMED,
    EVENT_NOTED,
    EVENT_FINISHED,
    EVENT_SCRAPPED,
    EVENT_KEPT,     /* noted alone: the last stable reading of an open step */
    EVENT_HARDENER, /* noted alone: the first reading of hardener */
    EVENT_LIFTED,   /* noted alone: the cup was lifted, or is back */
    EVENT_CLOCK,    /* noted alone: somebody set the clock of this computer, or it is wrong as the batch begins */
    EVENT_KINDS
};

enum event_remedy { REMEDY_NONE, REMEDY_GROW, REMEDY_DIP, REMEDY_LEAVE, REMEDY_AGAIN, REMEDY_RESCUE, REMEDY_KINDS };
enum event_short { SHORT_NO, SHORT_COUNTED, SHORT_LESS };

/* What the station allows and how fine it weighs; a snapshot, since the configuration may change under a batch. */
struct event_settings {
    double d_g, capacity_g; /* capacity NaN: not known */
    double range1_g, d2_g;  /* a multi-interval scale: above range1_g on the pan it is d2_g; NaN or 0: one interval */
    double tolerance_g, tolerance_pct, auto_grow_pct, error_pct;
    double repeatability_g, drop_g, drift_g; /* of one pour; NaN or 0: the usual ones (sure.c) */
    bool comma;                              /* decimal comma in what is shown */
};

/* What was in the cup already. */
struct event_have {
    char batch[24]; /* "" for a toner alone */
    double grams;
};

/* Cups of the shelf that mix an overpour right again. It is worked out when the overpour is accepted and journalled
 * with it: what a person is offered must not depend on what the shelf becomes meanwhile. */
#define EVENT_RESCUE_CUPS 4 /* nobody fetches more for one overpour */
struct event_rescue_cup {
    char batch[24];
    double grams;               /* to be poured of it */
    double left_g;              /* what it held then */
    double share[RECIPE_PARTS]; /* of each part of this batch's recipe, in a gram of it */
    size_t parts;               /* of them */
};
struct event_rescue {
    double take_g;                                  /* taken out of the whole cup first; 0: nothing */
    double total_g;                                 /* the colour that the batch then becomes */
    struct event_rescue_cup cup[EVENT_RESCUE_CUPS]; /* in the order of pouring: the oldest first */
    size_t cups;
};

/* An order or a person as typed: so many characters, four bytes each at most in UTF-8. */
#define EVENT_NAME_CHARACTERS 63
#define EVENT_NAME            (4 * EVENT_NAME_CHARACTERS + 1)
#define EVENT_HAVES           8
#define EVENT_CAUTIONS        6
#define EVENT_VERSION         2 /* of a body; one that bears none is version 1 */
/* The rules by which a batch is poured and folded; a batch keeps those it was begun by. 1: beginnings that name none.
 * 2: the same, by name. 3: a tolerance is never below half an interval and a small toner may err by error_pct; what
 * grew by itself stays grown; who poured to 0 to go on an edge is out of the maximum; an open step moves no aim. 4:
 * more of the base for a reducer or hardener is what the remedy promised, also where a toner stands high within its
 * tolerance. 5: what was right by one bench's tolerance does not ask at a finer one, nor what a dip left by a hair at
 * the next cup. 6: more of the base is asked of the toners that can still be poured; of a toner in two steps no more
 * than the whole lacks; what a dip took of a toner that ended on an edge is asked for; what a hold or a tint counted of
 * an open step, or a hold left of an overpour in mid-dip, is judged before it moves a total. A change of what is over,
 * under, grown or asked raises it, and keeps the old way beside it. */
#define EVENT_RULES 6

/* The whole of a beginning; only EVENT_BEGUN carries it. */
struct event_begun {
    char batch[24], order[EVENT_NAME], painter[EVENT_NAME], repeat_of[24];
    int coat_n; /* which coat of its order, from 1; 0: none was named */
    int edges;  /* of that coat its jambs and edges alone: 1, all but them: 2; 0: every panel */
    int rules;  /* EVENT_RULES as it was then */
    struct recipe recipe;
    double wanted_g, cup_ml, fill_pct, kind_tare_g; /* kind_tare_g: of the cup's kind, NaN not known */
    /* Ready to spray, as its panels were estimated without what earlier jobs teach; NaN: not begun by panels. */
    double estimate_g;
    double have_g[RECIPE_PARTS]; /* by part */
    struct event_have have[EVENT_HAVES];
    size_t haves;
    struct said caution[EVENT_CAUTIONS];
    size_t cautions;
};

struct event {
    enum event_kind kind;
    int64_t revision; /* the station's, after it; notes made alone repeat the present one */
    int64_t wall_ms, mono_ns;
    char boot[40];
    char station[RECIPE_ID];
    char person[EVENT_NAME];
    /* the weight behind it */
    bool has_weight;
    int64_t weight_ug, base_ug; /* the reading, and what the open step is counted from (before it) */
    bool stable;
    char raw[200]; /* the frame in hex */
    /* The scale it came from: "", "" and NaN where it is the one that the batch's last weighed event named. */
    char profile[48];
    char port[128];
    double d_g;
    /* accepted, taken, cup */
    double counted_g;
    char toner[RECIPE_ID]; /* counted for, where another tin was poured; or the tint */
    char lot[64];
    char cup[24];   /* poured out of this cup of the shelf, counted by what it holds; "": out of a tin */
    double shelf_g; /* by so much less is then on the shelf: more than counted where the cup is empty; NaN: no cup */
    char glance[EVENT_NAME]; /* accepted: the second person who looked; "": nobody */
    bool glance_counted;     /* and it was one of those that the painter still owed */
    enum event_short short_mode;
    double total_g; /* less: the new total; grow: the new total; leave: the agreed one; dip: E; NaN else */
    double grew_g;  /* grew by itself to; NaN: did not */
    bool edge;      /* on aim as the screen showed it, though past its tolerance by less than the scale shows */
    bool over;
    bool closed;     /* short for good, or a tint given up: nothing more is asked for it */
    bool mixed_lots; /* tin: some of the one scanned before stands in the open step, uncounted */
    bool tared;
    double tare_g;
    double evaporated_g; /* cup: what a held cup lost while it stood, off its reducer's count; NaN: nothing */
    /* remedy, retare, notes */
    enum event_remedy remedy;
    double take_g, lost_g;
    double jump_g; /* accepted: came at once, as no pour does (track.h); NaN: did not */
    bool lifted;
    int64_t low_ug, fall_ug;  /* lifted: as track.h */
    int64_t step_ms;          /* clock: how far it was set, on or back; 0: it is wrong, and nobody knows by how much */
    struct said said;         /* what the station did by itself or asks */
    char kept_as[RECIPE_ID];  /* finished: the toner that a premix is kept as; "": it is not */
    char kept_place[32];      /* and where it stands; "": nobody said */
    char text[256];           /* what a person typed: a note, why a batch was scrapped */
    struct recipe_part *part; /* tint or wrong tin not in the recipe: its data; owned by the event */
    struct event_begun *begun;
    struct event_settings *settings; /* begun, resumed */
    struct event_rescue *rescue;     /* offered where this event led to an overpour; NULL: none */
    unsigned holders;                /* histories that it stands in (batch.c) */
};

/* Whether undo folds it again: notes leave no trace in what it does. */
bool event_is_act(enum event_kind kind);
/* Whether such an event may lead to an overpour that asks: others in state over leave its offer as it is. */
bool event_may_ask(enum event_kind kind);
extern const char *const event_names[EVENT_KINDS];
extern const char *const event_remedy_names[]; /* by enum event_remedy, REMEDY_NONE is ""; ends with NULL */

/* All NaN and zero. */
void event_init(struct event *e, enum event_kind kind);
void event_finish(struct event *e);
/* Deep copy. False: no memory. */
bool event_copy(struct event *to, const struct event *from);

/* A beginning by today's rules with nothing in it: numbers NaN, counts and grams there already 0. NULL: no memory. */
struct event_begun *event_begun_new(void);

/* The body as the journal keeps it; what the store holds in columns of its own (kind, time, person, ...) is not in
 * it. NULL: no memory, or a text that is no UTF-8; then the act is refused, never written without its body.
 * event_read fills *e from a body of this or an earlier version; false: not a body of ours, or a later poised's. */
json_t *event_body(const struct event *e);
bool event_read(struct event *e, const char *kind, const json_t *body);

/* ---- for the event's own files ---- */

/* All NaN. */
void event_settings_init(struct event_settings *s);
/* A body of version 1 as one of version 2. NULL: no memory, or no object. A new reference. */
json_t *event_body_of_1(enum event_kind kind, const json_t *body);
