/* poise.c - the command: sorts what was typed, runs it, and sees to it that what was printed arrived. It must not
 * know any command: the table does. LC_CTYPE alone is taken from the environment, for the terminal of `poise bench`;
 * numbers keep their point, as the shop's decimal sign is ours to write. */
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "text/version.h"

#include <errno.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>

/* --version and --help never reach the command, so they work without a daemon and with words missing. */
static int run(struct poise_options *opt)
{
    if (opt->version) {
        puts("poise " POISE_VERSION);
        return 0;
    }
    if (opt->command && opt->help)
        help_command(opt->command, opt->style);
    else if (opt->command)
        return opt->command->run(opt);
    else
        help_overview(opt->commands, opt->style);
    return 0;
}

/* A full disk or a closed pipe shows only when stdout is flushed: a list that was cut must not end with 0. */
int main(int argc, char **argv)
{
    struct poise_options opt;
    setlocale(LC_CTYPE, ""); /* for the terminal of poise bench; LC_NUMERIC stays "C" */
    int code = options_parse(&opt, commands, argc, argv);
    if (code == 0)
        code = run(&opt);
    if ((fflush(stdout) != 0 || ferror(stdout)) && code == 0)
        code = failure_say(opt.style, EX_IOERR, "stdout", "not_written why=%s", said_reason(errno));
    return code;
}
