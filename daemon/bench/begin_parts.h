/* begin_parts.h - the pieces that the files of a beginning share. For this folder only.
 *
 * Each piece fills its part of struct beginning and reads those before it, in this order: source, texts, cup, recipe,
 * order, amount, what is in the cup already, premix, cautions. It refuses by c->fault and false; the first refusal ends
 * the making.
 */
#pragma once

#include "bench/begin.h"

#include "catalogue/catalogue.h"

/* A beginning being made. */
struct beginning {
    struct daemon *d;                    /* its store holds the catalogue */
    const struct config_station *config; /* of the scale that it will be poured on */
    const json_t *params;                /* of batch.begin or mix.plan, checked by their shape */
    struct fault *fault;                 /* the caller's; filled by whoever refuses */
    struct event_begun *begun;           /* what is being made; owned by begin.c till it is whole */
    struct begin_warnings *warnings;     /* the caller's */
    json_t *of_order;                    /* params with those of an order's coat; NULL: none, owned by begin.c */
    char order_painter[EVENT_NAME];      /* whom that order is given to; "": nobody */
    struct batch *source;                /* the batch repeated; owned by begin.c */
    bool makes_premix;                   /* what is begun is a premix of the formula's small toners */
};

/* order and coat_n: the coat's members stand in for those left out. */
bool begin_coat(struct beginning *c);
/* `premix`: the members of a premix that is to be made stand in for the call's. */
bool begin_premix_asked(struct beginning *c);
/* recipe: fills begun->recipe from formula, product or an older batch. */
bool begin_recipe(struct beginning *c);
/* recipe: which tin stands for the i-th part of a product, by `parts`, `hardener`, `reducer`, `speed`, `temperature_c`.
 * False: refused. */
bool begin_choice(struct beginning *c, const struct product *p, size_t i, const char **id);
/* Whether a hardener, reducer or speed that is asked for is one of this product's. False: refused. */
bool begin_choices_fit(struct beginning *c, const struct product *p);
/* what a deviation will look like: the recipe's optics and spray-out cards. */
bool begin_shade(struct beginning *c);
/* order: the recipe's colour steps as they shall be poured. */
bool begin_bed(struct beginning *c);
/* amounts: begun->wanted_g from grams, ml or panels. */
bool begin_amount(struct beginning *c);
/* begun->have_g from `have`. */
bool begin_have(struct beginning *c);
/* toners too small for the scale: as a premix to be made, or out of one that was kept. */
bool begin_premix(struct beginning *c);
/* The total that the batch becomes with what is in the cup, grams of colour. */
double begin_total_g(const struct beginning *c);
/* Half a drop, the least that a hand gives: common practice, no source. */
#define BEGIN_HALF_DROP_G 0.03
/* Whether a part still to be poured in a batch of total_g is less than least_g, which can be weighed. */
bool begin_too_small(const struct beginning *c, size_t part, double total_g, double least_g);
/* warnings: tins that are not stirred today, or hold less than is wanted. */
void begin_stock(struct beginning *c);
/* cautions and warnings of the finished beginning. */
void begin_warn(struct beginning *c, const char *code, const char *toner, struct said said);
void begin_cautions(struct beginning *c);
/* Parts by weight become shares of 1, of steps and parts alike; their sum must be above 0. */
void begin_level(struct recipe *r);
void begin_part_of(const struct toner *t, struct recipe_part *out);
/* A nonnegative number among the parameters; NaN: left out. False: refused. */
bool begin_number(struct beginning *c, const char *name, double least, double most, double *out);
