/* conn.c - one client: reading its calls, and its end. */
#include "rpc/conn.h"

#include "daemon.h"
#include "rpc/call.h"

#include <poll.h>
#include <stdlib.h>

static void go_on(struct rpc_conn *c);

/* Limits of one connection, each of what a client that does no harm never reaches. */
#define LINGER_MS  2000 /* an ending connection is closed then, whatever the client does */
#define WASTE_MAX  (4u << 20)
#define SEND_SPACE 4096 /* of the kernel's buffer: what stands in it is old when a slow client reads it */

/* The last of the two handles frees the connection. */
static void on_handle_closed(uv_handle_t *handle)
{
    struct rpc_conn *c = handle->data;
    struct rpc_server *s = c->server;

    if (--c->handles > 0)
        return;
    rpc_line_finish(&c->in);
    rpc_out_finish(c);
    free(c);
    s->forget(s);
}

/* Its calls that are still open answer nobody from now on; what was sent and not taken is lost. */
void rpc_conn_close(struct rpc_conn *c)
{
    if (c->closed)
        return;
    c->closed = true;
    rpc_caller_gone(&c->caller);
    hub_leave(&c->server->daemon->hub, &c->subscriber);
    rpc_room_leave(c);
    if (c->prev)
        c->prev->next = c->next;
    else
        c->server->first = c->next;
    if (c->next)
        c->next->prev = c->prev;
    uv_close((uv_handle_t *)&c->pipe, on_handle_closed);
    uv_close((uv_handle_t *)&c->timer, on_handle_closed);
}

/* No room is no memory: libuv then calls back with UV_ENOBUFS, which ends the connection. */
static void on_room(uv_handle_t *handle, size_t suggested, uv_buf_t *buf)
{
    struct rpc_conn *c = handle->data;
    size_t room = 0;
    char *data = rpc_line_room(&c->in, &room);

    (void)suggested;
    *buf = uv_buf_init(data, data ? (unsigned)room : 0);
}

/* Of a connection that we end. A client that goes on sending without end is cut off after WASTE_MAX bytes. */
static void throw_away(struct rpc_conn *c, size_t n)
{
    c->waste += n;
    rpc_line_drop(&c->in);
    if (c->waste > WASTE_MAX)
        rpc_conn_close(c);
}

/* Both directions are shut: what its calls will answer nobody reads. Else it only sends no more. */
static bool hung_up(const struct rpc_conn *c)
{
    uv_os_fd_t fd;
    if (uv_fileno((const uv_handle_t *)&c->pipe, &fd) < 0)
        return false;
    struct pollfd now = {.fd = fd};
    return poll(&now, 1, 0) > 0 && (now.revents & POLLHUP);
}

/* A write failed. What the client sent before it went is still done. */
static void broken(struct rpc_conn *c)
{
    c->hung = !c->ending && hung_up(c);
    if (c->hung)
        rpc_out_drop(c);
    else
        rpc_conn_close(c);
}

/* The end of what the client sends. A reset is one too: it closed with answers unread, and its calls came before. */
static void on_end(struct rpc_conn *c, ssize_t why)
{
    c->hung = c->hung || hung_up(c);
    if (c->ending || (why != UV_EOF && !c->hung)) {
        rpc_conn_close(c);
        return;
    }
    c->eof = true;
    c->reading = false;
    uv_read_stop((uv_stream_t *)&c->pipe);
    go_on(c);
}

/* An end is an end, whatever its reason; anything else waits in c->in until it makes a line. */
static void on_read(uv_stream_t *stream, ssize_t n, const uv_buf_t *buf)
{
    struct rpc_conn *c = stream->data;

    (void)buf;
    if (n < 0) {
        on_end(c, n);
    } else if (c->ending) {
        throw_away(c, (size_t)n);
    } else if (n > 0) {
        rpc_line_filled(&c->in, (size_t)n);
        go_on(c);
    }
}

/* Not reading is what slows a client that floods: its own socket fills, and its writes block. */
static void set_reading(struct rpc_conn *c, bool reading)
{
    if (c->eof)
        reading = false;
    if (reading == c->reading)
        return;
    c->reading = reading;
    if (!reading)
        uv_read_stop((uv_stream_t *)&c->pipe);
    else if (uv_read_start((uv_stream_t *)&c->pipe, on_room, on_read) < 0)
        rpc_conn_close(c);
}

/* Whether the next call is taken from it: its answers go out, and not too many calls are open. */
static bool easy(const struct rpc_conn *c)
{
    return rpc_out_pending(c) <= RPC_OUT_EASY && c->caller.open < RPC_OPEN_MAX;
}

/* It had its time to read why. */
static void on_linger(uv_timer_t *timer)
{
    rpc_conn_close(timer->data);
}

/* Where such a line ends nobody knows, so nothing after it is believed. */
static void too_long(struct rpc_conn *c)
{
    struct fault fault = {0};

    fault_said(&fault, FAULT_REQUEST, NULL, "too long", "call_too_long most=%d", (int)RPC_LINE_MAX);
    rpc_refuse(&c->caller, &fault);
    c->ending = true;
    if (!c->closed)
        uv_timer_start(&c->timer, on_linger, LINGER_MS, 0);
}

/* Asked anew for each call, since the configuration may be read again while it is open; without [rights] nothing is
 * asked. */
static enum right right_of(const struct rpc_conn *c)
{
    uv_os_fd_t fd;
    if (uv_fileno((const uv_handle_t *)&c->pipe, &fd) < 0)
        return RIGHT_READ;
    return rights_of_socket(&c->server->daemon->config.rights, fd);
}

/* Takes calls out of what came, while the client takes its answers. */
static void pump(struct rpc_conn *c)
{
    const char *line;
    size_t len;

    while (!c->closed && !c->ending && easy(c)) {
        switch (rpc_line_next(&c->in, &line, &len)) {
        case RPC_LINE_WHOLE:
            rpc_room_call(c);
            c->caller.right = right_of(c);
            rpc_dispatch(&c->caller, line, len);
            break;
        case RPC_LINE_TOO_LONG:
            too_long(c);
            break;
        case RPC_LINE_NONE:
            if (c->eof && (c->hung || (c->caller.open == 0 && rpc_out_pending(c) == 0)))
                rpc_conn_close(c);
            else
                set_reading(c, true);
            return;
        }
    }
    if (!c->closed && !c->ending)
        set_reading(c, false);
}

/* The end reached the client. */
static void on_shut(uv_shutdown_t *request, int status)
{
    struct rpc_conn *c = request->data;

    if (status < 0 || c->eof)
        rpc_conn_close(c); /* else the client's own end closes it, or the timer */
}

/* Closing with bytes unread would reset the client before it has read why: say the end, and read on for a while. */
static void end(struct rpc_conn *c)
{
    rpc_line_drop(&c->in);
    set_reading(c, true);
    if (c->closed || c->ended || rpc_out_pending(c) > 0)
        return;
    c->ended = true;
    rpc_caller_gone(&c->caller);
    c->shutdown.data = c;
    if (uv_shutdown(&c->shutdown, (uv_stream_t *)&c->pipe, on_shut) < 0)
        rpc_conn_close(c);
}

/* Never within itself: a call that is answered at once comes back here through call_done. */
static void go_on(struct rpc_conn *c)
{
    if (c->closed || c->pumping)
        return;
    c->pumping = true;
    pump(c);
    c->pumping = false;
    if (!c->closed && c->ending)
        end(c);
    if (!c->closed)
        rpc_room_mind(c);
}

/* The caller is the connection's first member. */
static void send_answer(struct rpc_caller *caller, const char *text, size_t len)
{
    rpc_out_send((struct rpc_conn *)caller, RPC_OUT_ANSWER, text, len);
}

static void give_answer(struct rpc_caller *caller, char *text, size_t len)
{
    rpc_out_give((struct rpc_conn *)caller, text, len);
}

/* It heard that there was no memory; which of its calls is meant it cannot know, so it must ask again. */
static void answer_lost(struct rpc_caller *caller)
{
    rpc_conn_close((struct rpc_conn *)caller);
}

/* Of all that are due, once the loop has nothing else at hand. */
static void rpc_conn_go_on_due(uv_idle_t *later);

/* Never at once: whoever answers is in the midst of something, and the client's next call may be to the same bench. */
static void call_done(struct rpc_caller *caller)
{
    struct rpc_conn *c = (struct rpc_conn *)caller;

    if (!c->closed)
        rpc_room_call(c);
    if (c->closed || c->pumping || (c->reading && !c->ending))
        return;
    c->due = true;
    uv_idle_start(&c->server->later, rpc_conn_go_on_due);
}

static void rpc_conn_go_on_due(uv_idle_t *later)
{
    struct rpc_server *s = later->data;

    uv_idle_stop(later);
    /* What is closed meanwhile leaves the list, but its memory stays until the loop calls back. */
    for (struct rpc_conn *c = s->first; c; c = c->next) {
        bool due = c->due;

        c->due = false;
        if (due)
            go_on(c);
    }
}

/* ---- notes: lines of JSON-RPC ---- */

/* The subscriber lies within the connection. */
static struct rpc_conn *conn_of(struct hub_subscriber *s)
{
    return (struct rpc_conn *)(void *)((char *)s - offsetof(struct rpc_conn, subscriber));
}

/* A screen of a new revision must arrive: it waits like an answer. */
static void take_note(struct hub_subscriber *s, const char *text, size_t len)
{
    rpc_out_send(conn_of(s), RPC_OUT_NOTE, text, len);
}

__attribute__((hot)) static bool offer_note(struct hub_subscriber *s, const char *text, size_t len)
{
    return rpc_out_try(conn_of(s), text, len);
}

#define NOTE(name) "{\"jsonrpc\":\"2.0\",\"method\":\"" name "\",\"params\":"
/* A line of JSON-RPC without an id: its params come ready from the hub. */
static const struct hub_transport lines = {
    .head = {[HUB_WEIGHT] = NOTE("weight"), [HUB_SCREEN] = NOTE("screen"), [HUB_SCALE] = NOTE("scale")},
    .tail = "}\n",
    .take = take_note,
    .offer = offer_note,
};

/* A client that watches HUB_WATCH_MAX stations already keeps those and gets no more. */
static void watch(struct rpc_caller *caller, const char *station)
{
    struct rpc_conn *c = (struct rpc_conn *)caller;
    if (!c->closed && !hub_watch(&c->server->daemon->hub, &c->subscriber, station) &&
        c->subscriber.count < HUB_WATCH_MAX)
        rpc_conn_close(c); /* no memory; better than a watcher that is told nothing */
}

/* Newest first; the order matters to nobody. */
static void link_conn(struct rpc_server *s, struct rpc_conn *c)
{
    c->server = s;
    c->close = rpc_conn_close;
    c->broken = broken;
    c->go_on = go_on;
    c->next = s->first;
    if (c->next)
        c->next->prev = c;
    s->first = c;
    s->count++;
}

/* Where there is no room it is taken, told so and closed at once: left in the backlog it would wait without an end. */
bool rpc_conn_accept(struct rpc_server *s)
{
    struct rpc_conn *c = calloc(1, sizeof *c);
    int space = SEND_SPACE;
    uv_os_fd_t fd;

    if (!c)
        return false;
    c->caller = (struct rpc_caller){
        .daemon = s->daemon,
        .client = "unix",
        .user = c->user,
        .may_change = true,
        .send = send_answer,
        .give = give_answer,
        .lost = answer_lost,
        .done = call_done,
        .watch = watch,
    };
    c->subscriber.transport = &lines;
    c->out.allowed = RPC_OUT_MAX;
    link_conn(s, c);
    c->handles = 2;
    uv_pipe_init(s->loop, &c->pipe, 0);
    uv_timer_init(s->loop, &c->timer);
    c->pipe.data = c->timer.data = c;
    if (uv_accept((uv_stream_t *)&s->listener, (uv_stream_t *)&c->pipe) < 0 || !rpc_room_enter(c)) {
        rpc_conn_close(c); /* may be closed already */
        return true;
    }
    uv_send_buffer_size((uv_handle_t *)&c->pipe, &space);
    if (uv_fileno((const uv_handle_t *)&c->pipe, &fd) == 0)
        rights_user(fd, c->user);
    go_on(c);
    return true;
}
