/* params.c - from what was typed to the members of a call. It must not know which call. Only the form is looked at:
 * a number must be a number, a day a day, a panel NAME:COATS:SHARE. What a number may be in this formula and on this
 * scale the daemon decides, for all clients alike. */
#include "client/options.h"

#include "client/output.h"

#include "text/timestamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* ---- numbers ---- */

/* ASCII digits alone: isdigit would follow the locale. */
static size_t digits(const char *s)
{
    return strspn(s, "0123456789");
}

/* Fifteen digits are what a double holds exactly. strtod alone would take `1e3`, `0x10`, `inf` and ` 5 g`, none of
 * which is a weight that a person at a bench means. */
enum number_fault number_parse(const char *text, double *value)
{
    const char *at = text + (*text == '-' || *text == '+');
    size_t whole = digits(at), after = 0;
    bool zero = *at == '0';
    at += whole;
    bool comma = *at == ',';
    if (*at == '.' || comma)
        after = digits(++at);
    if (at[after] != '\0' || whole + after == 0 || whole + after > 15)
        return NUMBER_TRASH;
    /* Three digits after a comma may be a thousand to the one and a tolerance to the other: never guess 1 g for 1 kg.
     */
    if (comma && after == 3 && whole >= 1 && whole <= 3 && !zero)
        return NUMBER_TWO_WAYS;
    char plain[32];
    memcpy(plain, text, strlen(text) + 1);
    char *mark = strchr(plain, ',');
    if (mark)
        *mark = '.';
    *value = strtod(plain, NULL); /* LC_NUMERIC stays "C": the client sets LC_CTYPE alone */
    return NUMBER_OK;
}

/* The comma is a decimal comma, whatever the shop writes: a keypad has one sign, and it differs by country. */
int number_read(struct output_style style, const char *what, const char *text, double *value)
{
    switch (number_parse(text, value)) {
    case NUMBER_OK:
        return 0;
    case NUMBER_TWO_WAYS:
        return failure_say(style, EX_USAGE, what, "number_two_ways value=%s", text);
    default:
        return failure_say(style, EX_USAGE, what, "no_number value=%s", text);
    }
}

/* For what cannot be nothing: a speed, a time. */
int number_read_above_0(struct output_style style, const char *what, const char *text, double *value)
{
    int code = number_read(style, what, text, value);
    if (code == 0 && !(*value > 0))
        code = failure_say(style, EX_USAGE, what, "number_not_above value=%s", text);
    return code;
}

/* For what is counted: copies, lines. */
int number_read_count(struct output_style style, const char *what, const char *text, int most, int *count)
{
    double value = 0;
    int code = number_read(style, what, text, &value);
    if (code == 0 && !(value >= 1 && value <= most && floor(value) == value))
        code = failure_say(style, EX_USAGE, what, "no_count value=%s most=%d", text, most);
    *count = code == 0 ? (int)value : 0;
    return code;
}

/* ---- options ---- */

/* LESS and TRUE fill the same member `short`: the daemon reads true as "go on without" and "less" as "make less". */
enum param_type { PARAM_TEXT, PARAM_NUMBER, PARAM_TRUE, PARAM_FALSE, PARAM_LESS, PARAM_LIST, PARAM_DAY };

/* Which member of the call an option fills. An option that is not here means something to its command alone, which
 * reads it itself. */
static const struct {
    enum option_id id;
    const char *member;
    enum param_type type;
} rows[] = {
    {OPTION_VARIANT, "variant", PARAM_TEXT},
    {OPTION_COAT, "coat", PARAM_TEXT},
    {OPTION_GRAMS, "grams", PARAM_NUMBER},
    {OPTION_ML, "ml", PARAM_NUMBER},
    {OPTION_PRODUCT, "product", PARAM_TEXT},
    {OPTION_PARTS, "parts", PARAM_LIST},
    {OPTION_REDUCE, "reduce_pct", PARAM_NUMBER},
    {OPTION_REDUCER, "reducer", PARAM_TEXT},
    {OPTION_CUP, "cup_ml", PARAM_NUMBER},
    {OPTION_ORDER, "order", PARAM_TEXT},
    {OPTION_PAINTER, "painter", PARAM_TEXT},
    {OPTION_AS, "as", PARAM_TEXT},
    {OPTION_SHORT, "short", PARAM_TRUE},
    {OPTION_LESS, "short", PARAM_LESS},
    {OPTION_TARED, "tared", PARAM_TRUE},
    {OPTION_SURE, "sure", PARAM_TRUE},
    {OPTION_LOT, "lot", PARAM_TEXT},
    {OPTION_GLANCE, "glance", PARAM_TEXT},
    {OPTION_REALLY, "really", PARAM_TEXT},
    {OPTION_UNCOUNTED, "uncounted_g", PARAM_NUMBER},
    {OPTION_LOST, "lost_g", PARAM_NUMBER},
    {OPTION_FORMULA, "formula", PARAM_TEXT},
    {OPTION_PLACE, "place", PARAM_TEXT},
    {OPTION_FROM, "from", PARAM_DAY},
    {OPTION_TO, "to", PARAM_DAY},
    {OPTION_LIMIT, "limit", PARAM_NUMBER},
    {OPTION_GROSS, "gross_g", PARAM_NUMBER},
    {OPTION_TARE, "cup_tare_g", PARAM_NUMBER},
    {OPTION_USE_BY, "use_by", PARAM_DAY},
    {OPTION_DUE, "due", PARAM_TRUE},
    {OPTION_REORDER, "reorder", PARAM_TRUE},
    {OPTION_COST, "cost", PARAM_NUMBER},
    {OPTION_VEHICLE, "vehicle", PARAM_TEXT},
    {OPTION_BY, "due", PARAM_DAY},
    {OPTION_CLOSE, "closed", PARAM_TRUE},
    {OPTION_COATS, "coats", PARAM_NUMBER},
    {OPTION_MIDS, "mids", PARAM_NUMBER},
    {OPTION_LIGHT, "light", PARAM_LIST},
    {OPTION_VERDICT, "verdict", PARAM_TEXT},
    {OPTION_COAT_N, "coat_n", PARAM_NUMBER},
    {OPTION_HARDENER, "hardener", PARAM_TEXT},
    {OPTION_TEMPERATURE, "temperature_c", PARAM_NUMBER},
    {OPTION_SPEED, "speed", PARAM_TEXT},
    {OPTION_FILM, "film_um", PARAM_NUMBER},
    {OPTION_TRANSFER, "transfer_pct", PARAM_NUMBER},
    {OPTION_LOSS, "loss_ml", PARAM_NUMBER},
    {OPTION_CONTROL_COAT, "control_coat", PARAM_TRUE},
    {OPTION_EDGES, "edges", PARAM_TRUE},
    {OPTION_OUTSIDES, "edges", PARAM_FALSE},
    {OPTION_POUR_ORDER, "pour_order", PARAM_TEXT},
    {OPTION_GLANCES, "glance", PARAM_NUMBER},
    {OPTION_RETIRED, "retired", PARAM_TRUE},
    {OPTION_TRAINED, "trained", PARAM_DAY},
    {OPTION_PREMIX, "premix", PARAM_TEXT},
};

/* A whole number leaves as an integer: a count as a real would be refused. 1e15 is below 2^53, so none is rounded.
 * Borrowed by nobody: the caller puts it into an object. */
json_t *params_number(double value)
{
    return fabs(value) < 1e15 && floor(value) == value ? json_integer((json_int_t)value) : json_real(value);
}

/* `A, B,C`: blanks before a name are dropped. An empty name stays, for the daemon to refuse. `--parts
 * CLEAR-40,HARD-2`: blanks behind a comma are how people write it. */
static json_t *list_of(const char *text)
{
    json_t *list = json_array();
    for (const char *at = text; *at;) {
        size_t space = strspn(at, " ");
        size_t len = strcspn(at += space, ",");
        json_array_append_new(list, json_stringn(at, len));
        at += len + (at[len] == ',');
    }
    return list;
}

/* One option to its member. Ranges are the daemon's to judge; here a value need only be of its type. The row tells
 * the member and its type; `what` in a fault is the option as it was typed. */
static int put_row(struct output_style style, json_t *params, size_t i, const char *text)
{
    char what[48];
    double value = 0;
    snprintf(what, sizeof what, "--%s", option_rows[rows[i].id].name);
    switch (rows[i].type) {
    case PARAM_NUMBER: {
        int code = number_read(style, what, text, &value);
        if (code == 0)
            json_object_set_new(params, rows[i].member, params_number(value));
        return code;
    }
    case PARAM_TRUE:
        json_object_set_new(params, rows[i].member, json_true());
        return 0;
    case PARAM_FALSE:
        json_object_set_new(params, rows[i].member, json_false());
        return 0;
    case PARAM_LESS:
        json_object_set_new(params, rows[i].member, json_string("less"));
        return 0;
    case PARAM_LIST:
        json_object_set_new(params, rows[i].member, list_of(text));
        return 0;
    case PARAM_DAY:
        if (!timestamp_is_day(text))
            return failure_say(style, EX_USAGE, what, "no_day value=%s", text);
        json_object_set_new(params, rows[i].member, json_string(text));
        return 0;
    default:
        json_object_set_new(params, rows[i].member, json_string(text));
        return 0;
    }
}

/* Adds to the list of that name, made where it is missing. Takes the item over. */
static void add_to(json_t *params, const char *name, json_t *item)
{
    json_t *list = json_object_get(params, name);
    if (!list)
        json_object_set_new(params, name, list = json_array());
    json_array_append_new(list, item);
}

/* What stands behind a panel's name: its coats, its share, and at the end the word that it is of jambs and edges. */
struct panel_words {
    double coats, share; /* NaN: left out, and the daemon takes what is usual */
    bool edges;
};

/* A colon and a number, or a colon and `edges` as the last word. */
static int panel_word(struct output_style style, const char *what, const char *at, size_t n, double *value)
{
    char number[24];
    snprintf(number, sizeof number, "%.*s", (int)n, at);
    return number_read(style, what, number, value);
}

/* 64 after one line where the words are none of a panel's. */
static int panel_words(struct output_style style, const char *what, const char *text, struct panel_words *out)
{
    double *value = &out->coats;
    *out = (struct panel_words){NAN, NAN, false};
    for (const char *at = strchr(text, ':'); at; at = strchr(at, ':')) {
        size_t n = strcspn(++at, ":");
        if (strcmp(at, "edges") == 0) {
            out->edges = true;
            return 0;
        }
        int code = value && n < 24 ? panel_word(style, what, at, n, value) : EX_USAGE;
        if (code)
            return value && n < 24 ? code : failure_say(style, code, what, "no_panel value=%s", text);
        value = value == &out->coats ? &out->share : NULL;
    }
    return 0;
}

/* `NAME[:COATS[:SHARE]][:edges]`; a share is per cent of the panel, 0 to 100: 100 is the whole panel, 50 a blend into
 * it. Coats are counted from 1; the daemon refuses 0. */
int params_panel(struct output_style style, const char *what, json_t *params, const char *text)
{
    struct panel_words words;
    size_t name = strcspn(text, ":");
    int code = panel_words(style, what, text, &words);
    if (code == 0 && (name == 0 || words.share < 0 || words.share > 100))
        code = failure_say(style, EX_USAGE, what, "no_panel value=%s", text);
    if (code)
        return code;
    json_t *panel = json_pack("{s:o}", "name", json_stringn(text, name));
    if (isfinite(words.coats))
        json_object_set_new(panel, "coats", params_number(words.coats));
    if (isfinite(words.share))
        json_object_set_new(panel, "share_pct", params_number(words.share));
    if (words.edges)
        json_object_set_new(panel, "edges", json_true());
    add_to(params, "panels", panel);
    return 0;
}

/* A batch is a number, `#1042` or `POISE:1042`; anything else in its place is a toner. */
static const char *have_kind(const char *name)
{
    if (strncmp(name, "POISE:", 6) == 0)
        name += 6;
    else if (*name == '#')
        name++;
    return *name && name[strspn(name, "0123456789")] == '\0' ? "batch" : "toner";
}

/* `BATCH:GRAMS` or `TONER:GRAMS`. Whether the cup may hold it (activated, another line, of unknown make) is judged
 * at begin, with the reason. */
static int put_have(struct output_style style, json_t *params, const char *text)
{
    char name[64];
    /* The last colon: `POISE:1042:80` has one in its name. */
    const char *colon = strrchr(text, ':');
    if (!colon || colon == text || (size_t)(colon - text) >= sizeof name)
        return failure_say(style, EX_USAGE, "--have", "no_have value=%s", text);
    snprintf(name, sizeof name, "%.*s", (int)(colon - text), text);
    double grams = 0;
    int code = number_read(style, "--have", colon + 1, &grams);
    if (code)
        return code;
    json_t *have = json_pack("{s:s, s:o}", have_kind(name), name, "grams", params_number(grams));
    add_to(params, "have", have);
    return 0;
}

/* In the order of the table, then the options that repeat in the order in which they were typed: panels are sprayed
 * in that order. */
int params_of(const struct poise_options *opt, json_t **params)
{
    int code = 0;
    *params = json_object();
    for (size_t i = 0; i < sizeof rows / sizeof *rows && code == 0; i++)
        if (opt->text[rows[i].id])
            code = put_row(opt->style, *params, i, opt->text[rows[i].id]);
    for (size_t i = 0; i < opt->many_count && code == 0; i++)
        code = opt->many[i].id == OPTION_PANEL ? params_panel(opt->style, "--panel", *params, opt->many[i].text)
                                               : put_have(opt->style, *params, opt->many[i].text);
    if (code) {
        json_decref(*params);
        *params = NULL;
    }
    return code;
}

/* Here and not in the daemon, since what is wrong is how it was typed (64) and not what it means (65). The daemon
 * checks it all the same for other clients. */
int params_amount(const struct poise_options *opt, bool needed)
{
    int given = (opt->text[OPTION_GRAMS] != NULL) + (opt->text[OPTION_ML] != NULL) + (opt->text[OPTION_PANEL] != NULL);
    if (given > 1)
        return failure_say(opt->style, EX_USAGE, opt->command->name, "amount_twice");
    if (given == 0 && needed)
        return failure_say(opt->style, EX_USAGE, opt->command->name, "amount_missing");
    return 0;
}
