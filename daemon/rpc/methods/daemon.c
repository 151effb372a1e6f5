/* daemon.c - daemon.info: who answers here, what it serves, and what a client needs to show numbers. */
#include "daemon.h"

#include "rpc/methods/methods.h"
#include "text/version.h"

#define PROTOCOL 1

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

        json_object_set_new(scales, s->name,
                            json_pack("{s:o,s:o}", "d_g", rpc_number(s->d_g), "capacity_g", rpc_number(s->capacity_g)));
    }
    return scales;
}

/* Where a station says none, the shop's. */
static json_t *station_languages(const struct config *c)
{
    json_t *languages = json_object();

    for (size_t i = 0; i < c->station_count; i++)
        json_object_set_new(languages, c->station[i].name, json_string(words_language_names[c->station[i].language]));
    return languages;
}

static json_t *method_names(void)
{
    json_t *names = json_array();

    for (const struct rpc_method *m = rpc_methods; m->name; m++)
        json_array_append_new(names, json_string(m->name));
    return names;
}

void method_daemon_info(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const struct config *c = &d->config;

    (void)params;
    rpc_answer(call, json_pack("{s:s,s:s,s:i,s:o,s:o,s:s,s:s,s:s,s:s,s:o,s:o}", "name", "poised", "version",
                               POISE_VERSION, "protocol", PROTOCOL, "stations", station_names(c), "methods",
                               method_names(), "started", d->started, "shop", c->shop, "currency", c->currency,
                               "decimal", c->decimal_comma ? "comma" : "point", "scales", station_scales(c),
                               "languages", station_languages(c)));
}
