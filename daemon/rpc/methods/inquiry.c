/* inquiry.c - a call on its way through a helper thread. It must not know what is read. */
#include "rpc/methods/inquiry.h"

#include "daemon.h"
#include "text/json_write.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

enum { LONG = 65536, LARGE = 1 << 20 };

#define DUMP (JSON_COMPACT | JSON_REAL_PRECISION(15)) /* as rpc/call.c */

/* The params are held by a reference, as they outlive the method's own run. */
void *inquiry_new(struct daemon *d, struct rpc_call *call, const json_t *params, size_t size)
{
    struct inquiry *r = calloc(1, size);
    struct fault fault = {0};
    if (r) {
        r->daemon = d;
        r->call = call;
        r->params = json_incref((json_t *)(uintptr_t)params);
    } else if (call) {
        fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        rpc_fail(call, &fault);
    }
    return r;
}

/* What the larger struct points to is its own method's to free, in finish() or at the end of run(). */
static void forget(struct inquiry *r)
{
    json_decref(r->params);
    free(r->answer);
    free(r->head);
    free(r->line);
    free(r);
}

/* Nothing was read yet, so nothing but the struct is to be let go. */
void inquiry_refuse(struct inquiry *r, const struct fault *fault)
{
    if (fault)
        rpc_fail(r->call, fault);
    forget(r);
}

/* Without memory for it the loop does it, and says what that comes to. */
static void make_line(struct inquiry *r)
{
    size_t before = strlen(r->head), len = strlen(r->answer);
    r->line = malloc(before + len + 3);
    if (!r->line)
        return;
    memcpy(r->line, r->head, before);
    memcpy(r->line + before, r->answer, len);
    memcpy(r->line + before + len, "}", 2);
    free(r->answer);
    r->answer = NULL;
}

/* On the helper thread. A call whose client has gone is still read: its answer may be stored for a repeat. */
static void run(struct store_task *t, struct store *view)
{
    struct inquiry *r = (struct inquiry *)(void *)t;
    r->run(r, view);
    if (r->answer && r->head && !r->finish && strlen(r->answer) > LONG)
        make_line(r);
    if (r->line && strlen(r->line) > LARGE)
        malloc_trim(0); /* what its rows were put together in would stay with us */
}

/* On the loop, also while the store is being closed: a call must be answered to be freed. */
static void end(struct store_task *t)
{
    struct inquiry *r = (struct inquiry *)(void *)t;
    if (r->finish) {
        r->finish(r);
    } else if (r->line) {
        rpc_answer_line(r->call, r->line);
        r->line = NULL;
    } else if (r->answer) {
        rpc_answer_text(r->call, r->answer);
    } else {
        rpc_fail(r->call, &r->fault);
    }
    forget(r);
}

/* One inquiry of a lane runs at a time, the others wait in order. */
void inquiry_start(struct inquiry *r, enum store_lane lane, void (*how)(struct inquiry *r, struct store *view))
{
    r->run = how;
    r->head = r->call && !r->finish ? rpc_answer_head(r->call) : NULL;
    r->task.run = run;
    r->task.end = end;
    store_task_start(r->daemon->store, lane, &r->task);
}

/* Worded on the helper thread too: to print a long list as JSON takes its time as well. */
void inquiry_answer(struct inquiry *r, json_t *answer)
{
    char *text = answer ? json_write(answer, DUMP) : NULL;
    json_decref(answer);
    inquiry_answer_text(r, text);
}

void inquiry_answer_text(struct inquiry *r, char *json)
{
    r->answer = json;
    if (!json)
        fault_said(&r->fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
}

/* The reason is SQLite's or the system's, in its own words, for whoever looks after the machine. */
void inquiry_unread(struct inquiry *r, struct store *view)
{
    store_say_unread(view, &r->fault);
}
