/* poised_options.h - poised's command line. One table for the parser and --help. */
#pragma once

#include <stdbool.h>

struct options {
    const char *config;  /* /etc/poise/poised.ini */
    const char *state;   /* /var/lib/poise */
    const char *socket;  /* --socket, else $POISE_SOCKET, else /run/poise/poised.sock */
    int port_http;       /* -1: not given; 0: any free port */
    const char *restore; /* NULL: not given */
    const char *verify;  /* likewise */
    bool foreground, check;
};

/* True: go on. False: *exit_code says how the program ends (help and version 0, a wrong word 64). */
bool options_read(int argc, char **argv, struct options *out, int *exit_code);
