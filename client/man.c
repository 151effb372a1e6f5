/* man.c - `poise man`: the manual page, from the tables of commands and options. */
#include "client/commands.h"
#include "client/failure.h"
#include "client/family_names.h"
#include "client/options.h"
#include "text/version.h"

#include <stdio.h>
#include <sysexits.h>

/* All exit codes of the contract, section 6; the words `exit.N` say what each means. */
static const struct {
    int code;
    const char *words;
} exits[] = {
    {0, "exit.0"},
    {FAILURE_NOTHING_FOUND, "exit.1"},
    {EX_USAGE, "exit.64"},
    {EX_DATAERR, "exit.65"},
    {EX_NOINPUT, "exit.66"},
    {EX_UNAVAILABLE, "exit.69"},
    {EX_SOFTWARE, "exit.70"},
    {EX_IOERR, "exit.74"},
    {EX_TEMPFAIL, "exit.75"},
    {EX_NOPERM, "exit.77"},
    {EX_CONFIG, "exit.78"},
};

/* Text for roff: a dash is a minus sign, a dot or quote first on a line would be a request. */
static void roff(const char *text)
{
    if (*text == '.' || *text == '\'')
        fputs("\\&", stdout);
    for (; *text; text++)
        if (*text == '-')
            fputs("\\-", stdout);
        else if (*text == '\\')
            fputs("\\e", stdout);
        else
            fputc(*text, stdout);
}

/* `c` NULL is an option that every command takes. */
static void roff_option(const struct command *c, int i, enum words_language language)
{
    printf(".TP\n\\fB\\-\\-");
    roff(option_rows[i].name);
    printf("\\fR");
    if (option_rows[i].value) {
        printf(" \\fI");
        roff(option_rows[i].value);
        printf("\\fR");
    }
    putchar('\n');
    roff(option_help(c, (enum option_id)i, language));
    putchar('\n');
}

static void section(const char *name)
{
    printf(".SH %s\n", name);
}

static void roff_line(const char *text)
{
    roff(text);
    putchar('\n');
}

static void roff_command(const struct command *c, enum words_language language)
{
    printf(".SS \"%s%s%s\"\n", c->name, *c->words ? " " : "", c->words);
    roff(command_help(c, language));
    puts(".");
    if (*command_more(c, language)) {
        puts(".PP");
        roff_line(command_more(c, language));
    }
    for (int i = 0; i < OPTION_COUNT; i++)
        if (command_takes(c, (enum option_id)i))
            roff_option(c, i, language);
    if (command_takes(c, OPTION_PROFILE)) {
        char families[FAMILIES_ROOM];
        families_list(" ", families, sizeof families);
        printf(".PP\n%s: ", words_of(language, "help.families"));
        roff_line(families);
    }
    puts(".PP\n.nf");
    roff_line(c->example);
    puts(".fi");
}

int command_man(struct poise_options *opt)
{
    enum words_language l = opt->style.language;
    puts(".TH POISE 1 \"\" \"poise " POISE_VERSION "\" \"Poise\"");
    section(words_of(l, "man.name"));
    printf("poise \\- ");
    roff_line(words_of(l, "man.weighs"));
    section(words_of(l, "man.synopsis"));
    puts(".B poise\n.I COMMAND\n[\\fIWORDS\\fR] [\\fIOPTIONS\\fR]");
    section(words_of(l, "man.description"));
    roff_line(words_of(l, "man.talks"));
    section(words_of(l, "man.commands"));
    for (const struct command *c = opt->commands; c->name; c++)
        roff_command(c, l);
    section(words_of(l, "man.options"));
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_is_everywhere(NULL, (enum option_id)i))
            roff_option(NULL, i, l);
    section(words_of(l, "man.exit"));
    for (size_t i = 0; i < sizeof exits / sizeof *exits; i++) {
        printf(".TP\n.B %d\n", exits[i].code);
        roff_line(words_of(l, exits[i].words));
    }
    section(words_of(l, "man.environment"));
    puts(".TP\n.B POISE_SOCKET");
    roff_line(words_of(l, "man.socket"));
    puts(".TP\n.B NO_COLOR");
    roff_line(words_of(l, "man.no_color"));
    puts(".TP\n.B LC_ALL LC_MESSAGES LANG");
    roff_line(words_of(l, "man.language"));
    section(words_of(l, "man.notes"));
    roff_line(words_of(l, "help.safety"));
    return 0;
}
