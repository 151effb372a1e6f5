/* people_methods.c - who works here: people.list, people.put, people.sign_in, people.sign_out. A name is no right: it
 * never raises what a connection may do. */
#include "bench/bench.h"
#include "daemon.h"
#include "rpc/methods/errand.h"
#include "rpc/methods/methods.h"
#include "station/batch_record.h"
#include "station/event.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <stdlib.h>

/* ---- people.list: a shop has few, so they are read on the loop ---- */

struct people {
    struct store *store;
    json_t *list;
};

/* A store_item_list callback. `last` is when they signed in last, null: never. */
static void add_person(void *arg, const struct store_item *item)
{
    struct people *p = arg;
    char last[STORE_TIME];
    json_t *person = json_read_text(item->body);
    store_seen(p->store, item->id, last);
    json_object_set_new(person, "last", view_text(last));
    json_array_append_new(p->list, person);
}

/* On the loop and whole: a shop has a dozen painters. Those who left are listed too, since batches name them. */
void method_people_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct people p = {.store = d->store, .list = json_array()};
    struct fault f = {0};
    (void)params;
    if (store_item_list(d->store, "person", NULL, add_person, &p)) {
        rpc_answer(call, json_pack("{s:o, s:n}", "people", p.list, "next"));
        return;
    }
    json_decref(p.list);
    store_say_unread(d->store, &f);
    rpc_fail(call, &f);
}

/* ---- people.put ---- */

/* On disk: what a painter owes may be another number now, also at the bench where they stand. */
static void owe(struct errand *e)
{
    bench_person_changed(e->daemon);
}

/* `glance`: how many of their batches a second person must look at; `trained`: the day of their last training. */
static bool put_person(struct errand *e, struct fault *f)
{
    const char *name = json_string_value(json_object_get(e->params, "painter"));
    const char *trained = json_string_value(json_object_get(e->params, "trained"));
    const json_t *glance = json_object_get(e->params, "glance");
    char last[STORE_TIME];
    if (utf8_count(name) > EVENT_NAME_CHARACTERS)
        return fault_said(f, FAULT_INVALID, "painter", "long", "name_too_long field=%s most=%d", "painter",
                          EVENT_NAME_CHARACTERS);
    if (trained && !timestamp_is_day(trained))
        return fault_said(f, FAULT_INVALID, "trained", "date", "member_not_day field=%s given=%s", "trained", trained);
    json_t *person = json_pack(
        "{s:s, s:b, s:I, s:s?}", "painter", name, "retired", json_is_true(json_object_get(e->params, "retired")),
        "glance", json_is_number(glance) ? (json_int_t)json_number_value(glance) : (json_int_t)0, "trained", trained);
    char *body = json_write(person, JSON_COMPACT);
    struct store_item item = {.kind = "person", .id = name, .time = e->time, .body = body, .text = name};
    json_t *answer = json_deep_copy(person);
    store_seen(e->daemon->store, name, last);
    json_object_set_new(answer, "last", view_text(last));
    e->then = owe;
    bool good =
        errand_write(e, "people.put", person, answer, &(struct store_write){.items = &item, .item_count = 1}, f);
    free(body);
    return good;
}

void method_people_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, put_person);
}

/* ---- sign_in, sign_out ---- */

/* A store_item_get callback; the caller lets go of *arg. */
static void take_person(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* On disk: the bench shows it. The answer that a repeat gets is the screen as it was then. */
static void show(struct errand *e)
{
    const char *station = json_string_value(json_object_get(e->params, "station"));
    struct bench *b = daemon_bench(e->daemon, station);
    json_t *screen = NULL;
    if (b) {
        bench_sign(b, e->arg ? json_string_value(json_object_get(e->params, "painter")) : NULL);
        screen = bench_screen(b);
    }
    if (screen) {
        json_decref(e->answer);
        e->answer = screen;
    }
}

/* painter NULL: nobody is there any more. */
static bool sign(struct errand *e, const char *painter, struct fault *f)
{
    const char *station = json_string_value(json_object_get(e->params, "station"));
    struct bench *b = daemon_bench(e->daemon, station);
    struct store_sign sign = {.station = station, .painter = painter, .time = e->time};
    if (!b)
        return fault_said(f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
    json_t *screen = bench_screen(b);
    json_object_set_new(screen, "signed_in", view_text(painter));
    e->then = show;
    e->arg = painter ? e : NULL;
    return errand_write(e, painter ? "people.sign_in" : "people.sign_out",
                        json_pack("{s:s, s:s?}", "station", station, "painter", painter), screen,
                        &(struct store_write){.sign = &sign}, f);
}

/* Who has left cannot stand at a bench; who stood there before is signed out by it. */
static bool sign_in(struct errand *e, struct fault *f)
{
    const char *painter = json_string_value(json_object_get(e->params, "painter"));
    json_t *person = NULL;
    enum store_found found = store_item_get(e->daemon->store, "person", painter, 0, take_person, &person);
    bool retired = json_is_true(json_object_get(person, "retired"));
    json_decref(person);
    if (found == STORE_UNREAD)
        return store_say_unread(e->daemon->store, f);
    if (found == STORE_NONE)
        return fault_said(f, FAULT_UNKNOWN, "painter", "unknown", "painter_unknown painter=%s", painter);
    if (retired)
        return fault_said(f, FAULT_INVALID, "painter", "retired", "painter_retired painter=%s", painter);
    return sign(e, painter, f);
}

static bool sign_out(struct errand *e, struct fault *f)
{
    return sign(e, NULL, f);
}

void method_people_sign_in(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, sign_in);
}

void method_people_sign_out(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, sign_out);
}
