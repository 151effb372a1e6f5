/* restore_command.c - `poise restore FILE`: a backup put in the journal's place by poised itself, which must not run
 * then. It must not know how the journal is kept.
 */
#include "client/commands.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* The poised beside our own program, so that a tree that was built and not installed takes its own; else that of PATH.
 * It takes this process's place, so what it says and how it ends is ours. */
static int become_poised(const struct poise_options *opt, const char *file)
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
        "poised", "--restore", (char *)(uintptr_t)file, state ? "--state" : NULL, (char *)(uintptr_t)state, NULL};
    if (access(poised, X_OK) == 0)
        execv(poised, arguments);
    execvp("poised", arguments);
    return failure_say(opt->style, EX_UNAVAILABLE, "poised", "restore_no_poised why=%s",
                       wording_errno(opt->style, errno));
}

/* What it says is in the language of whoever asked for another one here. */
int command_restore(struct poise_options *opt)
{
    if (opt->style.language == WORDS_DE)
        setenv("LC_ALL", "de_DE.UTF-8", 1);
    else
        setenv("LC_ALL", "en_US.UTF-8", 1);
    return become_poised(opt, opt->word[0]);
}
