/* shelf_blend.c - see shelf_blend.h. It must not know how a program is written or solved, nor how a cup is read.
 *
 * The reducer is reckoned as one component more: what the cups bring of it can then never be more than the colour asks
 * for, and the rest is told. A recipe of so many toners that there is no room for it uses cups without reducer alone.
 */
#include "rpc/methods/shelf_blend.h"

#include "bench/batch_journal.h"
#include "bench/shelf_cups.h"
#include "clock.h"
#include "mix/weighable.h"
#include "rpc/methods/numbers.h"
#include "rpc/methods/plans.h"
#include "rpc/methods/solving.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HALF_DROP_G 0.03 /* as a plan judges what can be weighed */

struct shop_asked {
    struct inquiry inquiry;
    struct recipe recipe;
    double aim_g[RECIPE_PARTS]; /* by part, the reducer with it */
    double tolerance_g, tolerance_pct, d_g, error_pct, smallest_g;
    char today[CLOCK_TEXT];
    bool named; /* the call names its cups */
    size_t cups;
    double most_g[MIX_MAX]; /* of each named cup; NaN: all */
    char number[MIX_MAX][STORE_NUMBER];
    struct leftover cup[MIX_MAX];
    bool spare[MIX_MAX]; /* of each cup: it would go, but a beginning takes no more of them */
    /* the program's components: which part each is */
    int part[MIX_MAX];
    double share[MIX_MAX], total_g;
    size_t n, colours;
    struct mix_leftover leftover[MIX_MAX];
    struct mix_program room;
};

#define AT(member) offsetof(struct shop_asked, member)
/* smallest_g NaN: what the scale can weigh. */
static const struct number_asked numbers[] = {
    {"tolerance_g", AT(tolerance_g), 0, mix_check_not_below_0},
    {"tolerance_pct", AT(tolerance_pct), 0, mix_check_pct},
    {"d_g", AT(d_g), 0, mix_check_not_below_0},
    {"error_pct", AT(error_pct), 50, mix_check_pct},
    {0},
};
#undef AT

bool workoff_is_of_shop(const json_t *params)
{
    return json_is_string(json_object_get(params, "formula")) || json_is_string(json_object_get(params, "repeat")) ||
           json_is_string(json_object_get(params, "order"));
}

/* ---- what is asked, on the loop ---- */

/* plans_make shows the batch that is planned. */
static void take_plan(void *arg, const struct batch *b, json_t *plan)
{
    struct shop_asked *a = arg;
    (void)plan;
    a->recipe = b->recipe;
    for (size_t p = 0; p < b->recipe.parts; p++)
        a->aim_g[p] = b->recipe.part[p].role == PART_COLOUR    ? b->recipe.part[p].share * b->wanted_g
                      : b->recipe.part[p].role == PART_REDUCER ? batch_addition_aim_g(b, (int)p)
                                                               : 0;
}

/* Which cup is the older one is no matter of order: the answer's lists keep that in which they are named. */
static bool name_cup(void *arg, const json_t *entry, struct mix_refusal *no, struct fault *fault)
{
    struct shop_asked *a = arg;
    const char *batch = json_string_value(json_object_get(entry, "batch"));
    double *most_g = &a->most_g[a->cups];
    *most_g = NAN;
    if (!batch || !journal_number(batch, a->number[a->cups]))
        return fault_said(fault, FAULT_INVALID, "leftovers", "unknown", "record_unknown batch=%s", batch ? batch : "?");
    if (!rpc_get_number(entry, "grams", most_g, fault))
        return false;
    if (!isnan(*most_g))
        mix_check_not_below_0(no, "grams", *most_g);
    for (size_t i = 0; i < a->cups; i++)
        if (strcmp(a->number[i], a->number[a->cups]) == 0)
            return fault_said(fault, FAULT_INVALID, "leftovers", "twice", "leftover_twice batch=%s", a->number[i]);
    a->cups++;
    return numbers_good(no, fault);
}

static bool read_asked(struct daemon *d, struct shop_asked *a, const json_t *params, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    const struct config_station *config = plans_station(d, json_string_value(json_object_get(params, "station")));
    a->smallest_g = NAN;
    if (!config)
        return fault_said(fault, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s",
                          json_string_value(json_object_get(params, "station")));
    if (!numbers_fill(params, numbers, a, &no, fault) || !rpc_get_number(params, "smallest_g", &a->smallest_g, fault))
        return false;
    if (isnan(a->smallest_g))
        a->smallest_g = mix_weighable_g(config->d_g, HALF_DROP_G, config->error_pct);
    else
        mix_check_not_below_0(&no, "smallest_g", a->smallest_g);
    a->named = json_is_array(json_object_get(params, "leftovers"));
    if (!numbers_each(params, "leftovers", name_cup, a, &no, fault))
        return false;
    json_t *plan = plans_make(d, config, params, take_plan, a, fault);
    json_decref(plan);
    clock_text(clock_wall_ms(), a->today);
    a->today[10] = '\0';
    return plan != NULL;
}

/* ---- the answer, on the helper thread ---- */

/* Colour first, so that add_g begins with it; then the reducer. */
static void list_components(struct shop_asked *a)
{
    for (int reducer = 0; reducer < 2; reducer++) {
        for (size_t p = 0; p < a->recipe.parts && a->n < MIX_MAX; p++) {
            const struct recipe_part *part = &a->recipe.part[p];
            if (part->role != (reducer ? PART_REDUCER : PART_COLOUR) || !(a->aim_g[p] > 0))
                continue;
            a->part[a->n] = (int)p;
            a->share[a->n++] = a->aim_g[p];
            a->total_g += a->aim_g[p];
        }
        a->colours = reducer ? a->colours : a->n;
    }
    for (size_t i = 0; i < a->n; i++)
        a->share[i] /= a->total_g;
}

static bool read_cups(struct shop_asked *a, struct inquiry *r, struct store *view)
{
    const struct shelf_asked shelf = {.recipe = &a->recipe, .today = a->today, .most = MIX_MAX, .unweighed = true};
    if (!a->named && shelf_cups(view, &shelf, a->cup, &a->cups) == STORE_UNREAD) {
        inquiry_unread(r, view);
        return false;
    }
    for (size_t i = 0; a->named && i < a->cups; i++) {
        enum store_found found = shelf_cup(view, a->number[i], &shelf, &a->cup[i]);
        if (found == STORE_UNREAD)
            inquiry_unread(r, view);
        else if (found == STORE_NONE)
            fault_said(&r->fault, FAULT_INVALID, "leftovers", "unknown", "leftover_no_cup batch=%s", a->number[i]);
        if (found != STORE_FOUND)
            return false;
        if (a->most_g[i] < a->cup[i].left_g)
            a->cup[i].left_g = a->most_g[i];
    }
    return true;
}

/* The cups in the program's components. Older cups must stand first there: by number, which rises with time. */
static void write_leftovers(struct shop_asked *a, size_t order[MIX_MAX])
{
    for (size_t j = 0; j < a->cups; j++) {
        size_t at = j;
        for (; at > 0 && atoll(a->cup[order[at - 1]].batch) > atoll(a->cup[j].batch); at--)
            order[at] = order[at - 1];
        order[at] = j;
    }
    for (size_t j = 0; j < a->cups; j++) {
        const struct leftover *from = &a->cup[order[j]];
        struct mix_leftover *to = &a->leftover[j];
        double known = 0;
        *to = (struct mix_leftover){.grams = from->left_g, .barred = from->bar != LEFTOVER_GOES};
        for (size_t i = 0; i < a->n; i++)
            known += to->share[i] = from->share[a->part[i]];
        to->foreign = 1 - known > 1e-9 ? 1 - known : 0;
    }
}

/* Of so many grams of each component. */
static double cost_of(const struct shop_asked *a, const double *grams)
{
    double cost = 0;
    for (size_t i = 0; i < a->n; i++)
        cost += grams[i] > 0 ? recipe_price(&a->recipe.part[a->part[i]], grams[i]) : 0;
    return cost;
}

/* What the cups spare; NaN where a price is missing. */
static double saved_by(const struct shop_asked *a, const struct mix_workoff *w)
{
    double fresh_g[MIX_MAX];
    for (size_t i = 0; i < a->n; i++)
        fresh_g[i] = a->share[i] * a->total_g;
    return cost_of(a, fresh_g) - cost_of(a, w->add_g);
}

/* The lists in the call's own order again. */
static json_t *answer(const struct shop_asked *a, const struct mix_workoff *w, const size_t order[MIX_MAX])
{
    static const char *const bars[] = {NULL, "line", "activated", "past", "unweighed"};
    struct mix_workoff back = {0};
    const char *barred[MIX_MAX];
    double total_g = 0, reducer_g = 0, pour_g = 0;
    json_t *have = json_array(), *batches = json_array(), *toners = json_array();
    for (size_t j = 0; j < a->cups; j++) {
        back.use_g[order[j]] = w->use_g[j];
        back.why[order[j]] = w->why[j];
    }
    for (size_t j = 0; j < a->cups; j++) {
        barred[j] = a->spare[j] ? "many" : bars[a->cup[j].bar];
        json_array_append_new(batches, json_string(a->cup[j].batch));
        if (back.use_g[j] > 0)
            json_array_append_new(
                have, json_pack("{s:s, s:o}", "batch", a->cup[j].batch, "grams", number_json(back.use_g[j])));
        for (size_t i = 0; i < a->colours; i++)
            total_g += back.use_g[j] * a->cup[j].share[a->part[i]];
    }
    for (size_t i = 0; i < a->n; i++) {
        *(i < a->colours ? &pour_g : &reducer_g) += w->add_g[i];
        if (i < a->colours)
            json_array_append_new(toners, json_string(a->recipe.part[a->part[i]].toner));
    }
    total_g += pour_g;
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "use_g",
                     numbers_list(back.use_g, a->cups), "add_g", numbers_list(w->add_g, a->colours), "total_g",
                     number_json(total_g), "cost", number_json_money(cost_of(a, w->add_g)), "why",
                     solving_why(&back, a->cups, barred), "batches", batches, "toners", toners, "reducer_g",
                     number_json(reducer_g), "pour_g", number_json(pour_g), "saved", number_json_money(saved_by(a, w)),
                     "have", have);
}

/* The newest of the cups that are used give way, until a beginning can name all of them. */
static bool spare_some(struct shop_asked *a, const struct mix_workoff *w, const size_t order[MIX_MAX])
{
    size_t used = 0;
    bool spared = false;
    for (size_t j = 0; j < a->cups; j++)
        if (w->use_g[j] > 0 && ++used > EVENT_HAVES)
            spared = a->spare[order[j]] = a->leftover[j].barred = true;
    return spared;
}

static void run(struct inquiry *r, struct store *view)
{
    struct shop_asked *a = (struct shop_asked *)(void *)r;
    struct mix_workoff out;
    struct solver solver;
    size_t order[MIX_MAX] = {0};
    if (!read_cups(a, r, view))
        return;
    list_components(a);
    write_leftovers(a, order);
    const struct mix_tolerance tol = {
        .abs_g = a->tolerance_g, .rel = a->tolerance_pct / 100, .d_g = a->d_g, .error = a->error_pct / 100};
    const struct mix_workoff_asked asked = {a->share, a->n, a->total_g, tol, a->smallest_g, a->leftover, a->cups};
    solving_begin(&solver, r);
    bool good;
    do
        good = mix_workoff(&asked, solver_run, &solver, &a->room, &out);
    while (good && spare_some(a, &out, order));
    solver_end(&solver);
    if (good)
        inquiry_answer(r, answer(a, &out, order));
    else
        solving_failed(r, &solver);
}

static void finish(struct inquiry *r)
{
    solving_leave(r->daemon);
    if (r->answer)
        rpc_answer_text(r->call, r->answer);
    else
        rpc_fail(r->call, &r->fault);
}

void workoff_of_shop(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    struct shop_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    a->inquiry.finish = finish;
    if (!read_asked(d, a, params, &fault) || !solving_enter(d, &fault))
        inquiry_refuse(&a->inquiry, &fault);
    else
        inquiry_start(&a->inquiry, STORE_SLOW, run);
}
