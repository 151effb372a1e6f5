/* server.h - what the files of daemon/http/ share: the server, a request, and how it is answered.
 *
 * Inside daemon/http/ only. Memory of an exchange goes when the library says that its request is completed; a reader of
 * events lives in its exchange.
 */
#pragma once

#include "http/gate.h"
#include "http/library.h"
#include "rpc/call.h"
#include "rpc/hub.h"

#include <stdbool.h>
#include <stddef.h>
#include <sys/queue.h>
#include <uv.h>

#define HTTP_BODY_MAX    65536u /* of a request; more is 413 */
#define HTTP_QUEUE_MAX   65536u /* what a reader of events did not take; more ends it */
#define HTTP_REQUEST_S   10     /* from a request's first byte to its last, however it drips */
#define HTTP_IDLE_S      60     /* of a connection that asks nothing */
#define HTTP_HEARTBEAT_S 10     /* a comment to readers that are sent nothing, so that one who is gone is found out */

struct http_exchange;

/* One TCP connection, by the library's word. Kept to end one whose request drips. */
struct http_link {
    LIST_ENTRY(http_link) entry;
    struct http_server *server;
    int fd;
    uint64_t since_ms;    /* since when no request came to its end, loop time */
    uint64_t known_bytes; /* received by then: more of them are a request that has begun */
    bool busy;            /* a request of it is being answered */
    bool ended;           /* it gave way, and is gone as soon as the library has seen it */
};

struct http_server {
    uv_loop_t *loop;
    struct daemon *daemon;
    struct http_library library;
    struct MHD_Daemon *mhd;
    struct http_gate gate;
    char address[80];
    uv_poll_t poll;   /* the library's own epoll descriptor */
    uv_timer_t timer; /* what the library wants to be called for */
    uv_timer_t watch; /* each second: dripping requests, heartbeats */
    uv_idle_t again;  /* something was resumed: the library runs once more */
    unsigned seconds;
    unsigned link_count;
    unsigned links_most;  /* connections */
    unsigned links_full;  /* beyond these the longest idle one gives way: a new page must not wait for it */
    unsigned events_most; /* readers of events, which are never idle: the rest is for whoever asks something */
    uint64_t crowded_ms;  /* when a crowd was last told of in the log; loop time, 0: never */
    int handles;          /* open */
    bool running, closing;
    LIST_HEAD(, http_link) links;
    LIST_HEAD(, http_exchange) waiting; /* suspended, or readers of events */
    void (*closed)(void *arg);
    void *closed_arg;
    /* Handed down by server.c, so that what stands below it need not call it: the paths that are served, and "the
     * library shall run soon", since something was resumed. */
    const struct http_route *routes;
    void (*run_soon)(struct http_server *s);
};

/* What an answer's body is and who frees it. */
struct http_body {
    const char *type; /* Content-Type; NULL: no body */
    const void *data;
    size_t len;
    bool fixed;       /* lives for ever: not copied */
    const char *name; /* one header more, NULL: none */
    const char *value;
};

struct http_events;  /* events.c */
struct http_drawing; /* label_file.c */

/* One request, from its head to its answer. */
struct http_exchange {
    struct rpc_caller caller; /* first: the dispatcher's pointer is the exchange's */
    LIST_ENTRY(http_exchange) entry;
    struct http_server *server;
    struct MHD_Connection *connection;
    struct http_link *link;
    const struct http_route *route;
    const char *rest; /* of the path, behind the route's; the library's */
    struct http_asker asker;
    char *body; /* as received so far */
    size_t len;
    bool head; /* HEAD: an answer without its body */
    bool ran;  /* the route was run */
    bool suspended, listed;
    char *answer; /* what the dispatcher sent; waits for the handler to be called */
    size_t answer_len;
    enum MHD_Result (*answered)(struct http_exchange *e); /* what a route makes of it; NULL: the answer as it is */
    struct http_drawing *drawing;                         /* label_file.c's own */
    void (*forget)(struct http_exchange *e);              /* it goes; NULL: nothing of a route's own */
    struct http_events *events;
    void (*beat)(struct http_exchange *e); /* a comment to a reader that is sent nothing; NULL: no reader */
};

/* A path that is served. `run` answers with http_reply, or waits (http_wait) until http_go_on. */
struct http_route {
    const char *path; /* whole, or the beginning where it ends in `/` and more follows */
    const char *verb; /* GET (then HEAD too) or POST */
    bool open;        /* also without the cookie, where a token file is set */
    enum MHD_Result (*run)(struct http_exchange *e);
};
extern const struct http_route http_routes[]; /* ends with a NULL path; in routes.c */

/* exchange.c */
enum MHD_Result http_handle(void *arg, struct MHD_Connection *c, const char *url, const char *verb, const char *version,
                            const char *data, size_t *size, void **state);
void http_completed(void *arg, struct MHD_Connection *c, void **state, enum MHD_RequestTerminationCode why);
enum MHD_Result http_reply(struct http_exchange *e, unsigned status, struct http_body body);
/* A response made by the route, which the library then owns. */
enum MHD_Result http_send(struct http_exchange *e, unsigned status, struct MHD_Response *r,
                          const struct http_body *body);
/* A status with one line of text. */
enum MHD_Result http_say(struct http_exchange *e, unsigned status, const char *text);
/* Nothing to answer yet: the request rests until http_go_on. */
enum MHD_Result http_wait(struct http_exchange *e);
void http_go_on(struct http_exchange *e);
/* Among those that http_close ends by itself. */
void http_list(struct http_exchange *e);
/* Waits while a call of this exchange is under way, else `answered`. */
enum MHD_Result http_answer_or_wait(struct http_exchange *e);
/* Runs a call of our own as this exchange's; its answer comes to `answered`, with the exchange resumed. */
void http_call(struct http_exchange *e, const char *method, const char *params);

/* head.c: no length, coding or host is there twice, folded, or under a name that is none. */
bool http_head_is_plain(struct http_exchange *e);
/* Undoes %XX in place, but for NUL, `/` and a backslash, which stay escaped; the new length. */
size_t http_unescape(void *arg, struct MHD_Connection *c, char *text);

/* The routes, each in the file of its name. */
enum MHD_Result http_run_rpc(struct http_exchange *e);     /* exchange.c */
enum MHD_Result http_run_events(struct http_exchange *e);  /* events.c */
enum MHD_Result http_run_page(struct http_exchange *e);    /* page_files.c: `/` and `/shop` */
enum MHD_Result http_run_file(struct http_exchange *e);    /* page_files.c: /page/NAME, icons, manifest */
enum MHD_Result http_run_words(struct http_exchange *e);   /* page_files.c */
enum MHD_Result http_run_label(struct http_exchange *e);   /* label_file.c */
enum MHD_Result http_run_health(struct http_exchange *e);  /* health.c */
enum MHD_Result http_run_metrics(struct http_exchange *e); /* health.c */
enum MHD_Result http_run_enter(struct http_exchange *e);   /* gate's cookie; enter.c */
