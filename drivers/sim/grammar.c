/* grammar.c - the words of the hand, read from a table. It does nothing: hand.c carries acts out. */
#include "drivers/sim/grammar.h"
#include "drivers/sim/sim.h"
#include <ctype.h>
#include <string.h>

enum arguments { NONE, NUMBERS, HEX, STATUS };

/* Numbers lie within low..high, both included; a number left out takes its default where there are fewer than most. */
static const struct row {
    const char *name;
    enum arguments arguments;
    int least, most;
    double low, high;
    double first, second; /* where left out */
    const char *usage;
} rows[WORDS] = {
    [WORD_CUP] = {"cup", NUMBERS, 1, 1, 0, 1e5, 0, 0, "cup G"},
    [WORD_OFF] = {"off", NONE, 0, 0, 0, 0, 0, 0, "off"},
    [WORD_LIFT] = {"lift", NONE, 0, 0, 0, 0, 0, 0, "lift"},
    [WORD_PUT] = {"put", NONE, 0, 0, 0, 0, 0, 0, "put"},
    [WORD_POUR] = {"pour", NUMBERS, 1, 2, 0.001, 1e5, 0, 10, "pour G [G_PER_S]"},
    [WORD_STOP] = {"stop", NONE, 0, 0, 0, 0, 0, 0, "stop"},
    [WORD_ADD] = {"add", NUMBERS, 1, 1, 0, 1e5, 0, 0, "add G"},
    [WORD_REMOVE] = {"remove", NUMBERS, 1, 1, 0, 1e5, 0, 0, "remove G"},
    [WORD_TARE] = {"tare", NONE, 0, 0, 0, 0, 0, 0, "tare"},
    [WORD_ZERO] = {"zero", NONE, 0, 0, 0, 0, 0, 0, "zero"},
    [WORD_MUTE] = {"mute", NONE, 0, 0, 0, 0, 0, 0, "mute"},
    [WORD_SPEAK] = {"speak", NONE, 0, 0, 0, 0, 0, 0, "speak"},
    [WORD_RAW] = {"raw", HEX, 0, 0, 0, 0, 0, 0, "raw HEX"},
    [WORD_SETTLE] = {"settle", NONE, 0, 0, 0, 0, 0, 0, "settle"},
    [WORD_WEIGH] = {"weigh", NONE, 0, 0, 0, 0, 0, 0, "weigh"},
    [WORD_DRIFT] = {"drift", NUMBERS, 1, 1, -1e4, 1e4, 0, 0, "drift G_PER_MIN"},
    [WORD_NOISE] = {"noise", NUMBERS, 1, 1, 0, 1e4, 0, 0, "noise G"},
    [WORD_SAYS] = {"says", STATUS, 0, 0, 0, 0, 0, 0, "says ok|over|under|error"},
    [WORD_RESTART] = {"restart", NUMBERS, 0, 1, 0, 60000, 1500, 0, "restart [MS]"},
    [WORD_UNPLUG] = {"unplug", NONE, 0, 0, 0, 0, 0, 0, "unplug"},
    [WORD_PLUG] = {"plug", NONE, 0, 0, 0, 0, 0, 0, "plug"},
    [WORD_HEARD] = {"heard", NONE, 0, 0, 0, 0, 0, 0, "heard"},
    [WORD_QUIT] = {"quit", NONE, 0, 0, 0, 0, 0, 0, "quit"},
};

const char *sim_word_name(enum sim_word word)
{
    return rows[word].name;
}

/* Its own, as is all that reads bytes here: what checks the decoders must not share their code. -1: none. */
static int hex_digit(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)tolower((unsigned char)c);
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* A lone digit is no byte: half of one was lost, and who typed it shall see. */
bool sim_hex_read(const char *text, uint8_t *out, size_t room, size_t *len)
{
    *len = 0;
    while (*(text += strspn(text, " \t"))) {
        int high = hex_digit(text[0]), low = high < 0 ? -1 : hex_digit(text[1]);
        if (low < 0 || *len >= room)
            return false;
        out[(*len)++] = (uint8_t)(high << 4 | low);
        text += 2;
    }
    return *len > 0;
}

/* Plain decimal numbers within the row's range, no units. */
static bool read_numbers(const struct row *row, char *rest, struct sim_act *out, struct said *why)
{
    double *const places[] = {&out->first, &out->second};
    int count = 0;
    *why = (struct said){.used = 0};
    for (char *word; !why->code[0] && (word = strsep(&rest, " \t"));) {
        if (!*word)
            continue;
        if (count >= row->most || count >= 2)
            *why = say("sim_word_many word=%s usage=%s", row->name, row->usage);
        else if (!sim_number(word, places[count]))
            *why = say("sim_word_no_number word=%s usage=%s", row->name, row->usage);
        else if (*places[count] < row->low || *places[count] > row->high)
            *why = say("sim_word_range word=%s usage=%s", row->name, row->usage);
        count++;
    }
    if (!why->code[0] && count < row->least)
        *why = say("sim_word_few word=%s usage=%s", row->name, row->usage);
    return !why->code[0];
}

/* A status to be sent from now on, whatever stands on the pan. */
static bool read_status(const struct row *row, const char *rest, struct sim_act *out, struct said *why)
{
    for (int i = 0; i < SIM_STATUSES; i++)
        if (!strcmp(rest, sim_status_names[i])) {
            out->says = (enum sim_status)i;
            return true;
        }
    *why = say("sim_word_unknown word=%s usage=%s", row->name, row->usage);
    return false;
}

/* By its whole name; a word that is cut short is unknown, since `p` could be pour, put or plug. NULL: none such. */
static const struct row *find_row(const char *word, size_t len)
{
    for (int i = 0; i < WORDS; i++)
        if (strlen(rows[i].name) == len && !memcmp(rows[i].name, word, len))
            return &rows[i];
    return NULL;
}

/* All words at once: who types one wrong wants the list. */
static struct said unknown(const char *word, size_t len)
{
    char shown[41], words[256] = "";
    snprintf(shown, sizeof shown, "%.*s", (int)(len < sizeof shown ? len : sizeof shown - 1), word);
    for (size_t i = 0, at = 0; i < WORDS && at < sizeof words; i++)
        at += (size_t)snprintf(words + at, sizeof words - at, "%s%s", i ? " " : "", rows[i].name);
    return say("sim_no_word word=%s words=%s", shown, words);
}

/* Works on a copy, as a scenario's words are read again at each round of its loop. */
bool sim_act_read(const char *line, struct sim_act *out, struct said *why)
{
    char copy[SIM_LINE_MAX];
    memset(out, 0, sizeof *out);
    line += strspn(line, " \t");
    size_t len = strcspn(line, " \t");
    if (strlen(line) >= sizeof copy) {
        snprintf(copy, 41, "%.*s", (int)(len > 40 ? 40 : len), line);
        *why = say("sim_line_long word=%s most=%d", copy, SIM_LINE_MAX - 1);
        return false;
    }
    const struct row *row = find_row(line, len);
    if (!row) {
        *why = unknown(line, len);
        return false;
    }
    out->word = (enum sim_word)(row - rows);
    out->first = row->first;
    out->second = row->second;
    line += len + strspn(line + len, " \t");
    memcpy(copy, line, strlen(line) + 1);
    for (size_t end = strlen(copy); end && strchr(" \t", copy[end - 1]); end--)
        copy[end - 1] = 0;
    switch (row->arguments) {
    case NONE:
        *why = say("sim_word_takes_none word=%s usage=%s", row->name, row->usage);
        return !*copy;
    case NUMBERS:
        return read_numbers(row, copy, out, why);
    case HEX:
        *why = say("sim_word_no_hex word=%s usage=%s", row->name, row->usage);
        return sim_hex_read(copy, out->raw, sizeof out->raw, &out->raw_len);
    case STATUS:
        return read_status(row, copy, out, why);
    }
    return false;
}
