/* scales.c - `poise scales`: the benches' scales as they are now. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/figure.h"
#include "client/member.h"
#include "client/output.h"
#include "client/table.h"

#include <stdio.h>
#include <string.h>

static void scale_row(const struct poise_options *opt, struct table *t, const json_t *s)
{
    double d = member_number(s, "d_g");
    const json_t *stable = json_object_get(s, "stable");
    char weight[96] = "", age[64] = "";
    if (strcmp(member_text(s, "state"), "live") == 0) { /* what is not live must not look like a weight */
        snprintf(weight, sizeof weight, "%s%s",
                 figure_of(member_number(s, "weight_g"), figure_decimals(d), "g", opt->style).text,
                 json_is_true(stable)    ? " stable"
                 : json_is_false(stable) ? " moving"
                                         : "");
        snprintf(age, sizeof age, "%s", figure_of(member_number(s, "age_ms"), 0, "ms old", opt->style).text);
    }
    char interval[160];
    snprintf(interval, sizeof interval, "d %s, up to %s", figure_plain(d, "g", opt->style).text,
             figure_plain(member_number(s, "capacity_g"), "g", opt->style).text);
    table_row(t, (const char *const[]){member_text(s, "station"), member_text(s, "state"), weight, age,
                                       member_text(s, "port"), member_text(s, "profile"), interval,
                                       member_text(s, "why")});
}

int command_scales(struct poise_options *opt)
{
    struct ask a;
    json_t *answer = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "scale.list", json_object(), &answer);
    if (code == 0 && opt->json) {
        output_items(member_list(answer, "scales"));
    } else if (code == 0) {
        struct table t;
        size_t i;
        const json_t *s;
        ask_style(&a);
        table_init(&t, "llrrllll", opt->style.utf8);
        json_array_foreach(member_list(answer, "scales"), i, s) scale_row(opt, &t, s);
        table_print(&t, "", stdout);
        table_finish(&t);
    }
    json_decref(answer);
    ask_close(&a);
    return code;
}
