/* status_lines.c - a screen as text, for a person at a shell, a script's log, or a reader of the screen for the
 * blind. It decides nothing: weights, order, cue, verdicts and what is wrong come with the screen, and are written
 * to the scale's interval as the page writes them. Each part of the screen is one function, in the order in which
 * view_screen calls them. */
#include "client/status.h"

#include "client/ask.h"
#include "client/table.h"

#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* To the scale's interval, as its display and the page show it: at d = 0.5 g 61.6 reads 61.5. */
static struct figure grams(const struct view *v, double g)
{
    return figure_weight(g, v->style);
}

/* The least weight that is shown: the scale's interval, 0.01 g where that is not known. */
static double least_g(const struct view *v)
{
    return v->style.number.d_g > 0 ? v->style.number.d_g : 0.01;
}

/* A fixed word of the page's language. */
static const char *word(const struct view *v, const char *code)
{
    return words_of(v->style.language, code);
}

/* `scale ok`, `scale silent`: as the full screen says it, so that nobody meets two words for one state. A state of a
 * newer daemon stands as it came. */
static const char *scale_words(const struct view *v, const char *state)
{
    char code[64];
    snprintf(code, sizeof code, "page.scale_%.40s", state);
    return words_find(code) ? word(v, code) : state;
}

/* A said of the screen as a line of its own behind the words of a form with the slot `text`. */
static void said_line(const struct view *v, const char *form, const json_t *said, const char *text, FILE *to)
{
    char line[SAID_TEXT_MAX];
    struct said s = say(form, wording_said(v->style, said, text).text);
    output_text(said_text(&s, v->style.language, &v->style.number, line, sizeof line), v->style, to);
    fputc('\n', to);
}

/* `TI-207 Copperwing   ground   standard   batch 7   order 4417   Ines   bench pour, scale ok`. One line of what
 * is mixed for whom, and where; the scale's trouble in its own words, then what fixes it unless the foot line says
 * the same. */
static void head(const struct view *v, const json_t *s, FILE *to)
{
    static const char *const before[][2] = {{"formula", ""}, {"name", " "}, {"coat", "   "}, {"variant", "   "}};
    struct output_style style = v->style;
    for (size_t i = 0; i < sizeof before / sizeof *before; i++)
        if (*member_text(s, before[i][0])) {
            fputs(before[i][1], to);
            output_text(wording_fixed(style, before[i][0], member_text(s, before[i][0])), style, to);
        }
    if (*member_text(s, "batch")) {
        fputs("   ", to);
        output_say(style, to, "status.batch batch=%s", member_text(s, "batch"));
        fputs("   ", to);
    }
    if (*member_text(s, "order")) {
        output_say(style, to, "status.order order=%s", member_text(s, "order"));
        fputs("   ", to);
    }
    if (*member_text(s, "painter")) {
        output_text(member_text(s, "painter"), style, to);
        fputs("   ", to);
    }
    const json_t *scale = json_object_get(s, "scale"), *trouble = json_object_get(s, "trouble");
    output_say(style, to, "status.station station=%s is=%s scale=%s", member_text(s, "station"),
               wording_fixed(style, "state", member_text(s, "state")), scale_words(v, member_text(scale, "state")));
    struct wording why = wording_said(style, json_object_get(trouble, "said"), member_text(scale, "why"));
    if (*why.text) {
        fputs(": ", to);
        output_text(why.text, style, to);
    }
    fputc('\n', to);
    const json_t *mend = json_object_get(trouble, "mend"), *next = json_object_get(json_object_get(s, "next"), "said");
    if (json_is_object(mend) && strcmp(member_text(mend, "code"), member_text(next, "code")) != 0)
        said_line(v, "status.fix text=%s", mend, "", to);
}

/* `31.4 g to go`, or `1.0 g over` where the daemon's `to_go_g` is below 0 by what the scale can show. */
static struct wording to_go_words(const struct view *v, double to_go)
{
    bool over = to_go <= -0.5 * least_g(v);
    return wording_of(v->style, over ? "status.over grams=%s" : "status.to_go grams=%s",
                      grams(v, over ? -to_go : to_go).text);
}

/* Whether the scale tells a weight now, so that a cue means something. A cue is for a hand that pours now: with the
 * cup off, or by an old weight, it would say stop or pour of something that is not seen. */
static bool weighs(const json_t *screen)
{
    const json_t *scale = json_object_get(screen, "scale");
    return strcmp(member_text(scale, "state"), "live") == 0 && !*member_text(scale, "why") &&
           !json_is_true(json_object_get(screen, "lifted"));
}

/* `short -1.2 %` of a step that is done: the daemon's verdict where it is more than on aim, and what it is off by. */
static struct wording verdict_words(const struct view *v, const json_t *step)
{
    static const char *const words[][2] = {{"short", "page.short"},
                                           {"over", "page.over"},
                                           {"left", "page.left"},
                                           {"foreign", "page.foreign"},
                                           {"tinted", "page.tinted"}};
    double off = member_number(step, "deviation_pct");
    const char *verdict = "";
    struct wording note;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(member_text(step, "verdict"), words[i][0]) == 0)
            verdict = word(v, words[i][1]);
    snprintf(note.text, sizeof note.text, "%s%s%s", verdict, *verdict && isfinite(off) ? " " : "",
             isfinite(off) ? figure_signed(off, 1, "%", v->style).text : "");
    return note;
}

/* `31.4 g to go, pour` of the open step, the verdict of one that is done. Of the open step what is to go and the
 * cue; by an old weight the same as when it was last weighed, without a cue. */
static struct wording step_note(const struct view *v, const json_t *screen, const json_t *step, const json_t *now)
{
    double to_go = member_number(now, "to_go_g");
    const char *cue = member_text(now, "cue");
    struct wording note = {""};
    if (now && isfinite(to_go) && !weighs(screen))
        return wording_of(v->style, "status.last_weighed text=%s", to_go_words(v, to_go).text);
    if (now && isfinite(to_go) && *cue && strcmp(cue, "over") != 0)
        snprintf(note.text, sizeof note.text, "%.300s, %s", to_go_words(v, to_go).text,
                 wording_fixed(v->style, "cue", cue));
    else if (now && isfinite(to_go))
        note = to_go_words(v, to_go);
    else if (strcmp(member_text(step, "state"), "done") == 0)
        note = verdict_words(v, step);
    return note;
}

/* The open step shows what is in the cup by the last reading (`now`), the others what is counted; a step that waits
 * shows nothing there, since 0.0 would look like a weight. */
static void step_row(const struct view *v, const json_t *screen, struct table *t, const json_t *step, const json_t *now)
{
    double in_cup = member_number(now ? now : step, now ? "in_cup_g" : "poured_g");
    const char *state = member_text(step, "state");
    bool empty = strcmp(state, "next") == 0 && !(in_cup > 0);
    struct figure aim = grams(v, member_number(now ? now : step, "aim_g"));
    struct figure poured = grams(v, in_cup);
    char name[400];
    const char *batch = member_text(step, "batch"); /* a cup of the shelf, in place of a tin */
    const char *lot = member_text(now, "lot");      /* of the tin that was scanned */
    snprintf(name, sizeof name, "%.255s%s%.140s", batch[0] ? word(v, "page.shelf_cup") : member_text(step, "name"),
             *lot ? ", " : "", *lot ? wording_of(v->style, "show.lot lot=%s", lot).text : "");
    table_row(t, (const char *const[]){wording_fixed(v->style, "state", state),
                                       batch[0] ? batch : member_text(step, "toner"), name, aim.text,
                                       empty ? "" : poured.text, step_note(v, screen, step, now).text});
}

/* The head of the table is left out where there is nothing to pour. `step` counts from 1; 0 and null mean that none
 * is open. */
static void steps(const struct view *v, const json_t *s, FILE *to)
{
    struct table t;
    size_t i;
    const json_t *step, *now = json_object_get(s, "now");
    size_t open = (size_t)json_integer_value(json_object_get(s, "step"));
    const char *toner = member_text(now, "toner");
    table_init(&t, "ll.rrl", v->style);
    if (json_array_size(member_list(s, "steps")) > 0)
        table_row(&t, (const char *const[]){"", "", "", word(v, "column.aim"), word(v, "column.in_cup"), ""});
    json_array_foreach(member_list(s, "steps"), i, step)
    {
        bool is_open = i + 1 == open && json_is_object(now) && (*toner || member_text(now, "batch")[0]);
        step_row(v, s, &t, step, is_open ? now : NULL);
    }
    /* The taking out of a dip, and a toner added by eye, are no steps. */
    if (json_is_object(now) && ((!*toner && !member_text(now, "batch")[0]) || open == 0))
        table_row(&t, (const char *const[]){wording_fixed(v->style, "state", "now"), toner,
                                            *toner ? member_text(now, "name") : word(v, "status.take_out"),
                                            grams(v, member_number(now, "aim_g")).text,
                                            grams(v, member_number(now, "in_cup_g")).text, ""});
    table_print(&t, "", to);
    table_finish(&t);
}

/* `the batch becomes 250.0 g colour (wanted 240.0 g), 201 mL to spray in a cup of 750 mL`. `wanted` is shown only where
 * it reads otherwise than the total, so a batch that grew by less than the scale shows looks as agreed. */
static void totals(const struct view *v, const json_t *s, FILE *to)
{
    double total = member_number(s, "total_g"), wanted = member_number(s, "wanted_g");
    double fill = member_number(s, "fill_ml"), cup = member_number(s, "cup_ml");
    if (!isfinite(total))
        return;
    output_say(v->style, to, "status.becomes total=%s", grams(v, total).text);
    if (isfinite(wanted) && fabs(wanted - total) >= 0.5 * least_g(v))
        output_say(v->style, to, "status.wanted wanted=%s", grams(v, wanted).text);
    if (isfinite(fill))
        output_say(v->style, to, "status.fill fill=%s", figure_of(fill, 0, "mL", v->style).text);
    if (isfinite(cup))
        output_say(v->style, to, "status.in_cup cup=%s", figure_plain(cup, "mL", v->style).text);
    fputc('\n', to);
}

/* `N10 5.0 g, K01 1.5 g` of a remedy's `add_g`, or `N10 +6.2 %` of its `deviation_pct`, in the order of the steps. What
 * is not known is left out, and what the figure would show as 0. */
static void by_step(const struct view *v, const json_t *s, const json_t *list, bool per_cent, char *text, size_t size)
{
    size_t i, len = 0;
    const json_t *one;
    text[0] = '\0';
    json_array_foreach(list, i, one)
    {
        double value = json_is_number(one) ? json_number_value(one) : (double)NAN;
        bool worth_it = per_cent ? fabs(value) >= 0.05 : value >= 0.5 * least_g(v);
        if (!worth_it || len >= size)
            continue;
        const json_t *step = json_array_get(member_list(s, "steps"), i);
        len += (size_t)snprintf(text + len, size - len, "%s%.40s %s", len ? ", " : "", member_text(step, "toner"),
                                per_cent ? figure_signed(value, 1, "%", v->style).text : grams(v, value).text);
    }
}

/* Cups of the shelf, as the bench screen words them. */
static struct wording rescue_words(const struct view *v, const json_t *r, double take, const char *on)
{
    size_t i, len = 0;
    const json_t *one;
    char cups[256] = "";
    json_array_foreach(member_list(r, "batches"), i, one)
    {
        if (len < sizeof cups)
            len += (size_t)snprintf(cups + len, sizeof cups - len, "%s#%.23s %s", len ? ", " : "",
                                    member_text(one, "batch"), grams(v, member_number(one, "grams")).text);
    }
    const char *out = grams(v, take).text;
    if (take >= 0.5 * least_g(v))
        return *on ? wording_of(v->style, "status.rescue_out_adds take=%s cups=%s pour=%s", out, cups, on)
                   : wording_of(v->style, "status.rescue_out take=%s cups=%s", out, cups);
    return *on ? wording_of(v->style, "status.rescue_adds cups=%s pour=%s", cups, on)
               : wording_of(v->style, "status.rescue cups=%s", cups);
}

/* What the hand has to do for a remedy, or why it cannot. Why it does not fit comes before what it would take: an
 * amount that cannot be poured is not shown as an offer. */
static struct wording remedy_words(const struct view *v, const json_t *s, const json_t *r)
{
    char on[256], left[256];
    double take = member_number(r, "take_g");
    by_step(v, s, member_list(r, "add_g"), false, on, sizeof on);
    by_step(v, s, member_list(r, "deviation_pct"), true, left, sizeof left);
    if (*member_text(r, "why"))
        return wording_of(v->style, "status.no_fit why=%s",
                          wording_said(v->style, json_object_get(r, "said"), member_text(r, "why")).text);
    if (json_array_size(member_list(r, "batches")) > 0)
        return rescue_words(v, r, take, on);
    if (isfinite(take) && *on)
        return wording_of(v->style, "status.take_and_pour take=%s pour=%s", grams(v, take).text, on);
    if (isfinite(take))
        return wording_of(v->style, "status.take take=%s", grams(v, take).text);
    if (*on)
        return wording_of(v->style, "status.pour_on pour=%s", on);
    return *left ? wording_of(v->style, "status.off off=%s", left) : (struct wording){""};
}

/* Nothing where there is nothing to say: waste of 0, a cost that is not known. A cell that is empty says `nothing of
 * it`, a dash `not known`. */
static struct figure or_blank(bool worth_it, struct figure f)
{
    return worth_it ? f : (struct figure){""};
}

/* A remedy that does not fit keeps its row and says why: a person who misses it would look for it. */
static void remedy_row(const struct view *v, struct table *t, const json_t *s, const char *name, const json_t *r)
{
    double total = member_number(r, "total_g"), waste = member_number(r, "waste_g"), cost = member_number(r, "cost");
    struct wording note = remedy_words(v, s, r);
    table_row(t, (const char *const[]){
                     name, or_blank(isfinite(total), grams(v, total)).text, or_blank(waste > 0, grams(v, waste)).text,
                     or_blank(isfinite(cost), figure_of(cost, 2, v->currency, v->style)).text, note.text});
}

/* By the words that `poise remedy` takes, in the order in which the page offers them. */
static void remedies(const struct view *v, const json_t *s, FILE *to)
{
    static const char *const names[] = {"grow", "dip", "leave", "rescue", "again"};
    const json_t *all = json_object_get(s, "remedies");
    struct table t;
    if (!json_is_object(all))
        return;
    table_init(&t, "lrrrl", v->style);
    table_row(&t, (const char *const[]){word(v, "column.remedy"), word(v, "column.becomes"), word(v, "column.waste"),
                                        word(v, "column.cost"), ""});
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (json_is_object(json_object_get(all, names[i])))
            remedy_row(v, &t, s, names[i], json_object_get(all, names[i]));
    table_print(&t, "", to);
    table_finish(&t);
}

/* What warns, what is true of the cup for good, what the station said last, and what the hand does next: the last
 * line is the one that a person looks for. */
static void notes(const struct view *v, const json_t *s, FILE *to)
{
    size_t i;
    const json_t *one, *cautions = member_list(s, "cautions"), *next = json_object_get(s, "next");
    if (json_is_true(json_object_get(s, "lifted"))) {
        output_say(v->style, to, "status.lifted");
        fputc('\n', to);
    }
    json_array_foreach(member_list(s, "caution"), i, one)
    {
        const char *text = json_is_string(one) ? json_string_value(one) : member_text(one, "text");
        said_line(v, "show.caution text=%s", json_array_get(cautions, i), text, to);
    }
    json_array_foreach(member_list(s, "facts"), i, one) said_line(v, "status.fact text=%s", one, "", to);
    if (*member_text(s, "use_by")) {
        output_say(v->style, to, "find.use_by time=%s", figure_minute(member_text(s, "use_by")).text);
        fputc('\n', to);
    }
    if (*member_text(s, "message"))
        said_line(v, "status.fact text=%s", json_object_get(s, "said"), member_text(s, "message"), to);
    if (json_is_object(json_object_get(next, "said")))
        said_line(v, "status.next text=%s", json_object_get(next, "said"), "", to);
}

/* In the order in which it is read: which batch, how far, how much it becomes, what is to be chosen, what to heed. */
void view_screen(const struct view *v, const json_t *screen, FILE *to)
{
    head(v, screen, to);
    steps(v, screen, to);
    totals(v, screen, to);
    remedies(v, screen, to);
    notes(v, screen, to);
}

/* Only a live scale gives a figure: one that is stale or gone shows its state, so nobody pours by an old
 * weight. `line` is cut between characters. */
void view_weight(const struct view *v, const json_t *screen, const json_t *weight, char *line, size_t size)
{
    const json_t *now = json_object_get(screen, "now");
    double shows = member_number(weight, "weight_g"), to_go = member_number(weight, "to_go_g");
    const char *state = member_text(weight, "state");
    struct wording w = {""};
    if (strcmp(state, "live") != 0)
        w = wording_of(v->style, "status.no_weight scale=%s", scale_words(v, state));
    else if (isfinite(shows) && isfinite(to_go))
        w = wording_of(v->style, "status.pouring toner=%s to_go=%s in_cup=%s", member_text(now, "toner"),
                       to_go_words(v, to_go).text, grams(v, member_number(weight, "in_cup_g")).text);
    else if (isfinite(shows))
        w = wording_of(v->style, "status.weight weight=%s", grams(v, shows).text);
    char *clean = output_clean(w.text, v->style.utf8);
    utf8_copy(line, size, clean ? clean : "");
    free(clean);
}
