/* out.c - what a client has not taken yet, bounded. */
#include "rpc/conn.h"

#include "log.h"

#include <stdlib.h>
#include <string.h>

#define STALL_MS 5000 /* a large answer must move within this */

static void fly(struct rpc_conn *c);

/* What libuv holds: some of it may have gone. */
static size_t flying(const struct rpc_conn *c)
{
    return c->out.flying ? uv_stream_get_write_queue_size((const uv_stream_t *)&c->pipe) : 0;
}

/* Both what libuv holds and what stands behind it. */
size_t rpc_out_pending(const struct rpc_conn *c)
{
    return flying(c) + c->out.waiting_len;
}

/* What libuv has cannot be called back. */
void rpc_out_drop(struct rpc_conn *c)
{
    free(c->out.waiting);
    c->out.waiting = NULL;
    c->out.waiting_len = c->out.waiting_cap = 0;
}

/* Nothing is sent any more. */
static bool is_over(const struct rpc_conn *c)
{
    return c->closed || c->ended || c->hung;
}

/* Every STALL_MS while a large answer is on its way: nothing taken in all that time is the end. */
static void on_stalled(uv_timer_t *timer)
{
    struct rpc_conn *c = timer->data;
    uint64_t taken = c->out.handed - flying(c);

    if (taken == c->out.taken)
        c->close(c);
    c->out.taken = taken;
}

/* What waited goes next; when nothing is left, the weights that were kept back. */
static void on_written(uv_write_t *request, int status)
{
    struct rpc_conn *c = request->data;

    free(c->out.flying);
    c->out.flying = NULL;
    if (c->closed)
        return;
    if (status < 0) {
        c->broken(c);
    } else if (c->out.waiting) {
        fly(c);
    } else {
        if (c->out.allowed > RPC_OUT_MAX && !c->ending)
            uv_timer_stop(&c->timer);
        c->out.allowed = RPC_OUT_MAX;
        hub_flush(&c->subscriber);
    }
    if (!c->closed)
        c->go_on(c);
}

/* Hands a text to the loop, from `from` on; takes it. Nothing flies. */
static void launch(struct rpc_conn *c, char *text, size_t from, size_t len)
{
    uv_buf_t buf = uv_buf_init(text + from, (unsigned)(len - from));

    c->out.flying = text;
    c->out.handed += len - from;
    c->out.request.data = c;
    if (uv_write(&c->out.request, (uv_stream_t *)&c->pipe, &buf, 1, on_written) < 0) {
        free(c->out.flying);
        c->out.flying = NULL;
        c->broken(c);
    }
}

/* What waits goes. */
static void fly(struct rpc_conn *c)
{
    char *text = c->out.waiting;
    size_t len = c->out.waiting_len;

    c->out.waiting = NULL;
    c->out.waiting_len = c->out.waiting_cap = 0;
    launch(c, text, 0, len);
}

/* False: no memory. */
static bool make_room(struct rpc_out *out, size_t len)
{
    size_t cap = out->waiting_cap ? out->waiting_cap : len;
    char *waiting;

    while (cap < out->waiting_len + len)
        cap *= 2;
    if (cap > out->allowed)
        cap = out->allowed; /* the caller saw to it that this is enough */
    if (cap == out->waiting_cap)
        return true;
    waiting = realloc(out->waiting, cap);
    if (!waiting)
        return false;
    out->waiting = waiting;
    out->waiting_cap = cap;
    return true;
}

/* One answer may be larger than all that may wait: then it must keep moving. */
static void allow(struct rpc_conn *c, enum rpc_out_kind kind, size_t len)
{
    struct rpc_out *out = &c->out;

    if (kind != RPC_OUT_ANSWER || len <= RPC_OUT_MAX / 2 || out->allowed != RPC_OUT_MAX || c->ending)
        return;
    out->allowed += len;
    out->taken = out->handed - flying(c);
    uv_timer_start(&c->timer, on_stalled, STALL_MS, STALL_MS);
}

/* What could not be sent at once. */
static void keep(struct rpc_conn *c, enum rpc_out_kind kind, const char *text, size_t len)
{
    struct rpc_out *out = &c->out;

    allow(c, kind, len);
    if (rpc_out_pending(c) + len > out->allowed) {
        log_info("a client that does not read was dropped");
        c->close(c);
        return;
    }
    if (!make_room(out, len)) {
        c->close(c);
        return;
    }
    memcpy(out->waiting + out->waiting_len, text, len);
    out->waiting_len += len;
    if (!out->flying)
        fly(c);
}

/* Bytes that the socket took at once; 0 where something waits before them or nothing could be sent. */
static size_t send_now(struct rpc_conn *c, const char *text, size_t len)
{
    uv_buf_t buf;
    int n;

    if (c->out.flying)
        return 0;
    buf = uv_buf_init((char *)(uintptr_t)text, (unsigned)len);
    n = uv_try_write((uv_stream_t *)&c->pipe, &buf, 1);
    if (n < 0 && n != UV_EAGAIN)
        c->broken(c);
    return n > 0 ? (size_t)n : 0;
}

/* Tried at once: nearly always the socket takes it, and nothing is copied. */
void rpc_out_send(struct rpc_conn *c, enum rpc_out_kind kind, const char *text, size_t len)
{
    size_t sent;

    if (is_over(c))
        return;
    sent = send_now(c, text, len);
    if (!is_over(c) && sent < len)
        keep(c, kind, text + sent, len - sent);
}

void rpc_out_give(struct rpc_conn *c, char *text, size_t len)
{
    size_t sent;

    if (len <= RPC_OUT_MAX || c->ending || is_over(c) || c->out.flying || c->out.waiting) {
        rpc_out_send(c, RPC_OUT_ANSWER, text, len);
        free(text);
        return;
    }
    sent = send_now(c, text, len);
    if (is_over(c) || sent == len) {
        free(text);
        return;
    }
    allow(c, RPC_OUT_ANSWER, len - sent);
    launch(c, text, sent, len);
}

/* A weight that the socket took in part must be sent whole: the rest is kept as a note. */
__attribute__((hot)) bool rpc_out_try(struct rpc_conn *c, const char *text, size_t len)
{
    size_t sent;

    if (is_over(c))
        return true;
    if (c->out.flying)
        return false;
    sent = send_now(c, text, len);
    if (!is_over(c) && sent < len)
        keep(c, RPC_OUT_NOTE, text + sent, len - sent);
    return true;
}

/* In the last close callback, when libuv has let go of its part. */
void rpc_out_finish(struct rpc_conn *c)
{
    rpc_out_drop(c);
    free(c->out.flying);
    c->out.flying = NULL;
}
