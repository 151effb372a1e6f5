/* record.c - what was mixed: batch.get, batch.find. */
#include "bench/bench.h"
#include "bench/compose.h"
#include "clock.h"
#include "rpc/methods/methods.h"
#include "station/aims.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct story {
    json_t *list;
    struct batch batch; /* folded along, so that each line knows what it was about */
    const struct daemon *daemon;
    json_t *check;     /* the check weight that stood when the last weight was taken; null: none */
    json_t *cautions;  /* of checks that had failed when a weight was taken */
    int64_t check_seq; /* the journal's number of it */
};

/* The toner that an accept counted for: the one named, else the open step's. */
static const char *counted_toner(const struct story *s, const struct event *e)
{
    const struct batch *b = &s->batch;
    if (e->toner[0])
        return e->toner;
    if (e->kind != EVENT_ACCEPTED || b->open < 0)
        return "";
    return b->recipe.part[b->recipe.step[b->open].part].toner;
}

static void add_texts(json_t *line, const struct event *e, const struct number_style *style)
{
    const struct {
        const char *name, *text;
    } texts[] = {{"lot", e->lot},
                 {"text", e->text},
                 {"raw", e->raw},
                 {"profile", e->profile},
                 {"choice", event_remedy_names[e->remedy]}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (texts[i].text[0])
            json_object_set_new(line, texts[i].name, json_string(texts[i].text));
    if (!e->said.code[0])
        return;
    char text[SAID_TEXT_MAX];
    json_object_set_new(line, "said", said_json(&e->said, style));
    json_object_set_new(line, "text", json_string(said_text(&e->said, WORDS_EN, style, text, sizeof text)));
}

static void add_numbers(json_t *line, const struct event *e)
{
    const struct {
        const char *name;
        double value;
    } numbers[] = {
        {"counted_g", e->counted_g}, {"grew_g", e->grew_g},         {"total_g", e->total_g}, {"take_g", e->take_g},
        {"lost_g", e->lost_g},       {"came_at_once_g", e->jump_g}, {"d_g", e->d_g}};
    if (e->has_weight) {
        json_object_set_new(line, "weight_g", number_json_ug(e->weight_ug));
        json_object_set_new(line, "base_g", number_json_ug(e->base_ug));
    }
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (!isnan(numbers[i].value))
            json_object_set_new(line, numbers[i].name, number_json(numbers[i].value));
}

static json_t *line_of(const struct story *s, const struct store_event *row, const struct event *e)
{
    json_t *line =
        json_pack("{s:I, s:I, s:s, s:o, s:s, s:s}", "seq", (json_int_t)row->seq, "revision", (json_int_t)row->revision,
                  "time", row->time, "who", view_text(row->person), "what", row->kind, "hash", row->hash);
    const char *toner = counted_toner(s, e);
    add_numbers(line, e);
    const struct event_settings *set = e->settings ? e->settings : &s->batch.set;
    add_texts(line, e, &(struct number_style){.point = set->comma ? ',' : '.', .d_g = set->d_g});
    if (toner[0])
        json_object_set_new(line, "toner", json_string(toner));
    if (e->kind == EVENT_ACCEPTED && !e->toner[0] && s->batch.open >= 0)
        json_object_set_new(line, "aim_g", number_json(batch_step_aim_g(&s->batch, (size_t)s->batch.open)));
    return line;
}

/* A check weight that stood when this batch was weighed: kept, and warned of where it had failed. */
static void add_check(void *arg, const struct store_event *row)
{
    struct story *s = arg;
    char words[200];
    if (row->seq == s->check_seq)
        return;
    json_t *body = json_loads(row->body ? row->body : "{}", 0, NULL), *check = json_object();
    static const char *const kept[] = {"grams", "error_g", "error_d", "zero_g", "tolerance_g", "passed"};
    s->check_seq = row->seq;
    json_object_set_new(check, "station", view_text(row->station));
    json_object_set_new(check, "time", view_text(row->time));
    json_object_set_new(check, "who", view_text(row->person));
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        json_object_set(check, kept[i], json_object_get(body, kept[i]));
    json_decref(s->check);
    s->check = check;
    if (!json_is_true(json_object_get(body, "passed"))) {
        bench_check_words(body, row->time ? clock_parse(row->time) : 0, s->daemon->config.decimal_comma, words,
                          sizeof words);
        json_array_append_new(s->cautions, json_string(words));
    }
    json_decref(body);
}

/* One line of a batch's story. A kept reading is left out: it is no act, and there is one a second. */
static bool add_event(void *arg, const struct store_event *row)
{
    struct story *s = arg;
    struct event e;
    json_t *body = json_loads(row->body ? row->body : "{}", 0, NULL);
    bool read = body && event_read(&e, row->kind, body);
    json_decref(body);
    if (!read)
        return false;
    snprintf(e.station, sizeof e.station, "%s", row->station ? row->station : "");
    if (e.has_weight && e.kind != EVENT_KEPT && row->station)
        store_last_weight_check(s->daemon->store, row->station, row->seq, add_check, s);
    if (e.kind != EVENT_KEPT)
        json_array_append_new(s->list, line_of(s, row, &e));
    bool whole = batch_fold(&s->batch, NULL, &e);
    event_finish(&e);
    return whole;
}

static void take_shelf(void *arg, const struct store_batch *row)
{
    json_t **shelf = arg;
    if (row->place || !isnan(row->left_g))
        *shelf = json_pack("{s:o, s:o, s:o}", "place", view_text(row->place), "left_g", number_json(row->left_g),
                           "use_by", view_text(row->use_by));
}

void method_batch_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault f;
    struct batch *b = compose_load(d, json_string_value(json_object_get(params, "batch")), "batch", &f);
    if (!b) {
        rpc_fail(call, &f);
        return;
    }
    struct story *story = malloc(sizeof *story);
    json_t *events = json_array(), *shelf = json_null();
    json_t *record = view_record(b, d->config.currency), *cautions = json_array();
    struct number_style style = batch_number_style(b);
    char text[SAID_TEXT_MAX];
    for (size_t i = 0; i < b->cautions; i++)
        json_array_append_new(cautions, json_string(said_text(&b->caution[i], WORDS_EN, &style, text, sizeof text)));
    json_object_set_new(record, "caution", cautions);
    if (story) {
        *story = (struct story){.list = events, .daemon = d, .check = json_null(), .cautions = cautions};
        batch_init(&story->batch);
        store_events(d->store, b->id, add_event, story);
        batch_finish(&story->batch);
        json_object_set_new(record, "check", story->check);
        free(story);
    }
    store_batch_get(d->store, b->id, take_shelf, &shelf);
    json_object_set_new(record, "shelf", shelf);
    json_object_set_new(record, "events", events);
    rpc_answer(call, record);
    batch_finish(b);
    free(b);
}

static void add_row(void *arg, const struct store_batch *b)
{
    json_array_append_new(arg, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s, s:o}", "batch",
                                         b->batch, "state", b->state, "formula", view_text(b->formula), "name",
                                         view_text(b->name), "variant", view_text(b->variant), "coat",
                                         view_text(b->coat), "order", view_text(b->order), "painter",
                                         view_text(b->painter), "begun", view_text(b->begun), "finished",
                                         view_text(b->finished), "total_g", number_json(b->total_g), "station",
                                         b->station ? b->station : "", "left_g", number_json(b->left_g)));
    json_t *row = json_array_get(arg, json_array_size(arg) - 1);
    json_object_set_new(row, "place", view_text(b->place));
    json_object_set_new(row, "use_by", view_text(b->use_by));
}

static bool read_find(const json_t *params, struct store_find *find, struct fault *f)
{
    double limit = 50;
    struct {
        const char *name;
        const char **to;
    } texts[] = {{"text", &find->text},       {"order", &find->order}, {"formula", &find->formula},
                 {"variant", &find->variant}, {"coat", &find->coat},   {"painter", &find->painter},
                 {"place", &find->place},     {"from", &find->from},   {"to", &find->to},
                 {"state", &find->state},     {"after", &find->after}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (!rpc_get_text(params, texts[i].name, texts[i].to, f))
            return false;
    if (!rpc_get_number(params, "limit", &limit, f))
        return false;
    if (!(limit >= 1 && limit <= 1000 && limit == floor(limit)))
        return fault_set(f, FAULT_INVALID, "limit", "range", "Give a whole number from 1 to 1000.", "no such limit");
    find->limit = (int)limit;
    if (find->from && !timestamp_is_day(find->from))
        return fault_set(f, FAULT_INVALID, "from", "date", "Give a date as YYYY-MM-DD.", "no such date");
    if (find->to && !timestamp_is_day(find->to))
        return fault_set(f, FAULT_INVALID, "to", "date", "Give a date as YYYY-MM-DD.", "no such date");
    return true;
}

/* `POISE:1042` off a label, `#1042` as people write it: that batch and no other. NULL: words to search for. */
static const char *scanned_number(const char *text)
{
    if (text && strncmp(text, "POISE:", 6) == 0)
        return text + 6;
    return text && text[0] == '#' ? text + 1 : NULL;
}

void method_batch_find(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct store_find find = {0};
    struct fault f;
    char next[STORE_NUMBER];
    if (!read_find(params, &find, &f)) {
        rpc_fail(call, &f);
        return;
    }
    json_t *list = json_array();
    const char *number = scanned_number(find.text);
    if (number) {
        store_batch_get(d->store, number, add_row, list);
        rpc_answer(call, json_pack("{s:o, s:n}", "batches", list, "next"));
        return;
    }
    enum store_found found = store_batch_find(d->store, &find, add_row, list, next);
    if (found == STORE_FOUND) {
        rpc_answer(call, json_pack("{s:o, s:o}", "batches", list, "next", view_text(next[0] ? next : NULL)));
    } else {
        json_decref(list);
        fault_set(&f, FAULT_INVALID, find.after ? "after" : "text", "form", "Take `after` from `next` of a page.",
                  "this cannot be searched for");
        rpc_fail(call, &f);
    }
}
