/* workoff_command.c - `poise workoff`: which cups of the shelf a batch could use up, and what has to be added. It must
 * not know how that is worked out, nor which cup may go: the daemon does (mix.workoff), and says of each that stays
 * why.
 *
 * Nothing is begun by it. The last line is the beginning to type, with all that was typed here and the cups' grams as
 * the daemon worked them out.
 */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* The cups that go with their grams, and those that stay with the reason; then what is poured fresh. Grams to two
 * decimals, as in a plan. */
static void print_rows(const struct poise_options *opt, const json_t *answer)
{
    struct table t;
    size_t i;
    const json_t *one;
    table_init(&t, ".rl", opt->style);
    json_array_foreach(member_list(answer, "batches"), i, one)
    {
        double use_g = json_number_value(json_array_get(member_list(answer, "use_g"), i));
        const char *why = json_string_value(json_array_get(member_list(answer, "why"), i));
        table_row(&t, (const char *const[]){wording_of(opt->style, "workoff.cup batch=%s", json_string_value(one)).text,
                                            use_g > 0 ? figure_of(use_g, 2, "g", opt->style).text : "",
                                            why ? wording_fixed(opt->style, "book.workoff", why) : ""});
    }
    json_array_foreach(member_list(answer, "toners"), i, one)
    {
        double add_g = json_number_value(json_array_get(member_list(answer, "add_g"), i));
        if (add_g > 0)
            table_row(&t, (const char *const[]){json_string_value(one), figure_of(add_g, 2, "g", opt->style).text, ""});
    }
    if (member_number(answer, "reducer_g") > 0)
        table_row(&t,
                  (const char *const[]){wording_of(opt->style, "workoff.reducer").text,
                                        figure_of(member_number(answer, "reducer_g"), 2, "g", opt->style).text, ""});
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* One option as it was typed, where it was. False: no more room, and what is there is no whole command. */
static bool add_option(enum option_id id, const char *text, char *out, size_t size)
{
    size_t used = strlen(out);
    bool blank = text && strpbrk(text, " \t") != NULL;
    if (!text)
        return true;
    return (size_t)snprintf(out + used, size - used, blank ? " --%s '%s'" : " --%s %s", option_rows[id].name, text) <
           size - used;
}

/* What to type next: the same coat and amount, from these cups. */
static void print_next(const struct poise_options *opt, const json_t *answer)
{
    static const enum option_id kept[] = {OPTION_STATION, OPTION_VARIANT, OPTION_COAT,   OPTION_GRAMS,
                                          OPTION_ML,      OPTION_REDUCE,  OPTION_REDUCER};
    char line[900], have[80];
    size_t i;
    const json_t *one;
    bool whole = true;
    snprintf(line, sizeof line, "%.60s", opt->word[0]);
    for (i = 0; i < sizeof kept / sizeof *kept; i++)
        whole = whole && add_option(kept[i], opt->text[kept[i]], line, sizeof line);
    for (i = 0; i < opt->many_count; i++)
        whole = whole && add_option(opt->many[i].id, opt->many[i].text, line, sizeof line);
    json_array_foreach(member_list(answer, "have"), i, one)
    {
        snprintf(have, sizeof have, "%.24s:%.10g", member_text(one, "batch"), member_number(one, "grams"));
        whole = whole && add_option(OPTION_HAVE, have, line, sizeof line);
    }
    if (whole && json_array_size(member_list(answer, "have")) > 0)
        output_line(opt->style, "scan.then command=%s word=%s", "begin", line);
}

static int show(struct ask *a, const json_t *answer)
{
    const struct poise_options *opt = a->opt;
    if (opt->json) {
        output_json(answer);
        return 0;
    }
    if (json_array_size(member_list(answer, "batches")) == 0)
        return failure_say(opt->style, FAILURE_NOTHING_FOUND, opt->word[0], "workoff_no_cup");
    print_rows(opt, answer);
    if (isfinite(member_number(answer, "cost")))
        output_line(opt->style, "plan.cost cost=%s",
                    figure_of(member_number(answer, "cost"), 2, ask_currency(a), opt->style).text);
    print_next(opt, answer);
    return 0;
}

/* Words behind the code are the cups that may go; without one all of the shelf may, the oldest first. */
int command_workoff(struct poise_options *opt)
{
    json_t *params = NULL, *cups = json_array();
    int code = params_amount(opt, true);
    if (code == 0)
        code = params_of(opt, &params);
    if (code) {
        json_decref(cups);
        return code;
    }
    for (size_t i = 1; i < opt->word_count; i++)
        json_array_append_new(cups, json_pack("{s:s}", "batch", opt->word[i]));
    if (opt->word_count > 1)
        json_object_set(params, "leftovers", cups);
    json_decref(cups);
    json_object_set_new(params, "formula", json_string(opt->word[0]));
    if (opt->station)
        json_object_set_new(params, "station", json_string(opt->station));
    return ask_show(opt, "mix.workoff", params, show);
}
