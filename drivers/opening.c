/* opening.c - look the host up, connect, settle; by the same path each time. */
#include "drivers/port_own.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum { CONNECT_MS = 5000 };

/* What an adapter held of before is dropped once more, now that the speed is right. */
static void on_settled(uv_timer_t *turn)
{
    struct port *p = turn->data;
    if (p->transport->flush)
        p->transport->flush(&p->channel);
    port_listen(p);
}

/* A status below 0 is the descriptor's end, such as a cable that was pulled; the port then opens again by itself. */
__attribute__((hot)) static void on_readable(uv_poll_t *poll, int status, int events)
{
    struct port *p = poll->data;
    if (status < 0)
        port_lose(p, say("port_gone"));
    else if (events)
        port_read(p);
}

/* Connected, or open at once: from here all transports are alike. */
static void opened(struct port *p)
{
    int error = uv_poll_start(&p->poll, UV_READABLE, on_readable);
    if (error) {
        port_lose(p, refusal_system(p->settings.port, -error));
    } else if (p->transport->settle_ms) {
        p->step = SETTLING;
        if (p->transport->flush)
            p->transport->flush(&p->channel);
        uv_timer_start(&p->turn, on_settled, p->transport->settle_ms, 0);
    } else {
        port_listen(p);
    }
}

static void try_next(struct port *p, struct said why);

/* The kernel itself would try for two minutes; a painter waits five seconds. */
static void on_connect_limit(uv_timer_t *turn)
{
    struct port *p = turn->data;
    port_drop(p);
    try_next(p, say("port_no_answer port=%s", p->settings.port + strlen("tcp:")));
}

/* Writable means decided: SO_ERROR tells how. */
static void on_connected(uv_poll_t *poll, int status, int events)
{
    struct port *p = poll->data;
    int error = 0;
    socklen_t size = sizeof error;
    (void)events;
    getsockopt(p->channel.fd, SOL_SOCKET, SO_ERROR, &error, &size);
    if (status < 0 && error == 0)
        error = ECONNRESET;
    uv_timer_stop(&p->turn);
    if (!error) {
        port_forget_far_ends(p);
        opened(p);
        return;
    }
    port_drop(p);
    try_next(p, say("port_no_answer port=%s", p->settings.port + strlen("tcp:")));
}

/* Gives the open descriptor to the loop. */
static void watch(struct port *p)
{
    int error = uv_poll_init(p->loop, &p->poll, p->channel.fd);
    if (error) {
        p->transport->close(&p->channel);
        port_lose(p, error == UV_EPERM ? say("port_not_serial port=%s", p->settings.port)
                                       : refusal_system(p->settings.port, -error));
        return;
    }
    p->poll.data = p;
    p->polled = true;
    p->handles++;
    if (!p->transport->connects) {
        opened(p);
        return;
    }
    p->step = CONNECTING;
    uv_timer_start(&p->turn, on_connect_limit, CONNECT_MS, 0);
    uv_poll_start(&p->poll, UV_WRITABLE, on_connected);
}

/* A host may have several addresses: the next one, or give up for now. */
static void try_next(struct port *p, struct said why)
{
    while (p->next_far_end) {
        const struct addrinfo *at = p->next_far_end;
        if (p->polled) { /* the one before still closes: come back */
            uv_timer_start(&p->turn, port_open, 1, 0);
            return;
        }
        p->next_far_end = at->ai_next;
        if (p->transport->open(&p->channel, &p->settings, at->ai_addr, &why)) {
            watch(p);
            return;
        }
    }
    port_lose(p, why);
}

/* Off the loop, so the port may have been closed meanwhile. */
static void on_resolved(uv_getaddrinfo_t *lookup, int status, struct addrinfo *found)
{
    struct port *p = lookup->data;
    p->looking = false;
    if (p->step == CLOSING || status < 0) {
        uv_freeaddrinfo(found);
        port_lose(p, say("port_no_host port=%s", p->settings.port + strlen("tcp:")));
        port_handle_back(p);
        return;
    }
    p->far_ends = p->next_far_end = found;
    try_next(p, say("port_no_host port=%s", p->settings.port + strlen("tcp:")));
    port_handle_back(p);
}

/* A numeric address is known at once; a name is asked for off the loop. */
static void resolve(struct port *p)
{
    char host[256], service[8];
    struct addrinfo hints = {
        .ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM, .ai_flags = AI_NUMERICSERV | AI_NUMERICHOST};
    if (!tcp_split(p->settings.port, host, sizeof host, service, sizeof service)) {
        port_lose(p, say("port_bad_address port=%s", p->settings.port));
        return;
    }
    if (getaddrinfo(host, service, &hints, &p->far_ends) == 0) {
        p->next_far_end = p->far_ends;
        try_next(p, say("port_no_host port=%s", p->settings.port + strlen("tcp:")));
        return;
    }
    p->far_ends = NULL;
    hints.ai_flags = AI_NUMERICSERV;
    p->step = RESOLVING;
    p->lookup.data = p;
    int error = uv_getaddrinfo(p->loop, &p->lookup, on_resolved, host, service, &hints);
    if (error) {
        port_lose(p, refusal_system(p->settings.port, -error));
        return;
    }
    p->looking = true;
    p->handles++;
}

/* Polled still: the old handle has not come back, and two polls on one port would confuse libuv. */
void port_open(uv_timer_t *turn)
{
    struct port *p = turn->data;
    struct said why = {.used = 0};
    if (p->polled) {
        uv_timer_start(turn, port_open, 1, 0);
    } else if (p->next_far_end) {
        try_next(p, say("port_no_host port=%s", p->settings.port + strlen("tcp:")));
    } else if (p->transport->resolves) {
        resolve(p);
    } else if (p->transport->open(&p->channel, &p->settings, NULL, &why)) {
        watch(p);
    } else {
        port_lose(p, why);
    }
}
