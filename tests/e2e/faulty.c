#include "tests/e2e/faulty.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static bool run(const char *const argv[])
{
    int status = -1;
    pid_t pid = fork();
    if (pid == 0) {
        execvp(argv[0], (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static struct faults *map_faults(const char *path)
{
    int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    assert_true(fd >= 0);
    assert_int_equal(ftruncate(fd, sizeof(struct faults)), 0);
    void *page = mmap(NULL, sizeof(struct faults), PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    close(fd);
    assert_true(page != MAP_FAILED);
    return page;
}

void faulty_start(struct harness *h, struct faults **faults)
{
    char shim[512], told[512];
    snprintf(shim, sizeof shim, "%s/faults.so", h->dir);
    snprintf(told, sizeof told, "%s/faults", h->dir);
    const char *cc = getenv("CC");
    const char *const argv[] = {cc && *cc ? cc : "cc",        "-D_GNU_SOURCE", "-I.", "-shared", "-fPIC", "-o", shim,
                                "tests/e2e/preload/faults.c", "-ldl",          NULL};
    struct stat st;
    if (stat(shim, &st) != 0 && !run(argv))
        fail_msg("%s cannot be built", argv[7]);
    if (!*faults)
        *faults = map_faults(told);
    if (h->poised)
        assert_int_equal(harness_stop(h, SIGTERM), 0);
    setenv("LD_PRELOAD", shim, 1);
    setenv("POISE_FAULTS", told, 1);
    harness_start(h);
    unsetenv("LD_PRELOAD");
    harness_wait_scale(h, "bench", "live");
}

void faulty_disarm(struct faults *faults)
{
    for (int i = 0; i < FAULTS_OF; i++)
        faults->fails_at[i] = 0;
}

int faulty_end_code(const struct harness *h)
{
    siginfo_t how = {0};
    if (waitid(P_PID, (id_t)h->poised, &how, WEXITED | WNOHANG | WNOWAIT) != 0 || how.si_pid == 0)
        return -1;
    return how.si_code == CLD_EXITED ? how.si_status : 128 + how.si_status;
}

/* NULL: nobody listens there any more. */
static struct raw_client *connect_if_there(const struct harness *h)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    struct raw_client *c = calloc(1, sizeof *c);
    assert_non_null(c);
    memcpy(at.sun_path, h->socket, strnlen(h->socket, sizeof at.sun_path - 1));
    c->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(c->fd >= 0);
    if (connect(c->fd, (struct sockaddr *)&at, sizeof at) == 0)
        return c;
    raw_client_close(c);
    return NULL;
}

/* One that neither answers nor closes fails the test. */
json_t *faulty_ask(const struct harness *h, const char *line)
{
    struct raw_client *c = connect_if_there(h);
    json_t *answer = c && raw_client_say(c, line) ? raw_client_answer(c) : NULL;
    if (c)
        raw_client_close(c);
    return answer;
}

void faulty_skip_under_sanitizers(void)
{
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    skip();
#endif
}

int faulty_number(const char *name, int usual)
{
    const char *text = getenv(name);
    return text && *text ? atoi(text) : usual;
}
