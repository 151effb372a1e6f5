/* show_command.c - `poise show BATCH`: one batch as it was really poured. It must not know how it came about: `poise
 * why` tells that. What stands here is the record that a repeat or a complaint is about: aim and weight of each part
 * with its lots, what went on top, cost and VOC of what the cup held, and for good whatever makes the cup another
 * than its label says. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"
#include "client/variant.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Puts the sentence of a form behind `before`; what is not known is left out. The form has one slot, `text`. */
static void say_known(const struct poise_options *opt, const char *before, const char *form, const char *text)
{
    struct said s = say(form, text);
    char words[SAID_TEXT_MAX];
    if (!*text)
        return;
    fputs(before, stdout);
    output_text(said_text(&s, opt->style.language, &opt->style.number, words, sizeof words), opt->style, stdout);
}

/* One line that says which cup it is, one that says where it comes from. What is not known is left out with its
 * comma. */
static void head(const struct poise_options *opt, const json_t *b)
{
    static const char *const members[] = {"formula", "coat", "variant", "finish", "state"};
    char variant[160];
    say_known(opt, "", "show.batch text=%s", member_text(b, "batch"));
    for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
        const char *text = strcmp(members[i], "variant") == 0
                               ? variant_words(opt, b, variant, sizeof variant)
                               : wording_fixed(opt->style, members[i], member_text(b, members[i]));
        if (*text) {
            fputs("   ", stdout);
            output_text(text, opt->style, stdout);
        }
    }
    fputc('\n', stdout);
    say_known(opt, "", "show.begun text=%s", figure_time(member_text(b, "begun")).text);
    say_known(opt, ", ", "show.finished text=%s", figure_time(member_text(b, "finished")).text);
    say_known(opt, ", ", "show.station text=%s", member_text(b, "station"));
    say_known(opt, ", ", "show.order text=%s", member_text(b, "order"));
    say_known(opt, ", ", "show.painter text=%s", member_text(b, "painter"));
    say_known(opt, ", ", "show.repeats text=%s", member_text(b, "repeat_of"));
    fputc('\n', stdout);
}

/* Grams to two decimals whatever the scale: the record is not the display. Lots stand last, in the order in which
 * they were poured: a complaint is traced by them. */
static void part_row(struct table *t, const json_t *p, const char *name)
{
    const char *lot = member_text(p, "lot");
    bool judged = json_object_get(p, "deviation_pct") != NULL; /* a reducer is not */
    table_row(t, (const char *const[]){
                     member_text(p, "toner"), name, figure_of(member_number(p, "aim_g"), 2, "g", t->style).text,
                     figure_of(member_number(p, "poured_g"), 2, "g", t->style).text,
                     judged ? figure_signed(member_number(p, "deviation_pct"), 2, "%", t->style).text : "",
                     *lot ? wording_of(t->style, "show.lot lot=%s", lot).text : ""});
}

/* Aim and poured of the whole part as the batch became, with all growths and dips in it; the reducer below the
 * colour, without a judgement, since it is judged by its own tolerance at the bench. */
static void parts(const struct poise_options *opt, const json_t *b)
{
    struct table t;
    size_t i;
    const json_t *p, *reducer = json_object_get(b, "reducer");
    enum words_language l = opt->style.language;
    table_init(&t, "l.rrrl", opt->style);
    table_row(&t, (const char *const[]){"", "", words_of(l, "column.aim"), words_of(l, "column.poured"),
                                        words_of(l, "column.off_by"), ""});
    json_array_foreach(member_list(b, "parts"), i, p) part_row(&t, p, member_text(p, "name"));
    if (json_is_object(reducer))
        part_row(&t, reducer, words_of(l, "role.reducer"));
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* Cups of the shelf that went into it, whether it was begun with them or mixed right again by them. */
static void have(struct output_style style, const json_t *list)
{
    size_t i;
    const json_t *one;
    json_array_foreach(list, i, one)
    {
        if (*member_text(one, "batch"))
            output_line(style, "show.have batch=%s grams=%s", member_text(one, "batch"),
                        figure_of(member_number(one, "grams"), 2, "g", style).text);
    }
}

/* What it was made of and what became of it, each with its own line where it is known. VOC by both rules, since a
 * shop's permit names one of them: as sprayed, and less water and exempt compounds. Cost is of what was poured,
 * waste included. */
static void closing(const struct poise_options *opt, const json_t *b)
{
    struct output_style style = opt->style;
    const json_t *voc = json_object_get(b, "voc"), *shelf = json_object_get(b, "shelf");
    output_line(style, "show.cup grams=%s ml=%s", figure_of(member_number(b, "total_g"), 2, "g", style).text,
                figure_of(member_number(b, "total_ml"), 1, "mL", style).text);
    have(style, member_list(b, "have"));
    if (*member_text(b, "made"))
        output_line(style, "show.mixed_as text=%s",
                    wording_said(style, json_object_get(b, "made_said"), member_text(b, "made")).text);
    if (member_number(b, "waste_g") > 0)
        output_line(style, "show.waste grams=%s", figure_of(member_number(b, "waste_g"), 2, "g", style).text);
    if (isfinite(member_number(b, "cost")))
        output_line(style, "plan.cost cost=%s",
                    figure_of(member_number(b, "cost"), 2, member_text(b, "currency"), style).text);
    if (json_is_object(voc))
        output_line(style, "plan.voc actual=%s regulatory=%s",
                    figure_of(member_number(voc, "actual_g_per_l"), 0, "g/L", style).text,
                    figure_of(member_number(voc, "regulatory_g_per_l"), 0, "g/L", style).text);
    if (member_number(b, "evaporated_g") > 0)
        output_line(style, "show.evaporated grams=%s", figure_of(member_number(b, "evaporated_g"), 2, "g", style).text);
    const json_t *looks = json_object_get(json_object_get(b, "de00"), "said");
    if (json_is_object(looks))
        output_line(style, "page.looks text=%s", wording_said(style, looks, member_text(looks, "text")).text);
    const json_t *sure = json_object_get(json_object_get(b, "uncertainty"), "said");
    if (json_is_object(sure))
        output_line(style, "show.sure text=%s", wording_said(style, sure, member_text(sure, "text")).text);
    if (json_is_object(shelf)) {
        say_known(opt, "", "show.shelf text=%s", member_text(shelf, "place"));
        if (isfinite(member_number(shelf, "left_g")))
            say_known(opt, "   ", "show.left text=%s", figure_of(member_number(shelf, "left_g"), 1, "g", style).text);
        say_known(opt, "   ", "show.use_by text=%s", member_text(shelf, "use_by"));
        fputc('\n', stdout);
    }
}

/* What a person must know of the cup for good (tinted, a toner that is not in the formula), and what was warned of.
 * By code in the person's language; a record of an older version has English texts alone, and those are shown. */
static void remarks(const struct poise_options *opt, const json_t *b)
{
    size_t i;
    const json_t *one, *cautions = member_list(b, "cautions");
    json_array_foreach(member_list(b, "facts"), i, one)
    {
        output_text(wording_said(opt->style, one, member_text(one, "text")).text, opt->style, stdout);
        fputc('\n', stdout);
    }
    json_array_foreach(member_list(b, "caution"), i, one)
    {
        const char *text = json_string_value(one) ? json_string_value(one) : "";
        output_line(opt->style, "show.caution text=%s",
                    wording_said(opt->style, json_array_get(cautions, i), text).text);
    }
}

/* What the cup is comes first, what it cost and emits after it, and last what a person must know of it. */
static int show_batch(struct ask *a, const json_t *batch)
{
    const struct poise_options *opt = a->opt;
    if (opt->json) {
        output_json(batch);
        return 0;
    }
    head(opt, batch);
    parts(opt, batch);
    closing(opt, batch);
    remarks(opt, batch);
    return 0;
}

/* The daemon takes `1042`, `#1042` and `POISE:1042`, so a scanner can type it. */
int command_show(struct poise_options *opt)
{
    return ask_show(opt, "batch.get", json_pack("{s:s}", "batch", opt->word[0]), show_batch);
}
