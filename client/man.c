/* man.c - `poise man`: the manual page, from the tables of commands and options. */
#include "client/commands.h"
#include "client/families.h"
#include "client/options.h"
#include "text/version.h"

#include <stdio.h>
#include <sysexits.h>

static const struct {
    int code;
    const char *meaning;
} exits[] = {
    {0, "done"},
    {EX_USAGE, "the command was not used as it should be"},
    {EX_DATAERR, "bad data, an unknown name, or not in this state"},
    {EX_NOINPUT, "no such file"},
    {EX_UNAVAILABLE, "poised is not reached"},
    {EX_SOFTWARE, "a mistake of ours"},
    {EX_IOERR, "reading or writing failed, or the disk is full"},
    {EX_TEMPFAIL, "not now, try again"},
    {EX_NOPERM, "not permitted"},
    {EX_CONFIG, "configuration"},
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

static void roff_option(const struct command *c, int i)
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
    roff(option_help(c, (enum option_id)i));
    putchar('\n');
}

static void roff_command(const struct command *c)
{
    printf(".SS \"%s%s%s\"\n", c->name, *c->words ? " " : "", c->words);
    roff(c->help);
    puts(".");
    if (c->more) {
        puts(".PP");
        roff(c->more);
        putchar('\n');
    }
    for (int i = 0; i < OPTION_COUNT; i++)
        if (command_takes(c, (enum option_id)i))
            roff_option(c, i);
    if (command_takes(c, OPTION_PROFILE)) {
        char families[FAMILIES_ROOM];
        families_list(" ", families, sizeof families);
        fputs(".PP\nFamilies: ", stdout);
        roff(families);
        putchar('\n');
    }
}

int command_man(struct poise_options *opt)
{
    (void)opt;
    puts(".TH POISE 1 \"\" \"poise " POISE_VERSION "\" \"Poise\"\n.SH NAME\npoise \\- weighs paint\n.SH SYNOPSIS\n"
         ".B poise\n.I COMMAND\n[\\fIWORDS\\fR] [\\fIOPTIONS\\fR]\n.SH DESCRIPTION\n"
         "Talks to the daemon\n.BR poised ,\nwhich reads the bench scales, leads each pour and keeps what was poured.\n"
         "Options may stand before or after the words.\n.SH COMMANDS");
    for (const struct command *c = commands; c->name; c++)
        roff_command(c);
    puts(".SH OPTIONS");
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_is_everywhere(NULL, (enum option_id)i))
            roff_option(NULL, i);
    puts(".SH EXIT STATUS");
    for (size_t i = 0; i < sizeof exits / sizeof *exits; i++)
        printf(".TP\n.B %d\n%s\n", exits[i].code, exits[i].meaning);
    puts(
        ".SH ENVIRONMENT\n.TP\n.B POISE_SOCKET\nthe daemon's socket, where \\-\\-socket is left out\n"
        ".TP\n.B NO_COLOR\nno colour\n.SH NOTES\nRead the safety data sheets first; local rules hold. Not for trade by "
        "weight.");
    return 0;
}
