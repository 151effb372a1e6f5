/* lists.h - what the pages beside the pour show: batches, formulas, toners, scales, cups, one batch's record.
 *
 * Each reader takes the result of one method and fills an array of the model; more than fits is left out. Pure. */
#pragma once

#include "client/screen/shown.h"

enum { LIST_BATCHES = 60, LIST_MATCHES = 60, LIST_TONERS = 240, LIST_SCALES = 16 };
enum { MATCH_COATS = 9, MATCH_VARIANTS = 16 };

struct batch_line {
    char batch[SHOWN_ID];
    char formula[SHOWN_ID], name[SHOWN_NAME], variant[SHOWN_ID], coat[SHOWN_ID];
    char order[SHOWN_NAME], painter[SHOWN_ID];
    char state[16];   /* of batch.find if it says so: open, held, finished, scrapped; else "" */
    char finished[8]; /* `10:51`; "" while it is not */
    double total_g;
};

/* True where it is not finished: it can be taken up again. */
bool batch_waits(const struct batch_line *b);

/* A colour or a ratio product that can be begun. */
struct match {
    bool product;
    char code[SHOWN_ID], name[SHOWN_NAME], finish[SHOWN_ID], line[SHOWN_ID];
    size_t n_coats, n_variants;
    char coats[MATCH_COATS][SHOWN_ID];
    char variants[MATCH_VARIANTS][SHOWN_ID];
    uint32_t has[MATCH_COATS]; /* by coat: a bit for each variant that it has */
};

struct toner_line {
    char toner[SHOWN_ID], name[SHOWN_NAME];
};

struct scale_line {
    char station[SHOWN_ID], port[SHOWN_NAME], profile[SHOWN_ID], why[SHOWN_TEXT];
    enum scale_state state;
    double weight_g, d_g, capacity_g, age_ms;
};

/* Of the record of the batch on the bench, what its screen does not hold. */
struct record {
    char batch[SHOWN_ID]; /* whose record it is; "": none read yet */
    double voc_g_per_l;   /* as applied; NAN: not known */
};

/* The label of the batch on the bench, as it will be printed. */
struct label_lines {
    char batch[SHOWN_ID]; /* "": none read yet */
    char code[SHOWN_ID], name[SHOWN_NAME], coat[SHOWN_ID], variant[SHOWN_ID], made[SHOWN_NAME];
    char order[SHOWN_NAME], vehicle[SHOWN_NAME], time[SHOWN_ID], painter[SHOWN_ID], use_by[SHOWN_NAME];
    char hazards[SHOWN_TEXT], deviations[SHOWN_TEXT], with[SHOWN_NAME]; /* lists, with `, ` between */
};

/* Of the batches found, those that wait (not finished) and those finished on the day `today` (YYYY-MM-DD). */
size_t lists_batches(struct batch_line *out, const json_t *result, const char *today);
size_t lists_formulas(struct match *out, size_t from, const json_t *result);
/* Products follow the formulas from place `from` on, those alone whose id or name holds the text (any case). */
size_t lists_products(struct match *out, size_t from, const json_t *result, const char *text);
size_t lists_toners(struct toner_line *out, const json_t *result);
size_t lists_scales(struct scale_line *out, const json_t *result);
void lists_record(struct record *out, const json_t *result);
void lists_label(struct label_lines *out, const json_t *result);

/* The next variant that the coat has, after `variant`, round and round; `variant` itself where there is no other. */
size_t lists_next_variant(const struct match *match, size_t coat, size_t variant);
bool lists_has_variant(const struct match *match, size_t coat, size_t variant);

/* True where text stands anywhere in `in`, capitals and small letters of ASCII alike; an empty text always does. */
bool lists_holds(const char *in, const char *text);
