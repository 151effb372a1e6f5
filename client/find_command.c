/* find.c - `poise find`: batches by word, order, day. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* As many batches as a person reads through; --limit asks for more. */
enum { FIND_LIMIT = 50 };

/* The variant, and what makes the cup another colour than that: it must not look like a plain one. */
static void variant_of(const struct poise_options *opt, const json_t *b, char *out, size_t size)
{
    bool tinted = json_array_size(member_list(b, "tinted")) > 0,
         foreign = json_array_size(member_list(b, "foreign")) > 0;
    const char *variant = member_text(b, "variant");
    snprintf(out, size, "%.90s%s%.30s%s%.30s", variant, tinted && *variant ? ", " : "",
             tinted ? wording_of(opt->style, "find.tinted").text : "", foreign && (*variant || tinted) ? ", " : "",
             foreign ? wording_of(opt->style, "find.foreign").text : "");
}

static void batch_row(const struct poise_options *opt, struct table *t, const json_t *b)
{
    char formula[160], variant[160];
    double left = member_number(b, "left_g");
    const char *finished = member_text(b, "finished"), *use_by = member_text(b, "use_by");
    bool scrapped =
        strcmp(member_text(b, "state"), "scrapped") == 0; /* it has a day as well, and must not look mixed */
    snprintf(formula, sizeof formula, "%s %s", member_text(b, "formula"), member_text(b, "name"));
    variant_of(opt, b, variant, sizeof variant);
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

/* Pages until `most` are there: the daemon decides how many it gives at once. */
static int collect(struct ask *a, json_t *params, json_int_t most, json_t *batches, bool *more)
{
    for (;;) {
        json_t *found = NULL;
        json_int_t left = most - (json_int_t)json_array_size(batches);
        json_object_set_new(params, "limit", json_integer(left));
        int code = ask_call(a, "batch.find", json_incref(params), &found);
        const json_t *page = member_list(found, "batches");
        json_t *next = json_object_get(found, "next");
        *more = next && !json_is_null(next);
        size_t got = json_array_size(page);
        json_array_extend(batches, (json_t *)page);
        json_object_set(params, "after", next);
        json_decref(found);
        if (code || !*more || got == 0 || (json_int_t)json_array_size(batches) >= most)
            return code;
    }
}

/* `limit` in the params is overwritten page by page: collect counts down to it. */
static int find_in(struct ask *a, json_t *params)
{
    bool more = false;
    json_t *limit = json_object_get(params, "limit");
    json_int_t most = limit ? json_integer_value(limit) : FIND_LIMIT;
    json_t *batches = json_array();
    int code = collect(a, params, most, batches, &more);
    if (code == 0 && !a->opt->json)
        ask_style(a);
    if (code == 0)
        print_batches(a->opt, batches, more);
    if (code == 0 && json_array_size(batches) == 0)
        code = failure_say(a->opt->style, FAILURE_NOTHING_FOUND, "find", "find_none");
    json_decref(batches);
    return code;
}

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
