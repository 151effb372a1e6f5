/* show.c - `poise show BATCH`: one batch as it was really poured. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/figure.h"
#include "client/member.h"
#include "client/output.h"
#include "client/table.h"
#include "client/when.h"

#include <math.h>
#include <stdio.h>

static void say_member(const struct poise_options *opt, const json_t *b, const char *before, const char *name)
{
    if (!*member_text(b, name))
        return;
    fputs(before, stdout);
    table_say(member_text(b, name), opt->style.utf8, stdout);
}

static void head(const struct poise_options *opt, const json_t *b)
{
    say_member(opt, b, "batch ", "batch");
    say_member(opt, b, "   ", "formula");
    say_member(opt, b, "   ", "coat");
    say_member(opt, b, "   ", "variant");
    say_member(opt, b, "   ", "finish");
    say_member(opt, b, "   ", "state");
    fputs("\n", stdout);
    printf("begun %s", when_of(member_text(b, "begun")).text);
    if (*member_text(b, "finished"))
        printf(", finished %s", when_of(member_text(b, "finished")).text);
    say_member(opt, b, ", at ", "station");
    say_member(opt, b, ", order ", "order");
    say_member(opt, b, ", painter ", "painter");
    say_member(opt, b, ", repeats ", "repeat_of");
    fputs("\n", stdout);
}

static void parts(const struct poise_options *opt, const json_t *b)
{
    struct table t;
    size_t i;
    const json_t *p, *reducer = json_object_get(b, "reducer");
    table_init(&t, "l.rrrl", opt->style.utf8);
    table_row(&t, (const char *const[]){"", "", "aim", "poured", "off", ""});
    json_array_foreach(member_list(b, "parts"), i, p)
    {
        char lot[80] = "";
        if (*member_text(p, "lot"))
            snprintf(lot, sizeof lot, "lot %s", member_text(p, "lot"));
        table_row(&t, (const char *const[]){member_text(p, "toner"), member_text(p, "name"),
                                            figure_of(member_number(p, "aim_g"), 2, "g", opt->style).text,
                                            figure_of(member_number(p, "poured_g"), 2, "g", opt->style).text,
                                            figure_signed(member_number(p, "deviation_pct"), 2, "%", opt->style).text,
                                            lot});
    }
    if (json_is_object(reducer))
        table_row(&t, (const char *const[]){member_text(reducer, "toner"), "reducer",
                                            figure_of(member_number(reducer, "aim_g"), 2, "g", opt->style).text,
                                            figure_of(member_number(reducer, "poured_g"), 2, "g", opt->style).text, "",
                                            ""});
    table_print(&t, "", stdout);
    table_finish(&t);
}

static void closing(const struct poise_options *opt, const json_t *b)
{
    const json_t *voc = json_object_get(b, "voc"), *shelf = json_object_get(b, "shelf");
    printf("in the cup %s, %s\n", figure_of(member_number(b, "total_g"), 2, "g", opt->style).text,
           figure_of(member_number(b, "total_ml"), 1, "mL", opt->style).text);
    say_member(opt, b, "made: ", "made");
    if (member_number(b, "waste_g") > 0)
        printf("%sto waste %s", *member_text(b, "made") ? ", " : "",
               figure_of(member_number(b, "waste_g"), 2, "g", opt->style).text);
    if (*member_text(b, "made") || member_number(b, "waste_g") > 0)
        fputs("\n", stdout);
    if (isfinite(member_number(b, "cost")))
        printf("cost %s\n", figure_of(member_number(b, "cost"), 2, member_text(b, "currency"), opt->style).text);
    if (json_is_object(voc))
        printf("VOC %s, %s less water and exempt compounds\n",
               figure_of(member_number(voc, "actual_g_per_l"), 0, "g/L", opt->style).text,
               figure_of(member_number(voc, "regulatory_g_per_l"), 0, "g/L", opt->style).text);
    if (json_is_object(shelf)) {
        say_member(opt, shelf, "stands ", "place");
        if (isfinite(member_number(shelf, "left_g")))
            printf("   left %s", figure_of(member_number(shelf, "left_g"), 1, "g", opt->style).text);
        say_member(opt, shelf, "   use by ", "use_by");
        fputs("\n", stdout);
    }
}

/* What was warned of, then or since: hazards, a scale whose check weight had failed. */
static void cautions(const struct poise_options *opt, const json_t *b)
{
    size_t i;
    const json_t *caution;
    json_array_foreach(member_list(b, "caution"), i, caution)
    {
        fputs("caution: ", stdout);
        table_say(json_string_value(caution), opt->style.utf8, stdout);
        fputs("\n", stdout);
    }
}

int command_show(struct poise_options *opt)
{
    struct ask a;
    json_t *batch = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "batch.get", json_pack("{s:s}", "batch", opt->word[0]), &batch);
    if (code == 0 && opt->json) {
        output_json(batch);
    } else if (code == 0) {
        ask_style(&a);
        head(opt, batch);
        parts(opt, batch);
        closing(opt, batch);
        cautions(opt, batch);
    }
    json_decref(batch);
    ask_close(&a);
    return code;
}
