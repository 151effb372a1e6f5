/* daemon_methods.c - daemon.info and rpc.discover: who answers here, what it serves, and the OpenRPC document, made of
 * the table of methods and of the shapes that it names. It must not know any method.
 */
#include "daemon.h"

#include "rpc/methods/methods.h"
#include "text/version.h"

#include <stdio.h>
#include <string.h>

#define PROTOCOL 1 /* raised when a client written for the one before would not understand any more */

/* In the order of the file: a client that shows one bench shows the first. */
static json_t *station_names(const struct config *c)
{
    json_t *names = json_array();

    for (size_t i = 0; i < c->station_count; i++)
        json_array_append_new(names, json_string(c->station[i].name));
    return names;
}

/* Each station's interval and limits by its name, for clients that round as the scale does. */
static json_t *station_scales(const struct config *c)
{
    json_t *scales = json_object();

    for (size_t i = 0; i < c->station_count; i++) {
        const struct config_station *s = &c->station[i];

        json_object_set_new(
            scales, s->name,
            json_pack("{s:o,s:o}", "d_g", number_json(s->d_g), "capacity_g", number_json(s->capacity_g)));
    }
    return scales;
}

/* Where a station says none, the shop's; null where neither does: a screen then follows its own environment. */
static json_t *station_languages(const struct config *c)
{
    json_t *languages = json_object();

    for (size_t i = 0; i < c->station_count; i++)
        json_object_set_new(languages, c->station[i].name,
                            c->station[i].language_given ? json_string(words_language_names[c->station[i].language])
                                                         : json_null());
    return languages;
}

/* What this daemon can do, so that a client of another version can tell before it asks. */
static json_t *method_names(const struct rpc_method *table)
{
    json_t *names = json_array();

    for (const struct rpc_method *m = table; m->name; m++)
        json_array_append_new(names, json_string(m->name));
    return names;
}

/* Answered at any time, also while a scale is looked for: what a client asks first. */
void method_daemon_info(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const struct config *c = &d->config;

    (void)params;
    rpc_answer(call, json_pack("{s:s,s:s,s:i,s:o,s:o,s:s,s:s?,s:s,s:s,s:s,s:o,s:o}", "name", "poised", "version",
                               POISE_VERSION, "protocol", PROTOCOL, "stations", station_names(c), "methods",
                               method_names(rpc_method_table(call)), "started", d->started, "http",
                               d->http_url[0] ? d->http_url : NULL, "shop", c->shop, "currency", c->currency, "decimal",
                               c->decimal_comma ? "comma" : "point", "scales", station_scales(c), "languages",
                               station_languages(c)));
}

/* ---- rpc.discover ---- */

/* By the code, with its words as in the contract. */
static const struct {
    enum fault_kind kind;
    const char *words;
} errors[] = {
    {FAULT_PARSE, "not JSON"},
    {FAULT_REQUEST, "not a call, too long or too deep"},
    {FAULT_METHOD, "no such method"},
    {FAULT_PARAMS, "a member of the wrong type, or one that is missing"},
    {FAULT_INTERNAL, "a defect of the daemon"},
    {FAULT_UNKNOWN, "unknown formula, toner, batch, station: `data.field` says which"},
    {FAULT_SCALE, "the scale is not live"},
    {FAULT_STALE_REVISION, "stale revision: `data.revision` is the present one"},
    {FAULT_STATE, "not in this state: `data.state`, `data.why`"},
    {FAULT_INVALID, "a value that makes no sense"},
    {FAULT_NOT_PERMITTED, "not permitted"},
    {FAULT_STORE, "not written: `data.why` is full, io or readonly"},
    {FAULT_WOULD_NOT_FIT, "a remedy that would not fit: `data.why` is cup or scale"},
    {FAULT_PRINT, "not printed: `data.why` is printer"},
};

/* The codes that a method's own errors name, in the text's order, each once. */
static json_t *errors_of(const struct rpc_method *m)
{
    json_t *list = json_array();
    for (size_t i = 0; m->errors && i < sizeof errors / sizeof *errors; i++) {
        char code[16];
        snprintf(code, sizeof code, "%d", fault_code(errors[i].kind));
        if (strstr(m->errors, code))
            json_array_append_new(
                list, json_pack("{s:i, s:s}", "code", fault_code(errors[i].kind), "message", errors[i].words));
    }
    return list;
}

/* What is spread in a call stands among its other members. */
static void add_params(json_t *list, const struct shape *shape, json_t *named)
{
    for (const struct shape_member *m = shape->members; m->name; m++) {
        if (m->spread) {
            add_params(list, m->of, named);
            continue;
        }
        json_t *schema = shape_member_schema(m, named);
        json_t *one =
            json_pack("{s:s, s:b, s:o}", "name", m->name, "required", shape_is_needed(m, NULL), "schema", schema);
        json_object_set(one, "description", json_object_get(schema, "description"));
        json_array_append_new(list, one);
    }
}

/* The members of a call by name, as OpenRPC has them: a list, each with its schema. *named collects the shapes that
 * have a name, so that each is written once. */
static json_t *params_of(const struct shape *shape, json_t *named)
{
    json_t *list = json_array();
    add_params(list, shape, named);
    return list;
}

/* One method. A result without a name of its own is written where it stands. */
static json_t *method_of(const struct rpc_method *m, json_t *named)
{
    json_t *method = json_pack("{s:s, s:s, s:s, s:o}", "name", m->name, "summary", m->about ? m->about : "",
                               "paramStructure", "by-name", "params", params_of(m->params, named));
    if (m->result)
        json_object_set_new(
            method, "result",
            json_pack("{s:s, s:o}", "name", m->result->name ? m->result->name : "result", "schema",
                      shape_member_schema(
                          &(struct shape_member){.name = "result", .type = SHAPE_OBJECT, .of = m->result}, named)));
    json_object_set_new(method, "errors", errors_of(m));
    return method;
}

/* What comes without a call; OpenRPC has no word for it, so it stands under an extension's name. */
static json_t *notes_of(json_t *named)
{
    static const struct {
        const char *name, *about;
        const struct shape *shape;
    } notes[] = {
        {"weight", "a reading of a watched station; only the newest is kept for a slow client", &result_weight},
        {"screen", "the whole screen of a watched station, each one delivered", &result_screen},
        {"scale", "a watched station's scale, when its state or why changes", &result_scale},
    };
    json_t *list = json_array();
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++)
        json_array_append_new(list, json_pack("{s:s, s:s, s:o}", "name", notes[i].name, "summary", notes[i].about,
                                              "params", shape_schema(notes[i].shape, named)));
    return list;
}

/* The whole document. It is made at each call and not kept: whoever writes a client asks for it once. */
static json_t *discover_document(const struct rpc_method *table)
{
    json_t *named = json_object(), *methods = json_array(), *notes = notes_of(named);
    for (const struct rpc_method *m = table; m->name; m++)
        json_array_append_new(methods, method_of(m, named));
    return json_pack("{s:s, s:{s:s, s:s, s:s}, s:o, s:o, s:{s:o}}", "openrpc", "1.3.2", "info", "title", "Poise",
                     "version", POISE_VERSION, "description",
                     "A mixing bench: scales, pours, batches. See docs/protocol.md.", "methods", methods,
                     "x-notifications", notes, "components", "schemas", named);
}

/* As the OpenRPC specification names it; docs/protocol.md is made of the same tables. */
void method_discover(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d, (void)params;
    rpc_answer(call, discover_document(rpc_method_table(call)));
}
