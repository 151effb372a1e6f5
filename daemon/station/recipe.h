/* recipe.h - what one cup is to hold: parts with their data, steps in pouring order, and what goes on top.
 *
 * A recipe is a snapshot: it is journalled with the batch, so that a batch keeps the formula it was begun with and a
 * restart needs no catalogue. Made by bench/begin.c from the catalogue, changed only by a fold (tint, wrong tin).
 * Units   shares sum to 1 over the colour; densities g/mL; a number not known is NaN, a text not known "".
 */
#pragma once

#include "mix/kubelka.h"
#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define RECIPE_PARTS 96 /* 64 of a coat, 8 of a product, the rest for wrong tins and tints */
#define RECIPE_CARDS 4  /* measured spray-out cards that tell what a deviation looks like; the first is the nearest */
#define RECIPE_ID    41
#define RECIPE_NAME  241 /* 60 characters of any UTF-8, as the catalogue keeps them */

enum part_role {
    PART_COLOUR,   /* has a share of the colour; 0 for a toner that the formula does not hold */
    PART_REDUCER,  /* wide tolerance, over it never grows the colour */
    PART_HARDENER, /* activates: pot life counts from its first reading */
    PART_ADDITIVE  /* anything else that a product mixes in by ratio; treated as a hardener that activates nothing */
};

struct recipe_part {
    char toner[RECIPE_ID];
    char name[RECIPE_NAME];
    char pigment[48];
    char place[32];   /* where its tin stands, as the catalogue had it at begin */
    char hazards[96]; /* H and EUH statements, separated by spaces */
    enum part_role role;
    double share;    /* PART_COLOUR: of the colour */
    double per_base; /* others: amount for 1 of the first part (or of the mix so far), in the recipe's basis */
    bool of_mix;     /* per_base counts on paint and all that was added before it, not on paint alone */
    bool foreign;    /* poured from a wrong tin: not in the formula */
    double density_g_per_ml, price_per_kg;
    double voc_pct, water_pct, exempt_pct, exempt_density_g_per_ml, solids_vol_pct;
    struct mix_optics optics;        /* what it absorbs and scatters */
    size_t bands;                    /* MIX_BANDS; 0: not known */
    double card_share[RECIPE_CARDS]; /* of the colour, in each spray-out card of the recipe */
    size_t in_cards;                 /* as many as the recipe has */
};

struct recipe_step {
    int part;
    double share; /* of the colour, for this step alone: a toner named twice has two steps */
};

/* A part that is a premix, as what it is made of: so much of one of its toners in each gram of it. */
struct recipe_mix {
    int of, toner; /* indices of parts; a toner that comes by premixes alone is a part of share 0 without a step */
    double share;  /* of the premix's weight */
    double wanted; /* of the colour, of that toner, by the formula; NaN: as the steps come to */
};
#define RECIPE_MIXES 24

struct recipe {
    char code[RECIPE_ID]; /* the formula's, or the product's where no formula stands behind it */
    char name[RECIPE_NAME];
    char variant[64];
    char coat[16];           /* sealer, ground, base, mid, clear, single; "" of a product alone */
    char finish[16];         /* solid, metallic, pearl: sets the usual reduction */
    char line[16];           /* solvent, waterborne, two-pack: what may stand in one cup; "" goes with any */
    char product[RECIPE_ID]; /* gives the ratio; "" where the colour is only reduced */
    struct said made;        /* how it is mixed: `made_reduced`, `made_volume`, `made_weight`; for the label */
    int64_t formula_revision;
    bool is_product;                              /* code names a product */
    bool by_volume;                               /* basis of what goes on top */
    double reduce_pct;                            /* NaN where a product's ratio stands in its place */
    double hardener_tolerance, reducer_tolerance; /* relative: 0.03, 0.05 */
    double pot_life_min;                          /* NaN: none */
    struct recipe_card {
        double l, a, b;
    } card[RECIPE_CARDS];
    size_t cards; /* 0: none was measured, or a tint made another colour of it */
    struct recipe_part part[RECIPE_PARTS];
    size_t parts;
    struct recipe_step step[RECIPE_PARTS]; /* colour, then what goes on top, then wrong tins */
    size_t steps;
    struct recipe_mix mix[RECIPE_MIXES]; /* of all premixes that are poured, one toner after the other */
    size_t mixes;                        /* 0: every part is a tin as bought */
    /* The batch itself is a premix: of it take_g dose the small toners of for_g of the formula's colour. 0, NaN: it is
     * none. */
    double premix_take_g, premix_for_g;
};

/* A part of which nothing is known: numbers NaN, texts "". */
void recipe_part_init(struct recipe_part *p);
/* The index of a toner among the parts, -1: not there. */
int recipe_find(const struct recipe *r, const char *toner);
/* Whether a part stands for what it is made of. */
bool recipe_part_is_mix(const struct recipe *r, int part);
/* Whether the batch is a premix, to be kept as a toner. */
bool recipe_is_premix(const struct recipe *r);
/* The part that a product's grams are of; "": they are of a formula's colour. */
const char *recipe_first_part(const struct recipe *r);
/* Number of colour steps: they come first, but for wrong tins, which stand last. */
size_t recipe_colour_steps(const struct recipe *r);
/* Whether paint of these lines may stand in one cup: waterborne with no other; a line not known goes with any. */
bool recipe_lines_go(const char *a, const char *b);
/* Price of grams of a part; NaN where none is known. */
double recipe_price(const struct recipe_part *p, double grams);
