/* order_command.c - `poise order`: one repair order with its coats, shown or put; `poise card`: a spray-out card kept,
 * or what matched that colour before. It must not know what becomes of a coat: the daemon follows its batches.
 *
 * An order is put whole (order.put replaces it), so what is typed is laid over what it was: a coat is added, an option
 * replaces what it names, and the rest stays. Taking a coat off the list is the page's: there it is seen what goes. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

enum { UNKNOWN = -32001 }; /* of the protocol: no such order */

/* ---- an order shown ---- */

/* What is to be sprayed of it: grams, or the panels by name. Their coats and shares are in --json: a line of the list
 * is read by who looks for the next coat. */
static void amount_of(const struct poise_options *opt, const json_t *coat, char *out, size_t size)
{
    size_t i, used = 0;
    const json_t *panel;
    snprintf(out, size, "%s",
             isfinite(member_number(coat, "grams")) ? figure_plain(member_number(coat, "grams"), "g", opt->style).text
                                                    : "");
    json_array_foreach(member_list(coat, "panels"), i, panel) if (used < size) used +=
        (size_t)snprintf(out + used, size - used, "%s%.60s", used ? ", " : "", member_text(panel, "name"));
}

/* In spraying order, each with what became of it and the batches it was mixed in. A product has no coat's name of its
 * own; what it is called stands in the column of colours. */
static void print_coats(const struct poise_options *opt, const json_t *order)
{
    struct table t;
    size_t i, b;
    const json_t *coat, *batch;
    table_init(&t, "rlllll", opt->style);
    json_array_foreach(member_list(order, "coats"), i, coat)
    {
        char amount[200], batches[120] = "";
        const char *what = *member_text(coat, "formula") ? member_text(coat, "formula") : member_text(coat, "product");
        size_t used = 0;
        amount_of(opt, coat, amount, sizeof amount);
        json_array_foreach(member_list(coat, "batches"), b, batch) if (used < sizeof batches) used +=
            (size_t)snprintf(batches + used, sizeof batches - used, "%s%s", used ? ", " : "", json_string_value(batch));
        table_row(&t, (const char *const[]){figure_plain((double)i + 1, "", opt->style).text, what,
                                            wording_fixed(opt->style, "coat", member_text(coat, "coat")), amount,
                                            wording_fixed(opt->style, "state", member_text(coat, "state")), batches});
    }
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* One line that says which order it is; what is not known is left out. */
static void print_order(struct ask *a, const json_t *order)
{
    const struct poise_options *opt = a->opt;
    static const char *const members[] = {"order", "vehicle", "painter"};
    if (opt->json) {
        output_json(order);
        return;
    }
    ask_style(a);
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        if (*member_text(order, members[i])) {
            fputs(i ? "   " : "", stdout);
            output_text(member_text(order, members[i]), opt->style, stdout);
        }
    if (*member_text(order, "due")) {
        fputs("   ", stdout);
        output_say(opt->style, stdout, "order.due day=%s", member_text(order, "due"));
    }
    if (json_is_true(json_object_get(order, "closed"))) {
        fputs("   ", stdout);
        output_say(opt->style, stdout, "book.closed");
    }
    fputc('\n', stdout);
    print_coats(opt, order);
    if (member_number(order, "cost") > 0)
        output_line(opt->style, "plan.cost cost=%s",
                    figure_of(member_number(order, "cost"), 2, member_text(order, "currency"), opt->style).text);
}

/* ---- an order put ---- */

/* `door:2,bonnet` behind the @ of a coat: as `--panel` of a plan has them, so that a person learns it once. An area
 * that the panel does not have of its kind can be given by the page or by `poise call` alone. */
static int put_panels(struct output_style style, json_t *coat, const char *text)
{
    char one[96];
    int code = 0;
    while (code == 0 && *text) {
        size_t n = strcspn(text, ",");
        if (n >= sizeof one) /* cut, it would be another panel, or the whole in place of its edges */
            return failure_say(style, EX_USAGE, "order", "no_panel value=%s", text);
        snprintf(one, sizeof one, "%.*s", (int)n, text);
        code = params_panel(style, "order", coat, one);
        text += n + (text[n] == ',');
    }
    return code;
}

/* `CODE[:COAT[:VARIANT]][=GRAMS|@PANEL[:COATS[:SHARE]][:edges],...]` as a coat of an order. Whether CODE is a formula
 * or a product the daemon knows; coat and variant are its to judge when the order is put. Without an amount the bench
 * asks for it. */
static int coat_of(struct ask *a, const char *text, json_t **out)
{
    struct output_style style = a->opt->style;
    char code_word[96], *coat_word, *variant = NULL;
    const char *member = NULL;
    size_t n = strcspn(text, "=@");
    double grams = 0;
    if (n == 0 || n >= sizeof code_word)
        return failure_say(style, EX_USAGE, "order", "no_coat value=%s", text);
    snprintf(code_word, sizeof code_word, "%.*s", (int)n, text);
    if ((coat_word = strchr(code_word, ':')))
        *coat_word++ = '\0';
    if (coat_word && (variant = strchr(coat_word, ':')))
        *variant++ = '\0';
    int code = ask_code_member(a, code_word, &member);
    json_t *coat = *out = json_pack("{s:s*, s:s*}", "coat", coat_word, "variant", variant);
    if (code == 0)
        json_object_set_new(coat, member, json_string(code_word));
    if (code == 0 && text[n] == '=') {
        code = number_read_above_0(style, "order", text + n + 1, &grams);
        json_object_set_new(coat, "grams", params_number(grams));
    }
    if (code == 0 && text[n] == '@')
        code = put_panels(style, coat, text + n + 1);
    return code;
}

/* What an order is put as: what it was, so that a put of one thing leaves the others. Members that the daemon adds are
 * dropped by it. A new one is empty. */
static int order_before(struct ask *a, const char *id, json_t **order)
{
    json_t *answer = NULL; /* an error is no fault here: an order that is not there is made */
    int code = ask_answer(a, "order.get", json_pack("{s:s}", "order", id), &answer);
    json_t *error = json_object_get(answer, "error");
    bool unknown = json_integer_value(json_object_get(error, "code")) == UNKNOWN;
    if (code == 0 && error && !unknown)
        code = failure_error(a->opt->style, a->what, error);
    *order = code == 0 && !error ? json_deep_copy(json_object_get(answer, "result"))
                                 : json_pack("{s:s, s:[]}", "order", id, "coats");
    json_decref(answer);
    return code;
}

/* Words are coats, added behind those that it has; options replace what they name. Two who put one order at the same
 * moment may lose a coat of one of them: the last put holds, and what was mixed already is never lost (-32005 `used`).
 */
static int put_order(struct ask *a, const json_t *wishes, json_t **result)
{
    const struct poise_options *opt = a->opt;
    json_t *order = NULL;
    int code = order_before(a, opt->word[0], &order);
    json_object_update(order, (json_t *)(uintptr_t)wishes);
    for (size_t i = 1; code == 0 && i < opt->word_count; i++) {
        json_t *coat = NULL;
        code = coat_of(a, opt->word[i], &coat);
        json_array_append_new(json_object_get(order, "coats"), coat);
    }
    if (code == 0)
        code = ask_change(a, "order.put", json_incref(order), result);
    json_decref(order);
    return code;
}

/* One command for both, as an order's number is what is at hand: a number alone shows the order; a coat or an option
 * changes it, or makes a new one. */
int command_order(struct poise_options *opt)
{
    struct ask a;
    json_t *wishes = NULL, *result = NULL;
    int code = params_of(opt, &wishes);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0 && (opt->word_count > 1 || json_object_size(wishes) > 0))
        code = put_order(&a, wishes, &result);
    else if (code == 0)
        code = ask_call(&a, "order.get", json_pack("{s:s}", "order", opt->word[0]), &result);
    if (code == 0)
        print_order(&a, result);
    json_decref(wishes);
    json_decref(result);
    ask_close(&a);
    return code;
}

/* ---- a spray-out card ---- */

/* The colour it was sprayed of, else the batch: a card of a batch that is no formula's has no other name. */
static void print_card(const struct poise_options *opt, const json_t *card)
{
    const char *verdict = member_text(card, "verdict"), *of = member_text(card, "formula");
    output_line(opt->style, "card.line card=%s of=%s verdict=%s day=%s", member_text(card, "card"),
                *of ? of : member_text(card, "batch"), wording_fixed(opt->style, "page.card", verdict),
                figure_day(member_text(card, "time")).text);
}

/* A batch as people write it; anything else is a formula's code. */
static bool is_batch(const char *word)
{
    word += strncmp(word, "POISE:", 6) == 0 ? 6 : *word == '#';
    return *word && word[strspn(word, "0123456789")] == '\0';
}

/* What matched that colour on earlier orders, matches first, then the newest. Fifty are more than anybody holds against
 * a vehicle; all that there are stand in `poise cards`. */
static int match_cards(struct ask *a, const json_t *params)
{
    const struct poise_options *opt = a->opt;
    json_t *cards = json_array(), *asked = json_deep_copy(params);
    const json_t *card;
    bool more = false;
    size_t i;
    int code = ask_pages(a, "card.match", asked, "cards", 50, cards, &more);
    if (code == 0 && opt->json)
        output_items(cards);
    else if (code == 0)
        json_array_foreach(cards, i, card) print_card(opt, card);
    if (code == 0 && json_array_size(cards) == 0)
        code = failure_say(opt->style, FAILURE_NOTHING_FOUND, "card", "card_none");
    json_decref(asked);
    json_decref(cards);
    return code;
}

/* The verdict is a word and no option, since it is what a card is kept for. With a verdict the card is kept; the words
 * behind it are a note. Without one it is a search. */
int command_card(struct poise_options *opt)
{
    static const char *const verdicts[] = {"match", "near", "no"};
    struct ask a;
    json_t *params = NULL, *card = NULL;
    bool keeps = false;
    int code = params_of(opt, &params);
    if (code)
        return code;
    for (size_t i = 0; opt->word_count > 1 && i < sizeof verdicts / sizeof *verdicts; i++)
        keeps = keeps || strcmp(verdicts[i], opt->word[1]) == 0;
    if (opt->word_count > 1 && !keeps) {
        json_decref(params);
        return failure_say(opt->style, EX_USAGE, "card", "no_choice value=%s choices=%s", opt->word[1],
                           "match|near|no");
    }
    char *note = options_sentence(opt, 2);
    json_object_set_new(params, is_batch(opt->word[0]) ? "batch" : "formula", json_string(opt->word[0]));
    if (keeps)
        json_object_set_new(params, "verdict", json_string(opt->word[1]));
    if (note)
        json_object_set_new(params, "note", json_string(note));
    free(note);
    code = ask_open(&a, opt);
    if (code == 0 && !keeps)
        code = match_cards(&a, params);
    else if (code == 0)
        code = ask_change(&a, "card.put", json_incref(params), &card);
    if (code == 0 && keeps && opt->json)
        output_json(card);
    else if (code == 0 && keeps)
        print_card(opt, card);
    json_decref(params);
    json_decref(card);
    ask_close(&a);
    return code;
}
