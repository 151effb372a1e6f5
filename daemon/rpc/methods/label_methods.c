/* label_methods.c - batch.label: what stands on a cup's label, and printing it once. It must not know how a label is
 * drawn. */
#include "bench/batch_journal.h"
#include "bench/bench.h"
#include "catalogue/hazards.h"
#include "clock.h"
#include "print/print.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"
#include "station/aims.h"
#include "text/json_write.h"
#include "text/label_size.h"
#include "text/number.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define WORDS_MAX 24 /* hazard sentences of a label; the gravest stand first, and only the last are left out */

/* How a label of this batch is written. */
struct writing {
    enum words_language language; /* the station's, else the shop's */
    struct number_style style;    /* its decimal sign is the shop's; a minus is the real one */
};

/* Of the bench where it was mixed; a bench that the configuration no longer has: the shop's. Numbers always bear the
 * shop's decimal sign. */
static struct writing writing_of(const struct daemon *d, const struct batch *b)
{
    const struct config_station *s = config_station_find(&d->config, b->station);
    return (struct writing){.language = s ? s->language : d->config.language,
                            .style = {.point = d->config.decimal_comma ? ',' : '.', .minus = true}};
}

/* Signal word and hazard words of what is in the cup; how many of them a label never cuts. A hardener of which nothing
 * is known, or one that was poured as colour, counts as isocyanate. */
static void add_hazards(json_t *label, const struct writing *w, const struct batch *b)
{
    const char *words[WORDS_MAX];
    struct hazards hazards = {.count = 0};
    size_t gravest;
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (batch_toner_g(b, (int)p) > 0) {
            const struct recipe_part *part = &b->recipe.part[p];
            bool unknown = part->role == PART_HARDENER && part->hazards[0] == '\0';
            hazards_add(&hazards, unknown ? "EUH204" : part->hazards);
        }
    if (b->hardened)
        hazards_add(&hazards, "EUH204");
    size_t count = hazards_words(&hazards, w->language, words, WORDS_MAX, &gravest);
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_string(words[i]));
    json_object_set_new(label, "signal", json_string(hazards_signal(&hazards)));
    json_object_set_new(label, "hazard_words", list);
    json_object_set_new(label, "gravest", json_integer((json_int_t)gravest));
}

/* `P31 +7.9 %`. One decimal: the label is 62 mm wide, and nobody pours by it. */
static void append_amount(json_t *list, const struct writing *w, const char *toner, double value, bool sign,
                          const char *unit)
{
    char number[NUMBER_ROOM];
    json_array_append_new(
        list, json_sprintf("%s %s %s", toner, number_fixed(&w->style, value, 1, sign, number, sizeof number), unit));
}

/* A batch keeps these for good: `V23 2.0 g`. */
static void add_bits(json_t *label, const char *member, const struct writing *w, const struct batch_bit bits[],
                     size_t count)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        append_amount(list, w, bits[i].toner, bits[i].grams, false, "g");
    json_object_set_new(label, member, list);
}

/* Parts whose error was accepted: `P31 +7.9 %`; what was tinted in, and what is not in the formula: `K05 3.0 g`. */
static void add_facts(json_t *label, const struct writing *w, const struct batch *b)
{
    json_t *deviations = json_array();
    for (size_t p = 0; p < b->recipe.parts && json_array_size(deviations) < WORDS_MAX; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double poured = batch_part_g(b, (int)p);
        double aim = part->role == PART_COLOUR ? part->share * batch_k_lo(b) : batch_addition_aim_g(b, (int)p);
        if (!(poured > 0) || (part->foreign && !(part->share > 0)))
            continue;
        if (b->part_left[p] && aim > 0)
            append_amount(deviations, w, part->toner, 100 * (poured - aim) / aim, true, "%");
        else if (b->part_left[p])
            append_amount(deviations, w, part->toner, poured, true, "g");
    }
    json_object_set_new(label, "deviations", deviations);
    add_bits(label, "tinted", w, b->tinted, b->tints);
    add_bits(label, "foreign", w, b->foreign, b->foreigns);
}

/* `325 g`: what the cup holds, whole grams but of a small cup. */
static void add_content(json_t *label, const struct writing *w, const struct batch *b)
{
    char number[NUMBER_ROOM];
    double grams = batch_content_g(b);
    number_fixed(&w->style, grams, grams < 100 ? 1 : 0, false, number, sizeof number);
    json_object_set_new(label, "content", json_sprintf("%s g", number));
}

/* `16:40, 25 Nov`: with the day, since a label outlives it. */
static void add_use_by(json_t *label, const struct writing *w, const struct batch *b)
{
    char at[TIMESTAMP_ROOM];
    int64_t until = batch_use_by_ms(b);
    if (until != 0)
        timestamp_hour_day(until, w->language, at);
    json_object_set_new(label, "use_by", until != 0 ? json_string(at) : json_null());
    json_object_set_new(label, "activated", json_boolean(batch_activated(b)));
}

/* What poise-label draws. `lid` and another size are the caller's to set. */
static json_t *label_of(const struct daemon *d, const struct batch *b, int copies)
{
    struct writing w = writing_of(d, b);
    char made[SAID_TEXT_MAX];
    struct number_style style = batch_number_style(b);
    said_text(&b->recipe.made, w.language, &style, made, sizeof made);
    json_t *with = json_array();
    for (size_t i = 0; i < b->haves; i++)
        if (b->have[i].batch[0])
            json_array_append_new(with, json_string(b->have[i].batch));
    /* A product has no variants: `standard` on a clear would say nothing. */
    json_t *label =
        json_pack("{s:s, s:s, s:i, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:o, s:b}", "size_mm",
                  d->config.print_size_mm[0] ? d->config.print_size_mm : "62x29", "language",
                  words_language_names[w.language], "copies", copies, "batch", b->id, "code", b->recipe.code, "name",
                  b->recipe.name, "coat", b->recipe.coat, "variant", b->recipe.is_product ? "" : b->recipe.variant,
                  "made", made, "order", b->order, "vehicle", "", "painter", b->painter, "with", with, "lid", 0);
    char at[TIMESTAMP_ROOM];
    timestamp_day_hour(b->finished_ms ? b->finished_ms : clock_wall_ms(), w.language, at);
    json_object_set_new(label, "time", json_string(at));
    add_use_by(label, &w, b);
    add_hazards(label, &w, b);
    add_facts(label, &w, b);
    add_content(label, &w, b);
    return label;
}

/* ---- a label on its way: its batch is read off the loop, its print noted, then printed ----
 *
 * The print is in the journal, with the answer to its request, before the printer gets it: whatever happens then, the
 * same request never prints twice. A print that fails is noted as an item `print` named by the request: that request,
 * sent again, prints after all, as a refused call's request may. */

struct label {
    struct inquiry inquiry; /* until the batch is read */
    struct label *next;     /* of daemon.labels, while it is at the printer for a request */
    struct daemon *daemon;
    struct rpc_call *call; /* NULL: of a batch that was just finished */
    struct bench *bench;   /* which is told then */
    char number[STORE_NUMBER];
    int copies;          /* 0: the label is told, not printed */
    const char *size;    /* in the inquiry's params; NULL: the shop's */
    bool lid;            /* a short one for the lid */
    bool once_more;      /* this request's print had failed */
    struct batch *batch; /* as read */
    char request[65];    /* "": none */
    json_t *json;        /* what stands on it */
};

/* Takes it off the list of those at the printer, if it is on it. */
static void label_free(struct label *l)
{
    struct label **at = &l->daemon->labels;
    while (*at && *at != l)
        at = &(*at)->next;
    if (*at)
        *at = l->next;
    json_decref(l->json);
    free(l);
}

/* Tells who waits for it, and ends it. nothing_said: it was printed. */
static void label_end(struct label *l, const struct said *why)
{
    struct fault f = {0};
    if (!l->call) {
        bench_printed(l->bench, why);
    } else if (!why->code[0]) {
        rpc_answer(l->call, json_pack("{s:O, s:i}", "label", l->json, "printed", l->copies));
    } else {
        fault_from(&f, FAULT_PRINT, "copies", "printer", why, NULL);
        rpc_fail(l->call, &f);
    }
    label_free(l);
}

static const struct said nothing_said = {.used = 0};

static void failure_noted(void *arg, const struct store_outcome *outcome)
{
    (void)outcome; /* where it could not be noted, the request answers as if printed: never twice, rather than always */
    struct label *l = arg;
    const struct said why = say("not_printed why=%s", json_string_value(json_object_get(l->json, "not_printed")));
    label_end(l, &why);
}

/* Printed at last: the request answers so from now on, even if that could not be noted. */
static void failure_over(void *arg, const struct store_outcome *outcome)
{
    (void)outcome;
    label_end(arg, &nothing_said);
}

/* The item `print` of this request: why NULL takes it away. */
static void note_failure(struct label *l, const char *why, store_done *done)
{
    char now[CLOCK_TEXT];
    if (!l->daemon->store) { /* closed already: poised ends */
        done(l, NULL);
        return;
    }
    json_t *json = json_pack("{s:i, s:s, s:s, s:s?}", "v", 1, "batch", l->number, "request", l->request, "why", why);
    char *body = json ? json_write(json, JSON_COMPACT) : NULL;
    struct store_event event = put_event(l->daemon, l->call, why ? "label.failed" : "label.printed", body, now);
    struct store_item item = {
        .kind = "print", .id = l->request, .time = event.time, .body = why ? body : NULL, .text = ""};
    struct store_write write = {.events = &event, .event_count = 1, .items = &item, .item_count = 1};
    store_submit(l->daemon->store, &write, done, l);
    free(body);
    json_decref(json);
}

/* The print command has ended, or ran out of time. why: one line of what it said. */
static void printed(void *arg, bool ok, const char *why)
{
    struct label *l = arg;
    if (ok && l->once_more) {
        note_failure(l, NULL, failure_over);
    } else if (ok) {
        label_end(l, &nothing_said);
    } else if (l->request[0]) {
        json_object_set_new(l->json, "not_printed", json_string(why));
        note_failure(l, why, failure_noted);
    } else {
        const struct said no = say("not_printed why=%s", why);
        label_end(l, &no);
    }
}

/* The label goes as JSON; poise-label draws it in a process of its own, so that cairo is not in the daemon. */
static void print(struct label *l)
{
    char *text = json_write(l->json, JSON_COMPACT);
    if (text)
        print_label(l->daemon->prints, l->daemon->loop, l->daemon->label_program, l->daemon->config.print_command, text,
                    printed, l);
    else
        printed(l, false, "no memory");
    free(text);
}

/* Whether the same request is at the printer just now: asked once more by an impatient hand. */
static bool is_printing(const struct label *l)
{
    for (const struct label *p = l->daemon->labels; p; p = p->next)
        if (p != l && strcmp(p->request, l->request) == 0)
            return true;
    return false;
}

/* Only whether there is such an item is asked. */
static void ignore_item(void *arg, const struct store_item *item)
{
    (void)arg, (void)item;
}

/* The print is on disk, or was already: then it is answered as it was, unless that print had failed. */
static void noted(void *arg, const struct store_outcome *outcome)
{
    struct label *l = arg;
    bool repeated = outcome->result == STORE_REPEATED && outcome->method && strcmp(outcome->method, "batch.label") == 0;
    l->once_more = repeated && !is_printing(l) &&
                   store_item_get(l->daemon->store, "print", l->request, 0, ignore_item, NULL) == STORE_FOUND;
    if (outcome->result == STORE_DONE || l->once_more) {
        l->next = l->daemon->labels;
        l->daemon->labels = l;
        print(l);
    } else if (l->call) {
        rpc_not_written(l->call, outcome);
        label_free(l);
    } else {
        const struct said no = say("not_printed why=%s", outcome->why ? outcome->why : "");
        label_end(l, &no);
    }
}

/* The event of a print belongs to no batch: it is no act of a pour, and its fold need not know it. */
static void note_print(struct label *l)
{
    char now[CLOCK_TEXT];
    json_t *json = json_pack("{s:i, s:s, s:i}", "v", 1, "batch", l->number, "copies", l->copies);
    json_t *answer = json_pack("{s:O, s:i}", "label", l->json, "printed", l->copies);
    char *body = json ? json_write(json, JSON_COMPACT) : NULL, *text = answer ? json_write(answer, JSON_COMPACT) : NULL;
    struct store_event event = put_event(l->daemon, l->call, "label.printed", body, now);
    struct store_write write = {.events = &event, .event_count = 1};
    if (l->request[0]) {
        write.request = l->request;
        write.method = event.method;
        write.answer = text;
    }
    store_submit(l->daemon->store, &write, noted, l);
    free(body);
    free(text);
    json_decref(json);
    json_decref(answer);
}

/* On a helper thread: the whole journal of the batch is folded, and a long one takes its time. */
static void load(struct inquiry *inquiry, struct store *view)
{
    struct label *l = (struct label *)(void *)inquiry;
    enum store_found found = journal_load(view, l->number, NULL, NULL, &l->batch);
    if (found == STORE_NONE)
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "batch", "unknown", "batch_unknown batch=%s", l->number);
    else if (found == STORE_UNREAD)
        fault_said(&inquiry->fault, FAULT_STORE, "batch", "io", "journal_unreadable batch=%s", l->number);
}

/* The inquiry ends with this; what goes on to the printer lives in a copy. */
static void loaded(struct inquiry *inquiry)
{
    struct label *asked = (struct label *)(void *)inquiry, *l = asked->batch ? malloc(sizeof *l) : NULL;
    if (asked->batch && !l)
        fault_said(&inquiry->fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    if (!l && asked->call)
        rpc_fail(asked->call, &inquiry->fault);
    else if (!l)
        bench_printed(asked->bench, &inquiry->fault.said);
    if (l) {
        *l = *asked;
        l->json = label_of(l->daemon, l->batch, l->copies > 0 ? l->copies : 1);
        if (l->size)
            json_object_set_new(l->json, "size_mm", json_string(l->size));
        json_object_set_new(l->json, "lid", json_boolean(l->lid));
        if (l->copies > 0)
            note_print(l);
        else
            label_end(l, &nothing_said);
    }
    if (asked->batch) {
        batch_finish(asked->batch);
        free(asked->batch);
    }
}

/* What no printer was told yet can still be refused; poise-label would refuse it as well, but as a failed print. */
static bool size_fits(const char *size, struct fault *f)
{
    double width_mm, height_mm;
    return !size || label_size_read(size, &width_mm, &height_mm) ||
           fault_said(f, FAULT_INVALID, "size_mm", "range", "label_size");
}

/* Without copies nothing is written: the label is told, for `poise label --out` and the page. */
void method_batch_label(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *batch = json_string_value(json_object_get(params, "batch"));
    const char *request = json_string_value(json_object_get(params, "request"));
    double copies = 0;
    struct fault f = {0};
    struct label *l = inquiry_new(d, call, params, sizeof *l);
    if (!l)
        return;
    bool ok = rpc_get_number(params, "copies", &copies, &f) && rpc_get_flag(params, "lid", &l->lid, &f) &&
              rpc_get_text(params, "size_mm", &l->size, &f) && size_fits(l->size, &f);
    if (ok && copies > 0 && !d->config.print_command[0])
        ok = fault_said(&f, FAULT_PRINT, "copies", "printer", "no_printer");
    if (!ok && rpc_answered_before(call)) { /* when there was a printer */
        inquiry_refuse(&l->inquiry, NULL);
        return;
    }
    if (ok && !journal_number(batch, l->number))
        ok = fault_said(&f, FAULT_UNKNOWN, "batch", "unknown", "batch_unknown batch=%s", batch);
    if (!ok) {
        inquiry_refuse(&l->inquiry, &f);
        return;
    }
    l->daemon = d;
    l->call = call;
    l->copies = (int)copies;
    utf8_copy(l->request, sizeof l->request, request ? request : "");
    l->inquiry.finish = loaded;
    inquiry_start(&l->inquiry, STORE_QUICK, load);
}

/* No call waits for it: the finish stands and was answered. What goes wrong is the bench's trouble, shown on its
 * screen. */
void label_print_finished(struct daemon *d, struct bench *bench, const char *batch, int labels)
{
    const struct said no = d->config.print_command[0] ? say("no_memory") : say("no_printer");
    struct label *l = d->config.print_command[0] ? inquiry_new(d, NULL, NULL, sizeof *l) : NULL;
    if (!l) {
        bench_printed(bench, &no);
        return;
    }
    l->daemon = d;
    l->bench = bench;
    l->copies = labels;
    utf8_copy(l->number, sizeof l->number, batch);
    l->inquiry.finish = loaded;
    inquiry_start(&l->inquiry, STORE_QUICK, load);
}
