/* solver.c - see solver.h. It must not know what a program is for, nor how it is solved. */
#include "solver/solver.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stddef.h>
#include <sys/socket.h>
#include <sys/uio.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

extern char **environ;

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

void solver_begin(struct solver *s, const char *program, int run_ms, int all_ms)
{
    *s = (struct solver){.program = program, .run_ms = run_ms, .until_ms = now_ms() + all_ms, .line = -1};
}

/* False, and remembers why: the last trouble is the one that counts. */
static bool in_trouble(struct solver *s, enum solver_trouble trouble, int error)
{
    s->trouble = trouble;
    s->error = error;
    return false;
}

/* Killed whatever it does: its answers are read, or not wanted any more. Returns its exit code, -1: a signal's end. */
static int end_child(struct solver *s)
{
    int status = 0;
    pid_t ended;
    if (s->child == 0)
        return -1;
    close(s->line);
    kill(s->child, SIGKILL);
    do
        ended = waitpid(s->child, &status, 0);
    while (ended < 0 && errno == EINTR);
    s->child = 0;
    s->line = -1;
    return ended > 0 && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

void solver_end(struct solver *s)
{
    end_child(s);
}

/* Signals that we ignore or block are as usual in the child, and its group is its own: what a terminal sends us is not
 * for it. The library's own complaints are nobody's to read. 0, or the system's error. */
static int spawn(struct solver *s, int theirs)
{
    posix_spawn_file_actions_t files;
    posix_spawnattr_t how;
    sigset_t none, all;
    char *argv[] = {(char *)(uintptr_t)s->program, NULL};
    int error = posix_spawn_file_actions_init(&files);
    if (error)
        return error;
    posix_spawnattr_init(&how); /* cannot fail where glibc is the library: it only clears the struct */
    sigemptyset(&none);
    sigfillset(&all);
    posix_spawnattr_setsigmask(&how, &none);
    posix_spawnattr_setsigdefault(&how, &all);
    posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
    if ((error = posix_spawn_file_actions_adddup2(&files, theirs, 0)) == 0 &&
        (error = posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0)) == 0 &&
        (error = posix_spawn_file_actions_adddup2(&files, 1, 2)) == 0)
        error = posix_spawn(&s->child, s->program, &files, &how, argv, environ);
    posix_spawnattr_destroy(&how);
    posix_spawn_file_actions_destroy(&files);
    return error;
}

/* Our end never blocks, theirs does. */
static bool start_child(struct solver *s)
{
    int line[2];
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, line) != 0)
        return in_trouble(s, SOLVER_NO_MEMORY, errno);
    int error = fcntl(line[0], F_SETFL, O_NONBLOCK) == 0 ? spawn(s, line[1]) : errno;
    close(line[1]);
    if (error == 0) {
        s->line = line[0];
        return true;
    }
    close(line[0]);
    s->child = 0;
    return in_trouble(s, error == ENOENT || error == EACCES ? SOLVER_MISSING : SOLVER_NO_MEMORY, error);
}

/* Waits until the line can be written to (POLLOUT) or read from. False: time is up. */
static bool ready(const struct solver *s, short what, int64_t until_ms)
{
    struct pollfd p = {.fd = s->line, .events = what};
    for (;;) {
        int64_t left_ms = until_ms - now_ms();
        int n = left_ms > 0 ? poll(&p, 1, (int)left_ms) : 0;
        if (n >= 0 || errno != EINTR)
            return n > 0;
    }
}

/* All of it, one way or the other. False: time is up, or nobody is there. */
static bool pass(const struct solver *s, char *at, size_t size, bool out, int64_t until_ms)
{
    while (size > 0) {
        if (!ready(s, out ? POLLOUT : POLLIN, until_ms))
            return false;
        ssize_t n = out ? send(s->line, at, size, MSG_NOSIGNAL) : recv(s->line, at, size, 0);
        if (n == 0 || (n < 0 && errno != EAGAIN && errno != EINTR))
            return false;
        at += n > 0 ? n : 0;
        size -= n > 0 ? (size_t)n : 0;
    }
    return true;
}

/* Head and program are sent one after the other, since the program is too large to copy for it. */
static bool exchange(const struct solver *s, const struct mix_program *p, int64_t until_ms,
                     struct solver_answer *answer)
{
    struct solver_asked head = {.mark = SOLVER_MARK, .seconds = s->run_ms / 1000 + 2};
    return pass(s, (char *)&head, offsetof(struct solver_asked, program), true, until_ms) &&
           pass(s, (char *)(uintptr_t)p, sizeof *p, true, until_ms) &&
           pass(s, (char *)answer, sizeof *answer, false, until_ms) && answer->mark == SOLVER_MARK;
}

bool solver_run(void *solver, const struct mix_program *p, double *x)
{
    struct solver *s = solver;
    struct solver_answer answer;
    int64_t now = now_ms(), until_ms = now + s->run_ms < s->until_ms ? now + s->run_ms : s->until_ms;
    if (now >= s->until_ms)
        return in_trouble(s, SOLVER_SLOW, 0);
    if (s->child == 0 && !start_child(s))
        return false;
    if (!exchange(s, p, until_ms, &answer)) {
        bool missing = end_child(s) == SOLVER_NO_LIBRARY;
        return in_trouble(s, missing ? SOLVER_MISSING : SOLVER_SLOW, 0);
    }
    for (size_t c = 0; answer.found && c < p->columns; c++)
        x[c] = answer.x[c];
    return answer.found != 0;
}
