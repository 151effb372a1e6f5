#include "client/draw.h"

#include "client/fault.h"

#include <errno.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <sysexits.h>
#include <unistd.h>

extern char **environ;

/* The path beside our own program where there is one, else the bare name for PATH. */
static void find_program(char *path, size_t size)
{
    static const char name[] = "poise-label";
    ssize_t len = readlink("/proc/self/exe", path, size - sizeof name);
    char *slash = len > 0 ? memrchr(path, '/', (size_t)len) : NULL;
    if (slash)
        memcpy(slash + 1, name, sizeof name);
    if (!slash || access(path, X_OK) != 0)
        memcpy(path, name, sizeof name);
}

/* The label as a file in memory: the program may end before it has read it, and nothing here waits or is killed. */
static int label_file(const json_t *label)
{
    int fd = memfd_create("label", MFD_CLOEXEC);
    if (fd < 0)
        return -1;
    if (json_dumpfd(label, fd, JSON_COMPACT | JSON_REAL_PRECISION(15)) < 0 || lseek(fd, 0, SEEK_SET) < 0) {
        close(fd);
        return -1;
    }
    return fd;
}

static int run(const char *program, const char *path, int in)
{
    char *argv[] = {(char[]){"poise-label"}, (char *)(uintptr_t)path, NULL};
    posix_spawn_file_actions_t actions;
    pid_t pid;
    int status = 0;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, in, STDIN_FILENO);
    int why = posix_spawnp(&pid, program, &actions, NULL, argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    if (why != 0)
        return fault_say(EX_SOFTWARE, "poise-label", "Install it beside poise.", "%s", strerror(why));
    while (waitpid(pid, &status, 0) < 0)
        if (errno != EINTR)
            return fault_say(EX_SOFTWARE, "poise-label", NULL, "%s", strerror(errno));
    if (WIFEXITED(status))
        return WEXITSTATUS(status);
    return fault_say(EX_SOFTWARE, "poise-label", NULL, "it was ended by signal %d", WTERMSIG(status));
}

int draw_label(const json_t *label, const char *path)
{
    char program[4096], plain[4096];
    /* A file's name may begin with a dash; the program would take it for an option. */
    snprintf(plain, sizeof plain, "%s%s", path[0] == '-' && path[1] ? "./" : "", path);
    int in = label_file(label);
    if (in < 0)
        return fault_say(EX_IOERR, "label", NULL, "%s", strerror(errno));
    find_program(program, sizeof program);
    fflush(stdout);
    int code = run(program, plain, in);
    close(in);
    return code;
}
