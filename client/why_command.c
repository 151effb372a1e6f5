/* why_command.c - `poise why BATCH [FIELD]`: how a number of a batch came about, from the events of its journal. It
 * must not know what an event does to a cup: it shows the members an event has, by their words where there are any. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sysexits.h>

/* Does the value hold the word, as a text, at any depth? */
static bool speaks_of(const json_t *value, const char *word)
{
    const char *name;
    json_t *member;
    size_t i;
    if (json_is_string(value))
        return strcasecmp(json_string_value(value), word) == 0;
    json_object_foreach((json_t *)value, name, member)
    {
        if (speaks_of(member, word))
            return true;
    }
    json_array_foreach(value, i, member)
    {
        if (speaks_of(member, word))
            return true;
    }
    return false;
}

/* A member's name as a person reads it: its word, else its own with blanks. */
static struct wording name_of(const char *name, struct output_style style)
{
    struct wording w;
    const char *word = wording_fixed(style, "member", name);
    snprintf(w.text, sizeof w.text, "%.60s", word);
    for (char *c = w.text; word == name && *c; c++)
        if (*c == '_')
            *c = ' ';
    return w;
}

/* `counted 222 g` of "counted_g": 222, `came at once 40 g` of "came_at_once_g": 40; units stand in the names. */
static void say_number(const char *name, double value, struct output_style style, char *text, size_t size)
{
    static const char *const units[][2] = {{"_g", "g"}, {"_ml", "mL"}, {"_pct", "%"}, {"_ms", "ms"}, {"_um", "um"}};
    const char *unit = "";
    size_t len = strlen(name);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t end = strlen(units[i][0]);
        if (strlen(name) > end && strcmp(name + strlen(name) - end, units[i][0]) == 0) {
            unit = units[i][1];
            len = strlen(name) - end;
        }
    }
    char bare[48];
    snprintf(bare, sizeof bare, "%.*s", (int)len, name);
    snprintf(text, size, "%s %s", name_of(bare, style).text, figure_plain(value, unit, style).text);
}

/* The frame as the scale sent it, out of its hexadecimal digits, without its line end. */
static void say_frame(const char *hex, char *text, size_t size)
{
    char frame[64];
    size_t len = 0;
    unsigned byte;
    for (; len + 1 < sizeof frame && sscanf(hex, "%2x", &byte) == 1 && byte != '\r' && byte != '\n'; hex += 2)
        frame[len++] = (char)byte;
    frame[len] = '\0';
    snprintf(text, size, "frame \"%s\"", frame);
}

/* Objects and lists stay JSON: only --json readers and the curious see them. */
static void say_member(const char *name, const json_t *value, struct output_style style, char *text, size_t size)
{
    if (json_is_string(value) && strcmp(name, "raw") == 0) {
        say_frame(json_string_value(value), text, size);
    } else if (json_is_string(value)) {
        bool bare = strcmp(name, "text") == 0; /* a note is its own name */
        snprintf(text, size, "%s%s%s", bare ? "" : name_of(name, style).text, bare ? "" : " ",
                 json_string_value(value));
    } else if (json_is_number(value)) {
        say_number(name, json_number_value(value), style, text, size);
    } else {
        char *json = json_dumps(value, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15));
        snprintf(text, size, "%s %s", name_of(name, style).text, json ? json : "");
        free(json);
    }
}

/* All that an event says beside its head, as `toner P31, aim 84 g, counted 84.1 g`; the chain of hashes is for --json.
 */
static void say_rest(const json_t *event, char *text, size_t size, struct output_style style)
{
    static const char *const said[] = {"revision", "time", "who", "what", "seq", "hash"};
    const char *name;
    json_t *value;
    size_t len = 0;
    text[0] = '\0';
    json_object_foreach((json_t *)event, name, value)
    {
        char one[512];
        bool head = json_is_null(value);
        for (size_t i = 0; i < sizeof said / sizeof *said; i++)
            head = head || strcmp(name, said[i]) == 0;
        if (head || len >= size)
            continue;
        say_member(name, value, style, one, sizeof one);
        len += (size_t)snprintf(text + len, size - len, "%s%s", len ? ", " : "", one);
    }
}

/* A reading kept against a power cut decides nothing; in lines for a person it is noise. */
static bool is_noise(const struct poise_options *opt, const json_t *event)
{
    return !opt->json && strcmp(member_text(event, "what"), "kept") == 0;
}

/* What takes from the whole cup changes each count in it: paint taken out, or gone when the cup was weighed anew. */
static bool moves_all(const json_t *event)
{
    const char *what = member_text(event, "what");
    return strcmp(what, "taken") == 0 || strcmp(what, "retared") == 0;
}

/* Lines of the events that speak of the word, and of those that later changed what they brought (NULL: of all). How
 * many there were. */
static size_t print_events(const struct poise_options *opt, const json_t *events, const char *word)
{
    struct table t;
    size_t i, count = 0;
    const json_t *e;
    table_init(&t, "rllll", opt->style);
    json_array_foreach(events, i, e)
    {
        char revision[24], rest[1024];
        bool meant = !word || speaks_of(e, word) || (count > 0 && moves_all(e));
        if (!meant || is_noise(opt, e))
            continue;
        count++;
        if (opt->json) {
            output_json(e);
            continue;
        }
        snprintf(revision, sizeof revision, "%" JSON_INTEGER_FORMAT,
                 json_integer_value(json_object_get(e, "revision")));
        say_rest(e, rest, sizeof rest, opt->style);
        table_row(&t, (const char *const[]){revision, figure_time(member_text(e, "time")).text, member_text(e, "who"),
                                            wording_fixed(opt->style, "what", member_text(e, "what")), rest});
    }
    table_print(&t, "", stdout);
    table_finish(&t);
    return count;
}

/* The part of that toner, or NULL. */
static const json_t *part_of(const json_t *batch, const char *toner)
{
    size_t i;
    const json_t *part, *reducer = json_object_get(batch, "reducer");
    json_array_foreach(member_list(batch, "parts"), i, part)
    {
        if (strcasecmp(member_text(part, "toner"), toner) == 0)
            return part;
    }
    return strcasecmp(member_text(reducer, "toner"), toner) == 0 || strcmp(toner, "reducer") == 0 ? reducer : NULL;
}

static void print_part(const struct poise_options *opt, const json_t *part)
{
    struct output_style style = opt->style;
    output_say(style, stdout, "why.part toner=%s aim=%s poured=%s", member_text(part, "toner"),
               figure_plain(member_number(part, "aim_g"), "g", style).text,
               figure_plain(member_number(part, "poured_g"), "g", style).text);
    if (isfinite(member_number(part, "share")))
        output_say(style, stdout, "why.share share=%s",
                   figure_of(100 * member_number(part, "share"), 3, "%", style).text);
    if (isfinite(member_number(part, "deviation_pct")))
        output_say(style, stdout, "why.off off=%s",
                   figure_signed(member_number(part, "deviation_pct"), 3, "%", style).text);
    fputc('\n', stdout);
}

static int explain(const struct poise_options *opt, const json_t *batch, const char *field)
{
    const json_t *events = member_list(batch, "events");
    const json_t *part = field ? part_of(batch, field) : NULL;
    const json_t *value = field ? json_object_get(batch, field) : NULL;
    if (field && !json_is_object(part) && !value)
        return failure_say(opt->style, EX_DATAERR, "why", "why_no_field field=%s", field);
    const char *toner = json_is_object(part) ? member_text(part, "toner") : NULL;
    if (!opt->json && json_is_object(part)) {
        print_part(opt, part);
    } else if (!opt->json && value) {
        char text[1024];
        say_member(field, value, opt->style, text, sizeof text);
        output_text(text, opt->style, stdout);
        fputc('\n', stdout);
    }
    /* A sum has a part in every event, and so has a toner where the events name none. */
    if (print_events(opt, events, toner) == 0 && toner)
        print_events(opt, events, NULL);
    return 0;
}

int command_why(struct poise_options *opt)
{
    struct ask a;
    json_t *batch = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "batch.get", json_pack("{s:s}", "batch", opt->word[0]), &batch);
    if (code == 0 && !opt->json)
        ask_style(&a);
    if (code == 0)
        code = explain(opt, batch, opt->word_count > 1 ? opt->word[1] : NULL);
    json_decref(batch);
    ask_close(&a);
    return code;
}
