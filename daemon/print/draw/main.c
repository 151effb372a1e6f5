#include "print/draw/program.h"

#include <signal.h>

int main(int argc, char **argv)
{
    (void)signal(SIGPIPE, SIG_IGN); /* a reader that went away is a failed write, with its own words */
    return label_program(argc, argv, stdin, stdout, stderr);
}
