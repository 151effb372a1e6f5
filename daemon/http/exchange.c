/* exchange.c - one request: its head is judged, its body gathered, its route run, its answer sent. It must not know
 * what a route does.
 */
#include "http/received.h"
#include "http/server.h"

#include "daemon.h"
#include "rpc/call.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- answers ---- */

/* What every answer bears: nothing of ours is guessed at, kept, framed, or mixed with what is another's. */
static const char *const headers[][2] = {
    {"X-Content-Type-Options", "nosniff"},
    {"Cache-Control", "no-store"},
    {"Content-Security-Policy", "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
};

/* The library knows what is HEAD and sends no body then. */
enum MHD_Result http_send(struct http_exchange *e, unsigned status, struct MHD_Response *r,
                          const struct http_body *body)
{
    const struct http_library *l = &e->server->library;
    enum MHD_Result result = r ? MHD_YES : MHD_NO;
    for (size_t i = 0; r && i < sizeof headers / sizeof *headers && result == MHD_YES; i++)
        result = l->header(r, headers[i][0], headers[i][1]);
    if (result == MHD_YES && body->type)
        result = l->header(r, "Content-Type", body->type);
    if (result == MHD_YES && body->name)
        result = l->header(r, body->name, body->value);
    if (result == MHD_YES)
        result = l->queue(e->connection, status, r);
    if (r)
        l->forget(r);
    return result;
}

/* A body that does not live for ever is copied, so the caller may free it at once. */
enum MHD_Result http_reply(struct http_exchange *e, unsigned status, struct http_body body)
{
    struct MHD_Response *r = e->server->library.response(body.len, (void *)(uintptr_t)body.data,
                                                         body.fixed ? MHD_RESPMEM_PERSISTENT : MHD_RESPMEM_MUST_COPY);
    return http_send(e, status, r, &body);
}

/* For whoever looks with a browser or curl; programs go by the status. A longer text is cut between characters. */
enum MHD_Result http_say(struct http_exchange *e, unsigned status, const char *text)
{
    char line[257];
    utf8_copy(line, sizeof line - 1, text);
    size_t len = strlen(line);
    line[len++] = '\n';
    return http_reply(e, status, (struct http_body){.type = "text/plain; charset=utf-8", .data = line, .len = len});
}

/* ---- waiting ---- */

/* May be called twice, as all that ends an exchange. */
static void leave_list(struct http_exchange *e)
{
    if (e->listed)
        LIST_REMOVE(e, entry);
    e->listed = false;
}

/* Also of readers of events that are being sent something now and so are not suspended. */
void http_list(struct http_exchange *e)
{
    if (!e->listed)
        LIST_INSERT_HEAD(&e->server->waiting, e, entry);
    e->listed = true;
}

/* A suspended connection is not read, not timed and not closed by the library until it is resumed. */
enum MHD_Result http_wait(struct http_exchange *e)
{
    http_list(e);
    e->suspended = true;
    e->server->library.suspend(e->connection);
    return MHD_YES;
}

/* Harmless where nothing waits: answers may come before the request has begun to wait. */
void http_go_on(struct http_exchange *e)
{
    if (!e->suspended)
        return;
    e->suspended = false;
    e->server->library.resume(e->connection);
    e->server->run_soon(e->server);
}

/* ---- a call ---- */

/* The dispatcher's text lives only until this returns. Without memory for a copy the answer is empty, a 204: the call
 * was done, and the same request asks for its answer again. */
static void take_answer(struct rpc_caller *caller, const char *text, size_t len)
{
    struct http_exchange *e = (struct http_exchange *)caller;
    char *copy = malloc(len + 1);
    if (copy) {
        memcpy(copy, text, len);
        copy[len] = '\0';
    }
    free(e->answer);
    e->answer = copy;
    e->answer_len = copy ? len : 0;
    http_go_on(e);
}

/* A notification has no answer: what waits is told that nothing comes. */
static void call_done(struct rpc_caller *caller)
{
    http_go_on((struct http_exchange *)caller);
}

/* method and params are ours or were made by jansson, so nothing in them is to be escaped. */
void http_call(struct http_exchange *e, const char *method, const char *params)
{
    char *text;
    int n = asprintf(&text, "{\"jsonrpc\":\"2.0\",\"id\":0,\"method\":\"%s\",\"params\":%s}", method, params);
    if (n < 0)
        return;
    rpc_dispatch(&e->caller, text, (size_t)n);
    free(text);
}

/* 403 where a call was refused for want of a right: -32006. */
static unsigned status_of(const char *answer, size_t len)
{
    json_t *json = memmem(answer, len, "-32006", 6) ? json_read(answer, len, JSON_READ_DEPTH, NULL) : NULL;
    const json_t *code = json_object_get(json_object_get(json, "error"), "code");
    unsigned status = json_integer_value(code) == -32006 ? MHD_HTTP_FORBIDDEN : MHD_HTTP_OK;
    json_decref(json);
    return status;
}

/* A JSON-RPC error is 200, as its own code says what is wrong; a batch of notifications alone is 204. */
static enum MHD_Result send_answer(struct http_exchange *e)
{
    if (!e->answer)
        return http_reply(e, MHD_HTTP_NO_CONTENT, (struct http_body){0});
    return http_reply(e, status_of(e->answer, e->answer_len),
                      (struct http_body){.type = "application/json", .data = e->answer, .len = e->answer_len});
}

/* Some answers come at once, some later: then the connection rests. */
enum MHD_Result http_answer_or_wait(struct http_exchange *e)
{
    if (e->caller.open > 0 && !e->answer)
        return http_wait(e);
    return e->answered ? e->answered(e) : send_answer(e);
}

/* A body is handed on as it came: the dispatcher refuses what is no JSON, no call, or too deep, in its own words. What
 * changes something needs the token of this start, whatever the right. */
enum MHD_Result http_run_rpc(struct http_exchange *e)
{
    e->caller.may_change = e->asker.token;
    e->caller.right = e->asker.right;
    rpc_dispatch(&e->caller, e->body ? e->body : "", e->len);
    return http_answer_or_wait(e);
}

/* ---- a request ---- */

/* The first of that name, in whatever case; NULL: it was not sent. The library's, as long as the request lasts. */
static const char *head_of(struct http_exchange *e, const char *name)
{
    return e->server->library.value(e->connection, MHD_HEADER_KIND, name);
}

/* *rest is what follows a folder's path, never empty then; NULL: nothing is served there. */
static const struct http_route *route_of(const struct http_route *routes, const char *path, const char **rest)
{
    for (const struct http_route *r = routes; r->path; r++) {
        size_t len = strlen(r->path);
        bool folder = len > 1 && r->path[len - 1] == '/';
        if (folder ? strncmp(path, r->path, len) == 0 && path[len] : strcmp(path, r->path) == 0) {
            *rest = path + len;
            return r;
        }
    }
    return NULL;
}

/* Parameters behind it (`; charset=utf-8`) are let pass. A form of another site can send neither this type nor our
 * header. */
static bool is_json(const char *type)
{
    size_t n = type ? strcspn(type, "; ") : 0;
    return n == strlen("application/json") && strncasecmp(type, "application/json", n) == 0;
}

/* What the head alone decides: 0, or the status of a refusal with its reason. In the order of who may know what: a
 * stranger by name learns nothing, one without our cookie not even which paths there are.
 */
static unsigned judge(struct http_exchange *e, const char *verb, const char *url, const char **why)
{
    const struct http_gate *gate = &e->server->gate;
    const char *origin = head_of(e, "Origin"), *length = head_of(e, "Content-Length");
    if (!http_head_is_plain(e))
        return *why = "a head that programs read differently", MHD_HTTP_BAD_REQUEST;
    if (!gate_host_fits(gate, head_of(e, "Host")))
        return *why = "this host is not served here", MHD_HTTP_MISDIRECTED_REQUEST;
    if (origin && !gate_origin_fits(gate, origin))
        return *why = "this origin is not ours", MHD_HTTP_FORBIDDEN;
    e->asker = gate_ask(gate, head_of(e, "X-Poise-Token"), head_of(e, "Cookie"));
    e->route = route_of(e->server->routes, url, &e->rest);
    if (!e->asker.known && !(e->route && e->route->open))
        return *why = "enter the token first", MHD_HTTP_FORBIDDEN;
    if (!e->route)
        return *why = "no such path", MHD_HTTP_NOT_FOUND;
    bool get = strcmp(verb, "GET") == 0 || strcmp(verb, "HEAD") == 0, wants_get = strcmp(e->route->verb, "GET") == 0;
    if (wants_get ? !get : strcmp(verb, "POST") != 0)
        return *why = e->route->verb, MHD_HTTP_METHOD_NOT_ALLOWED;
    if (!wants_get && !is_json(head_of(e, "Content-Type")))
        return *why = "Content-Type must be application/json", MHD_HTTP_UNSUPPORTED_MEDIA_TYPE;
    if (length && strtoull(length, NULL, 10) > HTTP_BODY_MAX)
        return *why = "a body has at most 65536 bytes", MHD_HTTP_CONTENT_TOO_LARGE;
    return 0;
}

/* A 405 must name what is allowed (RFC 9110, 15.5.6); why is then the route's verb. */
static enum MHD_Result refuse(struct http_exchange *e, unsigned status, const char *why)
{
    char line[128];
    bool verb = status == MHD_HTTP_METHOD_NOT_ALLOWED;
    const char *allow = verb && strcmp(why, "GET") == 0 ? "GET, HEAD" : why;
    int n = snprintf(line, sizeof line, verb ? "only %s here\n" : "%s\n", allow);
    return http_reply(e, status,
                      (struct http_body){.type = "text/plain; charset=utf-8",
                                         .data = line,
                                         .len = (size_t)n,
                                         .name = verb ? "Allow" : NULL,
                                         .value = allow});
}

/* The head is there, nothing of the body. NO closes the connection: without memory there is nothing to say. */
static enum MHD_Result begin(struct http_server *s, struct MHD_Connection *c, const char *url, const char *verb,
                             void **state)
{
    struct http_exchange *e = calloc(1, sizeof *e);
    const union MHD_ConnectionInfo *info = s->library.connection_info(c, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    const char *why = "";
    if (!e || !info->socket_context) {
        free(e);
        return MHD_NO;
    }
    *state = e;
    e->server = s;
    e->connection = c;
    e->head = strcmp(verb, "HEAD") == 0;
    e->link = info->socket_context;
    e->caller = (struct rpc_caller){.daemon = s->daemon, .client = "http", .send = take_answer, .done = call_done};
    unsigned status = judge(e, verb, url, &why);
    return status ? refuse(e, status, why) : MHD_YES;
}

/* Beyond the limit the rest is thrown away until the body ends, but not without end. */
static enum MHD_Result take_body(struct http_exchange *e, const char *data, size_t *size)
{
    size_t n = *size, len = e->len + n;
    *size = 0;
    e->len = len;
    if (len > HTTP_BODY_MAX)
        return len > (size_t)16 * HTTP_BODY_MAX ? MHD_NO : MHD_YES;
    char *body = realloc(e->body, len + 1);
    if (!body)
        return MHD_NO;
    memcpy(body + len - n, data, n);
    body[len] = '\0';
    e->body = body;
    return MHD_YES;
}

/* The library calls this for the head, for each piece of the body, for its end, and again after each resume. What a
 * refused request still sends goes the same way, and is never run. */
enum MHD_Result http_handle(void *arg, struct MHD_Connection *c, const char *url, const char *verb, const char *version,
                            const char *data, size_t *size, void **state)
{
    struct http_exchange *e = *state;
    (void)version;
    if (!e)
        return begin(arg, c, url, verb, state);
    if (*size > 0)
        return take_body(e, data, size);
    if (e->ran)
        return http_answer_or_wait(e);
    e->ran = true;
    e->link->busy = true;
    if (e->len > HTTP_BODY_MAX)
        return http_say(e, MHD_HTTP_CONTENT_TOO_LARGE, "a body has at most 65536 bytes");
    return e->route->run(e);
}

/* The end of every request, answered or broken off. A call that is still under way is done all the same. */
void http_completed(void *arg, struct MHD_Connection *c, void **state, enum MHD_RequestTerminationCode why)
{
    struct http_server *s = arg;
    struct http_exchange *e = *state;
    (void)c, (void)why;
    if (!e)
        return;
    e->link->busy = false;
    e->link->since_ms = uv_now(s->loop);
    e->link->known_bytes = http_received(e->link->fd);
    e->suspended = false;
    leave_list(e);
    if (e->forget)
        e->forget(e);
    rpc_caller_gone(&e->caller);
    free(e->body);
    free(e->answer);
    free(e);
    *state = NULL;
}
