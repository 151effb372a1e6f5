/* form.h - the pages that are forms: how much to mix, and the cup as it stands now.
 *
 * A form is the lines of enum form_line (model.h) that its page has; each takes a text, a number or a choice among what
 * the daemon's lists offer, and is left out where there is nothing to choose. What was written is kept in view.form as
 * it was typed. Pure; computes no amount: what comes of it is the daemon's plan. */
#pragma once

#include "client/screen/model.h"

enum form_kind {
    FORM_TEXT,   /* any key writes, + and - too: an order may hold them */
    FORM_CODE,   /* letters and figures; + and - are lines */
    FORM_NUMBER, /* figures and a decimal sign; + and - are lines */
    FORM_CHOICE, /* a digit chooses */
    FORM_LEADS,  /* leads to a page of its own */
};
enum form_kind form_kind(size_t line);
/* The code of its name. */
const char *form_name(size_t line);

/* Whether the open page has this line, and the one after (or before) it, round about. */
bool form_has(const struct model *m, size_t line);
size_t form_step(const struct model *m, size_t line, bool next);

/* How many there are to choose from, the i-th in the words of the page (returns buf), and the one chosen by a digit; a
 * digit beyond the last does nothing. */
size_t form_choices(const struct model *m, size_t line);
const char *form_choice(const struct model *m, size_t line, size_t i, char *buf, size_t size);
void form_choose(struct model *m, size_t digit);
/* A line that stands at its first choice, where that is to leave it to the daemon. */
bool form_is_usual(const struct model *m, size_t line);
/* Hardener and reducer as the product has them, once LIST_WANTED is another thing. */
void form_begin(struct model *m);
/* Adds what was chosen: product, its parts, reducer, cup, order of pouring. */
void form_set_choices(const struct model *m, json_t *params);

/* What is written as a number (`400`, `12.5` or `12,5`), 0 to 1e6; false: something else is written. The second
 * asks for more than 0. */
bool form_number(const char *text, double *value);
bool form_above_0(const char *text, double *value);

enum form_amount {
    AMOUNT_NONE,  /* nothing written */
    AMOUNT_WRONG, /* no number above 0 */
    AMOUNT_TWO,   /* grams, mL and panels: none of them wins in silence */
    AMOUNT_GRAMS,
    AMOUNT_ML,
    AMOUNT_PANELS,
};
enum form_amount form_amount(const struct model *m);
/* form_have.c: what is in the cup already, as batch.begin takes it (the caller's): one cup with its grams beside it, or
 * several as `1031 120 + 1007 46.5`. NULL: none is named, or half of it is missing, which the second says. */
json_t *form_have(const struct model *m);
bool form_have_half(const struct model *m);
/* Whether it is enough to be planned. */
bool form_whole(const struct model *m);

/* A member that is left out where nothing was written: the daemon knows what that means. */
void form_set_text(json_t *params, const char *key, const char *text);
void form_set_number(json_t *params, const char *key, const char *text);
/* Of FORM_COATS: the coats of the colour that was found, all taken at first, then products that are coats of their own;
 * whether the i-th is taken, and as order.put has it (the caller's). */
size_t form_order_coats(const struct model *m);
bool form_is_taken(const struct model *m, size_t i);
json_t *form_order_coat(const struct model *m, size_t i);
/* Adds the panels that are chosen. */
void form_set_panels(const struct model *m, json_t *params);
bool form_is_painted(const struct part *part);
/* What an estimate by panels is made with: mid coats, film, transfer, loss, control coat. */
void form_set_estimate(const struct model *m, json_t *params);
/* A day as it is written, 2026-11-25 or 25.11.2026, as the daemon takes it; what is no day stays as it is, for the
 * daemon to refuse. True: it is one. */
enum { FORM_DAY = 64 };
bool form_day(const char *text, char day[FORM_DAY]);
/* A cup of the shelf that holds just what is to be mixed, and may still be used; NULL: none stands there. */
const json_t *form_cup(const struct model *m);
/* form_fill.c: a page of a form that changes something shows what stands. Called when it is opened, and for the panels
 * once they are known. */
void form_fill(struct model *m);
/* The open panel's page, and what was written there. */
void form_open_part(struct model *m);
void form_keep_part(struct model *m);
/* Adds what the form says to the params of mix.plan, batch.begin or batch.retare. */
void form_params(const struct model *m, json_t *params);
