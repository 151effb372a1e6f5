#include "client/options.h"

#include "client/fault.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

const struct option_row option_rows[OPTION_COUNT] = {
    [OPTION_HELP] = {"help", NULL, false, "explain, and end"},
    [OPTION_VERSION] = {"version", NULL, false, "print the version, and end"},
    [OPTION_JSON] = {"json", NULL, false, "one JSON object a line on stdout"},
    [OPTION_SOCKET] = {"socket", "PATH", false, "the daemon's socket; else $POISE_SOCKET, else /run/poise/poised.sock"},
    [OPTION_NO_COLOR] = {"no-color", NULL, false, "no colour; NO_COLOR in the environment does the same"},
    [OPTION_STATION] = {"station", "NAME", false, "the bench meant; may be left out where there is only one"},
    [OPTION_VARIANT] = {"variant", "V", false, "the formula's variant; standard where left out"},
    [OPTION_COAT] = {"coat", "C", false, "the coat; may be left out where the formula has one"},
    [OPTION_GRAMS] = {"grams", "G", false, "grams of colour, before reduction"},
    [OPTION_ML] = {"ml", "M", false, "millilitres, ready to spray"},
    [OPTION_PANEL] = {"panel", "NAME[:COATS]", true, "a panel to be sprayed, with its coats; may be repeated"},
    [OPTION_PRODUCT] = {"product", "P", false, "the product whose ratio holds in place of the reduction"},
    [OPTION_PARTS] = {"parts", "A,B,C", false, "what really stands for the product's parts, such as a slow hardener"},
    [OPTION_REDUCE] = {"reduce", "PCT", false, "reduction in per cent; 0 for none"},
    [OPTION_REDUCER] = {"reducer", "T", false, "the toner to reduce with"},
    [OPTION_CUP] = {"cup", "ML", false, "what the cup holds, in millilitres"},
    [OPTION_HAVE] = {"have", "BATCH:GRAMS", true, "what the cup holds already, of a batch or a toner; may be repeated"},
    [OPTION_ORDER] = {"order", "O", false, "the repair order"},
    [OPTION_PAINTER] = {"painter", "P", false, "who mixes"},
    [OPTION_AS] = {"as", "poured|corrected", false, "the colour as it was poured, or the formula as it stands now"},
    [OPTION_SHORT] = {"short", NULL, false, "the tin is empty: count what is there; a second time leaves it short"},
    [OPTION_LESS] = {"less", NULL, false, "the tin is empty: count what is there and make less"},
    [OPTION_TARED] = {"tared", NULL, false, "the scale was tared with the empty cup on it"},
    [OPTION_LOT] = {"lot", "L", false, "the number on the tin"},
    [OPTION_REALLY] = {"really", "TONER", false, "what was poured in truth"},
    [OPTION_UNCOUNTED] = {"uncounted", "G", false, "grams of the open step that are in the cup"},
    [OPTION_LOST] = {"lost", "G", false, "grams spilled, or gone with the stick"},
    [OPTION_FOLLOW] = {"follow", NULL, false, "go on, with each change"},
    [OPTION_PAGE] = {"page", NULL, false, "the page of poise bench as it is now, as text"},
    [OPTION_FORMULA] = {"formula", "CODE", false, "only batches of this formula"},
    [OPTION_PLACE] = {"place", "PLACE", false, "only what stands there on the shelf"},
    [OPTION_FROM] = {"from", "DATE", false, "the first day, YYYY-MM-DD"},
    [OPTION_TO] = {"to", "DATE", false, "the last day, YYYY-MM-DD"},
    [OPTION_CSV] = {"csv", NULL, false, "comma-separated values for a spreadsheet, with a header line"},
    [OPTION_LIMIT] = {"limit", "N", false, "at most so many; 50 where left out"},
    [OPTION_OUT] = {"out", "FILE", false, "where the PDF goes; label-BATCH.pdf where left out"},
    [OPTION_COPIES] = {"copies", "N", false, "print so many with the shop's printer"},
    [OPTION_SIZE] = {"size", "WxH", false, "millimetres, such as 62x29"},
    [OPTION_LID] = {"lid", NULL, false, "a second label for the lid, on a page of its own"},
    [OPTION_PROFILE] = {"profile", "NAME", false, "a family of scales, the file of a profile, or auto"},
    [OPTION_TOLERANCE] = {"tolerance", "G", false,
                          "how far the scale may be off; the station's tolerance_g where left out"},
    [OPTION_DRIFT] = {"drift", NULL, false, "no check weight: watch the empty pan"},
    [OPTION_SECONDS] = {"seconds", "S", false,
                        "how long to wait for each reading (300 where left out), or to watch (60)"},
    [OPTION_ASK] = {"ask", NULL, false, "the scale may be asked too: only questions that read a weight"},
    [OPTION_SPEED] = {"speed", "BAUD", false, "the port's speed, such as 9600"},
    [OPTION_FRAME] = {"frame", "8N1", false, "data bits, parity, stop bits"},
    [OPTION_POLL] = {"poll", "TEXT", false, "what is sent every 200 ms, written as poll in poised.ini"},
    [OPTION_WHAT] = {"what", "TEXT", false, "what happens while it runs, for the head of the file"},
};

/* Where a command means something else by it than the others. */
static const struct {
    const char *command;
    enum option_id id;
    const char *help;
} own_help[] = {
    {"find", OPTION_VARIANT, "only this variant"},
    {"find", OPTION_COAT, "only this coat"},
    {"find", OPTION_ORDER, "only for this repair order"},
    {"find", OPTION_PAINTER, "only what this painter mixed"},
    {"record", OPTION_PROFILE, "the scale's family, for the head of the file; its weights are shown meanwhile"},
    {"record", OPTION_SECONDS, "end after so long; where left out, with Ctrl-C"},
    {"check-weight", OPTION_PAINTER, "who checks"},
};

static const char see_help[] = "See poise --help.";

bool command_takes(const struct command *c, enum option_id id)
{
    return (c->options & OPTION_BIT(id)) != 0;
}

bool option_is_everywhere(const struct command *c, enum option_id id)
{
    (void)c;
    return id <= OPTION_STATION;
}

const char *option_help(const struct command *c, enum option_id id)
{
    for (size_t i = 0; c && i < sizeof own_help / sizeof *own_help; i++)
        if (own_help[i].id == id && strcmp(own_help[i].command, c->name) == 0)
            return own_help[i].help;
    return option_rows[id].help;
}

const struct command *command_named(const char *name)
{
    for (const struct command *c = commands; c->name; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

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

static enum option_id find_option(const char *name, size_t len)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (strlen(option_rows[i].name) == len && strncmp(option_rows[i].name, name, len) == 0)
            return (enum option_id)i;
    return OPTION_COUNT;
}

static int keep_option(struct poise_options *opt, enum option_id id, const char *value)
{
    opt->text[id] = value;
    if (!option_rows[id].many)
        return 0;
    if (opt->many_count == POISE_MANY)
        return fault_say(EX_USAGE, option_rows[id].name, see_help, "given more than %d times", POISE_MANY);
    opt->many[opt->many_count].id = id;
    opt->many[opt->many_count++].text = value;
    return 0;
}

/* All that is typed may end in JSON, so it is checked once, here. */
static bool is_utf8(const char *text)
{
    json_t *value = json_string(text);
    json_decref(value);
    return value != NULL;
}

/* One argument that begins with `--`; *at moves on when its value is the next one. */
static int take_option(struct poise_options *opt, int argc, char **argv, int *at)
{
    const char *arg = argv[*at];
    size_t len = strcspn(arg, "=");
    enum option_id id = find_option(arg + 2, len - 2);
    if (id == OPTION_COUNT)
        return fault_say(EX_USAGE, arg, see_help, "no such option");
    if (!option_rows[id].value) {
        if (arg[len] == '=')
            return fault_say(EX_USAGE, arg, see_help, "it takes no value");
        return keep_option(opt, id, "");
    }
    if (arg[len] == '=')
        return keep_option(opt, id, arg + len + 1);
    if (*at + 1 >= argc || !is_utf8(argv[*at + 1]))
        return fault_say(EX_USAGE, arg, see_help, "its value %s is missing or not UTF-8", option_rows[id].value);
    return keep_option(opt, id, argv[++*at]);
}

static int take_word(struct poise_options *opt, const char *word)
{
    if (!opt->command) {
        opt->command = command_named(word);
        return opt->command ? 0 : fault_say(EX_USAGE, word, see_help, "no such command");
    }
    if (opt->word_count == POISE_WORDS)
        return fault_say(EX_USAGE, opt->command->name, see_help, "more than %d words", POISE_WORDS);
    opt->word[opt->word_count++] = word;
    return 0;
}

static bool looks_like_option(const char *arg)
{
    return arg[0] == '-' && arg[1] != '\0' && (arg[1] < '0' || arg[1] > '9');
}

/* What the command takes: its options and the count of its words. */
static int check_command(const struct poise_options *opt)
{
    const struct command *c = opt->command;
    if (!c)
        return 0;
    char help[80] = "See poise ";
    strncat(strncat(help, c->name, 40), " --help.", 16);
    for (int i = 0; i < OPTION_COUNT; i++)
        if (opt->text[i] && !option_is_everywhere(c, (enum option_id)i) && !command_takes(c, (enum option_id)i)) {
            char what[48] = "--";
            strncat(what, option_rows[i].name, sizeof what - 3);
            return fault_say(EX_USAGE, what, help, "%s does not take it", c->name);
        }
    if (opt->help || opt->version)
        return 0;
    size_t most, least = command_words(c->words, &most);
    if (opt->word_count < least)
        return fault_say(EX_USAGE, c->name, help, "a word is missing, it takes %s", c->words);
    if (opt->word_count > most)
        return fault_say(EX_USAGE, c->name, help, "\"%s\" is one word too many", opt->word[most]);
    return 0;
}

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

int options_parse(struct poise_options *opt, int argc, char **argv)
{
    int code = 0;
    bool words_only = false;
    *opt = (struct poise_options){0};
    for (int at = 1; at < argc && code == 0; at++) {
        const char *arg = argv[at];
        if (!is_utf8(arg))
            code = fault_say(EX_USAGE, "the words", see_help, "word %d is not UTF-8", at);
        else if (words_only || !looks_like_option(arg))
            code = take_word(opt, arg);
        else if (strcmp(arg, "--") == 0)
            words_only = true;
        else if (arg[1] != '-')
            code = fault_say(EX_USAGE, arg, see_help, "no such option");
        else
            code = take_option(opt, argc, argv, &at);
    }
    settle(opt);
    return code ? code : check_command(opt);
}

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
