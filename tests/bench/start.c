/* start BUILD [DATA]: from the start of poised to its first answer, its resident memory when idle, beside the bare
 * relay; then the same memory where HTTP is served. Beside the time stands the CPU, which a busy machine changes less.
 */
#include "tests/bench/world.h"

enum { STARTS = 21 };

static long resident_kb(pid_t pid)
{
    char path[64], line[256];
    long kb = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)pid);
    FILE *file = fopen(path, "r");
    while (file && fgets(line, sizeof line, file))
        if (sscanf(line, "VmRSS: %ld", &kb) == 1)
            break;
    if (file)
        fclose(file);
    return kb;
}

/* HTTP on a port that the system gives. */
static void serve_http(const struct world *w)
{
    FILE *file = fopen(w->config, "a");
    if (!file || fputs("[http]\nport = 0\nbind = 127.0.0.1\n", file) < 0 || fclose(file) != 0)
        world_fail("%s: %s", w->config, strerror(errno));
}

/* Start, one call, its answer; in milliseconds. */
static double first_answer_ms(struct world *w, const char *build, long *kb, double *cpu_ms)
{
    int64_t took, begun = world_now_ns();
    pid_t pid = world_poised(w, build, NULL, &took);
    struct lines *client = calloc(1, sizeof *client);
    if (!client)
        world_fail("no memory");
    client->fd = world_connect(w->socket);
    world_write(client->fd, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\",\"params\":{}}\n");
    world_line(client, "daemon.info");
    double ms = (double)(client->read_ns - begun) / 1e6;
    *cpu_ms = (double)world_cpu_ns(pid) / 1e6;
    *kb = resident_kb(pid);
    close(client->fd);
    free(client);
    world_end_child(w, pid);
    return ms;
}

static double relay_ms(struct world *w, const char *build, const char *slave, long *kb)
{
    char program[WORLD_PATH + 32], path[WORLD_PATH + 16];
    snprintf(program, sizeof program, "%s/tests/bench/relay", build);
    snprintf(path, sizeof path, "%s/relay", w->dir);
    const char *argv[] = {program, slave, path, NULL};
    struct lines *out = calloc(1, sizeof *out);
    if (!out)
        world_fail("no memory");
    int64_t begun = world_now_ns();
    pid_t pid = world_start(w, argv, NULL, &out->fd);
    world_line(out, "the relay's ready line");
    double ms = (double)(out->read_ns - begun) / 1e6;
    *kb = resident_kb(pid);
    close(out->fd);
    free(out);
    world_end_child(w, pid);
    unlink(path);
    return ms;
}

int main(int argc, char **argv)
{
    static struct world w;
    double ours[STARTS], bare[STARTS], cpu[STARTS], ignored;
    char slave[64], port[128];
    long kb = 0, bare_kb = 0;
    if (argc < 2)
        world_fail("start: BUILD [DATA] is needed");
    world_make(&w);
    int master = world_pty(slave);
    snprintf(port, sizeof port, "pty:%s", slave);
    world_configure(&w, (const char *const[]){port}, 1, argc > 2 ? argv[2] : NULL);
    first_answer_ms(&w, argv[1], &kb, &ignored); /* makes the store */
    for (int i = 0; i < STARTS; i++) {
        ours[i] = first_answer_ms(&w, argv[1], &kb, &cpu[i]);
        bare[i] = relay_ms(&w, argv[1], slave, &bare_kb);
    }
    double p50 = world_part(ours, STARTS, 0.5), b50 = world_part(bare, STARTS, 0.5);
    printf(
        "start to first answer, p50: poised %.1f ms (at most 10), relay %.1f ms, ratio %.1f; CPU of poised %.1f ms\n",
        p50, b50, p50 / b50, world_part(cpu, STARTS, 0.5));
    printf("idle resident memory: poised %ld kB (at most 6144), relay %ld kB, ratio %.1f\n", kb, bare_kb,
           (double)kb / (double)bare_kb);
    serve_http(&w);
    first_answer_ms(&w, argv[1], &kb, &ignored);
    printf("idle resident memory with HTTP: poised %ld kB (at most 12288)\n", kb);
    close(master);
    world_remove(&w);
    return 0;
}
