/* model.h - all that a page is drawn from.
 *
 * Who writes what: model_screen, model_weight, model_scale (notes of the daemon), act.c (keys and answers), run.c
 * (`linked` alone). Everybody else reads. page.c makes a page from it, keys.c and sill.c say what a key would do.
 * Time    comes in as a struct moment; nothing here asks a clock, so a test is a list of notes and moments.
 * Truth   A weight counts as live for half a second after it was weighed; then it greys, at one second it is dead,
 *         whatever the daemon said last. What a dead weight would say is never shown as a figure that looks live. */
#ifndef POISE_CLIENT_SCREEN_MODEL_H
#define POISE_CLIENT_SCREEN_MODEL_H

#include "client/screen/bench.h"
#include "client/screen/lists.h"
#include "client/screen/words.h"

enum {
    GREY_MS = 500,        /* a weight older than this greys */
    DEAD_MS = 1000,       /* and than this is dead */
    STOP_STAYS_MS = 800,  /* `stop`, once shown, so that the block never flickers */
    ENTER_QUIET_MS = 400, /* Enter is ignored so long after the page changed */
    LIST_OPEN_MS = 8000,  /* + opens the whole formula for so long */
    SENT_SHOWN_MS = 200,  /* a move that is answered sooner does not change the sill */
    DROWSY_MS = 600000,   /* idle and untouched for so long: only the clock */
    FOOT_MS = 10000,      /* an answer stays on the footnote line, if no key comes first */
    FORGET_MS = 60000,    /* no last weight is told of a port that has been gone so long */
};

struct moment {
    int64_t ms;     /* monotonic */
    int64_t wall_s; /* seconds of the local wall clock */
};

enum life { LIFE_LIVE, LIFE_GREY, LIFE_DEAD };

enum page {
    PAGE_BENCH,
    PAGE_CONTENTS,
    PAGE_FIND,
    PAGE_AMOUNT,
    PAGE_TONER, /* a toner for a tint, or of another tin */
    PAGE_WRITE, /* a note, a lot */
    PAGE_TIN,   /* the tin in hand: its lot, another toner, make less */
    PAGE_SCRAP,
    PAGE_SCALES,
};

enum purpose { FOR_TINT, FOR_REALLY, FOR_NOTE, FOR_LOT };
enum amount_line { AMOUNT_GRAMS, AMOUNT_ML, AMOUNT_ORDER, AMOUNT_PAINTER, AMOUNT_LINES };

enum { WEIGHT_RING = 64, WRITE_ROOM = 120, FOOT_ROOM = 300 };

struct weight {
    bool known;
    bool none; /* the scale answers, but with no weight: over, under, an error */
    double g;
    int stable;               /* 1, 0, or -1: the scale does not say */
    int64_t at_ms, at_wall_s; /* when it was weighed */
    struct {
        double g;
        int64_t at_ms;
    } ring[WEIGHT_RING]; /* the last ones, for the flow; cleared where the step changes */
    size_t ring_n;
};

struct view {
    enum page page;
    enum purpose purpose;
    int choice;           /* a digit chosen in the open line: remedy, contents, reason to scrap; 0: none */
    size_t line;          /* the open line of a list, from 0; idle: 0 is none, from 1 */
    size_t coat, variant; /* of the open match */
    bool writing;         /* a field has the caret: keys write */
    char text[WRITE_ROOM];
    char fields[AMOUNT_LINES][WRITE_ROOM]; /* what is written on the page `how much` */
    struct match wanted;                   /* the colour that page is about */
    char repeat[BENCH_ID];                 /* or the batch that is mixed again; "" */
    char lot[BENCH_ID];                    /* for the next accept */
    int copies;                            /* of the label, 1 to 9 */
    int64_t changed_ms;                    /* when the page last became another */
    int64_t list_until_ms;                 /* the whole formula is open until then */
    size_t list_from;
    int64_t touched_ms; /* the last key */
};

struct model {
    struct words words;
    char currency[8];
    char station[BENCH_ID];
    bool linked;     /* the daemon is reached */
    bool relinked;   /* since the last screen: the next one holds, whatever its revision */
    bool has_screen; /* a screen was read since the link was made for the first time */
    struct bench bench;
    enum scale_state scale; /* the newest word on it: screen, weight or scale note */
    char scale_why[BENCH_TEXT], scale_cause[BENCH_ID];
    int64_t scale_since_s; /* wall time of its last change */
    double capacity_g;     /* NAN: not known */
    double base_g;         /* by eye: what the scale read with none of this toner in; NAN: not known */
    int64_t screen_ms;     /* when the screen came */
    struct weight weight;
    enum cue cue; /* as shown; stop stays for a while */
    int64_t stop_ms;
    struct {
        bool waiting; /* a move is under way and unanswered */
        int64_t since_ms;
    } sent;
    char foot[FOOT_ROOM]; /* an answer to the last key; "" where there is none */
    bool foot_rubric;
    int64_t foot_ms; /* when it was first drawn; 0: not yet */
    bool bell;       /* ring once, then clear it */
    struct view view;
    size_t n_batches, n_formulas, n_matches, n_toners, n_scales, n_cups;
    struct batch_line batches[LIST_BATCHES];
    struct match matches[LIST_MATCHES];
    struct toner_line toners[LIST_TONERS];
    struct scale_line scales[LIST_SCALES];
    struct cup_line cups[LIST_CUPS];
    struct record record;
    struct label_lines label;
};

/* An empty model: no link, nothing known. */
void model_init(struct model *m, const char *station, bool utf8, struct moment now);

/* The notes `screen`, `weight` and `scale`. An older screen (a lower revision) changes nothing.
 * False: not such a note. */
bool model_screen(struct model *m, const json_t *screen, struct moment now);
bool model_weight(struct model *m, const json_t *note, struct moment now);
bool model_scale(struct model *m, const json_t *note, struct moment now);

/* Time has passed: the cue and what stays for a while. Called before each drawing. */
void model_tick(struct model *m, struct moment now);

enum life model_life(const struct model *m, struct moment now);
/* The newest weight of this open step. To go is the aim to d less the reading, so that it reaches exactly 0; while the
 * cup is lifted, or without a reading, what the station said last. NAN: by eye, or not known. */
double model_to_go_g(const struct model *m);
double model_in_cup_g(const struct model *m);
/* To go when what is in the air has landed; NAN where nothing is falling. */
double model_landing_g(const struct model *m, struct moment now);
/* The open step among the steps, or NULL. */
const struct bench_step *model_open_step(const struct model *m);
/* Opens a page: nothing chosen, nothing written. */
void model_open_page(struct model *m, enum page page, struct moment now);
/* The footnote that answers a key. Rubric: a refusal or a fault. */
void model_say(struct model *m, bool rubric, const char *text);

#endif
