/* scale_methods.c - looking at a station and its scale: watch, scale.list, scale.seek, scale.check. It must not move a
 * batch.
 */
#include "bench/bench.h"
#include "bench/port_search.h"
#include "drivers/ports.h"
#include "rpc/methods/methods.h"

void method_watch(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (!b)
        return;
    rpc_watch(call, json_string_value(json_object_get(params, "station")));
    bench_show(b, call);
}

struct ports {
    const struct daemon *daemon;
    json_t *list;
};

/* A port of the machine that no station names. */
static void add_port(void *arg, const struct port_found *found)
{
    struct ports *p = arg;
    for (size_t i = 0; i < p->daemon->config.station_count; i++)
        if (port_path_same(p->daemon->config.station[i].port, found->port))
            return;
    char why[SAID_TEXT_MAX];
    json_array_append_new(p->list, json_pack("{s:s, s:s, s:o, s:o, s:o}", "port", found->port, "device", found->device,
                                             "description", view_text(found->description), "why",
                                             view_text(port_words(&found->why, WORDS_EN, why, sizeof why)), "said",
                                             said_json(&found->why, NULL)));
}

void method_scale_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    json_t *list = json_array();
    for (size_t i = 0; i < d->config.station_count; i++)
        json_array_append_new(list, bench_scale(d->bench[i]));
    json_t *answer = json_pack("{s:o}", "scales", list);
    if (json_is_true(json_object_get(params, "ports"))) {
        struct ports p = {d, json_array()};
        ports_list(add_port, &p);
        json_object_set_new(answer, "ports", p.list);
    }
    rpc_answer(call, answer);
}

void method_scale_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_check(b, call, params);
}

void method_scale_seek(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    search_begin(d, call, params);
}
