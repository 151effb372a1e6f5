/* help.c - what the tables of commands and options say, as pages: help, bash completion, manual page. It must not
 * know any command by name, so a command that is added to the table is on all three. Help is filled to 79 columns
 * and cleaned for the terminal; completion is a function of bash that needs neither daemon nor program; the manual
 * page is roff with its dashes and dots escaped. All words come from the table of words, in the person's language. */
#include "client/commands.h"

#include "client/family_names.h"
#include "client/options.h"
#include "client/output.h"

#include "text/utf8.h"
#include "text/version.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

static const char *const groups[GROUP_COUNT] = {
    [GROUP_MIX] = "group.mix",     [GROUP_RECORD] = "group.record", [GROUP_BOOKS] = "group.books",
    [GROUP_SCALE] = "group.scale", [GROUP_REST] = "group.rest",
};

/* COLUMNS leaves the last column free: some terminals break a line that fills it. */
enum { COLUMNS = 79, NAME_ROOM = 64 };

/* Words to the end of the line and on below, from column `indent` on; `at` is the column that was reached. A word
 * that is longer than a line stands alone and is not cut: it may be a path to copy. */
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

/* `  NAME   what it says`, all that it says in one column of its own. A name that leaves too little room for words has
 * its own line. */
static void entry(const char *name, int widest, const char *help, bool utf8)
{
    char *clean = output_clean(name, utf8);
    int columns = (int)utf8_columns(clean ? clean : "");
    printf("  %s%*s  ", clean ? clean : "", widest > columns ? widest - columns : 0, "");
    fill(help, widest + 4, columns > widest ? columns + 4 : widest + 4, utf8);
    free(clean);
}

/* Columns of a terminal, not bytes: a German placeholder may hold an umlaut. */
static int wider(int widest, const char *name)
{
    int columns = (int)utf8_columns(name);
    return columns > widest ? columns : widest;
}

/* `--panel NAME[:COATS[:SHARE]]` with its placeholder in the person's language. NAME_ROOM is more than a line of 80
 * columns leaves for it. */
static void option_name(int id, enum words_language language, char name[NAME_ROOM])
{
    char value[PLACEHOLDERS] = "";
    if (option_rows[id].value)
        placeholders(option_rows[id].value, language, value, sizeof value);
    snprintf(name, NAME_ROOM, "--%s%s%.40s", option_rows[id].name, *value ? " " : "", value);
}

/* The same of a command and its words. What is a choice (`grow|dip`) has no word in any language: it is typed so. */
static void command_name(const struct command *c, enum words_language language, char name[NAME_ROOM])
{
    char words[PLACEHOLDERS];
    placeholders(c->words, language, words, sizeof words);
    snprintf(name, NAME_ROOM, "%s%s%.44s", c->name, *words ? " " : "", words);
}

/* Two passes as for commands. `wanted` says which options: those of the command, or those of all. */
static void option_lines(bool (*wanted)(const struct command *, enum option_id), const struct command *c,
                         struct output_style style)
{
    char name[NAME_ROOM];
    int widest = 0;
    for (int i = 0; i < OPTION_COUNT; i++) {
        option_name(i, style.language, name);
        widest = wanted(c, (enum option_id)i) ? wider(widest, name) : widest;
    }
    for (int i = 0; i < OPTION_COUNT; i++) {
        option_name(i, style.language, name);
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
            command_name(c, style.language, name);
            if ((int)c->group == group && print)
                entry(name, widest, command_help(c, style.language), style.utf8);
            else if ((int)c->group == group)
                widest = wider(widest, name);
        }
    }
}

/* A paragraph from the left edge, as wide as COLUMNS allows. */
static void fill_words(const char *code, struct output_style style)
{
    fill(words_of(style.language, code), 0, 0, style.utf8);
}

/* An empty line and the name of a part of the page. */
static void title(const char *code, struct output_style style)
{
    putchar('\n');
    fill_words(code, style);
}

/* What a person reads who has just installed it: what it is, how it is called, all commands, a first pour, and what
 * to read before the first tin is opened. */
void help_overview(const struct command *all, struct output_style style)
{
    fill_words("help.what", style);
    title("help.usage", style);
    fill_words("help.usage_more", style);
    for (int g = 0; g < GROUP_COUNT; g++) {
        title(groups[g], style);
        group_lines(all, g, style);
    }
    title("help.everywhere_first", style);
    option_lines(option_is_everywhere, NULL, style);
    title("help.first_pour", style);
    fill_words("help.safety", style);
}

/* Order of the page: how it is called, what it does, its options, families of scales where one can be named, the
 * options of every command, an example to copy. */
void help_command(const struct command *c, struct output_style style)
{
    char line[1024];
    char name[NAME_ROOM];
    command_name(c, style.language, name);
    output_say(style, stdout, "help.usage_of command=%s", name);
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
    fputs("  ", stdout);
    output_text(command_example(c, style.language), style, stdout);
    putchar('\n');
}

/* `poise help NAME` is `poise NAME --help` for those who look for help by that word. */
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

/* ---- poise completion ---- */

/* The words of a choice such as `grow|dip`, with spaces between them. */
static void choices(const char *words)
{
    bool choice = strchr(words, '|') && !strchr(words, '[');
    for (; choice && *words; words++)
        putchar(*words == '|' ? ' ' : *words);
}

/* The function works from words alone and starts no program at the Tab key, so it also completes while no daemon
 * runs. It takes the first word that is no option (nor the value of one) for the command. */
int command_completion(struct poise_options *opt)
{
    puts("# bash completion of poise: eval \"$(poise completion)\", or keep it as /etc/bash_completion.d/poise\n"
         "_poise() {\n"
         "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command='' each options='' "
         "words='' skip=''\n"
         "    for each in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n"
         "        [[ $skip ]] && { skip=''; continue; }\n"
         "        case $each in --socket|--station|--language) skip=1 ;; -*) ;; *) command=$each; break ;; esac\n"
         "    done\n"
         "    case $before in\n"
         "    --out|--socket) mapfile -t COMPREPLY < <(compgen -f -- \"$word\"); return ;;\n"
         "    --as) mapfile -t COMPREPLY < <(compgen -W 'poured corrected' -- \"$word\"); return ;;\n"
         "    --language) mapfile -t COMPREPLY < <(compgen -W 'en de' -- \"$word\"); return ;;\n"
         "    esac");
    char families[FAMILIES_ROOM];
    families_list(" ", families, sizeof families);
    printf("    [[ $before == --profile ]] && {\n"
           "        mapfile -t COMPREPLY < <(compgen -W 'auto %s' -- \"$word\"; compgen -f -- \"$word\")\n"
           "        return\n    }\n    case $command in\n",
           families);
    /* One case a command: its options, and its words where they are a choice. */
    for (const struct command *c = opt->commands; c->name; c++) {
        printf("    %s) options='", c->name);
        for (int i = 0; i < OPTION_COUNT; i++)
            if (command_takes(c, (enum option_id)i))
                printf("--%s ", option_rows[i].name);
        printf("' words='");
        choices(c->words);
        puts("' ;;");
    }
    printf("    '') words='");
    for (const struct command *c = opt->commands; c->name; c++)
        printf("%s ", c->name);
    puts("' ;;\n    esac");
    printf("    options+=' ");
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_is_everywhere(NULL, (enum option_id)i))
            printf("--%s ", option_rows[i].name);
    puts("'\n    case $word in -*) words=$options ;; esac\n"
         "    mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\")\n"
         "    [[ $word == -* ]] && return\n"
         "    case $command in\n"
         "    import|decode) mapfile -t COMPREPLY < <(compgen -f -- \"$word\") ;;\n"
         "    seek|record) mapfile -t COMPREPLY < <(compgen -f -- \"${word:-/dev/serial/by-id/}\") ;;\n"
         "    esac\n"
         "}\ncomplete -o bashdefault -F _poise poise");
    return 0;
}

/* ---- poise man ---- */

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
        char value[PLACEHOLDERS];
        placeholders(option_rows[i].value, language, value, sizeof value);
        printf(" \\fI");
        roff(value);
        printf("\\fR");
    }
    putchar('\n');
    roff(option_help(c, (enum option_id)i, language));
    putchar('\n');
}

/* Titles of sections are words too: `man` shows them as they stand. */
static void section(const char *name)
{
    printf(".SH %s\n", name);
}

/* Each line on its own, so that roff fills it into the paragraph. */
static void roff_line(const char *text)
{
    roff(text);
    putchar('\n');
}

/* `.nf` around the example: it is to be copied, so no line of it may be filled or hyphenated. */
static void roff_command(const struct command *c, enum words_language language)
{
    char name[NAME_ROOM];
    command_name(c, language, name);
    printf(".SS \"%s\"\n", name);
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
    roff_line(command_example(c, language));
    puts(".fi");
}

/* No date in .TH: the page is made anew by each build, and a date would make two builds of one version differ. */
int command_man(struct poise_options *opt)
{
    enum words_language l = opt->style.language;
    puts(".TH POISE 1 \"\" \"poise " POISE_VERSION "\" \"Poise\"");
    section(words_of(l, "man.name"));
    printf("poise \\- ");
    roff_line(words_of(l, "man.weighs"));
    section(words_of(l, "man.synopsis"));
    puts(".B poise");
    roff_line(words_of(l, "man.synopsis_words"));
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
