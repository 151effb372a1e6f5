/* errand.c - the row of acts outside a station: decided, written and answered one after another. It must not know what
 * an act is about. */
#include "rpc/methods/errand.h"

#include "daemon.h"
#include "rpc/methods/put.h"
#include "text/json_write.h"

#include <stdlib.h>

#define DUMP (JSON_COMPACT | JSON_REAL_PRECISION(15)) /* as rpc/call.c: an answer given again reads alike */

/* `person` is whoever stands at the screen, `painter` whoever the paint is for: often the same. */
const char *errand_person(const struct errand *e)
{
    const char *person = json_string_value(json_object_get(e->params, "person"));
    return person ? person : json_string_value(json_object_get(e->params, "painter"));
}

/* The call was answered. */
static void forget(struct errand *e)
{
    json_decref(e->params);
    json_decref(e->answer);
    json_decref(e->body);
    free(e);
}

/* Off the head of the row. */
static struct errand *leave(struct daemon *d)
{
    struct errand *e = d->errands;
    d->errands = e->next;
    return e;
}

/* Decides those that come up until one is on its way to the disk. A refused one leaves no trace. */
static void go_on(struct daemon *d)
{
    struct fault fault = {0};
    while (d->errands && !d->errands->run(d->errands, &fault)) {
        struct errand *e = leave(d);
        rpc_fail(e->call, &fault);
        forget(e);
    }
}

/* While the daemon ends nothing new is decided: what waited is refused, so that each call is answered and freed. */
static void written(void *arg, const struct store_outcome *outcome)
{
    struct errand *e = arg;
    struct daemon *d = e->daemon;
    struct fault ending = {0};
    leave(d);
    if (outcome->result == STORE_DONE) {
        if (e->then)
            e->then(e);
        rpc_answer(e->call, json_incref(e->answer));
    } else {
        rpc_not_written(e->call, outcome);
    }
    forget(e);
    while (d->ending && d->errands) {
        fault_said(&ending, FAULT_STORE, NULL, "io", "daemon_ends");
        e = leave(d);
        rpc_fail(e->call, &ending);
        forget(e);
    }
    go_on(d);
}

/* The time is that of the call and not of its turn, so that the journal tells when somebody asked. */
bool errand_write(struct errand *e, const char *kind, json_t *body, json_t *answer, const struct store_write *rows,
                  struct fault *fault)
{
    struct store_write write = *rows;
    e->body = body;
    e->answer = answer;
    if (body)
        json_object_set_new(body, "v", json_integer(1));
    char *text = body ? json_write(body, DUMP) : NULL, *told = answer ? json_write(answer, DUMP) : NULL;
    if (!text || !told) {
        free(text);
        free(told);
        return fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    }
    char now[CLOCK_TEXT];
    struct store_event event = put_event(e->daemon, e->call, kind, text, now);
    event.time = e->time;
    event.person = errand_person(e);
    event.station = json_string_value(json_object_get(body, "station"));
    write.events = &event;
    write.event_count = 1;
    write.request = json_string_value(json_object_get(e->params, "request"));
    write.method = event.method;
    write.answer = told;
    store_submit(e->daemon->store, &write, written, e);
    free(text);
    free(told);
    return true;
}

/* Params are copied whole: the line they came in is gone before the turn comes. */
void errand_start(struct daemon *d, struct rpc_call *call, const json_t *params, errand_run *run)
{
    struct errand *e = calloc(1, sizeof *e), **at = &d->errands;
    json_t *copy = e ? json_whole_copy(params) : NULL;
    struct fault fault = {0};
    if (!copy) { /* an act decided by half of what was asked would be another act */
        free(e);
        fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        rpc_fail(call, &fault);
        return;
    }
    *e = (struct errand){.daemon = d, .call = call, .params = copy, .run = run};
    clock_text(clock_wall_ms(), e->time);
    bool alone = !*at;
    while (*at)
        at = &(*at)->next;
    *at = e;
    if (alone)
        go_on(d);
}
