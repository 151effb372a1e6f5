/* checks_command.c - `poise checks`: the log of check weights, a line each, and below one that failed what was
 * weighed then. It must not know what makes a check fail: the daemon says so. The oldest stands first, as in a
 * logbook. CSV is the daemon's own text, with every reading and the errors in d, and bears its head. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "client/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* Only below a check that failed: these batches were weighed by a scale that may have been wrong since the check
 * before, and somebody has to decide about them. */
static void print_batches(const struct poise_options *opt, const json_t *line)
{
    size_t i;
    const json_t *batch;
    if (json_array_size(member_list(line, "batches")) == 0)
        return;
    fputs("    ", stdout);
    output_say(opt->style, stdout, "checks.meanwhile");
    json_array_foreach(member_list(line, "batches"), i, batch)
    {
        fputs(i ? ", " : " ", stdout);
        output_text(json_string_value(batch) ? json_string_value(batch) : "?", opt->style, stdout);
    }
    fputc('\n', stdout);
}

/* What a line of 80 columns holds; all readings, and the errors in d, are in --csv and --json. Error and empty pan
 * to the decimals of the interval at that load; the tolerance as somebody wrote it. */
static void check_row(const struct poise_options *opt, struct table *t, const json_t *line)
{
    bool passed = json_is_true(json_object_get(line, "passed"));
    const char *who = member_text(line, "who");
    int decimals = number_decimals(member_number(line, "d_g"));
    table_row(t,
              (const char *const[]){figure_minute(member_text(line, "time")).text, member_text(line, "station"),
                                    *who ? who : "-", figure_plain(member_number(line, "grams"), "g", opt->style).text,
                                    figure_signed(member_number(line, "error_g"), decimals, "g", opt->style).text,
                                    figure_signed(member_number(line, "zero_g"), decimals, "g", opt->style).text,
                                    figure_plain(member_number(line, "tolerance_g"), "g", opt->style).text,
                                    words_of(opt->style.language, passed ? "check.good" : "check.failed")});
}

/* The table as text, a line a row after the one of the head; to be freed. NULL without memory: nothing is printed
 * then, and the sums below still are. */
static char *lines_of(const struct poise_options *opt, const json_t *list)
{
    static const char *const titles[] = {"column.when",   "column.station",   "column.who",    "column.weight",
                                         "column.off_by", "column.empty_pan", "column.allowed"};
    const char *head[sizeof titles / sizeof *titles + 1] = {0};
    char *text = NULL;
    size_t size, i;
    const json_t *line;
    FILE *page = open_memstream(&text, &size);
    struct table t;
    table_init(&t, "lllrrrrl", opt->style);
    for (size_t c = 0; c < sizeof titles / sizeof *titles; c++)
        head[c] = words_of(opt->style.language, titles[c]);
    table_row(&t, head);
    json_array_foreach(list, i, line) check_row(opt, &t, line);
    if (page) {
        table_print(&t, "", page);
        fclose(page);
    }
    table_finish(&t);
    return text;
}

/* The table is laid out as a whole first, so that its columns agree, and then cut into lines to put the batches
 * between them. `made` and `failed` count all that the days hold, also what `more` leaves out. */
static void print_checks(const struct poise_options *opt, const json_t *answer)
{
    const json_t *list = member_list(answer, "checks");
    char *text = lines_of(opt, list), *rest = text;
    for (size_t row = 0; text && row <= json_array_size(list); row++) {
        puts(strsep(&rest, "\n"));
        if (row > 0)
            print_batches(opt, json_array_get(list, row - 1));
    }
    free(text);
    output_line(opt->style, "checks.made made=%f failed=%f", member_number(answer, "made"),
                member_number(answer, "failed"));
    if (json_is_true(json_object_get(answer, "more")))
        output_line(opt->style, "checks.more");
}

/* CSV and JSON hold every figure that the daemon keeps of a check; the table holds what a line of 80 columns can. */
static int show_checks(struct ask *a, const json_t *answer)
{
    const struct poise_options *opt = a->opt;
    const json_t *list = member_list(answer, "checks");
    bool days = opt->text[OPTION_FROM] || opt->text[OPTION_TO];
    if (opt->text[OPTION_CSV])
        fputs(member_text(answer, "csv"), stdout); /* the daemon's own lines, as a spreadsheet reads them */
    else if (opt->json)
        output_items(list);
    else if (json_array_size(list) > 0)
        print_checks(opt, answer);
    if (json_array_size(list) > 0)
        return 0;
    return failure_say(opt->style, FAILURE_NOTHING_FOUND, a->what, days ? "checks_none_then" : "checks_none");
}

/* --station is no bench to act at here but a filter; left out, the checks of all benches are listed. */
int command_checks(struct poise_options *opt)
{
    json_t *params = NULL;
    int code = params_of(opt, &params);
    if (code)
        return code;
    if (opt->station)
        json_object_set_new(params, "station", json_string(opt->station));
    if (opt->text[OPTION_CSV])
        json_object_set_new(params, "csv", json_true());
    return ask_show(opt, "report.checks", params, show_checks);
}
