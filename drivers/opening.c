/* Opening: look the host up, connect, settle; by the same path each time. */
#include "drivers/port_own.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum { CONNECT_MS = 5000 };

void port_forget_far_ends(struct port *p)
{
    if (p->far_ends)
        uv_freeaddrinfo(p->far_ends);
    p->far_ends = p->next_far_end = NULL;
}

static void on_settled(uv_timer_t *turn)
{
    struct port *p = turn->data;
    if (p->transport->flush)
        p->transport->flush(&p->channel);
    port_listen(p);
}

__attribute__((hot)) static void on_readable(uv_poll_t *poll, int status, int events)
{
    struct port *p = poll->data;
    if (status < 0)
        port_lose(p, "the port is gone: cable pulled, or adapter off?");
    else if (events)
        port_read(p);
}

static void opened(struct port *p)
{
    int error = uv_poll_start(&p->poll, UV_READABLE, on_readable);
    if (error) {
        port_lose(p, uv_strerror(error));
    } else if (p->transport->settle_ms) {
        p->step = SETTLING;
        if (p->transport->flush)
            p->transport->flush(&p->channel);
        uv_timer_start(&p->turn, on_settled, p->transport->settle_ms, 0);
    } else {
        port_listen(p);
    }
}

static void try_next(struct port *p, const char *why);

static void on_connect_limit(uv_timer_t *turn)
{
    struct port *p = turn->data;
    port_drop(p);
    try_next(p, "no answer: is the converter on, the address right?");
}

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
    char why[PORT_WHY];
    snprintf(why, sizeof why, "nothing answers at %.150s (%s): is the converter on, the address right?",
             p->settings.port + strlen("tcp:"), strerror(error));
    port_drop(p);
    try_next(p, why);
}

/* Gives the open descriptor to the loop. */
static void watch(struct port *p)
{
    int error = uv_poll_init(p->loop, &p->poll, p->channel.fd);
    if (error) {
        p->transport->close(&p->channel);
        port_lose(p, error == UV_EPERM ? "that is no port, but a file" : uv_strerror(error));
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
static void try_next(struct port *p, const char *why)
{
    char words[PORT_WHY];
    snprintf(words, sizeof words, "%s", why);
    while (p->next_far_end) {
        const struct addrinfo *at = p->next_far_end;
        if (p->polled) { /* the one before still closes: come back */
            uv_timer_start(&p->turn, port_open, 1, 0);
            return;
        }
        p->next_far_end = at->ai_next;
        if (p->transport->open(&p->channel, &p->settings, at->ai_addr, words, sizeof words)) {
            watch(p);
            return;
        }
    }
    port_lose(p, words);
}

static void on_resolved(uv_getaddrinfo_t *lookup, int status, struct addrinfo *found)
{
    struct port *p = lookup->data;
    p->looking = false;
    if (p->step == CLOSING || status < 0) {
        uv_freeaddrinfo(found);
        char why[PORT_WHY];
        snprintf(why, sizeof why, "no host is known for %.150s (%s): is its name right?",
                 p->settings.port + strlen("tcp:"), status < 0 ? uv_strerror(status) : "");
        port_lose(p, why);
        port_handle_back(p);
        return;
    }
    p->far_ends = p->next_far_end = found;
    try_next(p, "no address");
    port_handle_back(p);
}

/* A numeric address is known at once; a name is asked for off the loop. */
static void resolve(struct port *p)
{
    char host[256], service[8];
    struct addrinfo hints = {
        .ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM, .ai_flags = AI_NUMERICSERV | AI_NUMERICHOST};
    if (!tcp_split(p->settings.port, host, sizeof host, service, sizeof service)) {
        port_lose(p, "no such address");
        return;
    }
    if (getaddrinfo(host, service, &hints, &p->far_ends) == 0) {
        p->next_far_end = p->far_ends;
        try_next(p, "no address");
        return;
    }
    p->far_ends = NULL;
    hints.ai_flags = AI_NUMERICSERV;
    p->step = RESOLVING;
    p->lookup.data = p;
    int error = uv_getaddrinfo(p->loop, &p->lookup, on_resolved, host, service, &hints);
    if (error) {
        port_lose(p, uv_strerror(error));
        return;
    }
    p->looking = true;
    p->handles++;
}

void port_open(uv_timer_t *turn)
{
    struct port *p = turn->data;
    char why[PORT_WHY] = "";
    if (p->polled) {
        uv_timer_start(turn, port_open, 1, 0);
    } else if (p->next_far_end) {
        try_next(p, "no address");
    } else if (p->transport->resolves) {
        resolve(p);
    } else if (p->transport->open(&p->channel, &p->settings, NULL, why, sizeof why)) {
        watch(p);
    } else {
        port_lose(p, why);
    }
}
