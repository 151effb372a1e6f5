/* compose_parts.h - the pieces that the files of compose share. For this folder only. */
#pragma once

#include "bench/compose.h"

#include "catalogue/catalogue.h"

/* A beginning being made. */
struct composing {
    struct daemon *d;
    const struct config_station *config;
    const json_t *params;
    struct fault *fault;
    struct event_begun *begun;
    struct compose_warnings *warnings;
    bool has_source;
    struct batch *source; /* the batch repeated; owned by compose.c */
    bool by_weight_only;  /* a density is missing, so reduction goes by weight */
};

/* recipe: fills begun->recipe from formula, product or an older batch. */
bool compose_recipe(struct composing *c);
/* what goes on top of the colour: a product's ratio, or the reduction. */
bool compose_product_parts(struct composing *c, const struct product *p);
bool compose_reduction(struct composing *c);
/* amounts: begun->wanted_g from grams, ml or panels. */
bool compose_amount(struct composing *c);
/* begun->have_g from `have`. */
bool compose_have(struct composing *c);
/* cautions and warnings of the finished beginning. */
void compose_warn(struct composing *c, const char *code, const char *toner, struct said said);
void compose_cautions(struct composing *c);
void compose_part_of(const struct toner *t, struct recipe_part *out);
/* A nonnegative number among the parameters; NaN: left out. False: refused. */
bool compose_number(struct composing *c, const char *name, double least, double most, double *out);
