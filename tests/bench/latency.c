/* latency BUILD [--frames N] [--pour] [--crowd] [--slow-sync LIBRARY]: the last byte of a frame on a pty to the number
 * at a client.
 *
 * poised and the bare relay side by side, a frame to the one and a frame to the other in turn, 50 a second each:
 * whatever else the machine does hits both. Prints p50 and p99 of each, their ratios, and the CPU that each used
 * meanwhile.
 * --pour       a batch in pour at the station that is measured
 * --crowd      that, and seven more stations of poised, each fed 675 frames a second (115,200 baud) by a poise-sim of
 *              its own; at one of them a second painter pours
 * --slow-sync  puts LIBRARY under poised, which makes each sync 20 ms slower, and notes something in a batch (a
 *              commit) ten times a second
 */
#include "tests/bench/world.h"
#include <jansson.h>
#include <sys/timerfd.h>

enum { CROWD = 7, WARM_UP = 25, PERIOD_NS = 20000000 };

struct side {
    const char *name;
    int port; /* the pty's master */
    struct lines *client;
    pid_t pid;
    double *us;
    int64_t cpu_ns;
};

struct run {
    struct world world;
    const char *build;
    const char *slow_sync;
    bool pour, crowd;
    size_t frames;
    struct side poised, relay;
    int revision;
    int notes;
};

static struct lines *lines_on(int fd)
{
    struct lines *lines = calloc(1, sizeof *lines);
    if (!lines)
        world_fail("no memory");
    lines->fd = fd;
    return lines;
}

static int start_sim(struct run *run, const char *scenario, char port[64])
{
    char program[WORLD_PATH + 16];
    snprintf(program, sizeof program, "%s/poise-sim", run->build);
    const char *argv[] = {program, "--tcp", "0", "--rate", "675", "--scenario", scenario, NULL};
    struct lines *out = lines_on(-1);
    world_start(&run->world, argv, NULL, &out->fd);
    int number = 0;
    if (sscanf(world_line(out, "poise-sim's port"), "port %d", &number) != 1)
        world_fail("poise-sim told no port");
    free(out);
    snprintf(port, 64, "tcp:127.0.0.1:%d", number);
    return number;
}

static void start_poised(struct run *run)
{
    char slave[64], ports[1 + CROWD][128],
        info[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}\n";
    const char *names[1 + CROWD];
    int64_t took;
    run->poised.name = "poised";
    run->poised.port = world_pty(slave);
    snprintf(ports[0], sizeof ports[0], "pty:%s", slave);
    for (int i = 0; i < 1 + CROWD; i++) {
        if (i && run->crowd)
            start_sim(run, i == 1 ? "tests/bench/painter.scenario" : "tests/bench/crowd.scenario", ports[i]);
        names[i] = ports[i];
    }
    world_configure(&run->world, names, run->crowd ? 1 + CROWD : 1, NULL);
    run->poised.pid = world_poised(&run->world, run->build, run->slow_sync, &took);
    run->poised.client = lines_on(world_connect(run->world.socket));
    world_write(run->poised.client->fd, info);
    world_line(run->poised.client, "the answer of watch"); /* else the first frame is there before it, and unseen */
}

static void start_relay(struct run *run)
{
    char slave[64], program[WORLD_PATH + 32], path[WORLD_PATH + 16];
    run->relay.name = "relay";
    run->relay.port = world_pty(slave);
    snprintf(program, sizeof program, "%s/tests/bench/relay", run->build);
    snprintf(path, sizeof path, "%s/relay", run->world.dir);
    const char *argv[] = {program, slave, path, NULL};
    struct lines *out = lines_on(-1);
    run->relay.pid = world_start(&run->world, argv, NULL, &out->fd);
    if (strcmp(world_line(out, "the relay's ready line"), "ready") != 0)
        world_fail("the relay is not ready");
    free(out);
    run->relay.client = lines_on(world_connect(path));
}

/* A call on poised's connection; its answer, for the caller to free. Weights that come between are passed over. */
static json_t *call(struct run *run, const char *method, json_t *params)
{
    json_t *ask = json_pack("{s:s,s:i,s:s,s:o}", "jsonrpc", "2.0", "id", 7, "method", method, "params", params);
    char *text = json_dumps(ask, JSON_COMPACT);
    dprintf(run->poised.client->fd, "%s\n", text);
    free(text);
    json_decref(ask);
    for (;;) {
        json_t *line = json_loads(world_line(run->poised.client, method), 0, NULL);
        if (json_integer_value(json_object_get(line, "id")) == 7) {
            json_t *result = json_incref(json_object_get(line, "result"));
            if (!result)
                world_fail("%s: %s", method, json_dumps(line, JSON_COMPACT));
            run->revision = (int)json_integer_value(json_object_get(result, "revision"));
            json_decref(line);
            return result;
        }
        json_decref(line);
    }
}

/* One commit that nobody waits for. */
static void note(struct run *run)
{
    dprintf(
        run->poised.client->fd,
        "{\"jsonrpc\":\"2.0\",\"id\":\"n\",\"method\":\"batch.note\",\"params\":{\"station\":\"bench\",\"revision\":%d,"
        "\"request\":\"note-%d\",\"text\":\"measured\"}}\n",
        run->revision, run->notes);
    run->revision++;
    run->notes++;
}

static bool is_ours(const struct side *side, const char *line, double g)
{
    const char *at = side->name[0] == 'r' ? line + 3 : strstr(line, "\"method\"") ? strstr(line, "\"weight_g\"") : NULL;
    if (!at)
        return false;
    if (side->name[0] == 'p') {
        at = strchr(at, ':');
        if (!at || !strstr(line, "\"weight\""))
            return false;
        at++;
    }
    double difference = strtod(at, NULL) - g;
    return difference > -0.004 && difference < 0.004;
}

/* One frame, until the number is there; in microseconds. */
static double one(struct side *side, double g)
{
    int64_t begun = world_now_ns();
    world_frame(side->port, g);
    while (!is_ours(side, world_line(side->client, side->name), g))
        ;
    return (double)(side->client->read_ns - begun) / 1000;
}

/* A batch so large that what the measured frames say is its first step, and never enough. The painter who began it goes
 * again: the client that is measured is the one that watches, as at the relay. */
static void start_pours(struct run *run)
{
    one(&run->poised, 30);
    world_end_child(&run->world, world_painter(&run->world, run->build, "bench", "400", run->poised.port, 30));
    if (run->crowd)
        world_painter(&run->world, run->build, "bench2", "1000", -1, 0);
}

static void measure(struct run *run)
{
    int clock = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC);
    struct itimerspec every = {{0, PERIOD_NS}, {0, PERIOD_NS}};
    timerfd_settime(clock, 0, &every, NULL);
    struct side *sides[] = {&run->poised, &run->relay};
    for (size_t i = 0; i < WARM_UP + run->frames; i++) {
        uint64_t rounds;
        if (read(clock, &rounds, sizeof rounds) < 0)
            world_fail("timer: %s", strerror(errno));
        if (i == WARM_UP)
            for (int k = 0; k < 2; k++)
                sides[k]->cpu_ns = world_cpu_ns(sides[k]->pid);
        if (run->slow_sync && i % 5 == 0)
            note(run);
        double g = 100.01 + 0.1 * (double)(i % 1000);
        for (size_t k = 0; k < 2; k++) { /* the other one first each time */
            struct side *side = sides[(i + k) % 2];
            double us = one(side, g);
            if (i >= WARM_UP)
                side->us[i - WARM_UP] = us;
        }
    }
    for (int k = 0; k < 2; k++)
        sides[k]->cpu_ns = world_cpu_ns(sides[k]->pid) - sides[k]->cpu_ns;
    close(clock);
}

static void report(struct run *run)
{
    double p50 = world_part(run->poised.us, run->frames, 0.5), p99 = world_part(run->poised.us, run->frames, 0.99);
    double r50 = world_part(run->relay.us, run->frames, 0.5), r99 = world_part(run->relay.us, run->frames, 0.99);
    const char *with = run->crowd       ? " among eight scales"
                       : run->slow_sync ? " with syncs 20 ms slower"
                       : run->pour      ? " in a pour"
                                        : "";
    printf("frame to client%s, p50: poised %.0f us, relay %.0f us, ratio %.2f%s\n", with, p50, r50, p50 / r50,
           *with ? "" : " (at most 1.25)");
    printf("frame to client%s, p99: poised %.0f us, relay %.0f us, ratio %.2f\n", with, p99, r99, p99 / r99);
    if (!run->crowd && !run->slow_sync)
        printf("CPU at 50 frames/s%s: poised %.0f us, relay %.0f us a frame, ratio %.2f%s\n", with,
               (double)run->poised.cpu_ns / 1000 / (double)run->frames,
               (double)run->relay.cpu_ns / 1000 / (double)run->frames,
               (double)run->poised.cpu_ns / (double)run->relay.cpu_ns, *with ? "" : " (at most 1.5)");
}

/* A batch to write notes into: a cup that has been accepted is not needed for that. */
static void begin_batch(struct run *run)
{
    json_decref(call(
        run, "batch.begin",
        json_pack("{s:s,s:s,s:i,s:s}", "station", "bench", "formula", "BENCH-1", "grams", 100, "request", "begin")));
}

int main(int argc, char **argv)
{
    static struct run run;
    run.frames = 500;
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--crowd"))
            run.pour = run.crowd = true;
        else if (!strcmp(argv[i], "--pour"))
            run.pour = true;
        else if (!strcmp(argv[i], "--slow-sync") && i + 1 < argc)
            run.slow_sync = argv[++i];
        else if (!strcmp(argv[i], "--frames") && i + 1 < argc)
            run.frames = (size_t)strtoul(argv[++i], NULL, 10);
        else
            run.build = argv[i];
    }
    if (!run.build || run.frames < 1 || run.frames > 100000)
        world_fail("latency: BUILD is missing, or --frames is not from 1 to 100000");
    run.poised.us = calloc(run.frames, sizeof(double));
    run.relay.us = calloc(run.frames, sizeof(double));
    if (!run.poised.us || !run.relay.us)
        world_fail("no memory");
    world_make(&run.world);
    start_poised(&run);
    start_relay(&run);
    if (run.slow_sync)
        begin_batch(&run);
    if (run.pour)
        start_pours(&run);
    measure(&run);
    report(&run);
    world_remove(&run.world);
    free(run.poised.us);
    free(run.relay.us);
    free(run.poised.client);
    free(run.relay.client);
    return 0;
}
