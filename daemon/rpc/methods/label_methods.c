/* label_methods.c - batch.label: what stands on a cup's label, and printing it. */
#include "bench/batch_journal.h"
#include "bench/begin.h"
#include "bench/bench.h"
#include "catalogue/hazards.h"
#include "clock.h"
#include "print/print.h"
#include "rpc/methods/methods.h"
#include "station/aims.h"
#include "text/number.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define WORDS_MAX 24

/* How a label of this batch is written. */
struct writing {
    enum words_language language;
    struct number_style style;
};

static struct writing writing_of(const struct daemon *d, const struct batch *b)
{
    const struct config_station *s = config_station_find(&d->config, b->station);
    return (struct writing){.language = s ? s->language : d->config.language,
                            .style = {.point = d->config.decimal_comma ? ',' : '.', .minus = true}};
}

/* Signal word and hazard words of what is in the cup; how many of them a label never cuts. */
static void add_hazards(json_t *label, const struct writing *w, const struct batch *b)
{
    const char *words[WORDS_MAX];
    struct hazards hazards = {.count = 0};
    size_t gravest;
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (batch_part_g(b, (int)p) > 0)
            hazards_add(&hazards, b->recipe.part[p].hazards);
    size_t count = hazards_words(&hazards, w->language, words, WORDS_MAX, &gravest);
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_string(words[i]));
    json_object_set_new(label, "signal", json_string(hazards_signal(&hazards)));
    json_object_set_new(label, "hazard_words", list);
    json_object_set_new(label, "gravest", json_integer((json_int_t)gravest));
}

static void append_amount(json_t *list, const struct writing *w, const char *toner, double value, bool sign,
                          const char *unit)
{
    char number[NUMBER_ROOM];
    json_array_append_new(
        list, json_sprintf("%s %s %s", toner, number_fixed(&w->style, value, 1, sign, number, sizeof number), unit));
}

/* Parts whose error was accepted: `P31 +7.9 %`; and what is not in the formula: `K05 3.0 g`. */
static void add_facts(json_t *label, const struct writing *w, const struct batch *b)
{
    json_t *deviations = json_array(), *foreign = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double poured = batch_part_g(b, (int)p);
        double aim = part->role == PART_COLOUR ? part->share * batch_k_lo(b) : batch_addition_aim_g(b, (int)p);
        if (!(poured > 0))
            continue;
        if (part->foreign && !(part->share > 0))
            append_amount(foreign, w, part->toner, poured, false, "g");
        else if (b->part_left[p] && aim > 0)
            append_amount(deviations, w, part->toner, 100 * (poured - aim) / aim, true, "%");
        else if (b->part_left[p])
            append_amount(deviations, w, part->toner, poured, true, "g");
    }
    json_object_set_new(label, "deviations", deviations);
    json_object_set_new(label, "foreign", foreign);
}

/* `25 Nov 2026 10:51`, `25. Nov 2026 10:51`. */
static void add_time(json_t *label, const struct writing *w, int64_t ms)
{
    time_t seconds = (time_t)(ms / 1000);
    struct tm t;
    char month[24];
    localtime_r(&seconds, &t);
    snprintf(month, sizeof month, "month.%d", t.tm_mon + 1);
    json_object_set_new(label, "time",
                        json_sprintf("%d%s %s %d %02d:%02d", t.tm_mday, w->language == WORDS_DE ? "." : "",
                                     words_of(w->language, month), t.tm_year + 1900, t.tm_hour, t.tm_min));
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
    add_time(label, &w, b->finished_ms ? b->finished_ms : clock_wall_ms());
    add_use_by(label, &w, b);
    add_hazards(label, &w, b);
    add_facts(label, &w, b);
    return label;
}

struct printing {
    struct rpc_call *call;
    json_t *label;
    int copies;
};

static void printed(void *arg, bool ok, const char *why)
{
    struct printing *p = arg;
    struct fault f;
    if (ok) {
        rpc_answer(p->call, json_pack("{s:O, s:i}", "label", p->label, "printed", p->copies));
    } else {
        fault_said(&f, FAULT_PRINT, "copies", "printer", "not_printed why=%s", why);
        rpc_fail(p->call, &f);
    }
    json_decref(p->label);
    free(p);
}

static void print(struct daemon *d, struct rpc_call *call, json_t *label, int copies)
{
    struct printing *p = malloc(sizeof *p);
    char *text = json_dumps(label, JSON_COMPACT);
    struct fault f;
    if (!p || !text) {
        free(p);
        free(text);
        json_decref(label);
        fault_said(&f, FAULT_INTERNAL, NULL, NULL, "no_memory");
        rpc_fail(call, &f);
        return;
    }
    *p = (struct printing){.call = call, .label = label, .copies = copies};
    print_label(d->loop, d->label_program, d->config.print_command, text, printed, p);
    free(text);
}

void method_batch_label(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double copies = 0;
    bool lid = false;
    const char *size = NULL;
    struct fault f;
    struct batch *b = NULL;
    bool ok = rpc_get_number(params, "copies", &copies, &f) && rpc_get_flag(params, "lid", &lid, &f) &&
              rpc_get_text(params, "size_mm", &size, &f);
    if (ok && copies > 0 && !d->config.print_command[0])
        ok = fault_said(&f, FAULT_PRINT, "copies", "printer", "no_printer");
    ok = ok && (b = journal_find(d, json_string_value(json_object_get(params, "batch")), "batch", &f));
    if (!ok) {
        rpc_fail(call, &f);
        return;
    }
    json_t *label = label_of(d, b, copies > 0 ? (int)copies : 1);
    if (size)
        json_object_set_new(label, "size_mm", json_string(size));
    json_object_set_new(label, "lid", json_boolean(lid));
    batch_finish(b);
    free(b);
    if (copies > 0)
        print(d, call, label, (int)copies);
    else
        rpc_answer(call, json_pack("{s:o, s:i}", "label", label, "printed", 0));
}

static void finished_printed(void *arg, bool ok, const char *why)
{
    const struct said said = ok ? (struct said){.used = 0} : say("not_printed why=%s", why);
    bench_printed(arg, &said);
}

void label_print_finished(struct daemon *d, struct bench *bench, const char *batch, int labels)
{
    struct fault f;
    struct batch *b = d->config.print_command[0] ? journal_find(d, batch, "batch", &f) : NULL;
    const struct said no = d->config.print_command[0] ? say("no_memory") : say("no_printer");
    char *text = NULL;
    if (b) {
        json_t *label = label_of(d, b, labels);
        json_object_set_new(label, "lid", json_false());
        text = json_dumps(label, JSON_COMPACT);
        json_decref(label);
        batch_finish(b);
        free(b);
    }
    if (text)
        print_label(d->loop, d->label_program, d->config.print_command, text, finished_printed, bench);
    else
        bench_printed(bench, &no);
    free(text);
}
