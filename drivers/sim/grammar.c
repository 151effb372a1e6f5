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

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)tolower((unsigned char)c);
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

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

/* Names the word, what is wrong and how it is said right. */
static bool fail(const struct row *row, const char *what, char *why, size_t room)
{
    snprintf(why, room, "%s: %s. Say %s", row->name, what, row->usage);
    return false;
}

/* Plain decimal numbers within the row's range, no units. */
static bool read_numbers(const struct row *row, char *rest, struct sim_act *out, char *why, size_t room)
{
    double *const places[] = {&out->first, &out->second};
    int count = 0;
    for (char *word; (word = strsep(&rest, " \t"));) {
        if (!*word)
            continue;
        if (count >= row->most || count >= 2)
            return fail(row, "too many words", why, room);
        if (!sim_number(word, places[count]))
            return fail(row, "that is no number", why, room);
        if (*places[count] < row->low || *places[count] > row->high)
            return fail(row, "that number is out of range", why, room);
        count++;
    }
    return count >= row->least || fail(row, "a number is missing", why, room);
}

/* A status to be sent from now on, whatever stands on the pan. */
static bool read_status(const struct row *row, const char *rest, struct sim_act *out, char *why, size_t room)
{
    for (int i = 0; i < SIM_STATUSES; i++)
        if (!strcmp(rest, sim_status_names[i])) {
            out->says = (enum sim_status)i;
            return true;
        }
    return fail(row, "that is not known", why, room);
}

static const struct row *find_row(const char *word, size_t len)
{
    for (int i = 0; i < WORDS; i++)
        if (strlen(rows[i].name) == len && !memcmp(rows[i].name, word, len))
            return &rows[i];
    return NULL;
}

/* All words at once: who types one wrong wants the list. */
static bool unknown(const char *word, int len, char *why, size_t room)
{
    int at = snprintf(why, room, "%.*s: no such word. Words:", len > 40 ? 40 : len, word);
    for (int i = 0; i < WORDS && at > 0 && (size_t)at < room; i++)
        at += snprintf(why + at, room - (size_t)at, " %s", rows[i].name);
    return false;
}

/* Works on a copy, as a scenario's words are read again at each round of its loop. */
bool sim_act_read(const char *line, struct sim_act *out, char *why, size_t room)
{
    char copy[SIM_LINE_MAX];
    memset(out, 0, sizeof *out);
    line += strspn(line, " \t");
    size_t len = strcspn(line, " \t");
    if (strlen(line) >= sizeof copy) {
        snprintf(why, room, "%.*s: the line is too long. Give at most %d bytes", (int)(len > 40 ? 40 : len), line,
                 SIM_LINE_MAX - 1);
        return false;
    }
    const struct row *row = find_row(line, len);
    if (!row)
        return unknown(line, (int)len, why, room);
    out->word = (enum sim_word)(row - rows);
    out->first = row->first;
    out->second = row->second;
    line += len + strspn(line + len, " \t");
    memcpy(copy, line, strlen(line) + 1);
    for (size_t end = strlen(copy); end && strchr(" \t", copy[end - 1]); end--)
        copy[end - 1] = 0;
    switch (row->arguments) {
    case NONE:
        return !*copy || fail(row, "it takes nothing more", why, room);
    case NUMBERS:
        return read_numbers(row, copy, out, why, room);
    case HEX:
        return sim_hex_read(copy, out->raw, sizeof out->raw, &out->raw_len) ||
               fail(row, "that is not hex, or more than 512 bytes", why, room);
    case STATUS:
        return read_status(row, copy, out, why, room);
    }
    return false;
}
