/* put.c - a put or a removal of the catalogue on its way to the disk and back to its call. It must not know what a
 * thing holds: the catalogue has checked it.
 *
 * The answer must be in the same write as the thing, since a repeat gets it again, and it tells the revision, which
 * only the store gives. So the next revision is looked up before; writes are done in the order of submission, and those
 * still on their way are counted.
 */
#include "rpc/methods/put.h"

#include "catalogue/catalogue.h"
#include "clock.h"
#include "daemon.h"
#include "rpc/rpc.h"
#include "text/json_write.h"
#include "text/version.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DUMP (JSON_COMPACT | JSON_REAL_PRECISION(15)) /* as rpc/call.c: an answer given again reads alike */

/* One on its way. The answer is stored beside it for a repeated request, so its revision must be known before. */
struct put {
    struct put *next;
    struct daemon *daemon;
    struct rpc_call *call;                               /* answered when the write is on disk */
    char kind[12], id[PUT_ID_MAX];                       /* as the store names the item */
    json_t *thing;                                       /* owned; what is kept, where `kept` asks for it, else NULL */
    void (*kept)(struct daemon *d, const json_t *thing); /* NULL: none */
    json_t *answer;                                      /* owned; what `get` gives from now on */
    const char *revision_member;                         /* NULL: a removal's answer has none */
    int64_t revision;                                    /* the one foreseen */
    char time[CLOCK_TEXT];                               /* of the act; the answer's date is its day */
};

/* A store_item_get callback. */
static void take_revision(void *arg, const struct store_item *item)
{
    *(int64_t *)arg = item->revision;
}

/* The last revision on disk. A removal is a revision too, and the only one that cannot be read. */
static int64_t last_revision(struct store *s, const char *kind, const char *id)
{
    int64_t last = 0;

    /* Present: its own number. Else its revisions are walked from the first, a removal being a gap of one between two.
     */
    if (store_item_get(s, kind, id, 0, take_revision, &last) == STORE_FOUND)
        return last;
    while (store_item_get(s, kind, id, last + 1, take_revision, &last) == STORE_FOUND ||
           store_item_get(s, kind, id, last + 2, take_revision, &last) == STORE_FOUND)
        ;
    return last > 0 ? last + 1 : 0;
}

/* Those on their way count too: two puts of one thing in a row are answered with two revisions. */
static int64_t next_revision(const struct daemon *d, const char *kind, const char *id)
{
    int64_t last = last_revision(d->store, kind, id);

    for (const struct put *p = d->puts; p; p = p->next)
        if (strcmp(p->kind, kind) == 0 && strcmp(p->id, id) == 0 && p->revision > last)
            last = p->revision;
    return last + 1;
}

bool put_on_its_way(const struct daemon *d, const char *kind)
{
    const struct put *p = d->puts;

    while (p && strcmp(p->kind, kind) != 0)
        p = p->next;
    return p != NULL;
}

/* From the daemon's list; one that never got so far is not on it. */
static void unlink_put(struct put *put)
{
    struct put **at = &put->daemon->puts;

    while (*at && *at != put)
        at = &(*at)->next;
    if (*at)
        *at = put->next;
}

static void free_put(struct put *put)
{
    json_decref(put->thing);
    json_decref(put->answer);
    free(put);
}

/* The store gave the revision; it differs from the one foreseen only if another program wrote the file. */
static void on_written(void *arg, const struct store_outcome *outcome)
{
    struct put *put = arg;

    unlink_put(put);
    put->daemon->puts_ended++;
    if (outcome->result == STORE_DONE) {
        if (put->kept)
            put->kept(put->daemon, put->thing);
        if (put->revision_member && outcome->item_revisions)
            json_object_set_new(put->answer, put->revision_member, json_integer(outcome->item_revisions[0]));
        rpc_answer(put->call, json_incref(put->answer));
    } else {
        rpc_not_written(put->call, outcome);
    }
    free_put(put);
}

/* The texts of one write; they live until store_submit has copied them. */
struct texts {
    char *body, *answer, *words;           /* owned, of jansson and the catalogue */
    const char *reason, *person, *request; /* borrowed from params; NULL: not given */
    char event[24];                        /* the event's kind, such as `toner.put` */
};

/* mono_ns is CLOCK_BOOTTIME: with `boot` it orders events whatever the wall clock did. */
struct store_event put_event(const struct daemon *d, const struct rpc_call *call, const char *kind, const char *body,
                             char time[CLOCK_TEXT])
{
    clock_text(clock_wall_ms(), time);
    return (struct store_event){
        .kind = kind,
        .revision = -1,
        .time = time,
        .mono_ns = clock_mono_ns(),
        .boot = d->boot,
        .client = call ? rpc_client(call) : "poised",
        .method = call ? rpc_method_name(call) : NULL,
        .version = POISE_VERSION,
        .body = body,
    };
}

/* One event and one item in one write: the journal and what is listed cannot come apart. */
static void submit(struct put *put, struct texts *t, bool removes)
{
    char now[CLOCK_TEXT];
    struct store_event event = put_event(put->daemon, put->call, t->event, t->body, now);
    struct store_item item = {
        .kind = put->kind,
        .id = put->id,
        .time = put->time,
        .reason = t->reason,
        .body = removes ? NULL : t->body,
        .text = t->words,
    };
    event.time = put->time; /* which the answer told already */
    event.person = t->person;
    struct store_write write = {
        .events = &event,
        .event_count = 1,
        .items = &item,
        .item_count = 1,
        .request = t->request,
        .method = event.method,
        .answer = t->answer,
    };

    store_submit(put->daemon->store, &write, on_written, put);
}

/* put NULL: there was no memory even for it. */
static void fail_put(struct put *put, struct rpc_call *call)
{
    struct fault fault = {0};

    fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    rpc_fail(call, &fault);
    if (put)
        free_put(put);
}

/* Takes the answer. NULL: no memory. */
static struct put *new_put(struct daemon *d, struct rpc_call *call, const char *kind, const char *id, json_t *answer)
{
    struct put *put = calloc(1, sizeof *put);

    if (!put || !answer) {
        json_decref(answer);
        free(put);
        return NULL;
    }
    *put = (struct put){.daemon = d, .call = call, .answer = answer};
    snprintf(put->kind, sizeof put->kind, "%s", kind);
    snprintf(put->id, sizeof put->id, "%s", id);
    clock_text(clock_wall_ms(), put->time);
    put->revision = next_revision(d, kind, id);
    return put;
}

/* The texts of params; wrong types are refused. False: *fault. */
static bool read_texts(const json_t *params, struct texts *t, struct fault *fault)
{
    return rpc_get_text(params, "request", &t->request, fault) && rpc_get_text(params, "reason", &t->reason, fault) &&
           rpc_get_text(params, "person", &t->person, fault);
}

/* Takes put; body and words too. */
static void go(struct put *put, const json_t *params, const char *verb, char *body, char *words)
{
    struct texts t = {.body = body, .words = words};
    bool removes = strcmp(verb, "remove") == 0;
    struct fault fault = {0};

    t.answer = json_write(put->answer, DUMP);
    if (!read_texts(params, &t, &fault)) {
        rpc_fail(put->call, &fault);
        free_put(put);
    } else if (!t.body || !t.answer || (!removes && !t.words)) {
        fail_put(put, put->call);
    } else {
        snprintf(t.event, sizeof t.event, "%s.%s", put->kind, verb);
        put->next = put->daemon->puts;
        put->daemon->puts = put;
        submit(put, &t, removes);
    }
    free(t.body);
    free(t.answer);
    free(t.words);
}

/* The answer is what `get` gives from now on: the thing with what the store adds to it. */
static void complete(struct put *put, const json_t *params, const struct put_kind *kind)
{
    const char *reason = json_string_value(json_object_get(params, "reason"));

    put->revision_member = kind->revision;
    if (kind->revision)
        json_object_set_new(put->answer, kind->revision, json_integer(put->revision));
    if (!kind->dated)
        return;
    json_object_set_new(put->answer, "date", json_stringn(put->time, 10)); /* RFC 3339 begins with it */
    json_object_set_new(put->answer, "reason", reason && *reason ? json_string(reason) : json_null());
}

/* Takes put and thing; the words to find it by are made here, of the thing as it is kept. */
static void put_now(struct put *put, struct rpc_call *call, const json_t *params, const struct put_kind *kind,
                    json_t *thing)
{
    char *body = thing ? json_write(thing, DUMP) : NULL, *words = thing ? catalogue_text(thing) : NULL;

    if (!put) {
        free(body);
        free(words);
        json_decref(thing);
        fail_put(NULL, call);
        return;
    }
    put->kept = kind->kept;
    put->thing = thing;
    complete(put, params, kind);
    go(put, params, "put", body, words);
}

void put_answered(struct daemon *d, struct rpc_call *call, const json_t *params, const struct put_kind *kind,
                  const char *id, json_t *thing, json_t *answer)
{
    put_now(new_put(d, call, kind->kind, id, answer), call, params, kind, thing);
}

/* It is answered as it is kept, with what the store adds: so what is kept is a copy. */
void put_thing(struct daemon *d, struct rpc_call *call, const json_t *params, const struct put_kind *kind,
               const char *id, json_t *thing)
{
    struct fault fault = {0};

    if (thing && !catalogue_name_fits(thing, &fault)) {
        json_decref(thing);
        rpc_fail(call, &fault);
        return;
    }
    json_t *kept = json_copy(thing);
    put_now(new_put(d, call, kind->kind, id, thing), call, params, kind, kept);
}

/* A removal is a revision of its own, so that a put after it goes on counting. */
void put_removal(struct daemon *d, struct rpc_call *call, const json_t *params, const char *kind, const char *id)
{
    struct put *put = new_put(d, call, kind, id, json_pack("{s:s,s:b}", "id", id, "removed", 1));
    json_t *body = json_pack("{s:s}", "id", id);

    if (put)
        go(put, params, "remove", json_write(body, DUMP), NULL);
    else
        fail_put(NULL, call);
    json_decref(body);
}

/* The first of the members that says something. */
const char *put_id(const json_t *params, const char *const names[], struct fault *fault)
{
    const char *id = NULL;

    for (size_t i = 0; names[i] && (!id || !*id); i++)
        if (!rpc_get_text(params, names[i], &id, fault))
            return NULL;
    if (id && !*id)
        id = NULL; /* as the shapes have it of a text that must be there */
    if (!id)
        fault_said(fault, FAULT_PARAMS, names[0], "missing", "member_missing field=%s", names[0]);
    return id;
}

/* With the nearest that there is, where something is near: most unknown codes are slips of one letter. */
void put_unknown(struct daemon *d, struct rpc_call *call, const char *field, const char *id)
{
    struct fault fault = {0};

    /* A field is named as the kind that it holds; `id` alone stands for a toner's. */
    catalogue_unknown(d->store, strcmp(field, "id") == 0 ? "toner" : field, field, id, &fault);
    rpc_fail(call, &fault);
}
