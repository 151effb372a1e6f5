/* poised_options.c - poised's command line, by one table. Knows no configuration. */
#include "poised_options.h"

#include "text/said.h"
#include "text/utf8.h"
#include "text/version.h"

#include <errno.h>
#include <getopt.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EX_USAGE 64

/* --help and getopt both read this table. The switch of options_read goes by the number of the row, so a new option is
 * a row at the end and a case of its number. */
static const struct {
    const char *name, *value;
    const char *help; /* the code of what it does */
} table[] = {
    {"config", "FILE", "poised.config"},       {"state", "DIR", "poised.state"},
    {"socket", "PATH", "poised.socket"},       {"port-http", "N", "poised.port-http"},
    {"foreground", NULL, "poised.foreground"}, {"check", NULL, "poised.check"},
    {"version", NULL, "poised.version"},       {"help", NULL, "poised.help"},
    {"restore", "FILE", "poised.restore"},     {"verify", "FILE", "poised.verify"},
};
#define OPTIONS (sizeof table / sizeof *table)

/* `FILE` as the language writes it; "" for an option without a value. */
static const char *value_word(enum words_language language, const char *value)
{
    char code[24];
    snprintf(code, sizeof code, "value.%s", value ? value : "");
    return value ? words_or(language, code, value) : "";
}

/* From the same table as the options themselves, so that none is left out. */
static void print_help(void)
{
    enum words_language language = words_language_of_environment();
    int wide = 0;
    for (size_t i = 0; i < OPTIONS; i++) {
        int n = (int)strlen(value_word(language, table[i].value));
        wide = n > wide ? n : wide;
    }
    printf("%s\n\n%s\n", words_of(language, "poised.what"), words_of(language, "poised.usage"));
    for (size_t i = 0; i < OPTIONS; i++)
        printf("  --%-10s %-*s %s\n", table[i].name, wide + 1, value_word(language, table[i].value),
               words_of(language, table[i].help));
    printf("\n%s\n", words_of(language, "poised.stays"));
}

/* What was typed is cleaned before it is shown: it may hold the control bytes of a terminal. Always false. */
static bool wrong(struct said why, const char *word, int *exit_code)
{
    char clean[256], text[SAID_TEXT_MAX], help[SAID_TEXT_MAX];
    enum words_language language = words_language_of_environment();
    fprintf(stderr, "poised: %s: %s. %s\n", utf8_clean(clean, sizeof clean, word),
            said_text(&why, language, NULL, text, sizeof text),
            said_part(&why, "help", language, NULL, help, sizeof help));
    *exit_code = EX_USAGE;
    return false;
}

/* 0 to 65535; 0 lets the system choose. */
static bool port_of(const char *text, int *out)
{
    char *end;
    errno = 0;
    long n = strtol(text, &end, 10);
    if (errno || end == text || *end || n < 0 || n > 65535)
        return false;
    *out = (int)n;
    return true;
}

/* getopt's own messages are off (opterr): ours are in the person's language and name what fixes it. */
bool options_read(int argc, char **argv, struct options *out, int *exit_code)
{
    struct option longs[OPTIONS + 1];
    const char *from_env = getenv("POISE_SOCKET");
    *out = (struct options){.config = "/etc/poise/poised.ini",
                            .state = "/var/lib/poise",
                            .socket = from_env && *from_env ? from_env : "/run/poise/poised.sock",
                            .port_http = -1};
    memset(longs, 0, sizeof longs);
    for (size_t i = 0; i < OPTIONS; i++)
        longs[i] = (struct option){table[i].name, table[i].value ? required_argument : no_argument, NULL, (int)i + 256};
    opterr = 0;
    *exit_code = 0;
    for (int c; (c = getopt_long(argc, argv, ":", longs, NULL)) != -1;) {
        if (c == ':')
            return wrong(say("poised_value"), argv[optind - 1], exit_code);
        if (c < 256)
            return wrong(say("poised_option"), argv[optind - 1], exit_code);
        switch (c - 256) {
        case 0:
            out->config = optarg;
            break;
        case 1:
            out->state = optarg;
            break;
        case 2:
            out->socket = optarg;
            break;
        case 3:
            if (!port_of(optarg, &out->port_http))
                return wrong(say("poised_port_number"), optarg, exit_code);
            break;
        case 4:
            out->foreground = true;
            break;
        case 5:
            out->check = true;
            break;
        case 6:
            puts("poised " POISE_VERSION);
            return false;
        case 8:
            out->restore = optarg;
            break;
        case 9:
            out->verify = optarg;
            break;
        default:
            print_help();
            return false;
        }
    }
    if (optind < argc)
        return wrong(say("poised_word"), argv[optind], exit_code);
    return true;
}
