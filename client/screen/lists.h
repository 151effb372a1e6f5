/* lists.h - what the pages beside the pour show: batches of today, colours, toners, scales, one batch's record and
 * label.
 *
 * An answer is kept as it came (struct lists) and read when it is drawn; texts point into it. Pure but for memory.
 * Owner   A struct lists holds a reference to each answer; lists_finish lets them go. */
#pragma once

#include "client/screen/shown.h"

enum list_kind {
    LIST_TODAY,
    LIST_FORMULAS,
    LIST_PRODUCTS,
    LIST_TONERS,
    LIST_SCALES,
    LIST_RECORD,
    LIST_LABEL,
    LIST_KINDS
};

struct lists {
    json_t *answer[LIST_KINDS];
    char today[12]; /* YYYY-MM-DD */
};

/* Keeps the answer in place of an older one. */
void lists_keep(struct lists *l, enum list_kind kind, json_t *result);
void lists_finish(struct lists *l);

/* The n-th batch that waits or was finished today, newest first; NULL beyond the last. True: it can be taken up again.
 */
const json_t *lists_batch(const struct lists *l, size_t n);
bool lists_waits(const json_t *batch);
size_t lists_batches(const struct lists *l);
/* When it was finished, `10:51`; "" while it is not. */
void lists_finished(const json_t *batch, char hour[6]);

/* The n-th colour: formulas, then the products whose id or name holds the text (any case). NULL beyond the last. */
const json_t *lists_match(const struct lists *l, const char *text, size_t n);
size_t lists_matches(const struct lists *l, const char *text);
bool lists_is_product(const json_t *match);
/* Its code; its coats, and the variants of one of them. A product has one coat, its role, and no variants. */
const char *lists_code(const json_t *match);
size_t lists_coats(const json_t *match);
const char *lists_coat(const json_t *match, size_t coat);
size_t lists_variants(const json_t *match, size_t coat);
const char *lists_variant(const json_t *match, size_t coat, size_t variant);

/* The n-th toner whose id or name holds the text, how many there are, and its id. */
const json_t *lists_toner(const struct lists *l, const char *text, size_t n);
size_t lists_toners(const struct lists *l, const char *text);
const char *lists_toner_id(const json_t *toner);
/* The n-th scale. */
const json_t *lists_scale(const struct lists *l, size_t n);
