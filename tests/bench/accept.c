/* accept BUILD [N]: an `accept` to its durable answer, beside a bare SQLite insert with the same settings, in turn.
 *
 * A batch with its cup on; then, again and again: a frame with the first toner poured, accept (measured), undo, and one
 * bare insert in a database in the same folder. Prints p50 and p99 of both, and the ratio of the p50.
 */
#include "tests/bench/insert.h"
#include <jansson.h>

struct run {
    struct world world;
    int port;
    struct lines *client;
    int revision, request;
};

/* A frame, and the answer of a call made after poised has it. Returns the nanoseconds from call to answer. */
static int64_t act(struct run *run, const char *method, const char *more)
{
    char text[512];
    snprintf(text, sizeof text,
             "{\"jsonrpc\":\"2.0\",\"id\":9,\"method\":\"%s\",\"params\":{\"station\":\"bench\",\"revision\":%d,"
             "\"request\":\"r%09d\"%s}}\n",
             method, run->revision, run->request++, more);
    int64_t begun = world_now_ns();
    world_write(run->client->fd, text);
    for (;;) {
        json_t *line = json_loads(world_line(run->client, method), 0, NULL);
        json_t *result = json_object_get(line, "result");
        bool ours = json_integer_value(json_object_get(line, "id")) == 9;
        if (ours && !result)
            world_fail("%s: %s", method, json_dumps(line, JSON_COMPACT));
        if (ours)
            run->revision = (int)json_integer_value(json_object_get(result, "revision"));
        json_decref(line);
        if (ours)
            return run->client->read_ns - begun;
    }
}

/* Shows a weight and waits until a client sees it. */
static void show(struct run *run, double g)
{
    char frame[64];
    snprintf(frame, sizeof frame, "ST,+%08.2f  g\r\n", g);
    world_write(run->port, frame);
    for (;;) {
        json_t *line = json_loads(world_line(run->client, "a weight"), 0, NULL),
               *params = json_object_get(line, "params");
        const char *method = json_string_value(json_object_get(line, "method"));
        double off = json_number_value(json_object_get(params, "weight_g")) - g;
        bool seen = method && !strcmp(method, "weight") && off > -0.001 && off < 0.001;
        json_decref(line);
        if (seen)
            return;
    }
}

int main(int argc, char **argv)
{
    static struct run run;
    static struct insert insert;
    size_t count = argc > 2 ? (size_t)strtoul(argv[2], NULL, 10) : 300;
    double *ours = calloc(count + 1, sizeof *ours), *bare = calloc(count + 1, sizeof *bare);
    char slave[64], port[128], path[WORLD_PATH + 16];
    int64_t took;
    if (argc < 2 || !ours || !bare || !count)
        world_fail("accept: BUILD [N] is needed");
    world_make(&run.world);
    run.port = world_pty(slave);
    snprintf(port, sizeof port, "pty:%s", slave);
    world_configure(&run.world, (const char *const[]){port}, 1, NULL);
    world_poised(&run.world, argv[1], NULL, &took);
    run.client = calloc(1, sizeof *run.client);
    if (!run.client)
        world_fail("no memory");
    run.client->fd = world_connect(run.world.socket);
    snprintf(path, sizeof path, "%s/bare.db", run.world.dir);
    insert_open(&insert, path);
    act(&run, "watch", "");
    show(&run, 0);
    act(&run, "batch.begin", ",\"formula\":\"BENCH-1\",\"grams\":100");
    show(&run, 30);
    act(&run, "batch.accept", "");
    for (size_t i = 0; i < count; i++) {
        show(&run, 90 + (double)(i % 5) / 100);
        ours[i] = (double)act(&run, "batch.accept", "") / 1000;
        bare[i] = (double)insert_one(&insert) / 1000;
        act(&run, "batch.undo", "");
    }
    insert_close(&insert);
    double p50 = world_part(ours, count, 0.5), b50 = world_part(bare, count, 0.5);
    printf("accept to durable answer, p50: poised %.0f us, bare insert %.0f us, ratio %.2f (at most 1.6)\n", p50, b50,
           p50 / b50);
    printf("accept to durable answer, p99: poised %.0f us, bare insert %.0f us\n", world_part(ours, count, 0.99),
           world_part(bare, count, 0.99));
    world_remove(&run.world);
    free(ours);
    free(bare);
    free(run.client);
    return 0;
}
