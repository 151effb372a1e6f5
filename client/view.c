#include "client/view.h"

#include "client/figure.h"
#include "client/member.h"
#include "client/table.h"
#include "client/when.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct figure grams(const struct view *v, double g)
{
    return figure_of(g, v->decimals, "g", v->style);
}

/* `TI-207 Copperwing   ground   standard   order 4417   Ines        bench live`; what is not known is left out. */
static void head(const struct view *v, const json_t *s, FILE *to)
{
    static const char *const parts[][2] = {{"formula", ""},    {"name", " "},          {"coat", "   "},
                                           {"variant", "   "}, {"batch", "   batch "}, {"order", "   order "},
                                           {"painter", "   "}};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (*member_text(s, parts[i][0])) {
            fputs(parts[i][1], to);
            table_say(member_text(s, parts[i][0]), v->style.utf8, to);
        }
    if (*member_text(s, "batch"))
        fputs("   ", to);
    const json_t *scale = json_object_get(s, "scale");
    fprintf(to, "%s %s, scale %s", member_text(s, "station"), member_text(s, "state"), member_text(scale, "state"));
    if (*member_text(scale, "why")) {
        fputs(": ", to);
        table_say(member_text(scale, "why"), v->style.utf8, to);
    }
    fputc('\n', to);
}

/* `31.4 g to go`, or `1.0 g over`. */
static void to_go_text(const struct view *v, double to_go, char *text, size_t size)
{
    bool over = to_go <= -0.5 * pow(10, -v->decimals);
    snprintf(text, size, "%s %s", grams(v, over ? -to_go : to_go).text, over ? "over" : "to go");
}

/* Whether the scale tells a weight now, so that a cue means something. */
static bool weighs(const json_t *screen)
{
    const json_t *scale = json_object_get(screen, "scale");
    return strcmp(member_text(scale, "state"), "live") == 0 && !*member_text(scale, "why") &&
           !json_is_true(json_object_get(screen, "lifted"));
}

/* `31.4 g to go, pour`; for a step that is done its deviation. */
static void step_note(const struct view *v, const json_t *screen, const json_t *step, const json_t *now, char *note,
                      size_t size)
{
    double off = member_number(step, "poured_g") - member_number(step, "aim_g");
    double to_go = member_number(now, "to_go_g");
    char left[80];
    note[0] = '\0';
    if (now && isfinite(to_go)) {
        const char *cue = member_text(now, "cue");
        bool says = weighs(screen) && *cue && strcmp(cue, "over") != 0;
        to_go_text(v, to_go, left, sizeof left);
        snprintf(note, size, "%s%s%s", left, says ? ", " : weighs(screen) ? "" : " when last weighed", says ? cue : "");
    } else if (strcmp(member_text(step, "state"), "done") == 0 && isfinite(off)) {
        snprintf(note, size, "%s", figure_signed(off, v->decimals, "", v->style).text);
    }
}

static void step_row(const struct view *v, const json_t *screen, struct table *t, const json_t *step, const json_t *now)
{
    char note[160];
    double in_cup = member_number(now ? now : step, now ? "in_cup_g" : "poured_g");
    const char *state = member_text(step, "state");
    bool empty = strcmp(state, "next") == 0 && !(in_cup > 0);
    struct figure aim = grams(v, member_number(now ? now : step, "aim_g"));
    struct figure poured = grams(v, in_cup);
    step_note(v, screen, step, now, note, sizeof note);
    table_row(t, (const char *const[]){state, member_text(step, "toner"), member_text(step, "name"), aim.text,
                                       empty ? "" : poured.text, note});
}

static void steps(const struct view *v, const json_t *s, FILE *to)
{
    struct table t;
    size_t i;
    const json_t *step, *now = json_object_get(s, "now");
    size_t open = (size_t)json_integer_value(json_object_get(s, "step"));
    const char *toner = member_text(now, "toner");
    table_init(&t, "ll.rrl", v->style.utf8);
    if (json_array_size(member_list(s, "steps")) > 0)
        table_row(&t, (const char *const[]){"", "", "", "aim", "in cup", ""});
    json_array_foreach(member_list(s, "steps"), i, step)
    {
        bool is_open = i + 1 == open && json_is_object(now) && *toner;
        step_row(v, s, &t, step, is_open ? now : NULL);
    }
    if (json_is_object(now) && !*toner) /* the taking out of a dip is no step */
        table_row(&t,
                  (const char *const[]){"now", "", member_text(now, "name"), grams(v, member_number(now, "aim_g")).text,
                                        grams(v, member_number(now, "in_cup_g")).text, ""});
    table_print(&t, "", to);
    table_finish(&t);
}

/* `the batch becomes 250.0 g (wanted 240.0 g), 201 mL in a cup of 750 mL` */
static void totals(const struct view *v, const json_t *s, FILE *to)
{
    double total = member_number(s, "total_g"), wanted = member_number(s, "wanted_g");
    if (!isfinite(total))
        return;
    fprintf(to, "the batch becomes %s", grams(v, total).text);
    if (isfinite(wanted) && fabs(wanted - total) >= 0.5 * pow(10, -v->decimals))
        fprintf(to, " (wanted %s)", grams(v, wanted).text);
    if (isfinite(member_number(s, "fill_ml")))
        fprintf(to, ", %s", figure_of(member_number(s, "fill_ml"), 0, "mL", v->style).text);
    if (isfinite(member_number(s, "cup_ml")))
        fprintf(to, " in a cup of %s", figure_plain(member_number(s, "cup_ml"), "mL", v->style).text);
    fputc('\n', to);
}

/* `pour on N10 5.0 g, K01 1.5 g` of a remedy's add_g, in the order of the steps. */
static void pour_on(const struct view *v, const json_t *s, const json_t *remedy, char *text, size_t size)
{
    size_t i, len = 0;
    const json_t *add;
    text[0] = '\0';
    json_array_foreach(member_list(remedy, "add_g"), i, add)
    {
        if (!(json_number_value(add) >= 0.5 * pow(10, -v->decimals)) || len >= size)
            continue;
        const json_t *step = json_array_get(member_list(s, "steps"), i);
        len += (size_t)snprintf(text + len, size - len, "%s%s %s", len ? ", " : "pour on ", member_text(step, "toner"),
                                grams(v, json_number_value(add)).text);
    }
}

/* `off: N10 -1.2 %, M42 +6.2 %` of a remedy's deviation_pct; what is not known and what is nothing is left out. */
static void off(const struct view *v, const json_t *s, const json_t *remedy, char *text, size_t size)
{
    size_t i, len = 0;
    const json_t *pct;
    text[0] = '\0';
    json_array_foreach(member_list(remedy, "deviation_pct"), i, pct)
    {
        if (!json_is_number(pct) || fabs(json_number_value(pct)) < 0.05 || len >= size)
            continue;
        const json_t *step = json_array_get(member_list(s, "steps"), i);
        len += (size_t)snprintf(text + len, size - len, "%s%s %s", len ? ", " : "off: ", member_text(step, "toner"),
                                figure_signed(json_number_value(pct), 1, "%", v->style).text);
    }
}

/* What the hand has to do for a remedy, or why it cannot. */
static void say_remedy(const struct view *v, const json_t *s, const json_t *r, char *note, size_t size)
{
    char on[256], left[256];
    double take = member_number(r, "take_g");
    pour_on(v, s, r, on, sizeof on);
    off(v, s, r, left, sizeof left);
    if (*member_text(r, "why"))
        snprintf(note, size, "does not fit: %s", member_text(r, "why"));
    else if (isfinite(take))
        snprintf(note, size, "take out %s%s%s", grams(v, take).text, *on ? ", " : "", on);
    else
        snprintf(note, size, "%s%s", on, left);
}

/* Nothing where there is nothing to say: waste of 0, a cost that is not known. */
static struct figure or_blank(bool worth_it, struct figure f)
{
    return worth_it ? f : (struct figure){""};
}

static void remedy_row(const struct view *v, struct table *t, const json_t *s, const char *name, const json_t *r)
{
    char note[600];
    double total = member_number(r, "total_g"), waste = member_number(r, "waste_g"), cost = member_number(r, "cost");
    say_remedy(v, s, r, note, sizeof note);
    table_row(t, (const char *const[]){name, or_blank(isfinite(total), grams(v, total)).text,
                                       or_blank(waste > 0, grams(v, waste)).text,
                                       or_blank(isfinite(cost), figure_of(cost, 2, v->currency, v->style)).text, note});
}

static void remedies(const struct view *v, const json_t *s, FILE *to)
{
    static const char *const names[] = {"grow", "dip", "leave", "again"};
    const json_t *all = json_object_get(s, "remedies");
    struct table t;
    if (!json_is_object(all))
        return;
    table_init(&t, "lrrrl", v->style.utf8);
    table_row(&t, (const char *const[]){"remedy", "the batch becomes", "to waste", "cost", ""});
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (json_is_object(json_object_get(all, names[i])))
            remedy_row(v, &t, s, names[i], json_object_get(all, names[i]));
    table_print(&t, "", to);
    table_finish(&t);
}

static void notes(const struct view *v, const json_t *s, FILE *to)
{
    size_t i;
    const json_t *caution;
    if (json_is_true(json_object_get(s, "lifted")))
        fputs("the cup is lifted: the count stands until it is back\n", to);
    json_array_foreach(member_list(s, "caution"), i, caution)
    {
        const char *text = json_is_string(caution) ? json_string_value(caution) : member_text(caution, "text");
        fputs("caution: ", to);
        table_say(text, v->style.utf8, to);
        fputc('\n', to);
    }
    if (*member_text(s, "use_by"))
        fprintf(to, "use by %.16s\n", when_of(member_text(s, "use_by")).text); /* to the minute */
    if (*member_text(s, "message")) {
        table_say(member_text(s, "message"), v->style.utf8, to);
        fputc('\n', to);
    }
}

void view_screen(const struct view *v, const json_t *screen, FILE *to)
{
    head(v, screen, to);
    steps(v, screen, to);
    totals(v, screen, to);
    remedies(v, screen, to);
    notes(v, screen, to);
}

void view_weight(const struct view *v, const json_t *screen, const json_t *weight, char *line, size_t size)
{
    const json_t *now = json_object_get(screen, "now");
    double shows = member_number(weight, "weight_g"), at_aim = member_number(now, "scale_shows_g");
    line[0] = '\0';
    if (strcmp(member_text(weight, "state"), "live") != 0) {
        snprintf(line, size, "no weight: scale %s", member_text(weight, "state"));
    } else if (isfinite(shows) && isfinite(at_aim)) {
        char left[80];
        double to_go = at_aim - shows;
        to_go_text(v, to_go, left, sizeof left);
        snprintf(line, size, "%s  %s, in cup %s", member_text(now, "toner"), left,
                 grams(v, member_number(now, "aim_g") - to_go).text);
    } else if (isfinite(shows)) {
        snprintf(line, size, "scale %s", grams(v, shows).text);
    }
}
