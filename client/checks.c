/* checks.c - `poise checks`: the log of check weights, a line each, and below one that failed what was weighed then. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/fault.h"
#include "client/figure.h"
#include "client/member.h"
#include "client/output.h"
#include "client/table.h"
#include "client/when.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

static void print_batches(const json_t *line)
{
    size_t i;
    const json_t *batch;
    json_array_foreach(member_list(line, "batches"), i, batch)
        printf("%s%s", i ? ", " : "    weighed meanwhile: ", json_string_value(batch));
    if (json_array_size(member_list(line, "batches")) > 0)
        fputc('\n', stdout);
}

/* What a line of 80 columns holds; all readings, and the errors in d, are in --csv and --json. */
static void check_row(const struct poise_options *opt, struct table *t, const json_t *line)
{
    char time[sizeof(struct when)];
    bool passed = json_is_true(json_object_get(line, "passed"));
    const char *who = member_text(line, "who");
    int decimals = figure_decimals(member_number(line, "d_g"));
    snprintf(time, sizeof time, "%.16s", when_of(member_text(line, "time")).text); /* to the minute */
    table_row(t, (const char *const[]){time, member_text(line, "station"), *who ? who : "-",
                                       figure_plain(member_number(line, "grams"), "g", opt->style).text,
                                       figure_signed(member_number(line, "error_g"), decimals, "g", opt->style).text,
                                       figure_signed(member_number(line, "zero_g"), decimals, "g", opt->style).text,
                                       figure_plain(member_number(line, "tolerance_g"), "g", opt->style).text,
                                       passed ? "good" : "FAILED"});
}

/* The table as text, a line a row after the one of the head; to be freed. */
static char *lines_of(const struct poise_options *opt, const json_t *list)
{
    static const char *const head[] = {"when", "station", "who", "weight", "error", "empty pan", "allowed", ""};
    char *text = NULL;
    size_t size, i;
    const json_t *line;
    FILE *page = open_memstream(&text, &size);
    struct table t;
    table_init(&t, "lllrrrrl", opt->style.utf8);
    table_row(&t, head);
    json_array_foreach(list, i, line) check_row(opt, &t, line);
    if (page) {
        table_print(&t, "", page);
        fclose(page);
    }
    table_finish(&t);
    return text;
}

static void print_checks(const struct poise_options *opt, const json_t *answer)
{
    bool all = !opt->text[OPTION_FROM] && !opt->text[OPTION_TO];
    const json_t *list = member_list(answer, "checks");
    char *text = json_array_size(list) > 0 ? lines_of(opt, list) : NULL, *rest = text;
    if (!text) {
        puts(all ? "no check weight yet" : "no check weight in these days");
        return;
    }
    for (size_t row = 0; row <= json_array_size(list); row++) {
        puts(strsep(&rest, "\n"));
        if (row > 0)
            print_batches(json_array_get(list, row - 1));
    }
    free(text);
    printf("%.0f made, %.0f failed\n", member_number(answer, "made"), member_number(answer, "failed"));
    if (json_is_true(json_object_get(answer, "more")))
        puts("... and later ones: give --from and --to");
}

static json_t *params_for(const struct poise_options *opt)
{
    json_t *params = json_object();
    const struct {
        const char *name, *text;
    } given[] = {{"from", opt->text[OPTION_FROM]}, {"to", opt->text[OPTION_TO]}, {"station", opt->station}};
    for (size_t i = 0; i < sizeof given / sizeof *given; i++)
        if (given[i].text)
            json_object_set_new(params, given[i].name, json_string(given[i].text));
    if (opt->text[OPTION_CSV])
        json_object_set_new(params, "csv", json_true());
    return params;
}

int command_checks(struct poise_options *opt)
{
    struct ask a;
    json_t *answer = NULL;
    if (opt->json && opt->text[OPTION_CSV])
        return fault_say(EX_USAGE, "checks", "Give one.", "--json and --csv are two ways to print it");
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "report.checks", params_for(opt), &answer);
    if (code == 0 && opt->json) {
        output_items(member_list(answer, "checks"));
    } else if (code == 0 && opt->text[OPTION_CSV]) {
        fputs(member_text(answer, "csv"), stdout);
    } else if (code == 0) {
        ask_style(&a);
        print_checks(opt, answer);
    }
    json_decref(answer);
    ask_close(&a);
    return code;
}
