/* shelf_command.c - the small errands beside a pour: what a code is (`poise scan`), a cup on the shelf (`shelve`,
 * `leftover`, `discard`), the tins (`stock`), and who works here (`sign-in`, `sign-out`). Each is one call of the
 * daemon and one line of answer. It must not know what a code means, what is left in a cup, nor who may do what. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/status.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* Grams to 0.1: finer says nothing of a tin or of a cup on a shelf. */
static struct figure grams_of(const struct ask *a, const json_t *of, const char *member)
{
    return figure_of(member_number(of, member), 1, "g", a->opt->style);
}

/* The answer of an errand, printed: the object with --json, else what `lines` makes of it. */
static void answered(struct ask *a, const json_t *result, void (*lines)(struct ask *a, const json_t *result))
{
    if (a->opt->json) {
        output_json(result);
        return;
    }
    ask_style(a);
    lines(a, result);
}

/* A call that changes something, with its answer. It bears a request, so a connection that breaks after the daemon has
 * done it receives no tin twice and throws no cup away twice. Takes params. */
static int change(struct poise_options *opt, const char *method, json_t *params,
                  void (*lines)(struct ask *a, const json_t *result))
{
    struct ask a;
    json_t *result = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_change(&a, method, json_incref(params), &result);
    if (code == 0)
        answered(&a, result, lines);
    json_decref(params);
    json_decref(result);
    ask_close(&a);
    return code;
}

/* ---- poise scan ---- */

/* What it is, and the command for what may be done with it at that bench; where there is none, the page and the
 * terminal begin it. */
static void scan_lines(struct ask *a, const json_t *result)
{
    struct output_style style = a->opt->style;
    const json_t *act = json_object_get(result, "act"), *params = json_object_get(act, "params");
    const char *method = member_text(act, "method");
    output_line(style, "scan.is text=%s",
                wording_said(style, json_object_get(result, "said"), member_text(result, "kind")).text);
    if (strcmp(method, "batch.tin") == 0)
        output_line(style, "scan.then command=%s word=%s", "tin", member_text(params, "code"));
    else if (strcmp(method, "batch.resume") == 0)
        output_line(style, "scan.then command=%s word=%s", "resume", member_text(params, "batch"));
    else if (strcmp(method, "people.sign_in") == 0)
        output_line(style, "scan.then command=%s word=%s", "sign-in", member_text(params, "painter"));
    else if (strcmp(member_text(result, "kind"), "cup") == 0)
        output_line(style, "scan.then command=%s word=%s", "show", member_text(result, "batch"));
    else if (strcmp(member_text(result, "kind"), "order") == 0)
        output_line(style, "scan.then command=%s word=%s", "order", member_text(result, "order"));
}

/* With several benches and none named the code is told all the same, without a call for it. */
int command_scan(struct poise_options *opt)
{
    struct ask a;
    json_t *result = NULL, *info = NULL;
    char *code_read = options_sentence(opt, 0);
    json_t *params = json_pack("{s:s}", "code", code_read);
    int code = ask_open(&a, opt);
    if (code == 0 && !opt->station) {
        code = ask_call(&a, "daemon.info", json_object(), &info);
        if (json_array_size(member_list(info, "stations")) == 1)
            json_object_set(params, "station", json_array_get(member_list(info, "stations"), 0));
    }
    if (opt->station)
        json_object_set_new(params, "station", json_string(opt->station));
    if (code == 0)
        code = ask_call(&a, "scan", json_incref(params), &result);
    if (code == 0)
        answered(&a, result, scan_lines);
    json_decref(params);
    json_decref(result);
    json_decref(info);
    free(code_read);
    ask_close(&a);
    return code;
}

/* ---- poise shelve, leftover, discard ---- */

/* Where it stands, and until when it may be used: the daemon counts that day from the line's own time on the shelf
 * where nobody names one. */
static void shelved(struct ask *a, const json_t *result)
{
    const json_t *shelf = json_object_get(result, "shelf");
    const char *use_by = member_text(shelf, "use_by");
    output_line(a->opt->style,
                *use_by ? "shelf.stands_until batch=%s place=%s use_by=%s" : "shelf.stands batch=%s place=%s",
                member_text(result, "batch"), member_text(shelf, "place"), figure_day(use_by).text);
}

/* What is left, and what was sprayed of it: by the second figure a painter sees how good the estimate was. */
static void weighed_back(struct ask *a, const json_t *result)
{
    output_line(a->opt->style, "shelf.left batch=%s left=%s used=%s", member_text(result, "batch"),
                grams_of(a, result, "left_g").text, grams_of(a, result, "used_g").text);
}

/* What the daemon says comes last: activated paint must stand open until it is cured. */
static void discarded(struct ask *a, const json_t *result)
{
    struct output_style style = a->opt->style;
    output_line(style, "shelf.discarded batch=%s waste=%s left=%s", member_text(result, "batch"),
                grams_of(a, result, "waste_g").text, grams_of(a, result, "left_g").text);
    if (json_is_object(json_object_get(result, "said")))
        output_line(style, "scan.is text=%s", wording_said(style, json_object_get(result, "said"), "").text);
}

/* One row a command: which method, what the words behind the batch fill, and how the answer reads. */
int command_shelf(struct poise_options *opt)
{
    static const struct {
        const char *command, *method, *member;
        void (*lines)(struct ask *a, const json_t *result);
    } rows[] = {{"shelve", "batch.shelve", "place", shelved},
                {"leftover", "batch.weigh_back", NULL, weighed_back},
                {"discard", "batch.discard", "why", discarded}};
    json_t *params = NULL;
    size_t at = 0;
    while (strcmp(rows[at].command, opt->command->name) != 0)
        at++; /* commands.c sends no other name here */
    if (strcmp(rows[at].command, "leftover") == 0 && !opt->text[OPTION_GROSS])
        return failure_say(opt->style, EX_USAGE, "leftover", "gross_missing");
    int code = params_of(opt, &params);
    if (code)
        return code;
    char *words = options_sentence(opt, 1);
    json_object_set_new(params, "batch", json_string(opt->word[0]));
    if (words && rows[at].member)
        json_object_set_new(params, rows[at].member, json_string(words));
    free(words);
    return change(opt, rows[at].method, params, rows[at].lines);
}

/* ---- poise stock: the list is one of the books, the three words behind it are errands ---- */

/* What is there now; of a count what it differed by, since paint that nobody weighed went somewhere. Of a stirring the
 * hour alone. */
static void stock_line(struct ask *a, const json_t *result)
{
    struct output_style style = a->opt->style;
    const char *lot = a->opt->text[OPTION_LOT];
    if (*member_text(result, "time")) {
        output_line(style, "stock.stirred time=%s", figure_minute(member_text(result, "time")).text);
        return;
    }
    output_line(style, "stock.there toner=%s grams=%s", member_text(result, "toner"),
                grams_of(a, result, "grams").text);
    if (isfinite(member_number(result, "difference_g")))
        output_line(style, "stock.differs lot=%s grams=%s", lot ? lot : member_text(result, "toner"),
                    figure_signed(member_number(result, "difference_g"), 1, "g", style).text);
    if (json_is_object(json_object_get(result, "said")))
        output_line(style, "scan.is text=%s", wording_said(style, json_object_get(result, "said"), "").text);
}

/* `receive` and `count` take a toner and grams, `stir` a toner or `all`. The words are counted here and not by the
 * table of commands, which knows one grammar a command. */
static int stock_change(struct poise_options *opt, const char *verb)
{
    bool stir = strcmp(verb, "stir") == 0;
    char method[24];
    json_t *params = NULL;
    double grams = 0;
    int code = params_of(opt, &params);
    if (code == 0 && opt->word_count != (stir ? 2u : 3u))
        code = failure_say(opt->style, EX_USAGE, "stock", stir ? "stock_stir_what" : "stock_how_much verb=%s", verb);
    if (code == 0 && !stir)
        code = number_read(opt->style, verb, opt->word[2], &grams);
    if (code) {
        json_decref(params);
        return code;
    }
    /* In the morning the whole bank is stirred, so `all` is what is typed most. */
    if (stir && strcmp(opt->word[1], "all") == 0)
        json_object_set_new(params, "all", json_true());
    else
        json_object_set_new(params, "toner", json_string(opt->word[1]));
    if (!stir)
        json_object_set_new(params, "grams", params_number(grams));
    snprintf(method, sizeof method, "stock.%s", verb);
    return change(opt, method, params, stock_line);
}

/* Without one of the three words it lists; a word is then a toner's id. Two words that begin with none of them are a
 * slip, told as one: a list of a toner called `recieve` would help nobody. */
int command_stock(struct poise_options *opt)
{
    static const char *const verbs[] = {"receive", "count", "stir"};
    for (size_t i = 0; opt->word_count > 0 && i < sizeof verbs / sizeof *verbs; i++)
        if (strcmp(verbs[i], opt->word[0]) == 0)
            return stock_change(opt, verbs[i]);
    if (opt->word_count > 1)
        return failure_say(opt->style, EX_USAGE, "stock", "stock_verb word=%s", opt->word[0]);
    return command_book(opt);
}

/* ---- poise sign-in, sign-out ---- */

/* A name is no right; the screen that is printed says who works there from now on. */
int command_sign(struct poise_options *opt)
{
    struct ask a;
    json_t *screen = NULL;
    bool in = strcmp(opt->command->name, "sign-in") == 0;
    char *painter = options_sentence(opt, 0);
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_station(&a);
    if (code == 0)
        code = ask_change(&a, in ? "people.sign_in" : "people.sign_out",
                          json_pack("{s:s, s:s*}", "station", a.station, "painter", painter), &screen);
    if (code == 0 && opt->json)
        output_json(screen);
    else if (code == 0 && in)
        output_line(opt->style, "sign.in painter=%s station=%s", member_text(screen, "signed_in"), a.station);
    else if (code == 0)
        output_line(opt->style, "sign.out station=%s", a.station);
    json_decref(screen);
    free(painter);
    ask_close(&a);
    return code;
}
