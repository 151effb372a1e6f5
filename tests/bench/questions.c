/* questions BUILD FOLDER LOOP: what a shop asks of poised, on a store of FOLDER/state (bench_store made it), while a
 * scale sends 50 frames a second to a client that watches.
 *
 * A line a question: its p50 and p99 through the socket; the p99 of a frame to the watching client meanwhile against
 * quiet, both measured in turn; and the longest time that the loop was away, by its own processor and by the clock.
 * LOOP is preload/loop.c, built. Then 64 stations start beside a bare program that opens the same file, and 1,000
 * clients watch one bench. It judges nothing.
 */
#include "tests/bench/loop_seen.h"
#include "tests/bench/world.h"

#include <sys/mman.h>
#include <sys/resource.h>

enum { ASKED_MOST = 101, FRAMES_MOST = 4096, PERIOD_NS = 20000000, TONERS = 50000, NOTES = 3000, STARTS = 9 };

/* Shared with the child that asks. */
struct asked {
    double us[ASKED_MOST];
    size_t count, bytes;
    char refused[64];
};

struct run {
    struct world world;
    const char *build, *folder, *loop;
    int pty, watch;
    size_t frame; /* how many were sent */
    double shown_g;
    int64_t sent_ns, next_ns;
    char text[8192]; /* of notes */
    size_t length;
    double quiet[FRAMES_MOST], busy[FRAMES_MOST];
    size_t quiets, busies;
    struct loop_seen *seen;
    struct asked *asked;
};

/* ---- one call after the other, in a child of its own: it reads answers of 20 MB ---- */

/* Bytes of a line and where it begins; ends with its newline. */
static size_t take_answer(int fd, char *head, size_t size)
{
    static char text[1 << 18];
    size_t all = 0;
    for (bool whole = false; !whole;) {
        ssize_t got = read(fd, text, sizeof text);
        if (got <= 0)
            _exit(1);
        for (size_t i = all; i < size - 1 && i - all < (size_t)got; i++)
            head[i] = text[i - all], head[i + 1] = '\0';
        all += (size_t)got;
        whole = text[got - 1] == '\n';
    }
    return all;
}

/* So often, and for so long. */
static void ask(const struct run *r, const char *call, size_t times, int64_t least_ns)
{
    char head[512] = "";
    int fd = world_connect(r->world.socket);
    struct asked *a = r->asked;
    int64_t first = world_now_ns();
    a->refused[0] = '\0';
    for (size_t n = 0; n < times || world_now_ns() - first < least_ns; n++) {
        int64_t begun = world_now_ns();
        dprintf(fd, "{\"jsonrpc\":\"2.0\",\"id\":1,%s}\n", call);
        a->bytes = take_answer(fd, head, sizeof head);
        a->us[n % ASKED_MOST] = (double)(world_now_ns() - begun) / 1000;
        a->count = n < ASKED_MOST ? n + 1 : ASKED_MOST;
        const char *why = strstr(head, "\"error\"") ? strstr(head, "\"message\":\"") : NULL;
        if (why)
            snprintf(a->refused, sizeof a->refused, "%.60s", why + 11);
    }
}

/* ---- frames meanwhile ---- */

static void send_frame(struct run *r)
{
    r->shown_g = 100 + (double)(r->frame++ % 9000) / 100;
    r->sent_ns = world_now_ns();
    world_frame(r->pty, r->shown_g);
}

/* True: the newest frame was shown. */
static bool frame_is_shown(struct run *r)
{
    bool shown = false;
    ssize_t got = read(r->watch, r->text + r->length, sizeof r->text - 1 - r->length);
    if (got <= 0)
        world_fail("the watching client was dropped");
    r->length += (size_t)got;
    r->text[r->length] = '\0';
    char *line = r->text, *end;
    while ((end = strchr(line, '\n'))) {
        const char *weight = strstr(line, "\"weight_g\":");
        double g = weight && weight < end ? strtod(weight + 11, NULL) : 0;
        shown = shown || (g > r->shown_g - 0.004 && g < r->shown_g + 0.004);
        line = end + 1;
    }
    r->length -= (size_t)(line - r->text);
    memmove(r->text, line, r->length);
    return shown;
}

/* Sends frames until the child has asked (-1: for so long), and notes how soon each is shown. */
static void frames(struct run *r, pid_t child, int64_t for_ns, double *us, size_t *count)
{
    int64_t begun = world_now_ns();
    bool waits = false;
    r->next_ns = begun;
    for (;;) {
        int64_t now = world_now_ns();
        if (!waits && (child > 0 ? waitpid(child, NULL, WNOHANG) == child : now - begun >= for_ns))
            return;
        if (!waits && now >= r->next_ns) {
            send_frame(r);
            waits = true;
            r->next_ns = now + PERIOD_NS;
        }
        struct pollfd p = {.fd = r->watch, .events = POLLIN};
        if (poll(&p, 1, waits ? WORLD_LIMIT_MS : 5) > 0) {
            if (frame_is_shown(r) && waits) {
                waits = false;
                if (*count < FRAMES_MOST)
                    us[(*count)++] = (double)(world_now_ns() - r->sent_ns) / 1000;
            }
        } else if (waits) {
            world_fail("a frame was not shown in %d s", WORLD_LIMIT_MS / 1000);
        }
    }
}

/* As long quiet as busy, each time. */
static void question(struct run *r, const char *name, const char *call, size_t times)
{
    int64_t begun = world_now_ns();
    pid_t child = fork();
    if (child == 0) {
        ask(r, call, times, times < ASKED_MOST ? 1000000000 : 0);
        _exit(0);
    }
    frames(r, child, 0, r->busy, &r->busies);
    frames(r, -1, world_now_ns() - begun, r->quiet, &r->quiets);
    if (!name)
        return;
    struct asked *a = r->asked;
    double p50 = a->count ? world_part(a->us, a->count, 0.5) : 0,
           p99 = a->count ? world_part(a->us, a->count, 0.99) : 0;
    printf("%-34s %9.0f %9.0f %9zu  %s\n", name, p50, p99, a->bytes, a->refused);
    fflush(stdout);
}

/* What the frames saw since the last line like this one. */
static void tell_frames(struct run *r, const char *name)
{
    double busy = r->busies ? world_part(r->busy, r->busies, 0.99) : 0,
           quiet = r->quiets ? world_part(r->quiet, r->quiets, 0.99) : 0;
    printf(
        "  %s: weight p99 %.0f us, quiet %.0f, ratio %.2f (at most 2; %zu frames); loop away %.1f ms of its processor, "
        "%.1f by the clock (below 50)\n",
        name, busy, quiet, quiet > 0 ? busy / quiet : 0, r->busies, (double)r->seen->cpu_ns / 1e6,
        (double)r->seen->away_ns / 1e6);
    fflush(stdout);
    r->quiets = r->busies = 0;
    r->seen->cpu_ns = r->seen->away_ns = 0;
}

/* ---- what is asked ---- */

static const char *const keys[][2] = {
    {"order", "\"order\":\"RO-1500\""},
    {"code", "\"formula\":\"TI-1\""},
    {"number", "\"text\":\"1500\""},
    {"variant", "\"variant\":\"lighter\""},
    {"coat", "\"coat\":\"mid\""},
    {"painter", "\"painter\":\"Eve Knot\""},
    {"day", "\"from\":\"2023-11-16\",\"to\":\"2023-11-16\""},
    {"place", "\"place\":\"shelf 7\""},
    {"text", "\"text\":\"slate\""},
};
enum { KEYS = sizeof keys / sizeof *keys };

static void finds(struct run *r)
{
    char name[64], call[256];
    for (size_t i = 0; i < KEYS; i++)
        for (size_t j = i; j < KEYS; j++) {
            if (i != j && strncmp(keys[i][1], "\"text", 5) == 0 && strncmp(keys[j][1], "\"text", 5) == 0)
                continue; /* one member */
            snprintf(name, sizeof name, "find %s%s%s", keys[i][0], i == j ? "" : ", ", i == j ? "" : keys[j][0]);
            snprintf(call, sizeof call, "\"method\":\"batch.find\",\"params\":{%s%s%s}", keys[i][1], i == j ? "" : ",",
                     i == j ? "" : keys[j][1]);
            question(r, name, call, ASKED_MOST);
        }
    tell_frames(r, "finds");
    question(r, "find of 1,000 rows", "\"method\":\"batch.find\",\"params\":{\"limit\":1000}", ASKED_MOST);
    tell_frames(r, "finds of 1,000 rows");
    question(r, "find that meets nothing",
             "\"method\":\"batch.find\",\"params\":{\"variant\":\"lighter\",\"coat\":\"sealer\",\"painter\":\"Eve "
             "Knot\"}",
             ASKED_MOST);
    question(r, "find of three that meet nowhere",
             "\"method\":\"batch.find\",\"params\":{\"variant\":\"lighter\",\"coat\":\"mid\",\"painter\":\"Nobody\"}",
             ASKED_MOST);
    question(r, "find of words that meet nowhere",
             "\"method\":\"batch.find\",\"params\":{\"text\":\"copper\",\"coat\":\"sealer\"}", ASKED_MOST);
    tell_frames(r, "finds that meet nothing");
}

static const struct {
    const char *name, *call;
    size_t times;
} lists[] = {
    {"formula.list", "\"method\":\"formula.list\",\"params\":{\"limit\":50}", 25},
    {"formula.list, a word", "\"method\":\"formula.list\",\"params\":{\"text\":\"slate\",\"limit\":50}", 25},
    {"formula.list, no such word", "\"method\":\"formula.list\",\"params\":{\"text\":\"nosuch\"}", 25},
    {"formula.get, a slip", "\"method\":\"formula.get\",\"params\":{\"formula\":\"TX-99\"}", 25},
    {"mix.plan, a slip", "\"method\":\"mix.plan\",\"params\":{\"formula\":\"TX-99\",\"grams\":100}", 25},
    {"order.list", "\"method\":\"order.list\"", 25},
    {"card.list", "\"method\":\"card.list\"", 25},
    {"shelf.list", "\"method\":\"shelf.list\"", 25},
    {"shelf.list, due", "\"method\":\"shelf.list\",\"params\":{\"due\":true}", 25},
    {"stock.list", "\"method\":\"stock.list\"", 25},
    {"stock.list, to reorder", "\"method\":\"stock.list\",\"params\":{\"reorder\":true}", 3},
    {"toner.list of all", "\"method\":\"toner.list\"", 3},
    {"report.checks of a year",
     "\"method\":\"report.checks\",\"params\":{\"from\":\"2023-11-01\",\"to\":\"2024-10-31\"}", 25},
    {"store.verify", "\"method\":\"store.verify\"", 1},
};

/* Other prices at each run, so that each section is new. */
static void import(struct run *r)
{
    char path[WORLD_PATH + 32], call[WORLD_PATH + 128];
    snprintf(path, sizeof path, "%s/many.ini", r->world.dir);
    FILE *file = fopen(path, "w");
    for (int i = 0; file && i < TONERS; i++)
        fprintf(file, "[toner X%05d]\nname = Invented %d\ndensity_g_per_ml = 1.1\nprice_per_kg = %d\n", i, i,
                1 + (int)(world_now_ns() / 1000000000 % 997));
    if (!file || fclose(file) != 0)
        world_fail("%s: %s", path, strerror(errno));
    snprintf(call, sizeof call, "\"method\":\"catalogue.import\",\"params\":{\"files\":[\"%s\"]}", path);
    question(r, "import of 50,000 sections", call, 1);
    tell_frames(r, "import");
}

/* The scale speaks and the watching client reads meanwhile, as at any bench. */
static void keep_alive(struct run *r)
{
    struct pollfd p = {.fd = r->watch, .events = POLLIN};
    if (world_now_ns() >= r->next_ns) {
        send_frame(r);
        r->next_ns = world_now_ns() + PERIOD_NS;
    }
    while (poll(&p, 1, 0) > 0)
        frame_is_shown(r);
}

/* A batch with so many notes, and its record. */
static void longest_batch(struct run *r)
{
    static struct lines lines;
    char call[192];
    int revision = 0, batch = 0;
    lines = (struct lines){.fd = world_connect(r->world.socket)};
    for (int i = 0; i <= NOTES; i++) {
        if (i == 0)
            dprintf(lines.fd,
                    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.begin\",\"params\":{\"station\":"
                    "\"bench\",\"formula\":\"BENCH-1\",\"grams\":100,\"request\":\"q-%lld\"}}\n",
                    (long long)world_now_ns());
        else
            dprintf(lines.fd,
                    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.note\",\"params\":{\"station\":\"bench\","
                    "\"revision\":%d,\"text\":\"note %d\",\"request\":\"q-%lld\"}}\n",
                    revision, i, (long long)world_now_ns());
        const char *answer = world_line(&lines, "a batch of many notes"), *at = strstr(answer, "\"revision\":"),
                   *of = strstr(answer, "\"batch\":\"");
        if (strstr(answer, "\"error\"") || !at || !of)
            world_fail("%.200s", answer);
        keep_alive(r);
        revision = atoi(at + 11);
        batch = atoi(of + 9);
    }
    snprintf(call, sizeof call, "\"method\":\"batch.get\",\"params\":{\"batch\":\"%d\",\"events\":1000}", batch);
    question(r, "batch.get of 3,000 events", call, 25);
    tell_frames(r, "record of the longest batch");
    dprintf(
        lines.fd,
        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.scrap\",\"params\":{\"station\":\"bench\",\"revision\":%d,"
        "\"why\":\"measured\",\"request\":\"q-%lld\"}}\n",
        revision, (long long)world_now_ns());
    world_line(&lines, "batch.scrap");
    close(lines.fd);
}

static void backup(struct run *r)
{
    char call[WORLD_PATH + 128], path[WORLD_PATH + 16];
    snprintf(path, sizeof path, "%s/copy.db", r->world.dir);
    snprintf(call, sizeof call, "\"method\":\"store.backup\",\"params\":{\"file\":\"%s\"}", path);
    question(r, "store.backup", call, 1);
    tell_frames(r, "backup");
    unlink(path);
}

/* ---- memory, watchers, starts ---- */

static long status_kb(pid_t pid, const char *name)
{
    char path[64], line[256], form[32];
    long kb = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)pid);
    snprintf(form, sizeof form, "%s: %%ld", name);
    FILE *file = fopen(path, "r");
    while (file && fgets(line, sizeof line, file))
        if (sscanf(line, form, &kb) == 1)
            break;
    if (file)
        fclose(file);
    return kb;
}

/* CPU of poised for 200 frames, watched by so many clients that read all they are sent. */
static double frames_cpu_us(struct run *r, pid_t pid, int clients)
{
    enum { FRAMES = 200 };
    static struct pollfd fd[1000];
    static char text[65536];
    for (int i = 0; i < clients; i++) {
        fd[i] = (struct pollfd){.fd = world_connect(r->world.socket), .events = POLLIN};
        world_write(fd[i].fd,
                    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}\n");
    }
    int64_t cpu = 0;
    for (int i = -25; i < FRAMES; i++) {
        int64_t end = world_now_ns() + PERIOD_NS;
        if (i == 0)
            cpu = world_cpu_ns(pid);
        send_frame(r);
        for (int64_t now = world_now_ns(); now < end; now = world_now_ns())
            if (poll(fd, (nfds_t)clients, 1 + (int)((end - now) / 1000000)) > 0)
                for (int c = 0; c < clients; c++)
                    if (fd[c].revents && read(fd[c].fd, text, sizeof text) <= 0)
                        world_fail("a watching client was dropped");
    }
    cpu = world_cpu_ns(pid) - cpu;
    for (int i = 0; i < clients; i++)
        close(fd[i].fd);
    return (double)cpu / 1000 / FRAMES;
}

static void watchers(struct run *r, pid_t pid)
{
    double one = frames_cpu_us(r, pid, 1), many = frames_cpu_us(r, pid, 1000);
    printf("1,000 watching clients: %.2f us a client and frame (at most 4); a frame for one %.0f us\n",
           (many - one) / 999, one);
}

static double start_ms(struct run *r)
{
    struct lines *client = calloc(1, sizeof *client);
    int64_t took, begun = world_now_ns();
    pid_t pid = world_poised(&r->world, r->build, NULL, &took);
    if (!client)
        world_fail("no memory");
    client->fd = world_connect(r->world.socket);
    world_write(client->fd, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\",\"params\":{}}\n");
    world_line(client, "daemon.info");
    double ms = (double)(client->read_ns - begun) / 1e6;
    close(client->fd);
    free(client);
    world_end_child(&r->world, pid);
    return ms;
}

static double bare_ms(struct run *r)
{
    char program[WORLD_PATH + 32], path[WORLD_PATH + 32];
    snprintf(program, sizeof program, "%s/tests/bench/bare_open", r->build);
    snprintf(path, sizeof path, "%s/state/poise.db", r->folder);
    const char *argv[] = {program, path, NULL};
    struct lines *out = calloc(1, sizeof *out);
    int64_t begun = world_now_ns();
    if (!out)
        world_fail("no memory");
    pid_t pid = world_start(&r->world, argv, NULL, &out->fd);
    world_line(out, "the bare program");
    double ms = (double)(out->read_ns - begun) / 1e6;
    close(out->fd);
    free(out);
    world_end_child(&r->world, pid);
    return ms;
}

static void starts(struct run *r)
{
    const char *ports[64];
    double ours[STARTS], bare[STARTS];
    for (int i = 0; i < 64; i++)
        ports[i] = "tcp:127.0.0.1:1";
    world_configure(&r->world, ports, 64, NULL);
    start_ms(r);
    for (int i = 0; i < STARTS; i++) {
        ours[i] = start_ms(r);
        bare[i] = bare_ms(r);
    }
    double p50 = world_part(ours, STARTS, 0.5), b50 = world_part(bare, STARTS, 0.5);
    printf("start of 64 stations to the first answer: %.1f ms, a bare program that opens the file %.1f, ratio %.1f (at "
           "most 5)\n",
           p50, b50, p50 / b50);
}

/* ---- all of it ---- */

static void share(struct run *r)
{
    char path[WORLD_PATH + 16];
    snprintf(path, sizeof path, "%.200s/loop", r->world.dir);
    int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (fd < 0 || ftruncate(fd, sizeof *r->seen) < 0)
        world_fail("%s: %s", path, strerror(errno));
    void *seen = mmap(NULL, sizeof *r->seen, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0),
         *asked = mmap(NULL, sizeof *r->asked, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (seen == MAP_FAILED || asked == MAP_FAILED)
        world_fail("no memory");
    r->seen = seen;
    r->asked = asked;
    setenv("LOOP_SEEN", path, 1);
    close(fd);
}

static void ask_all(struct run *r)
{
    printf("%-34s %9s %9s %9s\n", "question", "p50 us", "p99 us", "bytes");
    finds(r);
    import(r);
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        question(r, lists[i].name, lists[i].call, lists[i].times);
        tell_frames(r, lists[i].name);
    }
    longest_batch(r);
    backup(r);
}

int main(int argc, char **argv)
{
    static struct run r;
    char slave[64], port[128], link[WORLD_PATH + 16], state[WORLD_PATH + 16];
    struct rlimit limit;
    int64_t took;
    if (argc < 4)
        world_fail("questions BUILD FOLDER LOOP");
    r.build = argv[1];
    r.folder = argv[2];
    r.loop = argv[3];
    if (getrlimit(RLIMIT_NOFILE, &limit) == 0) {
        limit.rlim_cur = limit.rlim_max;
        setrlimit(RLIMIT_NOFILE, &limit);
    }
    world_make(&r.world);
    snprintf(link, sizeof link, "%s/state", r.world.dir);
    snprintf(state, sizeof state, "%s/state", r.folder);
    if (symlink(state, link) < 0)
        world_fail("%s: %s", link, strerror(errno));
    r.pty = world_pty(slave);
    snprintf(port, sizeof port, "pty:%s", slave);
    world_configure(&r.world, (const char *const[]){port}, 1, NULL);
    share(&r);
    pid_t pid = world_poised(&r.world, r.build, r.loop, &took);
    printf("memory after the start: %ld kB\n", status_kb(pid, "VmRSS"));
    r.watch = world_connect(r.world.socket);
    world_write(r.watch, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}\n");
    frames(&r, -1, INT64_C(1000000000), r.quiet, &r.quiets);
    r.quiets = 0;
    r.seen->cpu_ns = r.seen->away_ns = 0;
    ask_all(&r);
    printf("memory: %ld kB at most, %ld kB at the end\n", status_kb(pid, "VmHWM"), status_kb(pid, "VmRSS"));
    watchers(&r, pid);
    world_end_child(&r.world, pid);
    starts(&r);
    close(r.watch);
    world_remove(&r.world);
    return 0;
}
