#include "client/help.h"

#include "client/commands.h"
#include "client/fault.h"
#include "client/options.h"
#include "client/table.h"

#include <stdio.h>
#include <string.h>
#include <sysexits.h>

static const char *const groups[GROUP_COUNT] = {
    [GROUP_MIX] = "At a bench", [GROUP_RECORD] = "What was mixed", [GROUP_BOOKS] = "The shop's books",
    [GROUP_SCALE] = "Scales",   [GROUP_REST] = "The rest",
};

static void option_lines(bool (*wanted)(const struct command *, enum option_id), const struct command *c)
{
    struct table t;
    table_init(&t, "ll", true);
    for (int i = 0; i < OPTION_COUNT; i++) {
        char name[64];
        if (!wanted(c, (enum option_id)i))
            continue;
        snprintf(name, sizeof name, "--%s%s%s", option_rows[i].name, option_rows[i].value ? " " : "",
                 option_rows[i].value ? option_rows[i].value : "");
        table_row(&t, (const char *const[]){name, option_rows[i].help});
    }
    table_print(&t, "  ", stdout);
    table_finish(&t);
}

void help_overview(void)
{
    puts("poise - weighs paint: leads a pour on a bench scale, keeps what was really poured, prints the label.\n\n"
         "usage: poise COMMAND [WORDS] [OPTIONS]     poise COMMAND --help says more");
    for (int g = 0; g < GROUP_COUNT; g++) {
        struct table t;
        table_init(&t, "ll", true);
        for (const struct command *c = commands; c->name; c++) {
            char name[64];
            snprintf(name, sizeof name, "%s %s", c->name, c->words);
            if ((int)c->group == g)
                table_row(&t, (const char *const[]){name, c->help});
        }
        printf("\n%s\n", groups[g]);
        table_print(&t, "  ", stdout);
        table_finish(&t);
    }
    puts("\nOptions of every command, before or after it");
    option_lines(option_is_everywhere, NULL);
    puts("\nA first pour: poise plan TI-207 --coat ground --grams 250, then poise begin with the same words, put the "
         "cup\n"
         "on, poise accept; pour, poise accept; ... poise finish. Or all of it on one screen: poise bench.\n"
         "Read the safety data sheets first. Poise is not for trade by weight.");
}

void help_command(const struct command *c)
{
    printf("usage: poise %s%s%s [OPTIONS]\n\n%s.\n", c->name, *c->words ? " " : "", c->words, c->help);
    if (c->more)
        printf("%s\n", c->more);
    if (c->options) {
        puts("\nOptions");
        option_lines(command_takes, c);
    }
    puts("\nOptions of every command");
    option_lines(option_is_everywhere, NULL);
}

int command_help(struct poise_options *opt)
{
    const struct command *c = opt->word_count ? command_named(opt->word[0]) : NULL;
    if (opt->word_count && !c)
        return fault_say(EX_USAGE, opt->word[0], "See poise --help.", "no such command");
    if (c)
        help_command(c);
    else
        help_overview();
    return 0;
}
