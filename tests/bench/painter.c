/* painter SOCKET STATION GRAMS: begins a batch of the measured formula, accepts the cup as it stands, says `ready`, and
 * then reads all that its station sends until it is ended. A painter at work beside what is measured. */
#include "tests/bench/world.h"
#include <jansson.h>

struct painter {
    struct lines *client;
    const char *station;
    int revision;
    int calls;
};

static void call(struct painter *p, const char *method, json_t *params)
{
    char request[40];
    snprintf(request, sizeof request, "%s-%d", p->station, ++p->calls);
    json_object_set_new(params, "station", json_string(p->station));
    json_object_set_new(params, "request", json_string(request));
    if (p->revision >= 0)
        json_object_set_new(params, "revision", json_integer(p->revision));
    json_t *ask = json_pack("{s:s,s:i,s:s,s:o}", "jsonrpc", "2.0", "id", p->calls, "method", method, "params", params);
    char *text = json_dumps(ask, JSON_COMPACT);
    dprintf(p->client->fd, "%s\n", text);
    free(text);
    json_decref(ask);
    for (bool answered = false; !answered;) {
        json_t *line = json_loads(world_line(p->client, method), 0, NULL);
        const json_t *result = json_object_get(line, "result");
        answered = json_integer_value(json_object_get(line, "id")) == p->calls;
        if (answered && !result)
            world_fail("%s: %s", method, json_dumps(line, JSON_COMPACT));
        if (answered)
            p->revision = (int)json_integer_value(json_object_get(result, "revision"));
        json_decref(line);
    }
}

int main(int argc, char **argv)
{
    struct painter p = {.revision = -1};
    if (argc != 4)
        world_fail("painter SOCKET STATION GRAMS");
    prctl(PR_SET_PDEATHSIG, SIGTERM);
    p.client = calloc(1, sizeof *p.client);
    if (!p.client)
        world_fail("no memory");
    p.station = argv[2];
    p.client->fd = world_connect(argv[1]);
    call(&p, "watch", json_object());
    call(&p, "batch.begin", json_pack("{s:s,s:f}", "formula", "BENCH-1", "grams", strtod(argv[3], NULL)));
    call(&p, "batch.accept", json_object());
    puts("ready");
    fflush(stdout);
    for (;;)
        world_line(p.client, "a weight");
}
