/* limits.c - who is let in, who gives way where there is no room, and who is ended for the time it takes: the section
 * [limits] of poised.ini. It must not know what a client asks, nor how its bytes are sent.
 */
#include "rpc/conn.h"

#include "daemon.h"
#include "descriptors.h"
#include "log.h"

#include <stdlib.h>
#include <sys/socket.h>

/* Where [limits] is left out; contract section 8. */
enum { CONNECTIONS = 1024, LINE_S = 10, IDLE_S = 600 };

/* Above this part of the room a process, or a user, must give way before anybody else does. While there is room nobody
 * is counted: one program may show a thousand benches. From memory: no source says how large a share is fair. */
enum { PROCESS_PART = 4, USER_PART = 2 };

#define TOLD_EVERY_MS 60000u /* a hostile program must not fill the log either */

/* One process that holds connections. A process that ended while its number was given to another is counted as one. */
struct rpc_holder {
    struct rpc_holder *next;
    pid_t pid;
    uid_t uid;
    size_t count;
};

/* Connections at most: what the configuration asks for, as far as this process may have descriptors. */
static size_t most(const struct rpc_server *s)
{
    int asked = s->daemon->config.limits.connections;
    size_t wanted = asked > 0 ? (size_t)asked : CONNECTIONS;
    size_t room = descriptors_for_clients(s->daemon->http != NULL);
    return wanted < room ? wanted : room;
}

/* From a line's first byte to its last, however it drips. */
static uint64_t line_ms(const struct rpc_server *s)
{
    int asked = s->daemon->config.limits.line_s;
    return 1000u * (uint64_t)(asked > 0 ? asked : LINE_S);
}

/* Of a connection that watches nothing and asks nothing. */
static uint64_t idle_ms(const struct rpc_server *s)
{
    int asked = s->daemon->config.limits.idle_s;
    return 1000u * (uint64_t)(asked > 0 ? asked : IDLE_S);
}

/* ---- who holds how much ---- */

/* The kernel noted both numbers when the other end connected. Process 0 stands for all whose number is not told. */
static struct ucred peer_of(const struct rpc_conn *c)
{
    struct ucred peer = {0};
    socklen_t size = sizeof peer;
    uv_os_fd_t fd;
    if (uv_fileno((const uv_handle_t *)&c->pipe, &fd) < 0 || getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &size) != 0)
        peer = (struct ucred){0};
    return peer;
}

/* NULL: no memory. */
static struct rpc_holder *holder_of(struct rpc_server *s, struct ucred peer)
{
    struct rpc_holder *h = s->holders;
    while (h && (h->pid != peer.pid || h->uid != peer.uid))
        h = h->next;
    if (h)
        return h;
    h = malloc(sizeof *h);
    if (!h)
        return NULL;
    *h = (struct rpc_holder){.next = s->holders, .pid = peer.pid, .uid = peer.uid};
    s->holders = h;
    return h;
}

/* May be called for one that never got in. A process without connections is forgotten. */
void rpc_room_leave(struct rpc_conn *c)
{
    struct rpc_holder *h = c->holder, **at = &c->server->holders;
    if (!h)
        return;
    c->holder = NULL;
    c->server->held--;
    if (--h->count > 0)
        return;
    while (*at != h)
        at = &(*at)->next;
    *at = h->next;
    free(h);
}

/* NULL: nobody is connected. */
static struct rpc_holder *heaviest(const struct rpc_server *s)
{
    struct rpc_holder *most_of_all = s->holders;
    for (struct rpc_holder *h = s->holders; h; h = h->next)
        if (h->count > most_of_all->count)
            most_of_all = h;
    return most_of_all;
}

/* Of all processes of a user. */
static size_t of_user(const struct rpc_server *s, uid_t uid)
{
    size_t count = 0;
    for (const struct rpc_holder *h = s->holders; h; h = h->next)
        count += h->uid == uid ? h->count : 0;
    return count;
}

/* ---- where there is no room ---- */

/* Those who hold more than their share: one process, or all of one user. Neither: nobody does. */
struct over {
    const struct rpc_holder *process;
    bool user;
    uid_t uid;
};

/* A process goes before a user: it is the smaller thing to end, and mostly one program that went wrong. */
static struct over who_is_over(const struct rpc_server *s)
{
    struct over over = {.process = heaviest(s)};
    if (over.process && over.process->count > most(s) / PROCESS_PART)
        return over;
    over.process = NULL;
    for (const struct rpc_holder *h = s->holders; h && !over.user; h = h->next) {
        size_t held = of_user(s, h->uid);
        over.user = held > most(s) / USER_PART && held < s->held; /* of one user alone there is nobody to protect */
        over.uid = h->uid;
    }
    return over;
}

/* c has a holder. */
static bool is_over(const struct over *over, const struct rpc_conn *c)
{
    return over->process ? c->holder == over->process : over->user && c->holder->uid == over->uid;
}

/* How soon a connection gives way; lower goes first. One over its share is not kept by calls that it leaves open, and
 * only a newcomer that is not over it too may take a watcher's place. Where nobody is over and none is idle, the
 * process that holds most gives one to a process that holds fewer: many programs with a few watchers each keep nobody
 * out. */
enum turn { GOES_FIRST, GOES_NEXT, GOES_LAST, STAYS };

static enum turn turn_of(const struct over *over, const struct rpc_conn *c, const struct rpc_conn *newcomer,
                         const struct rpc_holder *most_of_all)
{
    bool over_it = is_over(over, c), watches = c->subscriber.count > 0;
    bool richer = c->holder == most_of_all && c->holder->count > newcomer->holder->count;
    if (over_it && !watches)
        return GOES_FIRST;
    if (!watches && c->caller.open == 0)
        return GOES_NEXT;
    return (over_it && !is_over(over, newcomer)) || richer ? GOES_LAST : STAYS;
}

/* The one that gives way, of equals the longest idle; NULL: all stay, and the newcomer is not let in. */
static struct rpc_conn *who_gives_way(const struct rpc_server *s, const struct rpc_conn *newcomer)
{
    struct over over = who_is_over(s);
    const struct rpc_holder *most_of_all = heaviest(s);
    struct rpc_conn *first = NULL;
    enum turn best = STAYS;
    for (struct rpc_conn *c = s->first; c; c = c->next) {
        enum turn turn = c == newcomer || !c->holder ? STAYS : turn_of(&over, c, newcomer, most_of_all);
        if (turn < best || (turn == best && first && c->last_ms < first->last_ms)) {
            best = turn;
            first = c;
        }
    }
    return first;
}

/* One line a minute, whatever happens. */
static void note_crowd(struct rpc_server *s)
{
    uint64_t now = uv_now(s->loop);
    const struct rpc_holder *h = heaviest(s);
    s->crowded++;
    if (s->told_ms && now - s->told_ms < TOLD_EVERY_MS)
        return;
    log_warnx("all %zu connections are taken, %zu of them by process %d of user %u: %zu not let in or closed since the "
              "last such line",
              most(s), h ? h->count : 0, h ? (int)h->pid : 0, h ? (unsigned)h->uid : 0, s->crowded);
    s->told_ms = now ? now : 1;
    s->crowded = 0;
}

/* It hears why, as far as its socket has room, and is closed: what is unread does not keep it from reading that. */
static void end_with(struct rpc_conn *c, const struct fault *why)
{
    rpc_refuse(&c->caller, why);
    c->close(c);
}

bool rpc_room_enter(struct rpc_conn *c)
{
    struct rpc_server *s = c->server;
    struct fault why = {0};
    c->last_ms = uv_now(s->loop);
    c->holder = holder_of(s, peer_of(c));
    if (!c->holder)
        return false;
    c->holder->count++;
    s->held++;
    if (s->held <= most(s))
        return true;
    note_crowd(s);
    struct rpc_conn *out = who_gives_way(s, c);
    if (out)
        fault_said(&why, FAULT_STATE, NULL, "crowded", "connection_gave_way most=%zu", most(s));
    else
        fault_said(&why, FAULT_STATE, NULL, "crowded", "connections_full most=%zu", most(s));
    end_with(out ? out : c, &why);
    return out != NULL;
}

/* ---- time ---- */

/* When this connection is ended for what it does not do, in the loop's ms; UINT64_MAX: never, as things are. */
static uint64_t ends_at(const struct rpc_conn *c)
{
    uint64_t line = c->line_since ? c->line_since + line_ms(c->server) : UINT64_MAX;
    bool idle = c->subscriber.count == 0 && c->caller.open == 0;
    uint64_t rest = idle ? c->last_ms + idle_ms(c->server) : UINT64_MAX;
    return line < rest ? line : rest;
}

static void on_due(uv_timer_t *timer);

/* One timer for all, at the earliest of their ends. */
static void wake_at(struct rpc_server *s, uint64_t at)
{
    uint64_t now = uv_now(s->loop);
    if (at == UINT64_MAX || (uv_is_active((uv_handle_t *)&s->due) && s->due_at <= at))
        return;
    s->due_at = at;
    uv_timer_start(&s->due, on_due, at > now ? at - now : 0, 0);
}

/* A line that is not whole in time, or an idle connection. */
static void end_late(struct rpc_conn *c, uint64_t now)
{
    struct rpc_server *s = c->server;
    struct fault why = {0};
    if (c->line_since && c->line_since + line_ms(s) <= now)
        fault_said(&why, FAULT_REQUEST, NULL, "slow", "line_slow line_s=%d", (int)(line_ms(s) / 1000));
    else
        fault_said(&why, FAULT_STATE, NULL, "idle", "connection_idle idle_s=%d", (int)(idle_ms(s) / 1000));
    end_with(c, &why);
}

/* A limit that was read anew holds from the next time on. */
static void on_due(uv_timer_t *timer)
{
    struct rpc_server *s = timer->data;
    uint64_t now = uv_now(s->loop), next_at = UINT64_MAX;
    struct rpc_conn *next;
    for (struct rpc_conn *c = s->first; c; c = next) {
        next = c->next; /* c leaves the list when it is closed */
        uint64_t at = c->ending ? UINT64_MAX : ends_at(c);
        if (at <= now)
            end_late(c, now);
        else if (at < next_at)
            next_at = at;
    }
    wake_at(s, next_at);
}

/* Its first byte counts from when we looked for it: a client whose calls we do not take for now is not slow. */
void rpc_room_mind(struct rpc_conn *c)
{
    bool begun = c->in.start < c->in.end && c->reading;
    if (!begun)
        c->line_since = 0;
    else if (!c->line_since)
        c->line_since = uv_now(c->server->loop);
    if (!c->ending)
        wake_at(c->server, ends_at(c));
}

void rpc_room_call(struct rpc_conn *c)
{
    c->line_since = 0;
    c->last_ms = uv_now(c->server->loop);
}
