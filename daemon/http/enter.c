/* enter.c - POST /enter: a token of the shop's file for a cookie and the token of this start. It must not know what the
 * roles may do.
 */
#include "http/server.h"
#include "text/json_read.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>

/* HttpOnly: no script reads it. SameSite=Strict: no other site's page sends it. */
static enum MHD_Result let_in(struct http_exchange *e, const struct gate_entry *entry)
{
    const struct http_gate *gate = &e->server->gate;
    char cookie[160], text[160];
    int n = snprintf(text, sizeof text, "{\"token\":\"%s\"}\n", gate->token);
    if (entry)
        snprintf(cookie, sizeof cookie, "poise=%s; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict%s",
                 entry->cookie, gate->tls ? "; Secure" : "");
    return http_reply(e, MHD_HTTP_OK,
                      (struct http_body){.type = "application/json",
                                         .data = text,
                                         .len = (size_t)n,
                                         .name = entry ? "Set-Cookie" : NULL,
                                         .value = cookie});
}

/* {"token":TOKEN}, or {} of a page that has the cookie already and was only loaded anew. */
enum MHD_Result http_run_enter(struct http_exchange *e)
{
    json_t *json = json_read(e->body ? e->body : "", e->len, JSON_READ_DEPTH, NULL);
    const char *token = json_string_value(json_object_get(json, "token"));
    const struct gate_entry *entry = token ? gate_enter(&e->server->gate, token) : NULL;
    bool known = entry || (!token && json_is_object(json) && e->asker.known);
    enum MHD_Result result = known  ? let_in(e, entry)
                             : json ? http_say(e, MHD_HTTP_FORBIDDEN, "not a token of this shop")
                                    : http_say(e, MHD_HTTP_BAD_REQUEST, "the body must be {\"token\":\"...\"}");
    json_decref(json);
    return result;
}
