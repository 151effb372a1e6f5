/* Every family and style that poise-sim writes is read by `poise decode`: two programs that share no code but the
 * facts. */
#include "tests/e2e/sim_bench.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { STYLES_MAX = 128, BYTES_MAX = 65536 };

struct pair {
    char family[24], style[24];
};

static void program(char path[256], const char *name)
{
    const char *build = getenv("POISE_BUILD");
    snprintf(path, 256, "%s/%s", build ? build : "build", name);
}

/* The families and styles that it lists, a family without a style first. */
static size_t list_pairs(struct sim_bench *b, struct pair pairs[STYLES_MAX])
{
    const char *options[] = {"--style", "list", NULL};
    char text[512];
    size_t count = 0;
    sim_bench_start(b, options, false);
    while (*sim_bench_line(b, text) && count < STYLES_MAX - 8) {
        char *rest = text, *family = strsep(&rest, " "), *style = "";
        do {
            snprintf(pairs[count].family, sizeof pairs[count].family, "%s", family);
            snprintf(pairs[count].style, sizeof pairs[count].style, "%s", style);
            count++;
        } while ((style = strsep(&rest, " ")));
    }
    assert_int_equal(sim_bench_reap(b), 0);
    close(b->in);
    close(b->out);
    b->in = b->out = -1;
    return count;
}

static size_t read_all(int fd, char *bytes, size_t room)
{
    size_t len = 0;
    for (;;) {
        sim_bench_wait(fd, "bytes or their end");
        ssize_t got = read(fd, bytes + len, room - len);
        if (got <= 0)
            return len;
        len += (size_t)got;
        assert_true(len < room);
    }
}

/* What `poise decode` says to the bytes, which fit into a pipe. */
static void decode(const char *family, const char *bytes, size_t len, char *said, size_t room)
{
    int in[2], out[2], status;
    char path[256];
    program(path, "poise");
    assert_int_equal(pipe2(in, O_CLOEXEC), 0);
    assert_int_equal(pipe2(out, O_CLOEXEC), 0);
    assert_int_equal(write(in[1], bytes, len), (ssize_t)len);
    close(in[1]);
    pid_t pid = fork();
    if (pid == 0) {
        dup2(in[0], 0);
        dup2(out[1], 1);
        execl(path, "poise", "decode", "--profile", family, (char *)NULL);
        _exit(127);
    }
    close(in[0]);
    close(out[1]);
    said[read_all(out[0], said, room)] = 0;
    close(out[0]);
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
}

/* A cup of 20.50 g, then over, then below zero: the bytes of it all. */
static size_t act(struct sim_bench *b, const struct pair *pair, char *bytes)
{
    char text[512];
    const char *options[] = {"--tcp",      "0",  "--hand",   "manual",     "--settle", "40",
                             "--rate",     "50", "--family", pair->family, "--style",  *pair->style ? pair->style : "",
                             "--capacity", "30", NULL};
    if (!*pair->style) { /* an empty value is refused */
        options[10] = options[12];
        options[11] = options[13];
        options[12] = NULL;
    }
    sim_bench_start(b, options, false);
    assert_int_equal(sscanf(sim_bench_line(b, text), "port %d", &b->port), 1);
    int fd = sim_bench_connect(b, 0);
    sim_bench_say(b, "settle", "settled 0.00");
    static const char *const words[][2] = {
        {"cup 20.5", "ok"},           {"settle", "settled 20.50"}, {"settle", "settled"}, {"says over", "ok"},
        {"settle", "settled"},        {"says ok", "ok"},           {"zero", "ok"},        {"off", "ok"},
        {"settle", "settled -20.50"}, {"settle", "settled"},       {"quit", "ok quit"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        sim_bench_say(b, words[i][0], words[i][1]);
    size_t len = read_all(fd, bytes, BYTES_MAX);
    close(fd);
    assert_int_equal(sim_bench_reap(b), 0);
    close(b->in);
    close(b->out);
    b->in = b->out = -1;
    return len;
}

static bool is_one_of(const char *word, const char *list)
{
    const char *at = strstr(list, word);
    return at && at[-1] == ' ' && at[strlen(word)] == ' ';
}

static void each_family_and_style_is_read(void **state)
{
    struct sim_bench *b = *state;
    static struct pair pairs[STYLES_MAX];
    static char bytes[BYTES_MAX], said[BYTES_MAX * 8];
    size_t count = list_pairs(b, pairs);
    int failed = 0;
    assert_true(count > 40);
    for (size_t i = 0; i < count; i++) {
        size_t len = act(b, &pairs[i], bytes);
        decode(pairs[i].family, bytes, len, said, sizeof said);
        bool unsigned_frames = is_one_of(pairs[i].family, " retail ") || !strcmp(pairs[i].style, "narrow");
        bool knows_over =
            !is_one_of(pairs[i].family, " stx-xor enq-bcc eq-rev eq-fwd ") && strcmp(pairs[i].family, "plain-14") != 0;
        bool up = strstr(said, "\"value\":\"20.50\"") != NULL;
        bool down = strstr(said, unsigned_frames ? "\"status\":\"under\"" : "\"value\":\"-20.50\"") != NULL;
        bool over = !knows_over || strstr(said, "\"status\":\"over\"");
        if (!up || !down || !over) {
            print_error("%s %s: up %d, down %d, over %d\n", pairs[i].family, pairs[i].style, up, down, over);
            failed++;
        }
    }
    assert_int_equal(failed, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_family_and_style_is_read, sim_bench_begin, sim_bench_end),
    };
    signal(SIGPIPE, SIG_IGN);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
