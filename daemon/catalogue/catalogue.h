/* catalogue.h - toners, formulas, products, cups and panels, as values.
 *
 * The store is the truth: each thing is a JSON object there (its shape is what toner.get, formula.get ... answer and
 * what a put takes). This part knows the shapes: JSON to value and back, INI files to values, and what is wrong.
 * Units   in the names. A number not known is NaN, a text not known is "".
 * Owner   Values are plain structs; a formula owns its coats (formula_finish frees them).
 * Errors  A refusal fills *fault: FAULT_PARAMS for a wrong type or missing text, FAULT_INVALID for a number,
 *         FAULT_UNKNOWN for a toner that nothing describes.
 */
#pragma once

#include "catalogue/optics.h"
#include "fault.h"
#include "id.h"
#include "shape/shape.h"
#include "store/store.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define NAME_CHARACTERS     60  /* a letter with its combining marks is one */
#define NAME_MAX_           241 /* so many of any UTF-8, kept whole */
#define COAT_PARTS_MAX      64
#define PRODUCT_PARTS_MAX   8
#define PRODUCT_CHOICES_MAX 8
#define HAZARDS_MAX         16
#define COATS_MAX           64
#define CODES_MAX           8
#define CODE_MAX            64 /* bytes of a code to scan */

#define COMPOSITION_MAX 24

/* What a premix is made of. */
struct toner_share {
    char toner[ID_MAX];
    double share; /* of its weight */
};

struct toner {
    char id[ID_MAX];                 /* as bank and formulas call it */
    char name[NAME_MAX_];            /* its id where none was given */
    char pigment[64];                /* Colour Index generic name, PW6 */
    char line[16];                   /* solvent, waterborne, two-pack */
    char role[16];                   /* toner, binder, reducer, hardener, clear, primer, sealer, ... */
    char bank[32];                   /* its place on the wall */
    char code[CODE_MAX];             /* the first of its codes */
    char codes[CODES_MAX][CODE_MAX]; /* to scan (codes.h) */
    size_t code_count;
    double density_g_per_ml, voc_pct, water_pct, exempt_pct, exempt_density_g_per_ml, solids_vol_pct, price_per_kg,
        metals_pct;
    double reorder_g;              /* order anew below this; NaN: nobody said */
    struct optics optics;          /* what it absorbs and scatters */
    bool stir;                     /* must be stirred each day, as metallics and pearls */
    char signal[16];               /* signal word */
    char hazards[HAZARDS_MAX][12]; /* H and EUH statements */
    size_t hazard_count;
    /* A premix that the shop mixed and kept: it counts as these wherever it is poured. None: a toner as bought. */
    struct toner_share composition[COMPOSITION_MAX];
    size_t composition_count;
    char made[11]; /* the day it was mixed; "": not known */
    int64_t revision;
};

struct coat_part {
    char toner[ID_MAX];
    double parts; /* by weight */
};

struct coat {
    char coat[16];           /* sealer, ground, base, mid, clear, single */
    char variant[64];        /* `standard` is the first */
    struct coat_part *parts; /* in pouring order */
    size_t part_count;
};

struct formula {
    char code[ID_MAX];
    char name[NAME_MAX_];
    char finish[16]; /* solid, metallic, pearl */
    char line[16];
    struct coat *coats;
    size_t coat_count;
    int64_t revision; /* formula_revision */
    char date[11];
    char reason[NAME_MAX_];
};

struct product_part {
    /* A toner's id, a formula's code (first only), `colour`, or a name nothing describes. It stands first, so that the
     * table of members reads a list of ids into a list of these. */
    char id[ID_MAX];
    double ratio;
    bool per_cent; /* ratio is per cent of paint, or of the mix before it (`of`), as in 4:1:10% */
};

/* A hardener by its speed, or a reducer by the temperature of the shop. */
struct product_choice {
    char id[ID_MAX];
    char speed[16];      /* fast, medium, slow ... or "" */
    double min_c, max_c; /* degrees Celsius, NaN where not given */
};

struct product {
    char id[ID_MAX];
    char name[NAME_MAX_];
    char role[16]; /* clear, primer, sealer, single: the coat whose ratio it gives */
    char line[16];
    bool by_volume;
    bool of_mix; /* a per cent part is of paint and hardener, not of paint alone */
    struct product_part parts[PRODUCT_PARTS_MAX];
    size_t part_count;
    double pot_life_min, flash_min, film_um, solids_vol_pct, hardener_tolerance_pct, reducer_tolerance_pct;
    struct product_choice hardeners[PRODUCT_CHOICES_MAX], reducers[PRODUCT_CHOICES_MAX];
    size_t hardener_count, reducer_count;
    int64_t revision;
};

struct cup_kind {
    char id[ID_MAX];
    double ml;       /* to the rim */
    double tare_g;   /* NaN: nobody weighed one */
    double fill_pct; /* of ml: how far it may be filled */
};

struct panel {
    char id[ID_MAX];
    char name[NAME_MAX_];
    double area_m2;
    bool is_default; /* a rough default, not measured */
};

/* ---- from the store (loop's thread; false: none such, or it could not be read) ---- */
/* Whether all look-ups since store_unread() was `before` could be read. False: *fault is FAULT_STORE, and nothing that
 * they answered since may be believed. Ask it before a thing is called unknown, and before a list or a plan is
 * answered. */
bool catalogue_was_read(struct store *s, uint64_t before, struct fault *fault);
/* -32001 about an id that no thing of that kind bears, with the nearest that there is. Always false. */
bool catalogue_unknown(struct store *s, const char *kind, const char *field, const char *id, struct fault *fault);
/* Ids are found whatever their case, an exact one first. */
bool catalogue_toner(struct store *s, const char *id, struct toner *out);
/* revision 0: the present one. The caller calls formula_finish. */
bool catalogue_formula(struct store *s, const char *code, int64_t revision, struct formula *out);
bool catalogue_product(struct store *s, const char *id, struct product *out);
/* The product that gives the ratio of a formula's coat where none was named: role equals the coat and its first part
 * is the formula's code or `colour`. The code itself wins over `colour`. */
bool catalogue_product_for(struct store *s, const char *formula, const char *coat, struct product *out);
bool catalogue_panel(struct store *s, const char *id, struct panel *out);
/* The first toner of role `reducer` and that line: in the order in which the files were read, then those put by hand.
 */
bool catalogue_reducer(struct store *s, const char *line, struct toner *out);
/* Whether a formula or a product of today names this toner, in whatever case; *by is the first one that does. Reads all
 * of both kinds, so ask it on a helper thread; catalogue_was_read tells whether a no may be believed. */
bool catalogue_names_toner(struct store *s, const char *toner, char by[ID_MAX]);
/* The cup kind of a volume (nearest whose ml equals it within 1 %), for its tare. */
bool catalogue_cup_of_ml(struct store *s, double ml, struct cup_kind *out);
/* The kind that holds most, filled no further than its limit. */
bool catalogue_largest_cup(struct store *s, struct cup_kind *out);

/* The thing as `get` answers it: its JSON with `revision` (a formula: `formula_revision`, `date`, `reason`). kind is
 * `toner`, `formula`, `product`, `cup`, `panel`; revision 0 is the present one. New reference; NULL: none such. */
json_t *catalogue_get(struct store *s, const char *kind, const char *id, int64_t revision);
/* All of a kind, in the order of ids, as catalogue_get gives each; text NULL or words to find them by. */
json_t *catalogue_list(struct store *s, const char *kind, const char *text);
/* A page of them, one at a time: each() takes the reference. *next is the id to go on after, "" where there is no more.
 * One that the tables of today refuse is left out of the list, but counts for the page. Any thread's view. */
void catalogue_page(struct store *s, const struct store_item_page *page, void (*each)(void *arg, json_t *thing),
                    void *arg, char next[ID_MAX]);
/* The word that finds each premix of the bank. */
#define CATALOGUE_PREMIX "premix"
/* Words to find a thing by (id, name, pigment ...), for store_item.text. Caller frees; NULL: out of memory. */
char *catalogue_text(const json_t *thing);
/* What a painter should know of a formula: [{"code","coat","variant","toner","text"}], codes `twice`, `no_density`,
 * `unknown`, `line`, `no_reducer`, `no_standard`. New reference. */
json_t *formula_check(struct store *s, const struct formula *f);
/* False, with FAULT_UNKNOWN: a toner of it is not in the store (a put asks this first). */
bool formula_toners_known(struct store *s, const struct formula *f, struct fault *fault);

/* Whether a formula of today has that coat and variant (NULL: `standard`); coat NULL: whether there is the formula.
 * False: *fault is -32001 about the one that is not there, or the store could not be read. */
bool catalogue_coat_known(struct store *s, const char *formula, const char *coat, const char *variant,
                          struct fault *fault);

void formula_finish(struct formula *f);
const struct coat *formula_coat(const struct formula *f, const char *coat, const char *variant);
/* As formula_coat; NULL: *fault is -32001 about `coat` or `variant` and names those that there are. */
const struct coat *formula_coat_or_fault(const struct formula *f, const char *coat, const char *variant,
                                         struct fault *fault);
/* The formula's coats, or the variants of one of them, each once, as `ground, mids`. False: there are none. */
bool formula_names(const struct formula *f, const char *coat, char *names, size_t size);

/* ---- the kinds: one table of members each, which JSON, INI settings and papers walk ---- */
extern const struct shape toner_shape, formula_shape, product_shape, cup_shape, panel_shape;
extern const struct shape formula_coat_shape; /* a formula's coats stand below its table, read by hand */
extern const char *const catalogue_lines[];   /* solvent, waterborne, two-pack; ends with NULL */
/* False, and *fault: a choice that must be given is "". */
bool catalogue_given(const char *field, const char *text, struct fault *fault);
/* The table of a kind; NULL: no such kind. */
const struct shape *catalogue_kind(const char *kind);
/* A thing of a kind as the store keeps it and `get` answers it, from what a put or a file says: checked, every member
 * there, null where nothing is known. New reference; NULL: *fault. */
json_t *catalogue_shape(const char *kind, const json_t *json, struct fault *fault);

/* Whether the `name` of a thing (as catalogue_shape gives it) may be kept: at most NAME_CHARACTERS, and no script that
 * the label would set wrong; its `code` as code_fits has it. Asked where a thing is written, not where it is read: what
 * is kept already stays. False: *fault. */
bool catalogue_name_fits(const json_t *thing, struct fault *fault);

/* ---- JSON (what get answers and put takes). *_to_json never fail but for memory (NULL). ---- */
bool toner_from_json(const json_t *json, struct toner *out, struct fault *fault);
json_t *toner_to_json(const struct toner *t);
bool formula_from_json(const json_t *json, struct formula *out, struct fault *fault);
json_t *formula_to_json(const struct formula *f);
bool product_from_json(const json_t *json, struct product *out, struct fault *fault);
json_t *product_to_json(const struct product *p);
bool cup_from_json(const json_t *json, struct cup_kind *out, struct fault *fault);
bool panel_from_json(const json_t *json, struct panel *out, struct fault *fault);
