/* poise_label.c - the process around program.c. */
#include "print/draw/label.h"

#include <signal.h>

int main(int argc, char **argv)
{
    /* A reader that went away, or a limit on file sizes, is a failed write with its own words. */
    (void)signal(SIGPIPE, SIG_IGN);
    (void)signal(SIGXFSZ, SIG_IGN);
    return label_program(argc, argv, stdin, stdout, stderr);
}
