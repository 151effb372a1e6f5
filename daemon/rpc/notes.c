/* notes.c - who watches which station, and what they are told. */
#include "rpc/conn.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const note_names[] = {
    [RPC_NOTE_WEIGHT] = "weight",
    [RPC_NOTE_SCREEN] = "screen",
    [RPC_NOTE_SCALE] = "scale",
};

static struct rpc_watching *watching(const struct rpc_conn *c, const char *station)
{
    for (size_t i = 0; i < c->watching_count; i++)
        if (strcmp(c->watching[i].station, station) == 0)
            return &c->watching[i];
    return NULL;
}

void rpc_conn_watch(struct rpc_caller *caller, const char *station)
{
    struct rpc_conn *c = (struct rpc_conn *)caller;
    struct rpc_watching *all;
    char *name;

    if (c->closed || watching(c, station) || c->watching_count >= RPC_WATCH_MAX)
        return;
    name = strdup(station);
    all = name ? realloc(c->watching, (c->watching_count + 1) * sizeof *all) : NULL;
    if (!all) {
        free(name);
        rpc_conn_close(c); /* better than a watcher that is told nothing */
        return;
    }
    c->watching = all;
    all[c->watching_count++] = (struct rpc_watching){.station = name};
}

void rpc_conn_unwatch_all(struct rpc_conn *c)
{
    for (size_t i = 0; i < c->watching_count; i++) {
        free(c->watching[i].station);
        free(c->watching[i].newest);
    }
    free(c->watching);
    c->watching = NULL;
    c->watching_count = 0;
}

/* The newest weight takes the place of the one before it that was not sent. */
static void hold(struct rpc_watching *w, const char *line, size_t len)
{
    if (len > w->newest_cap) {
        char *newest = realloc(w->newest, len);

        if (!newest) {
            w->newest_len = 0; /* none rather than an old one */
            return;
        }
        w->newest = newest;
        w->newest_cap = len;
    }
    memcpy(w->newest, line, len);
    w->newest_len = len;
}

static void send_weight(struct rpc_conn *c, struct rpc_watching *w, const char *line, size_t len)
{
    if (rpc_out_try(c, line, len))
        w->newest_len = 0;
    else
        hold(w, line, len);
}

void rpc_conn_flush_weights(struct rpc_conn *c)
{
    for (size_t i = 0; i < c->watching_count && !c->closed; i++) {
        struct rpc_watching *w = &c->watching[i];

        if (w->newest_len > 0 && rpc_out_try(c, w->newest, w->newest_len))
            w->newest_len = 0;
    }
}

__attribute__((hot)) bool rpc_watched(const struct rpc_server *s, const char *station)
{
    for (const struct rpc_conn *c = s ? s->first : NULL; c; c = c->next)
        if (watching(c, station))
            return true;
    return false;
}

__attribute__((hot)) void rpc_publish_text(struct rpc_server *s, const char *station, enum rpc_note note,
                                           const char *line, size_t len)
{
    struct rpc_conn *next;

    for (struct rpc_conn *c = s ? s->first : NULL; c; c = next) {
        struct rpc_watching *w = watching(c, station);

        next = c->next; /* sending may close this one */
        if (w && note == RPC_NOTE_WEIGHT)
            send_weight(c, w, line, len);
        else if (w)
            rpc_out_send(c, RPC_OUT_NOTE, line, len);
    }
}

void rpc_publish(struct rpc_server *s, const char *station, enum rpc_note note, json_t *params)
{
    char *body = rpc_watched(s, station) ? json_dumps(params, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    char *line;
    int len;

    json_decref(params);
    if (!body)
        return;
    len = asprintf(&line, "{\"jsonrpc\":\"2.0\",\"method\":\"%s\",\"params\":%s}\n", note_names[note], body);
    free(body);
    if (len < 0)
        return;
    rpc_publish_text(s, station, note, line, (size_t)len);
    free(line);
}
