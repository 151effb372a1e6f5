/* port_own.c - what every part of a port's life needs: to tell a new state, to let go, to try again. It calls none of
 * those parts. */
#include "drivers/port_own.h"

#include <stdlib.h>
#include <unistd.h>

/* Why may change within a state (silent, then strange); the owner is called for a new state alone. */
void port_change(struct port *p, enum port_state state, struct said why)
{
    bool changed = state != p->state || !p->told;
    p->state = state;
    p->told = true;
    p->why = why;
    if (changed && p->events.state && p->step != CLOSING)
        p->events.state(p->owner, state, &p->why);
}

void port_handle_back(struct port *p)
{
    if (--p->handles > 0 || p->step != CLOSING)
        return;
    void (*closed)(void *) = p->closed;
    void *owner = p->owner;
    guess_destroy(p->guess);
    if (closed)
        closed(owner);
    free(p);
}

static void on_poll_closed(uv_handle_t *handle)
{
    struct port *p = handle->data;
    p->polled = false;
    port_handle_back(p);
}

/* The poll handle is closed before its descriptor: libuv would go on watching a number that another file may get. */
void port_drop(struct port *p)
{
    uv_timer_stop(&p->turn);
    uv_timer_stop(&p->stale);
    uv_timer_stop(&p->ask);
    uv_timer_stop(&p->quiet);
    if (p->channel.fd < 0)
        return;
    uv_close((uv_handle_t *)&p->poll, on_poll_closed);
    p->transport->close(&p->channel);
}

void port_forget_far_ends(struct port *p)
{
    if (p->far_ends)
        uv_freeaddrinfo(p->far_ends);
    p->far_ends = p->next_far_end = NULL;
}

void port_open_later(struct port *p, unsigned ms)
{
    p->step = WAITING;
    uv_timer_start(&p->turn, p->open, ms, 0);
}

/* The wait doubles, and goes back to its first length at the next believed frame. */
void port_lose(struct port *p, struct said why)
{
    if (p->step == CLOSING)
        return;
    port_drop(p);
    port_forget_far_ends(p);
    port_open_later(p, p->backoff_ms);
    p->backoff_ms = p->backoff_ms * 2 < PORT_BACKOFF_MOST_MS ? p->backoff_ms * 2 : PORT_BACKOFF_MOST_MS;
    port_change(p, PORT_ABSENT, why);
}

void port_say(struct port *p, const char *bytes, size_t len)
{
    /* A port that takes nothing now loses this question; the next one comes soon. */
    ssize_t written = write(p->channel.fd, bytes, len);
    (void)written;
}
