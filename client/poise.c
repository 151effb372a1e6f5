/* poise.c - the command: sorts what was typed, runs it, and sees to it that what was printed arrived. */
#include "client/fault.h"
#include "client/help.h"
#include "client/options.h"
#include "text/version.h"

#include <errno.h>
#include <langinfo.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>

static int run(struct poise_options *opt)
{
    if (opt->version) {
        puts("poise " POISE_VERSION);
        return 0;
    }
    if (opt->command && opt->help)
        help_command(opt->command);
    else if (opt->command)
        return opt->command->run(opt);
    else
        help_overview();
    return 0;
}

int main(int argc, char **argv)
{
    struct poise_options opt;
    setlocale(LC_CTYPE, ""); /* LC_NUMERIC stays "C": numbers are read and written with a point */
    int code = options_parse(&opt, argc, argv);
    opt.style.utf8 = strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    if (code == 0)
        code = run(&opt);
    if ((fflush(stdout) != 0 || ferror(stdout)) && code == 0)
        code = fault_say(EX_IOERR, "stdout", "Is the disk full?", "%s", strerror(errno));
    return code;
}
