/* events.c - one reader of server-sent events (WHATWG HTML, section 9.2): a subscriber of the hub whose notes go out as
 * `event: weight`, `data: {...}`. It must not know what a note says.
 *
 * Bounds  What the reader does not take waits in one queue of HTTP_QUEUE_MAX bytes; beyond it the reader is ended. A
 *         weight is never queued behind another: the hub keeps the newest until the queue is empty.
 */
#include "http/server.h"

#include "daemon.h"
#include "text/json_read.h"
#include "text/json_write.h"

#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#define BLOCK 16384 /* bytes that the library asks for at once */

struct http_events {
    struct hub_subscriber subscriber;
    struct http_exchange *exchange;
    char *text;
    size_t at, len, room; /* what waits: text[at..len] */
    bool ended;
};

/* The subscriber is the first member. */
static struct http_events *events_of(struct hub_subscriber *s)
{
    return (struct http_events *)(void *)s;
}

/* ---- what waits ---- */

/* The end of a reader is told by closing: a browser then opens anew and begins with the screen. */
static void end(struct http_events *v)
{
    v->ended = true;
    shutdown(v->exchange->link->fd, SHUT_RDWR);
    http_go_on(v->exchange);
}

/* Adds to what waits. The bound is looked at before: a reader that does not read costs no more than HTTP_QUEUE_MAX, and
 * room is never more than twice that. */
static void put(struct http_events *v, const char *text, size_t len)
{
    if (v->ended)
        return;
    if (v->at == v->len)
        v->at = v->len = 0;
    if (v->len - v->at + len > HTTP_QUEUE_MAX) {
        end(v);
        return;
    }
    /* A reader that is always a little behind never lets the queue begin anew by itself. */
    if (v->len + len > v->room && v->at > 0) {
        memmove(v->text, v->text + v->at, v->len - v->at);
        v->len -= v->at;
        v->at = 0;
    }
    if (v->len + len > v->room) {
        char *room = realloc(v->text, 2 * (v->len + len));
        if (!room) {
            end(v);
            return;
        }
        v->text = room;
        v->room = 2 * (v->len + len);
    }
    memcpy(v->text + v->len, text, len);
    v->len += len;
    http_go_on(v->exchange);
}

/* Screens and scales: each one counts, in order. */
static void take(struct hub_subscriber *s, const char *text, size_t len)
{
    put(events_of(s), text, len);
}

/* Weights: false while something waits, and the hub then keeps only the newest. */
__attribute__((hot)) static bool offer(struct hub_subscriber *s, const char *text, size_t len)
{
    struct http_events *v = events_of(s);
    if (v->at < v->len)
        return false;
    put(v, text, len);
    return true;
}

#define NOTE(name) "event: " name "\ndata: "
static const struct hub_transport sent_events = {
    .head = {[HUB_WEIGHT] = NOTE("weight"), [HUB_SCREEN] = NOTE("screen"), [HUB_SCALE] = NOTE("scale")},
    .tail = "\n\n",
    .take = take,
    .offer = offer,
};

/* The library wants more to send. With nothing there the connection rests until the next note. */
static ssize_t read_more(void *arg, uint64_t at, char *out, size_t room)
{
    struct http_exchange *e = arg;
    struct http_events *v = e->events;
    (void)at;
    if (!v || v->ended)
        return MHD_CONTENT_READER_END_OF_STREAM;
    if (v->at == v->len)
        hub_flush(&v->subscriber);
    size_t n = v->len - v->at < room ? v->len - v->at : room;
    if (n == 0) {
        http_wait(e);
        return 0;
    }
    memcpy(out, v->text + v->at, n);
    v->at += n;
    return (ssize_t)n;
}

/* A line that begins with a colon is a comment, which a browser passes over (the same section). */
static void beat(struct http_exchange *e)
{
    if (e->suspended && e->events->at == e->events->len)
        put(e->events, ":\n\n", 3);
}

/* The request is at its end, so no note may reach it any more. */
static void forget(struct http_exchange *e)
{
    struct http_events *v = e->events;
    e->events = NULL;
    e->beat = NULL;
    hub_leave(&e->server->daemon->hub, &v->subscriber);
    free(v->text);
    free(v);
}

/* ---- opening ---- */

/* The screen of a station, by the same call that any client makes. */
static void take_screen(struct rpc_caller *caller, const char *text, size_t len)
{
    struct http_exchange *e = (struct http_exchange *)caller;
    json_t *answer = json_read(text, len, JSON_READ_DEPTH, NULL);
    const json_t *screen = json_object_get(answer, "result");
    char *line = screen ? json_write(screen, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    if (line) {
        put(e->events, sent_events.head[HUB_SCREEN], strlen(sent_events.head[HUB_SCREEN]));
        put(e->events, line, strlen(line));
        put(e->events, sent_events.tail, strlen(sent_events.tail));
    }
    free(line);
    json_decref(answer);
    http_go_on(e);
}

/* `watch` is the only call of this caller that comes here, once for each station. */
static void watch(struct rpc_caller *caller, const char *station)
{
    struct http_exchange *e = (struct http_exchange *)caller;
    if (!hub_watch(&e->server->daemon->hub, &e->events->subscriber, station))
        end(e->events); /* better than a reader that is told nothing */
}

/* By way of JSON, since a station's name is the shop's own text. */
static void ask_for(struct http_exchange *e, const char *station)
{
    json_t *params = json_pack("{s:s}", "station", station);
    char *text = params ? json_write(params, JSON_COMPACT) : NULL;
    if (text)
        http_call(e, "watch", text);
    free(text);
    json_decref(params);
}

/* All screens have come, or none has. A stream has no length and no end of its own. */
static enum MHD_Result open_stream(struct http_exchange *e)
{
    struct http_body body = {.type = "text/event-stream"};
    if (e->events->len == 0)
        return http_say(e, MHD_HTTP_NOT_FOUND, "no such station");
    http_list(e);
    return http_send(e, MHD_HTTP_OK, e->server->library.stream(MHD_SIZE_UNKNOWN, BLOCK, read_more, e, NULL), &body);
}

/* `?station=NAME`, or all of them. A HEAD opens nothing. */
enum MHD_Result http_run_events(struct http_exchange *e)
{
    const struct config *c = &e->server->daemon->config;
    const char *station = e->server->library.value(e->connection, MHD_GET_ARGUMENT_KIND, "station");
    unsigned readers = 0;
    struct http_exchange *other;
    LIST_FOREACH(other, &e->server->waiting, entry) readers += other->events != NULL;
    if (readers >= e->server->events_most)
        return http_say(e, MHD_HTTP_SERVICE_UNAVAILABLE, "too many readers of events");
    struct http_events *v = calloc(1, sizeof *v);
    if (e->head || !v) {
        free(v);
        return e->head ? http_reply(e, MHD_HTTP_OK, (struct http_body){.type = "text/event-stream"}) : MHD_NO;
    }
    v->subscriber.transport = &sent_events;
    v->exchange = e;
    e->events = v;
    e->beat = beat;
    e->forget = forget;
    e->caller.send = take_screen;
    e->caller.watch = watch;
    e->answered = open_stream;
    for (size_t i = 0; i < c->station_count; i++)
        if (!station || strcmp(station, c->station[i].name) == 0)
            ask_for(e, c->station[i].name);
    /* Practices are told to whoever asks for one by its name: a wall with all benches shows none. */
    if (station && daemon_practice(e->server->daemon, station))
        ask_for(e, station);
    return http_answer_or_wait(e);
}
