/* restore_command.c - what poised itself does with a backup, whether a daemon runs or not: `poise restore FILE` puts it
 * in the journal's place, and `poise verify FILE` asks whether it is whole. It must not know how the journal is kept.
 */
#include "client/commands.h"

#include <errno.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <sysexits.h>
#include <unistd.h>

/* The poised beside our own program, so that a tree that was built and not installed takes its own; else that of PATH.
 * It takes this process's place, so what it says and how it ends is ours; called `poise`, its errors begin as ours do.
 */
static int become_poised(const struct poise_options *opt, const char *option, const char *file)
{
    char own[PATH_MAX], poised[PATH_MAX + 16] = "poised";
    ssize_t n = readlink("/proc/self/exe", own, sizeof own - 1);
    const char *state = opt->text[OPTION_STATE];
    own[n > 0 ? n : 0] = '\0';
    char *slash = strrchr(own, '/');
    if (slash) {
        *slash = '\0';
        snprintf(poised, sizeof poised, "%s/poised", own);
    }
    char *arguments[] = {
        "poise", (char *)(uintptr_t)option, (char *)(uintptr_t)file, state ? "--state" : NULL, (char *)(uintptr_t)state,
        NULL};
    /* What it says is in the language of whoever asked for another one here. */
    setenv("LC_ALL", opt->style.language == WORDS_DE ? "de_DE.UTF-8" : "en_US.UTF-8", 1);
    if (access(poised, X_OK) == 0)
        execv(poised, arguments);
    execvp("poised", arguments);
    return failure_say(opt->style, EX_UNAVAILABLE, "poised", "restore_no_poised why=%s",
                       wording_errno(opt->style, errno));
}

int command_restore(struct poise_options *opt)
{
    return become_poised(opt, "--restore", opt->word[0]);
}

/* The child's end of the pipe becomes its stdout. */
static int child(const struct poise_options *opt, const char *file, int to)
{
    return dup2(to, STDOUT_FILENO) < 0 ? EX_OSERR : become_poised(opt, "--verify", file);
}

int backup_verify(const struct poise_options *opt, const char *file, json_t **result)
{
    int ends[2], status = 0;
    json_error_t ignored;
    *result = NULL;
    if (pipe(ends) != 0)
        return failure_say(opt->style, EX_OSERR, "poised", "restore_no_poised why=%s",
                           wording_errno(opt->style, errno));
    fflush(stdout);
    pid_t pid = fork();
    if (pid == 0)
        _exit(child(opt, file, ends[1]));
    close(ends[1]);
    FILE *from = pid < 0 ? NULL : fdopen(ends[0], "r");
    *result = from ? json_loadf(from, 0, &ignored) : NULL;
    from ? (void)fclose(from) : (void)close(ends[0]);
    while (pid > 0 && waitpid(pid, &status, 0) < 0 && errno == EINTR)
        continue;
    if (pid > 0 && WIFEXITED(status) && WEXITSTATUS(status) != 0)
        return WEXITSTATUS(status); /* it has said why */
    return *result ? 0
                   : failure_say(opt->style, EX_UNAVAILABLE, "poised", "restore_no_poised why=%s",
                                 wording_errno(opt->style, errno));
}
