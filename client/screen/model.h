/* model.h - all that a page is drawn from.
 *
 * Who writes what: model_screen, model_weight, model_scale (notes of the daemon), act.c (keys and answers), loop.c
 * (`linked` alone). Everybody else reads. page.c makes a page from it, keys.c and footline.c say what a key would do.
 * Time    comes in as a struct moment; nothing here asks a clock, so a test is a list of notes and moments.
 * Truth   What a bench shows is decided by the daemon (shown.h). A client alone knows how old its last note is: a
 *         weight counts as live for half a second, then it greys, at one second it is dead, whatever was said last. */
#pragma once

#include "client/screen/shown.h"

enum {
    GREY_MS = 500,        /* a weight older than this greys */
    DEAD_MS = 1000,       /* and than this is dead */
    STOP_STAYS_MS = 800,  /* `stop`, once shown, so that the block never flickers */
    ENTER_QUIET_MS = 400, /* Enter waits so long after the page changed: nobody has read it yet */
    LIST_OPEN_MS = 8000,  /* + opens the whole formula for so long */
    SENT_SHOWN_MS = 200,  /* a move that is answered sooner does not change the foot line */
    DROWSY_MS = 600000,   /* idle and untouched for so long: only the clock */
    FOOT_MS = 10000,      /* an answer stays on the footnote line, if no key comes first */
    SHOWN_MS = 2000,      /* a refusal stays so long at least, whatever comes */
    FORGET_MS = 60000,    /* no last weight is told of a port that has been gone so long */
};

struct moment {
    int64_t ms;     /* monotonic */
    int64_t wall_s; /* seconds of the local wall clock */
};

/* How far the last weight can be believed. */
enum life {
    LIFE_LIVE, /* newer than GREY_MS, of a scale and a link that are there */
    LIFE_GREY, /* newer than DEAD_MS: no cue is given by it */
    LIFE_DEAD, /* it is told with its time, and cannot be acted on */
};

enum page {
    PAGE_BENCH,  /* the state's own page */
    PAGE_MENU,   /* what can be done, by digit */
    PAGE_FIND,   /* a colour or a product to begin, or a batch to look at */
    PAGE_RECORD, /* one batch: what was poured, and what can be done with it */
    PAGE_AMOUNT, /* how much of it, for whom, what is in the cup already */
    PAGE_PANELS, /* the same by what is to be painted */
    PAGE_TONER,  /* a toner for a tint, or of another tin */
    PAGE_WRITE,  /* a note, a lot */
    PAGE_TIN,    /* the tin in hand: its lot, another toner, make less */
    PAGE_SCRAP,  /* why the batch is scrapped */
    PAGE_RETARE, /* the cup as it stands now: what of it was not counted, what was lost */
    PAGE_SCALES, /* all benches' scales, and ports that none uses */
    PAGE_SCALE,  /* one of them: check weight, empty pan, what it speaks */
    PAGE_CHECK,  /* a check weight is led */
    PAGE_SHOP,   /* the shop's pages while a batch is open: the same digits as in the menu of an idle bench */
    /* Those below are lists of the day (entry.h), or belong to one. */
    PAGE_ORDERS,     /* open orders, newest first */
    PAGE_ORDER,      /* one of them: its coats */
    PAGE_ORDER_FORM, /* a new order, or more coats of the open one */
    PAGE_ORDER_HEAD, /* whose the open order is, until when, by which card */
    PAGE_COAT,       /* a coat of it: what can be done with it */
    PAGE_COAT_FORM,  /* what that coat takes */
    PAGE_PANEL,      /* one panel of a form: its area, a blend, its edges */
    PAGE_LAYERS,     /* all coats of the open order planned at once */
    PAGE_CARDS,      /* spray-out cards of a coat, or of the shop */
    PAGE_CARD,       /* one is kept */
    PAGE_SHELF,      /* cups that are left */
    PAGE_CUP,        /* one of them */
    PAGE_PLACE,      /* where it stands, and until when it can be used */
    PAGE_WEIGH,      /* it is weighed back */
    PAGE_ROUND,      /* what must go, what must be ordered */
    PAGE_PEOPLE,     /* who works here */
    PAGE_SETTINGS,   /* of shop and benches */
    PAGE_PRACTICE,   /* which mishap shall be practised */
    PAGE_LEARNT,     /* how the practice went */
};

/* What a page that is written on is for: the move that takes it. */
enum purpose {
    FOR_TINT,      /* a toner to add by eye */
    FOR_REALLY,    /* the toner that was poured by mistake */
    FOR_NOTE,      /* a note on the batch */
    FOR_LOT,       /* the lot of the tin in hand, kept for the next accept */
    FOR_CHECK,     /* what the check weight weighs */
    FOR_PERSON,    /* a new name */
    FOR_VALUE,     /* of a setting */
    FOR_RECEIPT,   /* grams of a tin that came in */
    FOR_COUNT,     /* grams that were counted of a toner */
    FOR_GLANCE,    /* who looked at the pour, kept for its accept */
    FOR_VARIANT,   /* the name under which a tint is kept */
    FOR_LEARNER,   /* who practises */
    FOR_HAND_POUR, /* grams that the hand of a practice pours */
    FOR_HAND_TAKE, /* and that it takes out */
};
/* The lines of the pages that are forms (form.h), in the order that + goes. */
enum form_line {
    FORM_ORDER,
    FORM_PAINTER,
    FORM_VEHICLE,
    FORM_DUE,     /* a day */
    FORM_FOLLOWS, /* the spray-out card that an order follows */
    FORM_COLOUR,  /* whose coats an order gets */
    FORM_COATS,   /* choices that are taken or not */
    FORM_COAT,    /* a choice */
    FORM_VARIANT, /* a choice */
    FORM_GRAMS,
    FORM_ML,
    FORM_PANELS,     /* leads to a page of its own */
    FORM_MIDS,       /* how many mid coats */
    FORM_FILM,       /* dry film of one coat, um */
    FORM_TRANSFER,   /* how much reaches the panel, % */
    FORM_LOSS,       /* what cup and hose keep, mL */
    FORM_CONTROL,    /* a choice: half a coat more */
    FORM_SHELF,      /* a cup of just this colour, to be poured from instead: leads to its page */
    FORM_PREMIX,     /* of toners that are too small for the scale, to be made first: begins it */
    FORM_WORKOFF,    /* cups of the shelf that could go into it: takes them as what is in the cup */
    FORM_HAVE,       /* a cup by its code; or several, each with its grams */
    FORM_HAVE_G,     /* and how much of the one is in the cup */
    FORM_PRODUCT,    /* a choice: what a colour is mixed with */
    FORM_HARDENER,   /* a choice */
    FORM_REDUCER,    /* a choice */
    FORM_CUP,        /* a choice: its kind */
    FORM_POUR_ORDER, /* a choice */
    FORM_UNCOUNTED,
    FORM_LOST,
    FORM_PANEL_COATS, /* of one panel */
    FORM_PANEL_AREA,  /* m2; empty: that of its kind */
    FORM_PANEL_SHARE, /* %, for a blend; empty: all of it */
    FORM_PANEL_EDGES, /* % of its area that its jambs and edges are; empty: none are painted */
    FORM_SEEN,        /* of a card, by digits: whether it matched, in which lights */
    FORM_CARD_COATS,
    FORM_CARD_MIDS,
    FORM_CARD_NOTE,
    FORM_PLACE,
    FORM_USE_BY, /* a day */
    FORM_LINES
};

enum {
    WRITE_ROOM = 120, /* bytes of what is written */
    FOOT_ROOM = 400,  /* of a footnote */
    NAME_ROOM = 256,  /* of a name of the shop's: 60 characters of four bytes */
    PANELS_ROOM = 64, /* kinds of panels that are offered */
};

struct weight {
    bool known;
    bool none;    /* the scale answers, but with no weight: over, under, an error */
    bool settled; /* it stands: what weighs something takes it only then */
    double g;
    int64_t at_ms, at_wall_s; /* when it was weighed */
};

/* A `weight` note as it was read (note.h); NAN: not known. */
struct weighing {
    bool has_state; /* a state that is known */
    enum scale_state state;
    double g, age_ms;
    bool pours; /* a step is open, and the figures below are of it */
    double to_go_g, in_cup_g, landing_g;
    enum cue cue;
    bool settled;
};

/* What of a panel is painted. */
struct part {
    unsigned char coats, edge_coats;     /* of its outside, of its jambs and edges; 0: none */
    double area_m2, share_pct, edge_pct; /* 0: nothing was written */
};

/* What is only of this screen: which page is open, what is chosen and written on it. The daemon knows nothing of it,
 * and two screens at one bench differ in it. */
struct view {
    enum page page;                    /* the open one */
    enum purpose purpose;              /* of PAGE_TONER and PAGE_WRITE */
    int choice;                        /* a digit chosen in the open line: remedy, menu, reason to scrap; 0: none */
    size_t line;                       /* the open line of a list, from 0; idle: 0: no line, from 1 */
    bool writing;                      /* a field has the caret: keys write */
    char text[WRITE_ROOM];             /* the field of every page that is no form */
    char form[FORM_LINES][WRITE_ROOM]; /* what is written on a form; order and painter stay for the next one */
    size_t chosen[FORM_LINES];         /* of its choices, from 0; coat and variant also of the open match */
    struct part parts[PANELS_ROOM];    /* of each panel of LIST_PANELS, what is painted */
    bool parts_changed;                /* since the page was opened that they belong to */
    size_t part;                       /* the one whose page is open */
    enum page parts_of;                /* the form that they belong to */
    const char *as;                    /* of a batch mixed again: poured, corrected; NULL: LIST_WANTED is a colour */
    char batch[NAME_ROOM];             /* whose record, or whose cup, is open */
    char order[NAME_ROOM];             /* the open order; "": none */
    char key[NAME_ROOM];               /* the setting, or the toner, that a value is written for */
    size_t coat;                       /* of the open order, from 1: whose cards are open; 0: those of the shop */
    size_t coat_n;                     /* what is asked how much of is this coat of the open order; 0: of none */
    char premix[NAME_ROOM];            /* the batch that is the premix which the form asked for; "": none */
    uint32_t taken;                    /* lights of a card; coats of the form whose first state is changed */
    size_t scale;                      /* the open one: scales first, then the ports that none uses */
    char lot[WRITE_ROOM];              /* for the next accept */
    char glance[WRITE_ROOM];           /* who looked at the open pour; "": nobody said yet */
    int copies;                        /* of the label, 1 to 9 */
    double opened_g;                   /* the weight when this page was opened; NAN: not known */
    int64_t changed_ms;                /* when the page last became another */
    int64_t list_until_ms;             /* the whole formula is open until then */
    size_t list_from;
    int64_t touched_ms; /* the last key */
};

/* All that is known, and when it was heard. A page is a function of this and of a moment. */
struct model {
    struct number_style style; /* decimal sign, minus, the interval d of our scale */
    bool utf8;                 /* the terminal can show more than ASCII */
    enum words_language language;
    bool language_fixed;     /* by --language: nothing the daemon says changes it */
    char currency[8];        /* of the shop, for what the screen leaves open */
    char station[NAME_ROOM]; /* the bench that is watched */
    char home[NAME_ROOM];    /* our own, while station is one to practise at; "": it is our own */
    bool elsewhere;          /* station has just become another one: it is to be watched */
    bool linked;             /* the daemon is reached */
    bool relinked;           /* since the last screen: the next one holds, whatever its revision */
    bool has_screen;         /* a screen was read since the link was made for the first time */
    struct shown bench;
    int64_t screen_ms;      /* when it came */
    enum scale_state scale; /* the newest word on it: screen, weight or scale note */
    struct weight weight;
    enum cue cue; /* as shown; stop stays for a while */
    int64_t stop_ms;
    struct {
        bool waiting; /* a move is under way and unanswered */
        int64_t since_ms;
    } sent;
    struct {
        bool waits;   /* a key of the foot line that came before its page had stood (late.h) */
        bool dot;     /* it was `.` */
        unsigned act; /* what the foot line said of it: enum act, and its value */
        uint32_t value;
        int64_t changed_ms; /* of its page */
    } early;
    int64_t entered_ms;   /* the last Enter of a hand */
    char foot[FOOT_ROOM]; /* an answer to the last key; "": nothing is to be said */
    bool foot_rubric;
    int64_t foot_ms; /* when it was first drawn; 0: not yet */
    bool bell;       /* ring once, then clear it */
    const char
        *wrong; /* the words of a wrong tin or cup that was scanned: until the next key, code or act; NULL: none */
    struct {
        char code[128];
        bool in_field; /* it was written into a field as well */
        enum page page;
        size_t line;
        char before[WRITE_ROOM]; /* what that field held before */
    } scan;                      /* the code that the daemon is asked about */
    struct view view;
    struct lists lists;
};

/* An empty model: no link, nothing known. model_finish lets go of what it holds. */
void model_init(struct model *m, const char *station, bool utf8, struct moment now);
void model_finish(struct model *m);
/* The language of --language, which holds whatever the daemon says; NULL: none was given. */
void model_fix_language(struct model *m, const char *name);
/* The language that the station or the shop is set to; NULL and what is no language: that of the environment. */
void model_language(struct model *m, const char *name);

/* The notes `screen`, `weight` and `scale`. An older screen (a lower revision) changes nothing.
 * False: not such a note. */
bool model_screen(struct model *m, json_t *screen, struct moment now);
bool model_weight(struct model *m, const json_t *note, struct moment now);
void model_weigh(struct model *m, const struct weighing *w, struct moment now);
bool model_scale(struct model *m, const json_t *note, struct moment now);

/* Time has passed: the cue and what stays for a while. Called before each drawing. */
void model_tick(struct model *m, struct moment now);

enum life model_life(const struct model *m, struct moment now);
/* True where the open line shows no live weight: the link, the scale or the cup is gone. */
bool model_dead(const struct model *m, struct moment now);
/* The open step among the steps, or NULL. */
const struct shown_step *model_open_step(const struct model *m);
/* A page whose lines are those of form.h. */
bool model_is_form(enum page page);
/* Opens a page: nothing chosen, nothing written. */
void model_open_page(struct model *m, enum page page, struct moment now);

/* Sentences in the language of the page, whole or as far as they fit. Each returns buf. */
const char *model_text(const struct model *m, struct said s, char *buf, size_t size);
const char *model_told(const struct model *m, const json_t *said, char *buf, size_t size);
/* The same with a capital, where it stands alone. */
const char *model_sentence(const struct model *m, const json_t *said, char *buf, size_t size);
const char *model_word(const struct model *m, const char *code);
/* The word of a fixed name such as coat `ground`; the name itself where it has none. */
const char *model_name(const struct model *m, const char *kind, const char *name);
/* The footnote that answers a key. Rubric: a refusal or a fault. */
void model_say(struct model *m, bool rubric, const char *text);
