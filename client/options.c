/* options.c - sorts what was typed, by the tables of options and commands. It must not know what a command does.
 * Options may stand before and behind the words; `--` ends them; of two alike the last counts. Whatever is wrong is
 * one line on stderr and 64, in the language that was asked for on the same line, and nothing has been done until
 * then. */
#include "client/options.h"

#include "client/output.h"

#include "text/near.h"
#include "text/utf8.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* In the order of enum option_id; the first of them, up to --station, are taken by every command. The word of a
 * value is its placeholder in help, and a choice is checked by it. */
const struct option_row option_rows[OPTION_COUNT] = {
    [OPTION_HELP] = {"help", NULL, false},
    [OPTION_VERSION] = {"version", NULL, false},
    [OPTION_JSON] = {"json", NULL, false},
    [OPTION_SOCKET] = {"socket", "PATH", false},
    [OPTION_NO_COLOR] = {"no-color", NULL, false},
    [OPTION_LANGUAGE] = {"language", "en|de", false},
    [OPTION_STATION] = {"station", "NAME", false},
    [OPTION_VARIANT] = {"variant", "V", false},
    [OPTION_COAT] = {"coat", "C", false},
    [OPTION_GRAMS] = {"grams", "G", false},
    [OPTION_ML] = {"ml", "M", false},
    [OPTION_PANEL] = {"panel", "NAME[:COATS[:SHARE]][:edges]", true},
    [OPTION_PRODUCT] = {"product", "P", false},
    [OPTION_PARTS] = {"parts", "A,B,C", false},
    [OPTION_REDUCE] = {"reduce", "PCT", false},
    [OPTION_REDUCER] = {"reducer", "T", false},
    [OPTION_CUP] = {"cup", "ML", false},
    [OPTION_HAVE] = {"have", "BATCH:GRAMS", true},
    [OPTION_ORDER] = {"order", "O", false},
    [OPTION_PAINTER] = {"painter", "P", false},
    [OPTION_AS] = {"as", "poured|corrected", false},
    [OPTION_SHORT] = {"short", NULL, false},
    [OPTION_LESS] = {"less", NULL, false},
    [OPTION_TARED] = {"tared", NULL, false},
    [OPTION_SURE] = {"sure", NULL, false},
    [OPTION_LOT] = {"lot", "L", false},
    [OPTION_GLANCE] = {"glance", "NAME", false},
    [OPTION_REALLY] = {"really", "TONER", false},
    [OPTION_UNCOUNTED] = {"uncounted", "G", false},
    [OPTION_LOST] = {"lost", "G", false},
    [OPTION_FOLLOW] = {"follow", NULL, false},
    [OPTION_PAGE] = {"page", NULL, false},
    [OPTION_FORMULA] = {"formula", "CODE", false},
    [OPTION_PLACE] = {"place", "PLACE", false},
    [OPTION_FROM] = {"from", "DATE", false},
    [OPTION_TO] = {"to", "DATE", false},
    [OPTION_CSV] = {"csv", NULL, false},
    [OPTION_LIMIT] = {"limit", "N", false},
    [OPTION_OUT] = {"out", "FILE", false},
    [OPTION_COPIES] = {"copies", "N", false},
    [OPTION_SIZE] = {"size", "WxH", false},
    [OPTION_LID] = {"lid", NULL, false},
    [OPTION_PROFILE] = {"profile", "NAME", false},
    [OPTION_TOLERANCE] = {"tolerance", "G", false},
    [OPTION_DRIFT] = {"drift", NULL, false},
    [OPTION_SECONDS] = {"seconds", "S", false},
    [OPTION_ASK] = {"ask", NULL, false},
    [OPTION_SPEED] = {"speed", "SPEED", false},
    [OPTION_FRAME] = {"frame", "8N1", false},
    [OPTION_POLL] = {"poll", "TEXT", false},
    [OPTION_WHAT] = {"what", "TEXT", false},
    [OPTION_STATE] = {"state", "DIR", false},
    [OPTION_GROSS] = {"gross", "G", false},
    [OPTION_TARE] = {"tare", "G", false},
    [OPTION_USE_BY] = {"use-by", "DATE", false},
    [OPTION_DUE] = {"due", NULL, false},
    [OPTION_REORDER] = {"reorder", NULL, false},
    [OPTION_COST] = {"cost", "COST", false},
    [OPTION_VEHICLE] = {"vehicle", "TEXT", false},
    [OPTION_BY] = {"by", "DATE", false},
    [OPTION_CLOSE] = {"close", NULL, false},
    [OPTION_ALL] = {"all", NULL, false},
    [OPTION_COATS] = {"coats", "N", false},
    [OPTION_MIDS] = {"mids", "N", false},
    [OPTION_LIGHT] = {"light", "A,B", false},
    [OPTION_VERDICT] = {"verdict", "match|near|no", false},
    [OPTION_COAT_N] = {"coat-n", "N", false},
    [OPTION_HARDENER] = {"hardener", "T", false},
    [OPTION_TEMPERATURE] = {"temperature", "CELSIUS", false},
    [OPTION_FILM] = {"film", "UM", false},
    [OPTION_TRANSFER] = {"transfer", "PCT", false},
    [OPTION_LOSS] = {"loss", "ML", false},
    [OPTION_CONTROL_COAT] = {"control-coat", NULL, false},
    [OPTION_EDGES] = {"edges", NULL, false},
    [OPTION_OUTSIDES] = {"outsides", NULL, false},
    [OPTION_POUR_ORDER] = {"pour-order", "formula|bed", false},
    [OPTION_GLANCES] = {"glances", "N", false},
    [OPTION_RETIRED] = {"retired", NULL, false},
    [OPTION_TRAINED] = {"trained", "DATE", false},
    [OPTION_DEFAULT] = {"default", NULL, false},
    [OPTION_PREMIX] = {"premix", "ID", false},
    [OPTION_PREMIX_FIRST] = {"premix-first", NULL, false},
    [OPTION_KEEP] = {"keep", "ID", false},
};

_Static_assert(OPTION_COUNT <= 128, "options are bits of one word of 128");

/* Options are bits of one word, so that the table of commands stays one line a command. */
bool command_takes(const struct command *c, enum option_id id)
{
    return (c->options & OPTION_BIT(id)) != 0;
}

/* The command is no matter here: the argument makes the two functions alike, so that help can be given either. */
bool option_is_everywhere(const struct command *c, enum option_id id)
{
    (void)c;
    return id <= OPTION_STATION;
}

/* The words of `FIRST.SECOND.THIRD`, the last two left out where NULL; NULL: there are none. */
static const char *words_at(enum words_language language, const char *first, const char *second, const char *third)
{
    char code[96];
    snprintf(code, sizeof code, "%s.%s%s%s", first, second, third ? "." : "", third ? third : "");
    return words_or(language, code, NULL);
}

/* A command without words shows its own name, and test_help fails. */
const char *command_help(const struct command *c, enum words_language language)
{
    const char *words = words_at(language, "command", c->name, NULL);
    return words ? words : c->name;
}

/* Most commands need no more than their line. */
const char *command_more(const struct command *c, enum words_language language)
{
    const char *words = words_at(language, "command", c->name, "more");
    return words ? words : "";
}

/* A note or a reason is written in the shop's language, so its example is too. */
const char *command_example(const struct command *c, enum words_language language)
{
    const char *words = words_at(language, "command", c->name, "example");
    return words ? words : c->example;
}

/* The command's own meaning first: --tolerance of a check is not that of a batch. */
const char *option_help(const struct command *c, enum option_id id, enum words_language language)
{
    const char *name = option_rows[id].name, *words = c ? words_at(language, "option", c->name, name) : NULL;
    if (!words)
        words = words_at(language, "option", name, NULL);
    return words ? words : name;
}

/* Token by token, a token being letters and digits: `NAME[:COATS]` keeps its brackets and `8N1`, having no word,
 * stays as it is. */
void placeholders(const char *shape, enum words_language language, char *out, size_t size)
{
    size_t len = 0;
    out[0] = '\0';
    for (const char *at = shape; *at && len < size;) {
        char token[32];
        size_t n = 0;
        while (isalnum((unsigned char)at[n]))
            n++;
        snprintf(token, sizeof token, "%.*s", (int)n, at);
        const char *word = n > 0 ? words_at(language, "value", token, NULL) : NULL;
        n += n == 0;
        len += word ? (size_t)snprintf(out + len, size - len, "%s", word)
                    : (size_t)snprintf(out + len, size - len, "%.*s", (int)n, at);
        at += n;
    }
}

/* Exactly, in lower case: what is typed here is what stands in scripts and in the shell's history. */
const struct command *command_named(const struct poise_options *opt, const char *name)
{
    for (const struct command *c = opt->commands; c->name; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

/* Among all commands, whatever their group: a painter does not know in which group a word stands. */
int command_unknown(const struct poise_options *opt, const char *name)
{
    struct near near = near_to(name);
    for (const struct command *c = opt->commands; c->name; c++)
        near_take(&near, c->name);
    return near.best[0] ? failure_say(opt->style, EX_USAGE, name, "no_command_near guess=%s", near.best)
                        : failure_say(opt->style, EX_USAGE, name, "no_command");
}

/* Before a command is known every option may be meant; after it only those that it takes. What follows `=` is no
 * part of the name. An option of another command is never the guess once the command is known: it would be refused
 * next. */
static int option_unknown(const struct poise_options *opt, const char *arg)
{
    char name[NEAR_NAME];
    utf8_copy(name, sizeof name, arg + strspn(arg, "-"));
    name[strcspn(name, "=")] = '\0';
    struct near near = near_to(name);
    for (int i = 0; i < OPTION_COUNT; i++)
        if (!opt->command || option_is_everywhere(NULL, (enum option_id)i) ||
            command_takes(opt->command, (enum option_id)i))
            near_take(&near, option_rows[i].name);
    return near.best[0] ? failure_say(opt->style, EX_USAGE, arg, "no_option_near guess=%s", near.best)
                        : failure_say(opt->style, EX_USAGE, arg, "no_option");
}

/* Words are counted by their blanks: "BATCH [FIELD]" asks for one and takes two. */
size_t command_words(const char *words, size_t *most)
{
    size_t least = 0, all = 0, len = strlen(words);
    for (const char *at = words; *at;) {
        size_t word = strcspn(at, " ");
        all++;
        least += *at != '[';
        at += word;
        at += strspn(at, " ");
    }
    bool more = len >= 3 && strstr(words, "...") != NULL;
    *most = more ? SIZE_MAX : all;
    return least;
}

/* Names are whole: a beginning is not taken, since a later option might make it mean something else. */
static enum option_id find_option(const char *name, size_t len)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (strlen(option_rows[i].name) == len && strncmp(option_rows[i].name, name, len) == 0)
            return (enum option_id)i;
    return OPTION_COUNT;
}

/* Is it one of `a|b|c`? */
static bool is_choice(const char *choices, const char *value)
{
    size_t n = strlen(value);
    for (const char *at = choices; *at; at += strcspn(at, "|"), at += *at == '|')
        if (strcspn(at, "|") == n && strncmp(at, value, n) == 0)
            return true;
    return false;
}

/* The last of two counts, as everywhere on a command line; one that may repeat is kept in `many` as well. A value
 * that is a choice is checked here, once for all commands. A language that nobody wrote is 78, wherever it is asked
 * for: here, for poise-sim, or in the configuration. */
static int keep_option(struct poise_options *opt, enum option_id id, const char *value)
{
    const struct option_row *row = &option_rows[id];
    char what[48];
    snprintf(what, sizeof what, "--%s", row->name);
    opt->text[id] = value;
    if (row->value && strchr(row->value, '|') && !is_choice(row->value, value))
        return failure_say(opt->style, id == OPTION_LANGUAGE ? EX_CONFIG : EX_USAGE, what,
                           "no_choice value=%s choices=%s", value, row->value);
    if (!row->many)
        return 0;
    if (opt->many_count == POISE_MANY)
        return failure_say(opt->style, EX_USAGE, what, "option_too_often most=%d", POISE_MANY);
    opt->many[opt->many_count].id = id;
    opt->many[opt->many_count++].text = value;
    return 0;
}

/* One argument that begins with `--`; *at moves on when its value is the next one. A value may begin with a dash
 * (`--uncounted -3`), so the next argument is taken whatever it is. */
static int take_option(struct poise_options *opt, int argc, char **argv, int *at)
{
    const char *arg = argv[*at];
    size_t len = strcspn(arg, "=");
    enum option_id id = find_option(arg + 2, len - 2);
    if (id == OPTION_COUNT)
        return option_unknown(opt, arg);
    if (!option_rows[id].value) {
        if (arg[len] == '=')
            return failure_say(opt->style, EX_USAGE, arg, "option_no_value");
        return keep_option(opt, id, "");
    }
    if (arg[len] == '=')
        return keep_option(opt, id, arg + len + 1);
    if (*at + 1 >= argc || !utf8_valid(argv[*at + 1])) {
        char value[PLACEHOLDERS];
        placeholders(option_rows[id].value, opt->style.language, value, sizeof value);
        return failure_say(opt->style, EX_USAGE, arg, "option_value_missing value=%s", value);
    }
    return keep_option(opt, id, argv[++*at]);
}

/* The first word names the command, wherever it stands among the options. */
static int take_word(struct poise_options *opt, const char *word)
{
    if (!opt->command) {
        opt->command = command_named(opt, word);
        return opt->command ? 0 : command_unknown(opt, word);
    }
    if (opt->word_count == POISE_WORDS)
        return failure_say(opt->style, EX_USAGE, opt->command->name, "words_too_many most=%d", POISE_WORDS);
    opt->word[opt->word_count++] = word;
    return 0;
}

/* `-` is stdin and `-5` a number, so both are words. A note may say `-5 degrees`: digits behind a dash make no
 * option. */
static bool looks_like_option(const char *arg)
{
    return arg[0] == '-' && arg[1] != '\0' && (arg[1] < '0' || arg[1] > '9');
}

/* The count of its words, and the word where it is a choice. A command that is asked for its help need not be
 * complete. */
static int check_words(const struct poise_options *opt, const struct command *c)
{
    size_t most, least = command_words(c->words, &most);
    char words[PLACEHOLDERS];
    placeholders(c->words, opt->style.language, words, sizeof words);
    if (opt->word_count < least)
        return failure_say(opt->style, EX_USAGE, c->name, "word_missing words=%s command=%s", words, c->name);
    if (opt->word_count > most)
        return failure_say(opt->style, EX_USAGE, c->name, "word_too_many word=%s command=%s", opt->word[most], c->name);
    if (strchr(c->words, '|') && !strchr(c->words, ' ') && !is_choice(c->words, opt->word[0]))
        return failure_say(opt->style, EX_USAGE, c->name, "no_choice value=%s choices=%s", opt->word[0], c->words);
    return 0;
}

/* Two that say opposite things, or two forms of one answer. Amounts have their own line: params_amount. */
static int check_pairs(const struct poise_options *opt)
{
    static const enum option_id pairs[][2] = {{OPTION_SHORT, OPTION_LESS},      {OPTION_JSON, OPTION_CSV},
                                              {OPTION_JSON, OPTION_PAGE},       {OPTION_FOLLOW, OPTION_PAGE},
                                              {OPTION_DRIFT, OPTION_TOLERANCE}, {OPTION_EDGES, OPTION_OUTSIDES}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        if (opt->text[pairs[i][0]] && opt->text[pairs[i][1]])
            return failure_say(opt->style, EX_USAGE, opt->command->name, "options_both first=%s second=%s",
                               option_rows[pairs[i][0]].name, option_rows[pairs[i][1]].name);
    return 0;
}

/* What the command takes: its options and the count of its words. */
static int check_command(const struct poise_options *opt)
{
    const struct command *c = opt->command;
    if (!c)
        return 0;
    for (int i = 0; i < OPTION_COUNT; i++)
        if (opt->text[i] && !option_is_everywhere(c, (enum option_id)i) && !command_takes(c, (enum option_id)i)) {
            char what[48];
            snprintf(what, sizeof what, "--%s", option_rows[i].name);
            return failure_say(opt->style, EX_USAGE, what, "option_not_taken command=%s", c->name);
        }
    if (opt->help || opt->version)
        return 0;
    int code = check_pairs(opt);
    return code ? code : check_words(opt, c);
}

/* Does the terminal take UTF-8? Read as text of the first of these that is not empty. Text and no setlocale: a
 * shop's machine may have no locale generated at all. */
static bool environment_is_utf8(void)
{
    static const char *const names[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *value = getenv(names[i]);
        if (value && *value)
            return strcasestr(value, "utf-8") || strcasestr(value, "utf8");
    }
    return false;
}

/* The language comes first: what is wrong with the rest is shown in it. */
static void settle_style(struct poise_options *opt, int argc, char **argv)
{
    opt->style = (struct output_style){.utf8 = environment_is_utf8(), .language = words_language_of_environment()};
    opt->style.number = (struct number_style){.point = '.', .minus = opt->style.utf8};
    for (int at = 1; at < argc; at++) {
        if (strncmp(argv[at], "--language=", 11) == 0)
            words_language_of(argv[at] + 11, &opt->style.language);
        else if (strcmp(argv[at], "--language") == 0 && at + 1 < argc)
            words_language_of(argv[at + 1], &opt->style.language);
    }
}

/* Options outrank the environment. NO_COLOR counts where it is set to anything but nothing. What is not typed comes
 * from the environment, and the rest is as the contract says: /run/poise/poised.sock, colours on a terminal. */
static void settle(struct poise_options *opt)
{
    const char *socket = getenv("POISE_SOCKET"), *no_color = getenv("NO_COLOR");
    opt->socket = opt->text[OPTION_SOCKET];
    if (!opt->socket)
        opt->socket = socket && *socket ? socket : "/run/poise/poised.sock";
    opt->station = opt->text[OPTION_STATION];
    opt->json = opt->text[OPTION_JSON] != NULL;
    opt->help = opt->text[OPTION_HELP] != NULL;
    opt->version = opt->text[OPTION_VERSION] != NULL;
    opt->color = !opt->text[OPTION_NO_COLOR] && !(no_color && *no_color) && isatty(STDOUT_FILENO);
}

/* The first fault ends it: a second one would often be a mere consequence. The language is settled before anything
 * else, so that even this fault is told in it. */
int options_parse(struct poise_options *opt, const struct command *commands, int argc, char **argv)
{
    int code = 0;
    bool words_only = false;
    *opt = (struct poise_options){.commands = commands};
    settle_style(opt, argc, argv);
    for (int at = 1; at < argc && code == 0; at++) {
        const char *arg = argv[at];
        if (!utf8_valid(arg)) /* all that is typed may end in JSON, so it is checked once, here */
            code = failure_say(opt->style, EX_USAGE, arg, "word_not_utf8 place=%d", at);
        else if (words_only || !looks_like_option(arg))
            code = take_word(opt, arg);
        else if (strcmp(arg, "--") == 0)
            words_only = true;
        else if (strcmp(arg, "-h") == 0)
            opt->text[OPTION_HELP] = "";
        else if (arg[1] != '-')
            code = option_unknown(opt, arg);
        else
            code = take_option(opt, argc, argv, &at);
    }
    settle(opt);
    return code ? code : check_command(opt);
}

/* `note the van is darker` needs no quotes: the words are put together again, and what the shell took for one word
 * stays one. */
char *options_sentence(const struct poise_options *opt, size_t first)
{
    size_t size = 0;
    for (size_t i = first; i < opt->word_count; i++)
        size += strlen(opt->word[i]) + 1;
    char *text = size ? malloc(size) : NULL;
    char *end = text;
    for (size_t i = first; text && i < opt->word_count; i++) {
        size_t len = strlen(opt->word[i]);
        memcpy(end, opt->word[i], len);
        end += len;
        *end++ = i + 1 < opt->word_count ? ' ' : '\0';
    }
    return text;
}
