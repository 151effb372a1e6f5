/* why_command.c - `poise why BATCH [FIELD]`: how a number of a batch came about, from the events of its journal. It
 * must not know what an event does to a cup: it shows the members an event has, by their words where there are any,
 * so an event of a later daemon is told as well, by the names of its members. Nothing is summed or judged here.
 * --json gives the events as they are, with the hashes of the chain. */
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

/* Does the value hold the word, as a text, at any depth?. Whole texts and not parts of them: `K1` must not find
 * `K10`. */
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

/* ---- one member as words ---- */

/* Units stand in the names of members; the longest ending first, `_g_per_ml` being no millilitres. */
static const char *const units[][2] = {
    {"_g_per_ml", "g/mL"}, {"_g_per_l", "g/L"}, {"_pct", "%"},        {"_min", "min"},
    {"_ml", "mL"},         {"_ms", "ms"},       {"_um", "\xC2\xB5m"}, {"_g", "g"},
};

/* The name without its unit, and the unit: "" where it has none. The unit is written behind the figure as a person
 * writes it, so the name must lose it. */
static const char *unit_of(const char *name, char *bare, size_t size)
{
    size_t len = strlen(name);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t end = strlen(units[i][0]);
        if (len > end && strcmp(name + len - end, units[i][0]) == 0) {
            snprintf(bare, size, "%.*s", (int)(len - end), name);
            return units[i][1];
        }
    }
    snprintf(bare, size, "%s", name);
    return "";
}

/* The word of a member; of one that has none, as a newer daemon may send it, its own name with blanks. */
static void put_name(const char *bare, struct output_style style, FILE *to)
{
    const char *word = wording_fixed(style, "member", bare);
    for (const char *c = word; *c; c++)
        fputc(word == bare && *c == '_' ? ' ' : *c, to);
}

/* The frame as the scale sent it, out of its hexadecimal digits, without its line end. */
static void put_frame(const char *hex, FILE *to)
{
    unsigned byte;
    for (; sscanf(hex, "%2x", &byte) == 1 && byte != '\r' && byte != '\n'; hex += 2)
        fputc((int)byte, to);
}

/* A text of the record: a time, a name that the contract fixes (`ground`, `grow`), or what somebody typed. */
static void put_text(const char *name, const char *text, struct output_style style, FILE *to)
{
    static const char *const fixed[] = {"coat", "finish", "state", "choice"};
    static const char *const times[] = {"time", "begun", "finished", "use_by", "weighed"};
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
        if (strcmp(name, fixed[i]) == 0)
            text = wording_fixed(style, name, text);
    for (size_t i = 0; i < sizeof times / sizeof *times; i++)
        if (strcmp(name, times[i]) == 0 && *text) {
            fputs(figure_time(text).text, to);
            return;
        }
    fputs(text, to);
}

static void put_member(const char *name, const json_t *value, struct output_style style, FILE *to);

/* Members with a comma between them: an object is told as its members, a list as its items. */
static void put_members(const json_t *value, struct output_style style, FILE *to)
{
    const char *name, *comma = "";
    json_t *member;
    size_t i;
    json_object_foreach((json_t *)(uintptr_t)value, name, member)
    {
        if (json_is_null(member))
            continue;
        fputs(comma, to);
        comma = ", ";
        put_member(name, member, style, to);
    }
    json_array_foreach(value, i, member)
    {
        fputs(i ? "; " : "", to);
        put_member("", member, style, to);
    }
}

/* `counted 222 g` of "counted_g": 222, `frame "ST,..."` of "raw", a said as its sentence. `name` is "" in a list. */
static void put_member(const char *name, const json_t *value, struct output_style style, FILE *to)
{
    char bare[48];
    const char *unit = unit_of(name, bare, sizeof bare);
    bool frame = strcmp(name, "raw") == 0;
    put_name(bare, style, to);
    fputs(*bare ? frame ? " \"" : " " : "", to);
    if (json_object_get(value, "args"))
        fputs(wording_said(style, value, member_text(value, "text")).text, to);
    else if (frame && json_is_string(value))
        put_frame(json_string_value(value), to);
    else if (json_is_string(value))
        put_text(name, json_string_value(value), style, to);
    else if (json_is_number(value))
        fputs(figure_plain(json_number_value(value), unit, style).text, to);
    else if (json_is_boolean(value))
        fputs(words_of(style.language, json_is_true(value) ? "why.yes" : "why.no"), to);
    else if (json_object_size(value) + json_array_size(value) == 0)
        fputc('-', to); /* null is not known */
    else
        put_members(value, style, to);
    fputs(frame ? "\"" : "", to);
}

/* ---- the events ---- */

/* All that an event says beside its head, as `toner P31, aim 84 g, counted 84.1 g: P31 is 3 g too much`; the chain of
 * hashes is for --json. To be freed; NULL without memory. */
static char *rest_of(const json_t *event, struct output_style style)
{
    static const char *const head[] = {"revision", "time", "who", "what", "seq", "hash", "said"};
    const json_t *said = json_object_get(event, "said");
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    json_t *rest = json_copy((json_t *)(uintptr_t)event);
    for (size_t i = 0; i < sizeof head / sizeof *head; i++)
        json_object_del(rest, head[i]);
    const char *typed = said ? "" : member_text(event, "text"); /* beside a said it is the same in English */
    struct wording sentence = wording_said(style, said, typed);
    json_object_del(rest, "text");
    if (to) {
        put_members(rest, style, to);
        fprintf(to, "%s%s", json_object_size(rest) > 0 && *sentence.text ? ": " : "", sentence.text);
        fclose(to);
    }
    json_decref(rest);
    return text;
}

/* A reading kept against a power cut decides nothing; in lines for a person it is noise. It is written at most once
 * a second while paint runs, and would hide the twenty events that matter. */
static bool is_noise(const struct poise_options *opt, const json_t *event)
{
    return !opt->json && strcmp(member_text(event, "what"), "kept") == 0;
}

/* What takes from the whole cup changes each count in it: paint taken out, or gone when the cup was weighed anew.
 * They name no toner, and yet belong to the story of each that stood in the cup before. */
static bool moves_all(const json_t *event)
{
    const char *what = member_text(event, "what");
    return strcmp(what, "taken") == 0 || strcmp(what, "retared") == 0;
}

/* Lines of the events that speak of the word, and of those that later changed what they brought (NULL: of all). How
 * many there were. `who` is the painter named at begin, else the user of the socket; the first column is the
 * station's revision, which `batch.accept` and the like take. */
static size_t print_events(const struct poise_options *opt, const json_t *events, const char *word)
{
    struct table t;
    size_t i, count = 0;
    const json_t *e;
    table_init(&t, "rllll", opt->style);
    json_array_foreach(events, i, e)
    {
        char revision[24];
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
        char *rest = rest_of(e, opt->style);
        const json_t *who = json_object_get(e, "who");
        const char *name = member_text(who, member_text(who, "painter")[0] ? "painter" : "user");
        table_row(&t, (const char *const[]){revision, figure_time(member_text(e, "time")).text, name,
                                            wording_fixed(opt->style, "what", member_text(e, "what")), rest});
        free(rest);
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

/* Three decimals of a per cent: who asks why wants to see the sum come out. */
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

/* A member of the record; what has its sentence by code beside its English text is told by that. */
static void print_value(const struct poise_options *opt, const json_t *batch, const char *field, const json_t *value)
{
    static const char *const by_code[][2] = {{"made", "made_said"}, {"caution", "cautions"}};
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    if (!to)
        return;
    for (size_t i = 0; i < sizeof by_code / sizeof *by_code; i++)
        if (strcmp(field, by_code[i][0]) == 0 && json_object_get(batch, by_code[i][1]))
            value = json_object_get(batch, by_code[i][1]);
    put_member(field, value, opt->style, to);
    fclose(to);
    output_text(text, opt->style, stdout);
    fputc('\n', stdout);
    free(text);
}

/* FIELD is looked for among the toners first (no toner is called `cost`), then among the members of the record.
 * Without it all events are told. */
static int explain(struct ask *a, const json_t *batch)
{
    const struct poise_options *opt = a->opt;
    const char *field = opt->word_count > 1 ? opt->word[1] : NULL;
    const json_t *events = member_list(batch, "events");
    const json_t *part = field ? part_of(batch, field) : NULL;
    const json_t *value = field ? json_object_get(batch, field) : NULL;
    if (field && !json_is_object(part) && !value)
        return failure_say(opt->style, EX_DATAERR, "why", "why_no_field field=%s", field);
    const char *toner = json_is_object(part) ? member_text(part, "toner") : NULL;
    if (!opt->json && toner)
        print_part(opt, part);
    else if (!opt->json && value)
        print_value(opt, batch, field, value);
    /* A sum has a part in every event, and so has a toner where the events name none. */
    if (print_events(opt, events, toner) == 0 && toner)
        print_events(opt, events, NULL);
    return 0;
}

/* The newest 500 events, as batch.get gives them; a batch of more is a case for --json and `before`. */
int command_why(struct poise_options *opt)
{
    return ask_show(opt, "batch.get", json_pack("{s:s}", "batch", opt->word[0]), explain);
}
