/* begin_parts.h - the pieces that the files of a beginning share. For this folder only. */
#pragma once

#include "bench/begin.h"

#include "catalogue/catalogue.h"

/* A beginning being made. */
struct beginning {
    struct daemon *d;
    const struct config_station *config;
    const json_t *params;
    struct fault *fault;
    struct event_begun *begun;
    struct begin_warnings *warnings;
    struct batch *source; /* the batch repeated; owned by begin.c */
};

/* recipe: fills begun->recipe from formula, product or an older batch. */
bool begin_recipe(struct beginning *c);
/* amounts: begun->wanted_g from grams, ml or panels. */
bool begin_amount(struct beginning *c);
/* begun->have_g from `have`. */
bool begin_have(struct beginning *c);
/* cautions and warnings of the finished beginning. */
void begin_warn(struct beginning *c, const char *code, const char *toner, struct said said);
void begin_cautions(struct beginning *c);
void begin_part_of(const struct toner *t, struct recipe_part *out);
/* A nonnegative number among the parameters; NaN: left out. False: refused. */
bool begin_number(struct beginning *c, const char *name, double least, double most, double *out);
