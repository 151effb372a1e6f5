/* entry.h - the pages that are lists of the shop's day: orders and their coats, spray-out cards, the shelf, who works
 * here, settings.
 *
 * Pure: from a model to what each line says, what Enter does with it and what `.` does. One struct for all of them, so
 * that page_entry.c draws and footline.c obeys without knowing a noun; entry_job.c, entry_shelf.c and entry_people.c
 * know one each. What state a coat or a cup is in, and whether it may be done, the daemon says.
 * A digit opens what only turns a page at once; what changes something is chosen by it, and Enter commits. */
#pragma once

#include "client/screen/footline.h"

enum { ENTRY_TEXT = 640, ENTRY_DETAIL = 800 }; /* names of 60 characters, four bytes each */

struct entry {
    char text[ENTRY_TEXT], detail[ENTRY_DETAIL], figure[80];
    char why[128]; /* what is wrong with it, or why it is shut; "": nothing */
    bool gone;     /* to be thrown away: struck out */
    /* Enter: ACT_NONE where nothing can be done. says: the foot line's words; "": the text itself. */
    enum act act;
    uint32_t value;
    char says[ENTRY_TEXT];
    enum act dot; /* `.`; second "": nothing */
    uint32_t dot_value;
    char second[96];
};

/* Whether a page is such a list; and the page that it was opened from, the bench for all others. */
bool entry_is_page(enum page page);
enum page entry_back(const struct model *m);
/* The n-th line of the open page; false: beyond the last. */
bool entry_at(const struct model *m, size_t n, struct entry *e);
size_t entry_count(const struct model *m);
/* The title of the open page, and a line below it ("": none). Each returns buf. */
const char *entry_title(const struct model *m, char *buf, size_t size);
const char *entry_under(const struct model *m, char *buf, size_t size);
/* Which thing the next page is of: kept from the open line before the page turns. */
void entry_choose(struct model *m, enum page next);

/* ---- a coat of an order, in words and as what is to be mixed ---- */

/* The chosen coat of the open order (view.coat), NULL: none. */
const json_t *entry_coat(const struct model *m);
/* What a coat, or a card's colour, is begun by: as a match of the page of colours has it. The caller's. */
json_t *entry_wanted(const struct model *m);
/* `ground TI-207 darker`; `310 g`, or its panels, or "" where the order names no amount. */
const char *entry_coat_name(const struct model *m, const json_t *coat, char *buf, size_t size);
const char *entry_coat_amount(const struct model *m, const json_t *coat, char *buf, size_t size);

/* ---- entry_call.c: what the screen asks for by these pages ---- */

/* The params of a call that is an entry's, and its method; NULL: this value is none. */
json_t *entry_params(const struct model *m, uint32_t value, const char **method);
/* An answer that is none of the bench's: which page comes next, and what is told. False: it is a screen. */
bool entry_answer(struct model *m, const char *method, const json_t *result, struct moment now);

/* The n-th name that may sign in, NULL beyond the last; the offer behind the one that a setting has, NULL: it has none.
 */
const json_t *entry_person(const struct model *m, size_t n);
const json_t *entry_next_offer(const json_t *setting);

/* The setting that a value is written for (view.key); NULL: there is none such any more. */
const json_t *entry_setting(const struct model *m);

/* ---- of one noun each; for entry.c alone ---- */

enum { CUP_DISCARD = 6 }; /* the place of that line of a cup's page */

bool entry_orders(const struct model *m, size_t n, struct entry *e);
bool entry_order(const struct model *m, size_t n, struct entry *e);
bool entry_coat_acts(const struct model *m, size_t n, struct entry *e);
bool entry_layers(const struct model *m, size_t n, struct entry *e);
bool entry_cards(const struct model *m, size_t n, struct entry *e);
bool entry_shelf(const struct model *m, size_t n, struct entry *e);
bool entry_cup(const struct model *m, size_t n, struct entry *e);
bool entry_round(const struct model *m, size_t n, struct entry *e);
bool entry_people(const struct model *m, size_t n, struct entry *e);
bool entry_settings(const struct model *m, size_t n, struct entry *e);
bool entry_practice(const struct model *m, size_t n, struct entry *e);
bool entry_learnt(const struct model *m, size_t n, struct entry *e);
/* What is open of one list and named by the view: an order's, a cup's line under the title; what all layers come to. */
void entry_layers_under(const struct model *m, char *buf, size_t size);
void entry_order_under(const struct model *m, char *buf, size_t size);
void entry_cup_under(const struct model *m, char *buf, size_t size);
