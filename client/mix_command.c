/* mix_command.c - `poise plan`, what a coat would take, and the moves at a bench: each is one call of the daemon,
 * and prints the screen that follows. It must not know when a move is allowed: the daemon decides that, by the
 * revision that ask_act sends along. A move that is refused changes nothing and says why; one that the daemon did is
 * on disk before it is answered, so a screen that was printed is true. To add a move, add its row to the table below
 * and its command to commands.c. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "client/status.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* ---- poise plan: what a coat would take, before anything is poured ---- */

/* `grams` and `ml` are the members' names: a component's are its aims. The share is of the colour alone (f of the
 * design), so what goes on top has none. */
static void plan_row(struct table *t, const json_t *part, const char *name, const char *grams, const char *ml)
{
    double share = member_number(part, "share"); /* 0 to 1 of the colour; what goes on top has none */
    table_row(t, (const char *const[]){member_text(part, "toner"), name,
                                       figure_of(member_number(part, grams), 2, "g", t->style).text,
                                       figure_of(member_number(part, ml), 1, "mL", t->style).text,
                                       isfinite(share) ? figure_of(100 * share, 2, "%", t->style).text : ""});
}

/* In the order of pouring: colour, then what the product's ratio adds, the reducer last. Grams to two decimals and
 * millilitres to one, whatever the scale: a plan is read before a scale is chosen. */
static void components(const struct poise_options *opt, const json_t *plan)
{
    struct table t;
    size_t i;
    const json_t *part, *reducer = json_object_get(plan, "reducer");
    table_init(&t, "l.rrr", opt->style);
    json_array_foreach(member_list(plan, "components"), i, part)
        plan_row(&t, part, member_text(part, "name"), "aim_g", "aim_ml");
    /* Hardener and the like, by the product's ratio. */
    json_array_foreach(member_list(plan, "additions"), i, part)
        plan_row(&t, part, member_text(part, "name"), "grams", "ml");
    if (json_is_object(reducer)) {
        bool by_volume = strcmp(member_text(reducer, "basis"), "volume") == 0;
        struct wording how =
            wording_of(opt->style, by_volume ? "plan.reducer_by_volume pct=%s" : "plan.reducer_by_weight pct=%s",
                       figure_plain(member_number(reducer, "pct"), "%", opt->style).text);
        plan_row(&t, reducer, how.text, "grams", "ml");
    }
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* What is not known (a price, a density) is left out rather than shown as 0. Warnings come last, where they are
 * still on the terminal. */
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
    const json_t *shelf = json_object_get(json_object_get(plan, "touch_up"), "said");
    if (json_is_object(shelf)) /* before anything is mixed anew */
        output_line(opt->style, "plan.learnt text=%s",
                    wording_said(opt->style, shelf, member_text(shelf, "text")).text);
    json_array_foreach(member_list(plan, "learnt"), i, warning) output_line(
        opt->style, "plan.learnt text=%s", wording_said(opt->style, warning, member_text(warning, "text")).text);
    json_array_foreach(member_list(plan, "warnings"), i, warning)
    {
        output_line(opt->style, "plan.warning text=%s",
                    wording_said(opt->style, json_object_get(warning, "said"), member_text(warning, "text")).text);
    }
}

/* ---- all coats of an order ---- */

/* The kinds of cups that a layer fills, such as `0.4, 0.2`, the first first. */
static void cups_of(const json_t *layer, char *out, size_t size)
{
    size_t i, used = 0;
    const json_t *cup;
    out[0] = '\0';
    json_array_foreach(member_list(layer, "cups"), i, cup)
    {
        if (used < size)
            used += (size_t)snprintf(out + used, size - used, "%s%.20s", used ? ", " : "", member_text(cup, "cup"));
    }
}

/* A line a layer, in the order in which they are sprayed: colour in grams, then what stands in the cups. */
static void print_layers(const struct poise_options *opt, const json_t *plan)
{
    struct table t;
    size_t i;
    const json_t *layer;
    table_init(&t, "rllrrlrr", opt->style);
    json_array_foreach(member_list(plan, "layers"), i, layer)
    {
        char cups[120];
        const char *product = member_text(layer, "product");
        bool edges = json_is_true(json_object_get(layer, "edges"));
        cups_of(layer, cups, sizeof cups);
        table_row(&t, (const char *const[]){
                          figure_plain(member_number(layer, "coat_n"), "", opt->style).text,
                          *member_text(layer, "formula") ? member_text(layer, "formula") : product,
                          edges ? wording_of(opt->style, "plan.edges coat=%s", member_text(layer, "coat")).text
                                : wording_fixed(opt->style, "coat", member_text(layer, "coat")),
                          figure_of(member_number(layer, "total_g"), 1, "g", opt->style).text,
                          figure_of(member_number(layer, "ready_ml"), 0, "mL", opt->style).text, cups,
                          figure_of(member_number(layer, "wait_min"), 0, "min", opt->style).text,
                          figure_of(member_number(layer, "cost"), 2, member_text(plan, "currency"), opt->style).text});
    }
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* What each layer warns of, by the number of its coat. */
static void layer_warnings(const struct poise_options *opt, const json_t *layer)
{
    size_t i;
    const json_t *warning;
    json_array_foreach(member_list(layer, "warnings"), i, warning)
        output_line(opt->style, "plan.layer_warning n=%d text=%s", (int)member_number(layer, "coat_n"),
                    wording_said(opt->style, json_object_get(warning, "said"), member_text(warning, "text")).text);
}

/* A sum is left out where one layer does not know its own. */
static void layers_closing(const struct poise_options *opt, const json_t *plan)
{
    size_t i;
    const json_t *layer;
    double wait = member_number(plan, "wait_min"), cost = member_number(plan, "cost");
    if (isfinite(wait))
        output_line(opt->style, "plan.wait minutes=%s", figure_of(wait, 0, "min", opt->style).text);
    if (isfinite(cost))
        output_line(opt->style, "plan.cost cost=%s",
                    figure_of(cost, 2, member_text(plan, "currency"), opt->style).text);
    json_array_foreach(member_list(plan, "layers"), i, layer) layer_warnings(opt, layer);
}

/* A plan and the beginning that follows it show the same figures: both are made by the daemon's one way from formula
 * to batch. */
static void print_plan(struct ask *a, const json_t *plan)
{
    static const char *const words[] = {"formula", "coat", "variant", "finish"};
    const struct poise_options *opt = a->opt;
    if (opt->json) {
        output_json(plan);
        return;
    }
    ask_style(a);
    if (member_list(plan, "layers")) {
        print_layers(opt, plan);
        layers_closing(opt, plan);
        return;
    }
    bool by_ratio = !*member_text(plan, "finish"); /* a product: its variant says nothing */
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (*member_text(plan, words[i]) && !(by_ratio && strcmp(words[i], "variant") == 0)) {
            output_text(wording_fixed(opt->style, words[i], member_text(plan, words[i])), opt->style, stdout);
            fputs("   ", stdout);
        }
    output_line(opt->style, "plan.total grams=%s ml=%s ready=%s",
                figure_of(member_number(plan, "total_g"), 2, "g", opt->style).text,
                figure_of(member_number(plan, "total_ml"), 1, "mL", opt->style).text,
                figure_of(member_number(plan, "ready_ml"), 1, "mL", opt->style).text);
    components(opt, plan);
    closing(opt, plan);
}

/* ---- the commands: one table ---- */

/* What its options fill stands in params.c. `send` makes of the call an act at the bench, with its revision and a
 * request, or only asks; `show` prints what is answered. One row a move: which method, what its words fill, how much
 * it must be told, how it is sent and shown. */
static const struct move {
    const char *command, *method;
    const char *member; /* what its one word fills, or all its words as a sentence; NULL: it takes no word.
                         * "": a formula or a product, and the daemon is asked which */
    enum { AMOUNT_NONE, AMOUNT_OPEN, AMOUNT_NEEDED } amount; /* OPEN: at most one, as the batch repeated has its own */
    int (*send)(struct ask *a, const char *method, json_t *params, json_t **result);
    void (*show)(struct ask *a, const json_t *result);
} moves[] = {
    {"plan", "mix.plan", "", AMOUNT_NEEDED, ask_call, print_plan},
    {"begin", "batch.begin", "", AMOUNT_NEEDED, ask_act, status_print},
    {"repeat", "batch.begin", "repeat", AMOUNT_OPEN, ask_act, status_print},
    {"accept", "batch.accept", NULL, AMOUNT_NONE, ask_act, status_print},
    {"tin", "batch.tin", "code", AMOUNT_NONE, ask_act, status_print},
    {"undo", "batch.undo", NULL, AMOUNT_NONE, ask_act, status_print},
    {"remedy", "batch.remedy", "choice", AMOUNT_NONE, ask_act, status_print},
    {"retare", "batch.retare", NULL, AMOUNT_NONE, ask_act, status_print},
    {"tint", "batch.tint", "toner", AMOUNT_NONE, ask_act, status_print},
    {"note", "batch.note", "text", AMOUNT_NONE, ask_act, status_print},
    {"hold", "batch.hold", NULL, AMOUNT_NONE, ask_act, status_print},
    {"resume", "batch.resume", "batch", AMOUNT_NONE, ask_act, status_print},
    {"finish", "batch.finish", NULL, AMOUNT_NONE, ask_act, status_print},
    {"scrap", "batch.scrap", "why", AMOUNT_NONE, ask_act, status_print},
};

/* Moves members into an object of their own, which stands in their place. */
static void gather(json_t *params, const char *name, const char *const members[])
{
    json_t *object = json_object();
    for (size_t i = 0; members[i]; i++) {
        json_object_set(object, members[i], json_object_get(params, members[i]));
        json_object_del(params, members[i]);
    }
    json_object_set_new(params, name, object);
}

/* A premix is begun by what it is for, and kept by its id and where it stands. */
static void gather_premix(const struct poise_options *opt, json_t *params)
{
    if (opt->text[OPTION_PREMIX_FIRST])
        gather(params, "premix", (const char *const[]){"formula", "variant", "coat", "grams", NULL});
    if (!opt->text[OPTION_KEEP])
        return;
    json_object_set_new(params, "id", json_string(opt->text[OPTION_KEEP]));
    gather(params, "keep", (const char *const[]){"id", "place", NULL});
}

/* Takes the params over only in its calls: command_move frees its own reference. options_sentence is NULL where
 * there is no word, which moves without a member allow, and an order that names what is mixed. */
static int send_move(struct ask *a, const struct move *m, json_t *params)
{
    json_t *result = NULL;
    const char *member = m->member;
    char *text = options_sentence(a->opt, 0);
    int code = text && member && !*member ? ask_code_member(a, text, &member) : 0;
    if (member && text)
        json_object_set_new(params, member, json_string(text));
    gather_premix(a->opt, params);
    if (code == 0)
        code = m->send(a, m->method, json_incref(params), &result);
    if (code == 0)
        m->show(a, result);
    json_decref(result);
    free(text);
    return code;
}

/* An order names what is mixed and how much: a plan all its coats, a beginning one of them. Else a code must be typed.
 */
static int check_amount(const struct poise_options *opt, const struct move *m)
{
    bool plan = strcmp(m->command, "plan") == 0;
    bool of_order = opt->text[OPTION_ORDER] && (plan || opt->text[OPTION_COAT_N]);
    if (m->amount == AMOUNT_NONE)
        return 0;
    if (opt->word_count > 0 || (m->member && *m->member))
        return params_amount(opt, m->amount == AMOUNT_NEEDED && !opt->text[OPTION_COAT_N]);
    if (!of_order)
        return failure_say(opt->style, EX_USAGE, m->command, plan ? "plan_of_nothing" : "begin_of_nothing");
    return params_amount(opt, false);
}

/* Params are read before the daemon is called: a typing error costs no connection and changes nothing. Options that
 * fill members are the same for all moves (params.c); which of them a move takes stands in commands.c. */
int command_move(struct poise_options *opt)
{
    struct ask a;
    json_t *params = NULL;
    const struct move *m = moves;
    while (strcmp(m->command, opt->command->name) != 0)
        m++; /* commands.c sends no other name here */
    int code = check_amount(opt, m);
    if (code == 0)
        code = params_of(opt, &params);
    if (code)
        return code;
    /* A plan is made for a bench's scale, and an act asks for its bench itself. */
    if (m->send == ask_call && opt->station)
        json_object_set_new(params, "station", json_string(opt->station));
    code = ask_open(&a, opt);
    if (code == 0)
        code = send_move(&a, m, params);
    json_decref(params);
    ask_close(&a);
    return code;
}

/* The daemon needs to be told which of the two is meant; the default is decided here and in the help, for the person
 * who types no more than the number. */
int command_repeat(struct poise_options *opt)
{
    if (!opt->text[OPTION_AS])
        opt->text[OPTION_AS] = "poured"; /* what matched the vehicle is what was in the cup */
    return command_move(opt);
}
