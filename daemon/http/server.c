/* server.c - listening, the library on the loop, and connections that drip. It must not know what is asked. */
#include "http/http.h"

#include "daemon.h"
#include "descriptors.h"
#include "http/received.h"
#include "http/server.h"
#include "log.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#define BACKLOG       64
#define TOLD_EVERY_MS 60000u
#define SEND_SPACE    16384 /* of the kernel's buffer: what stands in it is old when a slow reader reads it */

/* ---- the library on the loop ---- */

static void on_timer(uv_timer_t *timer);

/* The library does what is due and says when it wants to be called again. */
static void run(struct http_server *s)
{
    MHD_UNSIGNED_LONG_LONG ms;
    if (s->running || s->closing)
        return;
    s->running = true;
    s->library.run(s->mhd);
    s->running = false;
    if (s->library.timeout(s->mhd, &ms) == MHD_YES)
        uv_timer_start(&s->timer, on_timer, ms, 0);
    else
        uv_timer_stop(&s->timer);
}

static void on_timer(uv_timer_t *timer)
{
    run(timer->data);
}

/* The library's epoll descriptor is readable where any of its connections has something to do; which one is its own
 * affair. */
static void on_ready(uv_poll_t *poll, int status, int events)
{
    (void)status, (void)events;
    run(poll->data);
}

/* One turn after something was resumed: the library looks at what was resumed only when it runs. */
static void on_again(uv_idle_t *again)
{
    uv_idle_stop(again);
    run(again->data);
}

/* Never at once: who resumes may stand within a callback of the library, which must not be run from within itself. */
static void run_soon(struct http_server *s)
{
    if (!s->closing)
        uv_idle_start(&s->again, on_again);
}

/* ---- connections ---- */

/* A hostile program must not fill the log either. */
static void tell_crowd(struct http_server *s)
{
    uint64_t now = uv_now(s->loop);
    if (s->crowded_ms == 0 || now - s->crowded_ms >= TOLD_EVERY_MS) {
        log_warnx("http: %u connections are open: for a new one the longest idle is closed", s->link_count);
        s->crowded_ms = now ? now : 1;
    }
}

/* The one that has asked nothing whole for the longest time hears why and is closed. Where each is being answered there
 * is none, and the library leaves the new one waiting beyond links_most. */
static void give_way(struct http_server *s)
{
    static const char why[] = "HTTP/1.1 503 Service Unavailable\r\nRetry-After: 1\r\nConnection: close\r\n"
                              "Content-Length: 0\r\n\r\n";
    struct http_link *link, *idle = NULL;
    LIST_FOREACH(link, &s->links, entry)
    {
        if (!link->busy && !link->ended && (!idle || link->since_ms <= idle->since_ms))
            idle = link;
    }
    if (!idle)
        return;
    tell_crowd(s);
    if (!s->daemon->config.http_cert[0]) /* over TLS it would be no record */
        (void)!send(idle->fd, why, sizeof why - 1, MSG_DONTWAIT | MSG_NOSIGNAL);
    idle->ended = true;
    shutdown(idle->fd, SHUT_RDWR); /* the library sees the end and closes it */
}

/* A connection begins or ends. *state is its link, which every request on it finds as its socket context. */
static void on_link(void *arg, struct MHD_Connection *c, void **state, enum MHD_ConnectionNotificationCode what)
{
    struct http_server *s = arg;
    struct http_link *link = *state;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (link) {
            LIST_REMOVE(link, entry);
            s->link_count--;
            free(link);
        }
        return;
    }
    if (s->link_count >= s->links_full)
        give_way(s);
    const union MHD_ConnectionInfo *info = s->library.connection_info(c, MHD_CONNECTION_INFO_CONNECTION_FD);
    *state = link = calloc(1, sizeof *link); /* without it the request is refused */
    if (!link)
        return;
    *link = (struct http_link){.server = s, .fd = info->connect_fd, .since_ms = uv_now(s->loop)};
    LIST_INSERT_HEAD(&s->links, link, entry);
    s->link_count++;
}

/* A request that has begun and does not come to its end keeps a connection that another would need. */
static void end_dripping(struct http_server *s)
{
    uint64_t now = uv_now(s->loop);
    struct http_link *link;
    LIST_FOREACH(link, &s->links, entry)
    {
        uint64_t seconds = http_received(link->fd) > link->known_bytes ? HTTP_REQUEST_S : HTTP_IDLE_S;
        if (!link->busy && now - link->since_ms > 1000 * seconds)
            shutdown(link->fd, SHUT_RDWR); /* the library sees the end and closes it */
    }
}

/* Each second drips are ended; every HTTP_HEARTBEAT_S readers that were sent nothing get a comment. */
static void on_second(uv_timer_t *watch)
{
    struct http_server *s = watch->data;
    struct http_exchange *e;
    end_dripping(s);
    if (++s->seconds % HTTP_HEARTBEAT_S != 0)
        return;
    LIST_FOREACH(e, &s->waiting, entry)
    {
        if (e->beat)
            e->beat(e);
    }
}

/* What the library would print, at the rate at which strangers ask. */
static void on_log(void *arg, const char *format, va_list args)
{
    (void)arg, (void)format, (void)args; /* of single requests: who asks could fill the log */
}

/* ---- start ---- */

/* Always false. port is the one asked for; errno's own words say why it could not be had. */
static bool address_failed(struct fault *fault, const char *bind, int port, const char *why)
{
    return fault_said(fault, FAULT_INVALID, "port", "taken", "http_address bind=%s port=%d why=%s", bind, port, why);
}

/* A listening socket of our own, so that a free port can be asked for and the send buffer is small. -1: *fault. */
static int listen_on(struct http_server *s, const char *bind_to, int *port, struct fault *fault)
{
    struct sockaddr_storage at = {0};
    struct sockaddr_in *four = (struct sockaddr_in *)&at;
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)&at;
    const char *name = strcmp(bind_to, "localhost") == 0 ? "127.0.0.1" : bind_to;
    socklen_t len = sizeof *four;
    int on = 1, space = SEND_SPACE;

    if (inet_pton(AF_INET, name, &four->sin_addr) == 1) {
        four->sin_family = AF_INET;
        four->sin_port = htons((uint16_t)*port);
    } else if (inet_pton(AF_INET6, name, &six->sin6_addr) == 1) {
        six->sin6_family = AF_INET6;
        six->sin6_port = htons((uint16_t)*port);
        len = sizeof *six;
    }
    int fd = socket(at.ss_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (fd >= 0) {
        setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
        setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &space, sizeof space);
    }
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, len) < 0 || listen(fd, BACKLOG) < 0 ||
        getsockname(fd, (struct sockaddr *)&at, &len) < 0) {
        address_failed(fault, bind_to, *port, said_reason(errno));
        if (fd >= 0)
            close(fd);
        return -1;
    }
    *port = ntohs(at.ss_family == AF_INET6 ? six->sin6_port : four->sin_port);
    snprintf(s->address, sizeof s->address, at.ss_family == AF_INET6 ? "[%s]:%d" : "%s:%d", name, *port);
    return fd;
}

/* A PEM file as a text that the caller frees; an empty path is no file, and no fault. False: *fault. */
static bool read_pem(const char *path, const char *field, char **text, struct fault *fault)
{
    const size_t most = 65536;
    if (!path[0])
        return true;
    FILE *file = fopen(path, "re");
    *text = file ? calloc(1, most + 1) : NULL;
    size_t len = *text ? fread(*text, 1, most, file) : 0;
    if (file)
        (void)fclose(file);
    return len > 0 || fault_said(fault, FAULT_INVALID, field, "unreadable", "http_pem path=%s", path);
}

/* Always false. The library does not say why it did not start; with TLS the certificate is the likely cause. */
static bool tls_failed(struct fault *fault, const struct config *c)
{
    return fault_said(fault, FAULT_INVALID, c->http_cert[0] ? "cert" : "port", "refused", "http_not_started");
}

/* TLS 1.2 and later: RFC 8996 forbids the earlier ones. */
#define TLS_VERSIONS "NORMAL:-VERS-TLS1.0:-VERS-TLS1.1"

/* The library's limits are ours: memory of a head, connections, and how long one may keep silent. */
static bool start_library(struct http_server *s, int fd, const char *cert, const char *key)
{
    struct MHD_OptionItem tls[] = {{MHD_OPTION_HTTPS_MEM_CERT, 0, (void *)(uintptr_t)cert},
                                   {MHD_OPTION_HTTPS_MEM_KEY, 0, (void *)(uintptr_t)key},
                                   {MHD_OPTION_HTTPS_PRIORITIES, 0, (void *)(uintptr_t)TLS_VERSIONS},
                                   {MHD_OPTION_END, 0, NULL}};
    unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG | (cert ? MHD_USE_TLS : 0);
    s->mhd = s->library.start(flags, 0, NULL, NULL, http_handle, s, MHD_OPTION_EXTERNAL_LOGGER, on_log, NULL,
                              MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, s->links_most,
                              MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)HTTP_IDLE_S, MHD_OPTION_CONNECTION_MEMORY_LIMIT,
                              (size_t)32768, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_NOTIFY_COMPLETED,
                              http_completed, s, MHD_OPTION_NOTIFY_CONNECTION, on_link, s, MHD_OPTION_UNESCAPE_CALLBACK,
                              http_unescape, NULL, MHD_OPTION_ARRAY, cert ? tls : tls + 3, MHD_OPTION_END);
    return s->mhd != NULL;
}

/* Four handles; the server is freed when the last of them has closed. */
static void join_loop(struct http_server *s)
{
    const union MHD_DaemonInfo *info = s->library.daemon_info(s->mhd, MHD_DAEMON_INFO_EPOLL_FD);
    uv_poll_init(s->loop, &s->poll, info->epoll_fd);
    uv_timer_init(s->loop, &s->timer);
    uv_timer_init(s->loop, &s->watch);
    uv_idle_init(s->loop, &s->again);
    s->poll.data = s->timer.data = s->watch.data = s->again.data = s;
    s->handles = 4;
    uv_poll_start(&s->poll, UV_READABLE, on_ready);
    uv_timer_start(&s->watch, on_second, 1000, 1000);
}

/* Token file, library, certificate and address are all tried before anything runs: a start either serves as configured
 * or ends with the reason. The library copies what it needs of cert and key. */
struct http_server *http_listen(uv_loop_t *loop, struct daemon *d, int port, struct fault *fault)
{
    const struct config *c = &d->config;
    struct http_server *s = calloc(1, sizeof *s);
    if (!s) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        return NULL;
    }
    s->loop = loop;
    s->daemon = d;
    s->routes = http_routes;
    s->run_soon = run_soon;
    s->links_most = (unsigned)descriptors_for_pages();
    s->links_full = s->links_most - s->links_most / 8;
    s->events_most = s->links_most - s->links_most / 4;
    LIST_INIT(&s->links);
    LIST_INIT(&s->waiting);
    int fd = listen_on(s, c->http_bind, &port, fault);
    struct gate_settings settings = {.hosts = c->http_hosts,
                                     .token_file = c->http_token_file,
                                     .right = c->http_role,
                                     .port = port,
                                     .tls = c->http_cert[0] != '\0',
                                     .loopback = config_is_loopback(c->http_bind)};
    char *cert = NULL, *key = NULL;
    bool started = fd >= 0 && gate_open(&s->gate, &settings, fault) && http_library_open(&s->library, fault) &&
                   read_pem(c->http_cert, "cert", &cert, fault) && read_pem(c->http_key, "key", &key, fault) &&
                   (start_library(s, fd, cert, key) || tls_failed(fault, c));
    free(cert);
    free(key);
    if (started) {
        join_loop(s);
        return s;
    }
    if (fd >= 0)
        close(fd);
    http_library_close(&s->library);
    free(s);
    return NULL;
}

/* As it goes into a URL: an IPv6 address stands in brackets, and the port is the one that was given for 0. */
const char *http_address(const struct http_server *s)
{
    return s->address;
}

/* ---- end ---- */

/* The library's code must be there until nothing of it can be called any more, so it is let go last. */
static void on_handle_closed(uv_handle_t *handle)
{
    struct http_server *s = handle->data;
    if (--s->handles > 0)
        return;
    if (s->closed)
        s->closed(s->closed_arg);
    http_library_close(&s->library);
    free(s);
}

/* What waits is let go first, each with its route's own memory; calls under way find no one to answer. */
void http_close(struct http_server *s, void (*closed)(void *arg), void *arg)
{
    struct http_exchange *e, *next;
    if (s->closing)
        return;
    s->closed = closed;
    s->closed_arg = arg;
    for (e = LIST_FIRST(&s->waiting); e; e = next) { /* the library stops only once nothing is suspended */
        next = LIST_NEXT(e, entry);
        if (e->forget)
            e->forget(e);
        e->forget = NULL;
        rpc_caller_gone(&e->caller);
        http_go_on(e);
    }
    s->closing = true;
    uv_close((uv_handle_t *)&s->poll, on_handle_closed);
    uv_close((uv_handle_t *)&s->timer, on_handle_closed);
    uv_close((uv_handle_t *)&s->watch, on_handle_closed);
    uv_close((uv_handle_t *)&s->again, on_handle_closed);
    s->library.stop(s->mhd);
}
