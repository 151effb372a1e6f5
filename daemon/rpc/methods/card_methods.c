/* card_methods.c - spray-out cards: card.put, card.list, card.match. It must not know what a colour is: a card tells
 * what somebody saw, in which light. */
#include "bench/batch_journal.h"
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/card_content.h"
#include "rpc/methods/cards.h"
#include "rpc/methods/errand.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/paging.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/utf8.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Daylight, lamp, booth and their kin; from memory. */
enum { LIGHTS_MOST = 8 };

/* wanted NULL: any will do. */
static bool text_is(const json_t *object, const char *name, const char *wanted)
{
    const char *text = json_string_value(json_object_get(object, name));
    return !wanted || (text && strcmp(text, wanted) == 0);
}

/* ---- card.put ---- */

/* What of a batch a card is about. */
static void take_batch(void *arg, const struct store_batch *b)
{
    json_t *card = arg;
    json_object_set_new(card, "batch", json_string(b->batch));
    json_object_set_new(card, "formula", view_text(b->formula));
    json_object_set_new(card, "variant", view_text(b->variant));
    json_object_set_new(card, "coat", view_text(b->coat));
}

/* A look-up that asks only whether it is there. */
static void ignore_item(void *arg, const struct store_item *item)
{
    (void)arg, (void)item;
}

/* Exactly one of batch and formula. False: *fault. */
static bool subject(struct store *s, const json_t *params, json_t *card, struct fault *f)
{
    const char *batch = json_string_value(json_object_get(params, "batch"));
    const char *formula = json_string_value(json_object_get(params, "formula"));
    char number[STORE_NUMBER];
    if (!batch == !formula)
        return fault_said(f, FAULT_INVALID, batch ? "formula" : "batch", "one_of", "card_of_what");
    enum store_found found = STORE_NONE;
    if (batch && journal_number(batch, number))
        found = store_batch_get(s, number, take_batch, card);
    if (formula) {
        found = store_item_get(s, "formula", formula, 0, ignore_item, NULL);
        json_object_set_new(card, "batch", json_null());
        for (const char *const *m = (const char *const[]){"formula", "variant", "coat", NULL}; *m; m++)
            json_object_set_new(card, *m, view_text(json_string_value(json_object_get(params, *m))));
    }
    if (found == STORE_UNREAD)
        return store_say_unread(s, f);
    if (found == STORE_FOUND)
        return true;
    return batch ? fault_said(f, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", batch)
                 : fault_said(f, FAULT_UNKNOWN, "formula", "unknown", "order_names_unknown field=%s given=%s",
                              "formula", formula);
}

/* Three numbers that can be a colour (CIE 1976 L*a*b*: L* from 0 to 100), or none at all. */
static bool lab_of(const json_t *params, json_t *card, struct fault *f)
{
    const json_t *lab = json_object_get(params, "lab");
    bool good = json_array_size(lab) == 3;
    for (size_t i = 0; good && i < 3; i++) {
        double value = json_number_value(json_array_get(lab, i));
        good = json_is_number(json_array_get(lab, i)) && (i ? fabs(value) <= 200 : value >= 0 && value <= 100);
    }
    json_object_set_new(card, "lab", good ? json_deep_copy(lab) : json_null());
    return good || !lab || json_is_null(lab) || fault_said(f, FAULT_INVALID, "lab", "range", "card_lab");
}

/* False: *fault; NULL is none that a card could bear. */
static bool verdict_fits(const char *verdict, struct fault *f)
{
    static const char *const all[] = {"match", "near", "no"};
    for (size_t i = 0; verdict && i < sizeof all / sizeof *all; i++)
        if (strcmp(verdict, all[i]) == 0)
            return true;
    return fault_said(f, FAULT_INVALID, "verdict", "unknown", "card_verdict");
}

/* What was seen: in which light, and whether it matched. */
static bool seen(const json_t *params, json_t *card, struct fault *f)
{
    const json_t *light = json_object_get(params, "light"), *coats = json_object_get(params, "coats"), *one;
    const char *verdict = json_string_value(json_object_get(params, "verdict"));
    size_t i, lights = json_array_size(light);
    bool good = lights >= 1 && lights <= LIGHTS_MOST;
    json_array_foreach(light, i, one) good = good && json_string_length(one) > 0 && json_string_length(one) <= 160;
    if (!good)
        return fault_said(f, FAULT_INVALID, "light", "range", "card_light most=%d", LIGHTS_MOST);
    if (!verdict_fits(verdict, f))
        return false;
    json_object_set_new(card, "coats", json_is_number(coats) ? json_deep_copy(coats) : json_integer(2));
    json_object_set_new(card, "light", json_deep_copy(light));
    for (const char *const *m = (const char *const[]){"mids", "verdict", "order", "note", NULL}; *m; m++) {
        json_t *value = json_object_get(params, *m);
        json_object_set(card, *m, value ? value : json_null());
    }
    return lab_of(params, card, f);
}

/* The next number that no card has yet; one act after the other, so no two get the same. */
static bool next_card(struct store *s, char id[STORE_NUMBER], struct fault *f)
{
    int64_t last;
    if (store_item_last_number(s, "card", &last) == STORE_UNREAD)
        return store_say_unread(s, f);
    snprintf(id, STORE_NUMBER, "%" PRId64, last + 1);
    return true;
}

/* Found again by its number, colour, order and note. */
static bool write_card(struct errand *e, json_t *card, struct fault *f)
{
    char id[STORE_NUMBER], words[512];
    if (!next_card(e->daemon->store, id, f))
        return false;
    const char *person = errand_person(e), *formula = json_string_value(json_object_get(card, "formula"));
    const char *order = json_string_value(json_object_get(card, "order")),
               *note = json_string_value(json_object_get(card, "note"));
    json_object_set_new(card, "card", json_string(id));
    json_object_set_new(card, "time", json_string(e->time));
    json_object_set_new(card, "who", view_text(person));
    snprintf(words, sizeof words, "%s %.80s %.160s %.160s", id, formula ? formula : "", order ? order : "",
             note ? note : "");
    char *body = json_write(card, JSON_COMPACT);
    struct store_item item = {.kind = "card", .id = id, .time = e->time, .body = body, .text = words, .about = formula};
    bool good = errand_write(e, "card.put", json_deep_copy(card), json_incref(card),
                             &(struct store_write){.items = &item, .item_count = 1}, f);
    free(body);
    return good;
}

/* A batch keeps what it was mixed of; a formula's coat and variant are those of today. */
static bool coat_known(struct store *s, const json_t *card, struct fault *f)
{
    const char *formula = json_string_value(json_object_get(card, "formula"));
    return json_is_string(json_object_get(card, "batch")) || !formula ||
           catalogue_coat_known(s, formula, json_string_value(json_object_get(card, "coat")),
                                json_string_value(json_object_get(card, "variant")), f);
}

static bool put_card(struct errand *e, struct fault *f)
{
    json_t *card = json_object();
    struct store *s = e->daemon->store;
    bool good = subject(s, e->params, card, f) && coat_known(s, card, f) && seen(e->params, card, f);
    if (good) /* only a measured card is ever asked for it */
        json_object_set_new(card, "parts",
                            json_is_array(json_object_get(card, "lab")) ? card_content(e->daemon, card) : json_null());
    good = good && write_card(e, card, f);
    json_decref(card);
    return good;
}

void method_card_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, put_card);
}

/* ---- card.list, card.match ---- */

/* Texts are borrowed from params. */
struct cards_asked {
    struct inquiry inquiry;
    struct cards_wanted want;
    const char *text, *after;
    int limit;
    json_t *cards;
    int64_t last;
    char next[STORE_NUMBER];
};

/* A store_item_newest callback. It goes on until one more than a page fits, which tells that there is more. */
static bool add_card(void *arg, const struct store_item *item, int64_t place)
{
    struct cards_asked *a = arg;
    json_t *card = json_read_text(item->body);
    bool full = (int)json_array_size(a->cards) == a->limit,
         fits = card && cards_fit(card, &a->want) && text_is(card, "formula", a->want.formula);
    if (fits && full)
        snprintf(a->next, sizeof a->next, "%" PRId64, a->last);
    if (fits && !full) {
        a->last = place;
        json_array_append(a->cards, card);
    }
    json_decref(card);
    return !(fits && full);
}

/* `after` is a place of the store's: lists come newest first, and a card put meanwhile moves no page. */
static void run_list(struct inquiry *inquiry, struct store *view)
{
    struct cards_asked *a = (struct cards_asked *)(void *)inquiry;
    a->cards = json_array();
    const struct store_newest newest = {
        .kind = "card", .text = a->text, .about = a->want.formula, .after = a->after ? strtoll(a->after, NULL, 10) : 0};
    if (store_item_newest(view, &newest, add_card, a))
        inquiry_answer(inquiry, json_pack("{s:O, s:o}", "cards", a->cards, "next", view_text(a->next)));
    else
        inquiry_unread(inquiry, view);
    json_decref(a->cards);
}

/* `after` is the last card of the page before: the order of the whole search stays the same. */
static void run_match(struct inquiry *inquiry, struct store *view)
{
    struct cards_asked *a = (struct cards_asked *)(void *)inquiry;
    json_t *subject_of = json_object(), *all = json_array(), *page = json_array(), *card;
    const char *next = NULL;
    bool on = !a->after;
    size_t i;
    bool good = subject(view, inquiry->params, subject_of, &inquiry->fault);
    if (good) {
        a->want.formula = json_string_value(json_object_get(subject_of, "formula"));
        a->want.coat = json_string_value(json_object_get(subject_of, "coat"));
        good = a->want.formula && cards_find(view, &a->want, all);
        if (!good)
            inquiry_unread(inquiry, view);
    }
    json_array_foreach(all, i, card)
    {
        if (on && (int)json_array_size(page) == a->limit) {
            next = json_string_value(json_object_get(json_array_get(all, i - 1), "card"));
            break;
        }
        if (on)
            json_array_append(page, card);
        on = on || text_is(card, "card", a->after);
    }
    if (good)
        inquiry_answer(inquiry, json_pack("{s:O, s:o}", "cards", page, "next", view_text(next)));
    json_decref(page);
    json_decref(all);
    json_decref(subject_of);
}

/* Both take the same members, and each passes over what it does not use. */
static void start(struct daemon *d, struct rpc_call *call, const json_t *params,
                  void (*run)(struct inquiry *r, struct store *view))
{
    struct fault f = {0};
    struct cards_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    a->want = (struct cards_wanted){.formula = json_string_value(json_object_get(params, "formula")),
                                    .order = json_string_value(json_object_get(params, "order")),
                                    .verdict = json_string_value(json_object_get(params, "verdict")),
                                    .light = json_object_get(params, "light"),
                                    .coats = json_number_value(json_object_get(params, "coats"))};
    /* What leads nowhere by itself may look through all cards. */
    bool slow = run == run_list && (a->text || a->want.order || a->want.verdict || a->want.light || a->want.coats > 0);
    if ((!a->want.verdict || verdict_fits(a->want.verdict, &f)) && rpc_get_text(params, "text", &a->text, &f) &&
        page_read(params, &a->limit, &a->after, &f))
        inquiry_start(&a->inquiry, slow ? STORE_SLOW : STORE_QUICK, run);
    else
        inquiry_refuse(&a->inquiry, &f);
}

void method_card_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    start(d, call, params, run_list);
}

void method_card_match(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    start(d, call, params, run_match);
}
