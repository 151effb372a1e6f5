#include "tests/e2e/sim_bench.h"

#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

enum { LIMIT_MS = 30000 };

int sim_bench_begin(void **state)
{
    struct sim_bench *b = calloc(1, sizeof *b);
    if (!b)
        return -1;
    strcpy(b->dir, "/tmp/poise-sim-XXXXXX");
    if (!mkdtemp(b->dir))
        return -1;
    snprintf(b->link, sizeof b->link, "%s/scale", b->dir);
    snprintf(b->file, sizeof b->file, "%s/file", b->dir);
    b->in = b->out = -1;
    *state = b;
    return 0;
}

int sim_bench_reap(struct sim_bench *b)
{
    int status = 0;
    pid_t pid = b->pid;
    b->pid = 0;
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

int sim_bench_end(void **state)
{
    struct sim_bench *b = *state;
    if (b->pid > 0) {
        kill(b->pid, SIGKILL);
        sim_bench_reap(b);
    }
    if (b->in >= 0)
        close(b->in);
    if (b->out >= 0)
        close(b->out);
    unlink(b->link);
    unlink(b->file);
    int code = rmdir(b->dir);
    free(b);
    return code;
}

void sim_bench_start(struct sim_bench *b, const char *const options[], bool err)
{
    char program[256];
    const char *build = getenv("POISE_BUILD"), *argv[24] = {program};
    snprintf(program, sizeof program, "%s/poise-sim", build ? build : "build");
    for (int i = 0; i < 22 && options[i]; i++)
        argv[i + 1] = options[i];
    int in[2], out[2];
    assert_int_equal(pipe2(in, O_CLOEXEC), 0);
    assert_int_equal(pipe2(out, O_CLOEXEC), 0);
    b->pid = fork();
    assert_true(b->pid >= 0);
    if (b->pid == 0) {
        dup2(in[0], 0);
        dup2(out[1], err ? 2 : 1);
        execv(program, (char **)(uintptr_t)argv);
        _exit(127);
    }
    close(in[0]);
    close(out[1]);
    b->in = in[1];
    b->out = out[0];
}

void sim_bench_wait(int fd, const char *what)
{
    struct pollfd p = {.fd = fd, .events = POLLIN};
    if (poll(&p, 1, LIMIT_MS) <= 0)
        fail_msg("nothing came: %s", what);
}

char *sim_bench_line(struct sim_bench *b, char text[512])
{
    size_t len = 0;
    for (;;) {
        sim_bench_wait(b->out, "a line of poise-sim");
        ssize_t got = read(b->out, text + len, 1);
        if (got <= 0 || text[len] == '\n' || len == 510)
            break;
        len++;
    }
    text[len] = 0;
    return text;
}

void sim_bench_say(struct sim_bench *b, const char *words, const char *answer)
{
    char text[512];
    dprintf(b->in, "%s\n", words);
    sim_bench_line(b, text);
    if (strncmp(text, answer, strlen(answer)) != 0)
        fail_msg("%s: <%s>, want <%s>", words, text, answer);
}

void sim_bench_start_tcp(struct sim_bench *b, const char *family, const char *rate, const char *more)
{
    char text[512];
    const char *options[] = {"--tcp",    "0",    "--hand", "manual", "--settle", "100",
                             "--family", family, "--rate", rate,     more,       NULL};
    sim_bench_start(b, options, false);
    sim_bench_line(b, text);
    assert_int_equal(sscanf(text, "port %d", &b->port), 1);
}

int sim_bench_connect(const struct sim_bench *b, int room)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)b->port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (room)
        setsockopt(fd, SOL_SOCKET, SO_RCVBUF, &room, sizeof room);
    assert_int_equal(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    return fd;
}
