/* find_command.c - `poise find`: batches by word, order, painter, place, day. It must not know how they are found:
 * the daemon searches, newest first, and gives them in pages of its own size. What is typed twice or left out is no
 * matter of ours either; nothing found is one line on stderr and exit 1. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "client/table.h"
#include "client/variant.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* As many batches as a person reads through; --limit asks for more. Batches are listed newest first, so fifty are
 * some weeks of a shop. */
enum { FIND_LIMIT = 50 };

/* In place of a day stands the state where the batch was not finished: an open or scrapped cup must not look like
 * one that can be sprayed. Weights to 0.1 g: finer says nothing of a cup on a shelf. */
static void batch_row(const struct poise_options *opt, struct table *t, const json_t *b)
{
    char formula[160], variant[160];
    double left = member_number(b, "left_g");
    const char *finished = member_text(b, "finished"), *use_by = member_text(b, "use_by");
    bool scrapped =
        strcmp(member_text(b, "state"), "scrapped") == 0; /* it has a day as well, and must not look mixed */
    snprintf(formula, sizeof formula, "%s %s", member_text(b, "formula"), member_text(b, "name"));
    variant_words(opt, b, variant, sizeof variant);
    table_row(t, (const char *const[]){
                     member_text(b, "batch"), formula, wording_fixed(opt->style, "coat", member_text(b, "coat")),
                     variant, member_text(b, "order"), member_text(b, "painter"),
                     *finished && !scrapped ? figure_day(finished).text
                                            : wording_fixed(opt->style, "state", member_text(b, "state")),
                     figure_of(member_number(b, "total_g"), 1, "g", opt->style).text,
                     isfinite(left)
                         ? wording_of(opt->style, "find.left left=%s", figure_of(left, 1, "g", opt->style).text).text
                         : "",
                     member_text(b, "place"),
                     *use_by ? wording_of(opt->style, "find.use_by time=%s", figure_minute(use_by).text).text : ""});
}

/* `more` tells that the limit cut the list; how many are left nobody counts, since counting them would cost as much
 * as listing them. */
static void print_batches(const struct poise_options *opt, const json_t *batches, bool more)
{
    struct table t;
    size_t i;
    const json_t *b;
    if (opt->json) {
        output_items(batches);
        return;
    }
    table_init(&t, "rllllllrrll", opt->style);
    json_array_foreach(batches, i, b) batch_row(opt, &t, b);
    table_print(&t, "", stdout);
    table_finish(&t);
    if (more)
        output_line(opt->style, "find.more");
}

/* JSON needs no style, so the daemon is not asked for one. */
static int find_in(struct ask *a, json_t *params)
{
    bool more = false;
    json_t *limit = json_object_get(params, "limit");
    size_t most = limit ? (size_t)json_integer_value(limit) : FIND_LIMIT;
    json_t *batches = json_array();
    int code = ask_pages(a, "batch.find", params, "batches", most, batches, &more);
    if (code == 0 && !a->opt->json)
        ask_style(a);
    if (code == 0)
        print_batches(a->opt, batches, more);
    if (code == 0 && json_array_size(batches) == 0)
        code = failure_say(a->opt->style, FAILURE_NOTHING_FOUND, "find", "find_none");
    json_decref(batches);
    return code;
}

/* --limit is the one option whose range is checked here: it counts lines of this terminal, pages are the daemon's.
 * All words together are one search text, as in the books. */
int command_find(struct poise_options *opt)
{
    struct ask a;
    json_t *params = NULL;
    char *text = options_sentence(opt, 0);
    int most = 0, code = params_of(opt, &params);
    if (code == 0 && opt->text[OPTION_LIMIT]) {
        code = number_read_count(opt->style, "--limit", opt->text[OPTION_LIMIT], 1000000, &most);
        if (code)
            json_decref(params);
    }
    if (code == 0 && text)
        json_object_set_new(params, "text", json_string(text));
    free(text);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0)
        code = find_in(&a, params);
    json_decref(params);
    ask_close(&a);
    return code;
}
