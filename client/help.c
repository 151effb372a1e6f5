#include "client/help.h"

#include "client/commands.h"
#include "client/families.h"
#include "client/fault.h"
#include "client/options.h"

#include <stdio.h>
#include <string.h>
#include <sysexits.h>

static const char *const groups[GROUP_COUNT] = {
    [GROUP_MIX] = "At a bench", [GROUP_RECORD] = "What was mixed", [GROUP_BOOKS] = "The shop's books",
    [GROUP_SCALE] = "Scales",   [GROUP_REST] = "The rest",
};

enum { COLUMNS = 79, NAME_ROOM = 64 };

/* Words to the end of the line and on below, from column `indent` on; `at` is the column that was reached. */
static void fill(const char *text, int indent, int at)
{
    bool first = true;
    while (*text) {
        int len = (int)strcspn(text, " ");
        if (!first && at + 1 + len > COLUMNS) {
            printf("\n%*s", indent, "");
            at = indent;
        } else if (!first) {
            putchar(' ');
            at++;
        }
        printf("%.*s", len, text);
        at += len;
        first = false;
        text += len;
        text += strspn(text, " ");
    }
    putchar('\n');
}

/* `  NAME   what it says`, all that is said in one column of its own. */
static void entry(const char *name, int widest, const char *help)
{
    printf("  %-*s  ", widest, name);
    fill(help, widest + 4, widest + 4);
}

static int wider(int widest, const char *name)
{
    int width = (int)strlen(name);
    return width > widest ? width : widest;
}

static void option_name(int id, char name[NAME_ROOM])
{
    const char *value = option_rows[id].value;
    snprintf(name, NAME_ROOM, "--%s%s%s", option_rows[id].name, value ? " " : "", value ? value : "");
}

static void option_lines(bool (*wanted)(const struct command *, enum option_id), const struct command *c)
{
    char name[NAME_ROOM];
    int widest = 0;
    for (int i = 0; i < OPTION_COUNT; i++) {
        option_name(i, name);
        widest = wanted(c, (enum option_id)i) ? wider(widest, name) : widest;
    }
    for (int i = 0; i < OPTION_COUNT; i++) {
        option_name(i, name);
        if (wanted(c, (enum option_id)i))
            entry(name, widest, option_help(c, (enum option_id)i));
    }
}

static void group_lines(int group)
{
    char name[NAME_ROOM];
    int widest = 0;
    for (int print = 0; print < 2; print++) {
        for (const struct command *c = commands; c->name; c++) {
            snprintf(name, sizeof name, "%s%s%s", c->name, *c->words ? " " : "", c->words);
            if ((int)c->group == group && print)
                entry(name, widest, c->help);
            else if ((int)c->group == group)
                widest = wider(widest, name);
        }
    }
}

void help_overview(void)
{
    puts("poise - weighs paint: leads a pour on a bench scale, keeps what was poured,\n"
         "prints the label.\n\n"
         "usage: poise COMMAND [WORDS] [OPTIONS]     poise COMMAND --help says more");
    for (int g = 0; g < GROUP_COUNT; g++) {
        printf("\n%s\n", groups[g]);
        group_lines(g);
    }
    puts("\nOptions of every command, before or after it");
    option_lines(option_is_everywhere, NULL);
    putchar('\n');
    fill("A first pour: poise plan TI-207 --coat ground --grams 250, then poise begin with the same words, put the cup "
         "on, poise accept; pour, poise accept; ... poise finish. Or all of it on one screen: poise bench.",
         0, 0);
    puts("Read the safety data sheets first. Poise is not for trade by weight.");
}

void help_command(const struct command *c)
{
    printf("usage: poise %s%s%s [OPTIONS]\n\n%s.\n", c->name, *c->words ? " " : "", c->words, c->help);
    if (c->more)
        fill(c->more, 0, 0);
    if (c->options) {
        puts("\nOptions");
        option_lines(command_takes, c);
    }
    if (command_takes(c, OPTION_PROFILE)) {
        char families[FAMILIES_ROOM];
        families_list(" ", families, sizeof families);
        puts("\nFamilies");
        fputs("  ", stdout);
        fill(families, 2, 2);
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
