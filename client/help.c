/* help.c - pages of help, from the tables of commands and options. It must not know any command by name. */
#include "client/help.h"

#include "client/commands.h"
#include "client/failure.h"
#include "client/family_names.h"
#include "client/options.h"

#include "text/utf8.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const groups[GROUP_COUNT] = {
    [GROUP_MIX] = "group.mix",     [GROUP_RECORD] = "group.record", [GROUP_BOOKS] = "group.books",
    [GROUP_SCALE] = "group.scale", [GROUP_REST] = "group.rest",
};

/* COLUMNS leaves the last column free: some terminals break a line that fills it. */
enum { COLUMNS = 79, NAME_ROOM = 64 };

/* Words to the end of the line and on below, from column `indent` on; `at` is the column that was reached. */
static void fill(const char *words, int indent, int at, bool utf8)
{
    bool first = true;
    char *clean = output_clean(words, utf8);
    for (const char *text = clean; text && *text; text += strspn(text, " ")) {
        size_t len = strcspn(text, " ");
        char word[512];
        snprintf(word, sizeof word, "%.*s", (int)len, text);
        int columns = (int)utf8_columns(word);
        if (!first && at + 1 + columns > COLUMNS) {
            printf("\n%*s", indent, "");
            at = indent;
        } else if (!first) {
            putchar(' ');
            at++;
        }
        fputs(word, stdout);
        at += columns;
        first = false;
        text += len;
    }
    free(clean);
    putchar('\n');
}

/* `  NAME   what it says`, all that is said in one column of its own. A name that leaves too little room for words has
 * its own line. */
static void entry(const char *name, int widest, const char *help, bool utf8)
{
    printf("  %-*s  ", widest, name);
    fill(help, widest + 4, widest + 4, utf8);
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

static void option_lines(bool (*wanted)(const struct command *, enum option_id), const struct command *c,
                         struct output_style style)
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
            entry(name, widest, option_help(c, (enum option_id)i, style.language), style.utf8);
    }
}

/* Two passes: the widest name of the group decides where all its words begin. */
static void group_lines(const struct command *all, int group, struct output_style style)
{
    char name[NAME_ROOM];
    int widest = 0;
    for (int print = 0; print < 2; print++) {
        for (const struct command *c = all; c->name; c++) {
            snprintf(name, sizeof name, "%s%s%s", c->name, *c->words ? " " : "", c->words);
            if ((int)c->group == group && print)
                entry(name, widest, command_help(c, style.language), style.utf8);
            else if ((int)c->group == group)
                widest = wider(widest, name);
        }
    }
}

static void fill_words(const char *code, struct output_style style)
{
    fill(words_of(style.language, code), 0, 0, style.utf8);
}

static void title(const char *code, struct output_style style)
{
    putchar('\n');
    fill_words(code, style);
}

void help_overview(const struct command *all, struct output_style style)
{
    fill_words("help.what", style);
    title("help.usage", style);
    for (int g = 0; g < GROUP_COUNT; g++) {
        title(groups[g], style);
        group_lines(all, g, style);
    }
    title("help.everywhere_first", style);
    option_lines(option_is_everywhere, NULL, style);
    title("help.first_pour", style);
    fill_words("help.safety", style);
}

void help_command(const struct command *c, struct output_style style)
{
    char line[1024];
    if (*c->words)
        output_say(style, stdout, "help.usage_of command=%s words=%s", c->name, c->words);
    else
        output_say(style, stdout, "help.usage_bare command=%s", c->name);
    snprintf(line, sizeof line, "%s.", command_help(c, style.language));
    fputs("\n\n", stdout);
    fill(line, 0, 0, style.utf8);
    if (*command_more(c, style.language))
        fill(command_more(c, style.language), 0, 0, style.utf8);
    if (c->options) {
        title("help.options", style);
        option_lines(command_takes, c, style);
    }
    if (command_takes(c, OPTION_PROFILE)) {
        char families[FAMILIES_ROOM];
        families_list(" ", families, sizeof families);
        title("help.families", style);
        fputs("  ", stdout);
        fill(families, 2, 2, style.utf8);
    }
    title("help.everywhere", style);
    option_lines(option_is_everywhere, NULL, style);
    title("help.example", style);
    printf("  %s\n", c->example);
}

int command_help_run(struct poise_options *opt)
{
    const struct command *c = opt->word_count ? command_named(opt, opt->word[0]) : NULL;
    if (opt->word_count && !c)
        return command_unknown(opt, opt->word[0]);
    if (c)
        help_command(c, opt->style);
    else
        help_overview(opt->commands, opt->style);
    return 0;
}
