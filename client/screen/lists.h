/* lists.h - what the pages beside the pour show: batches, formulas, toners, scales, cups, one batch's record.
 *
 * Each reader takes the result of one method and fills an array of the model; more than fits is left out. Pure. */
#ifndef POISE_CLIENT_SCREEN_LISTS_H
#define POISE_CLIENT_SCREEN_LISTS_H

#include "client/screen/bench.h"

enum { LIST_BATCHES = 60, LIST_MATCHES = 60, LIST_TONERS = 240, LIST_SCALES = 16, LIST_CUPS = 24 };
enum { MATCH_COATS = 9, MATCH_VARIANTS = 16 };

struct batch_line {
    char batch[BENCH_ID];
    char formula[BENCH_ID], name[BENCH_NAME], variant[BENCH_ID], coat[BENCH_ID];
    char order[BENCH_NAME], painter[BENCH_ID];
    char state[16];   /* of batch.find if it says so: open, held, finished, scrapped; else "" */
    char finished[8]; /* `10:51`; "" while it is not */
    double total_g;
};

/* A colour or a ratio product that can be begun. */
struct match {
    bool product;
    char code[BENCH_ID], name[BENCH_NAME], finish[BENCH_ID], line[BENCH_ID];
    size_t n_coats, n_variants;
    char coats[MATCH_COATS][BENCH_ID];
    char variants[MATCH_VARIANTS][BENCH_ID];
    uint32_t has[MATCH_COATS]; /* by coat: a bit for each variant that it has */
};

struct toner_line {
    char toner[BENCH_ID], name[BENCH_NAME];
};

struct scale_line {
    char station[BENCH_ID], port[BENCH_NAME], profile[BENCH_ID], why[BENCH_TEXT];
    enum scale_state state;
    double weight_g, d_g, capacity_g, age_ms;
};

struct cup_line {
    double ml, fill_pct;
};

/* The record of the batch on the bench, for the closing page. */
struct record {
    char batch[BENCH_ID]; /* whose record it is; "": none read yet */
    char state[16];
    char formula[BENCH_ID], variant[BENCH_ID], coat[BENCH_ID], order[BENCH_NAME], painter[BENCH_ID];
    double total_g, total_ml, voc_g_per_l, cost;
    char currency[8];
    char reducer[BENCH_ID]; /* its toner; "": none */
    char made[BENCH_NAME];  /* `reduced 20 %`, `4:1:1 vol` */
};

/* The label of the batch on the bench, as it will be printed. */
struct label_lines {
    char batch[BENCH_ID]; /* "": none read yet */
    char code[BENCH_ID], name[BENCH_NAME], coat[BENCH_ID], variant[BENCH_ID], made[BENCH_NAME];
    char order[BENCH_NAME], vehicle[BENCH_NAME], time[BENCH_ID], painter[BENCH_ID], use_by[BENCH_NAME];
    char hazards[BENCH_TEXT], deviations[BENCH_TEXT], with[BENCH_NAME]; /* lists, with `, ` between */
};

/* Of the batches found, those that wait (not finished) and those finished on the day `today` (YYYY-MM-DD). */
size_t lists_batches(struct batch_line *out, const json_t *result, const char *today);
size_t lists_formulas(struct match *out, size_t from, const json_t *result);
/* Products follow the formulas from place `from` on, those alone whose id or name holds the text (any case). */
size_t lists_products(struct match *out, size_t from, const json_t *result, const char *text);
size_t lists_toners(struct toner_line *out, const json_t *result);
size_t lists_scales(struct scale_line *out, const json_t *result);
size_t lists_cups(struct cup_line *out, const json_t *result);
void lists_record(struct record *out, const json_t *result);
void lists_label(struct label_lines *out, const json_t *result);

/* The next variant that the coat has, after `variant`, round and round; `variant` itself where there is no other. */
size_t lists_next_variant(const struct match *match, size_t coat, size_t variant);
bool lists_has_variant(const struct match *match, size_t coat, size_t variant);

/* True where text stands anywhere in `in`, capitals and small letters of ASCII alike; an empty text always does. */
bool lists_holds(const char *in, const char *text);

#endif
