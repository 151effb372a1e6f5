/* plan.c - `poise plan`: what a coat would take, before anything is poured. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/params.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void components(const struct poise_options *opt, const json_t *plan)
{
    struct table t;
    size_t i;
    const json_t *part;
    table_init(&t, "l.rrr", opt->style);
    json_array_foreach(member_list(plan, "components"), i, part)
    {
        table_row(&t, (const char *const[]){member_text(part, "toner"), member_text(part, "name"),
                                            figure_of(member_number(part, "aim_g"), 2, "g", opt->style).text,
                                            figure_of(member_number(part, "aim_ml"), 1, "mL", opt->style).text,
                                            figure_of(100 * member_number(part, "share"), 2, "%", opt->style).text});
    }
    /* Hardener and the like, by the product's ratio. */
    json_array_foreach(member_list(plan, "additions"), i, part)
    {
        table_row(&t, (const char *const[]){member_text(part, "toner"), member_text(part, "name"),
                                            figure_of(member_number(part, "grams"), 2, "g", opt->style).text,
                                            figure_of(member_number(part, "ml"), 1, "mL", opt->style).text, ""});
    }
    const json_t *reducer = json_object_get(plan, "reducer");
    if (json_is_object(reducer)) {
        bool by_volume = strcmp(member_text(reducer, "basis"), "volume") == 0;
        struct wording how =
            wording_of(opt->style, by_volume ? "plan.reducer_by_volume pct=%s" : "plan.reducer_by_weight pct=%s",
                       figure_plain(member_number(reducer, "pct"), "%", opt->style).text);
        table_row(&t, (const char *const[]){member_text(reducer, "toner"), how.text,
                                            figure_of(member_number(reducer, "grams"), 2, "g", opt->style).text,
                                            figure_of(member_number(reducer, "ml"), 1, "mL", opt->style).text, ""});
    }
    table_print(&t, "", stdout);
    table_finish(&t);
}

static void closing(const struct poise_options *opt, const json_t *plan)
{
    size_t i;
    const json_t *warning, *cup = json_object_get(plan, "cup");
    const json_t *voc = json_object_get(plan, "voc");
    if (isfinite(member_number(plan, "cost")))
        output_line(opt->style, "plan.cost cost=%s",
                    figure_of(member_number(plan, "cost"), 2, member_text(plan, "currency"), opt->style).text);
    if (json_is_object(voc))
        output_line(opt->style, "plan.voc actual=%s regulatory=%s",
                    figure_of(member_number(voc, "actual_g_per_l"), 0, "g/L", opt->style).text,
                    figure_of(member_number(voc, "regulatory_g_per_l"), 0, "g/L", opt->style).text);
    if (json_is_object(cup))
        output_line(opt->style,
                    json_is_true(json_object_get(cup, "fits")) ? "plan.cup_fits cup=%s" : "plan.cup_small cup=%s",
                    figure_plain(member_number(cup, "ml"), "mL", opt->style).text);
    if (isfinite(member_number(plan, "smallest_g")))
        output_line(opt->style, "plan.smallest grams=%s",
                    figure_of(member_number(plan, "smallest_g"), 1, "g", opt->style).text);
    json_array_foreach(member_list(plan, "warnings"), i, warning)
    {
        output_line(opt->style, "plan.warning text=%s",
                    wording_said(opt->style, warning, member_text(warning, "text")).text);
    }
}

static void print_plan(const struct poise_options *opt, const json_t *plan)
{
    static const char *const words[] = {"formula", "coat", "variant", "finish"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        output_text(wording_fixed(opt->style, words[i], member_text(plan, words[i])), opt->style, stdout);
        fputs(i + 1 < sizeof words / sizeof *words ? "   " : "", stdout);
    }
    fputs("   ", stdout);
    output_line(opt->style, "plan.total grams=%s ml=%s",
                figure_of(member_number(plan, "total_g"), 2, "g", opt->style).text,
                figure_of(member_number(plan, "total_ml"), 1, "mL", opt->style).text);
    components(opt, plan);
    closing(opt, plan);
}

int command_plan(struct poise_options *opt)
{
    struct ask a;
    const char *member = NULL;
    json_t *params = NULL, *plan = NULL;
    int code = params_amount(opt, true);
    if (code == 0)
        code = params_of(opt, &params);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0)
        code = ask_code_member(&a, opt->word[0], &member);
    if (code) {
        json_decref(params);
    } else {
        json_object_set_new(params, member, json_string(opt->word[0]));
        code = ask_call(&a, "mix.plan", params, &plan);
    }
    if (code == 0 && opt->json)
        output_json(plan);
    if (code == 0 && !opt->json) {
        ask_style(&a);
        print_plan(opt, plan);
    }
    json_decref(plan);
    ask_close(&a);
    return code;
}
