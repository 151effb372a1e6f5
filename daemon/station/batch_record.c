/* batch_record.c - verdicts and facts from what the fold counted, and a batch as batch.get and mix.plan answer it. It
 * must not know the store, nor who asked or shows it. */
#include "station/batch_record.h"

#include "clock.h"
#include "mix/voc.h"
#include "station/aims.h"
#include "station/shade.h"
#include "station/sure.h"
#include "text/number.h"
#include "text/timestamp.h"

#include <math.h>
#include <string.h>

const char *const step_verdict_names[STEP_VERDICTS] = {
    [STEP_ON_AIM] = "on_aim", [STEP_SHORT] = "short",     [STEP_OVER] = "over",
    [STEP_LEFT] = "left",     [STEP_FOREIGN] = "foreign", [STEP_TINTED] = "tinted",
};

/* By toner: a tint makes the recipe anew, and with it every index of a part. */
static bool remembers(const struct batch_bit *list, size_t count, const char *toner)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].toner, toner) == 0)
            return true;
    return false;
}

/* The overpour that waits for its remedy, or for paint to be taken out. */
static bool is_over(const struct batch *b, size_t step)
{
    bool asks = b->state == BATCH_OVER || (b->state == BATCH_POUR && (b->now == NOW_TAKE_OUT || b->now == NOW_CUP));
    return asks && b->over == (int)step;
}

/* While a step is open its count is no result yet. */
static bool is_open(const struct batch *b, size_t step)
{
    return b->state == BATCH_POUR && b->now == NOW_STEP && b->open == (int)step;
}

/* What goes on top and asks no more may stand beyond its tolerance all the same: more of the base was chosen for it,
 * and the tins ran empty. More of the base ends on the edge of the tolerance, and each toner of it may be short by its
 * own: by so much it is still on aim. */
static bool is_beyond(const struct batch *b, size_t step)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    double aim = p->role == PART_COLOUR ? 0 : batch_addition_aim_g(b, part);
    if (aim <= MIX_SLACK_G || !isnan(b->part_edge_g[part]))
        return false;
    double most = aim + mix_tolerance_g(1, aim, batch_addition_tolerance(b, p));
    return batch_part_g(b, part) > most * (1 + b->set.tolerance_pct / 100) + batch_d_g(b);
}

/* The order of the questions is the answer: a step that waits for its remedy is over whatever else it is, and a wrong
 * tin stays foreign though a tint took it into the recipe. */
enum step_verdict batch_step_verdict(const struct batch *b, size_t step)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    if (is_over(b, step))
        return STEP_OVER;
    if (p->foreign)
        return STEP_FOREIGN;
    if (is_open(b, step) || !b->step_poured[step])
        return STEP_NONE;
    if (b->part_left[part] || is_beyond(b, step))
        return STEP_LEFT;
    if (remembers(b->tinted, b->tints, p->toner))
        return STEP_TINTED;
    if (remembers(b->foreign, b->foreigns, p->toner))
        return STEP_FOREIGN; /* a tint made it part of the recipe, and a wrong tin it stays */
    return b->step_short[step] || batch_step_wants(b, step) ? STEP_SHORT : STEP_ON_AIM;
}

/* Against the aim at k_lo, of the step alone. */
double batch_step_deviation_pct(const struct batch *b, size_t step)
{
    enum step_verdict verdict = batch_step_verdict(b, step);
    if (verdict == STEP_NONE || verdict == STEP_FOREIGN || verdict == STEP_TINTED)
        return NAN;
    double aim = batch_step_judged_aim_g(b, step), poured = b->step_g[step];
    return aim > 0 && poured > 0 ? 100 * (poured - aim) / aim : NAN;
}

/* By part: a toner named twice is of the same tins. */
const char *batch_step_lot(const struct batch *b, size_t step)
{
    return b->part_lot[b->recipe.step[step].part];
}

/* What has no room is left out: facts stand in the order of their weight, so the gravest are kept. */
static void add(struct said *out, size_t most, size_t *count, struct said fact)
{
    if (*count < most)
        out[(*count)++] = fact;
}

/* Its times are of two clocks, or of a wrong one: whoever reads them must know. */
static void add_clock(const struct batch *b, struct said *out, size_t most, size_t *n)
{
    char before[TIMESTAMP_ROOM], after[TIMESTAMP_ROOM], text[TIMESTAMP_ROOM];
    if (b->clock_wrong)
        add(out, most, n, say("fact_clock_wrong"));
    if (b->clock_ms == 0)
        return;
    timestamp_text(b->clock_ms - b->clock_step_ms, text);
    timestamp_readable(text, before);
    timestamp_text(b->clock_ms, text);
    timestamp_readable(text, after);
    add(out, most, n, say("fact_clock_set before=%s after=%s", before, after));
}

/* In the order in which a label has room for them: what made it another colour first, then what is only off. */
size_t batch_facts(const struct batch *b, struct said *out, size_t most)
{
    size_t n = 0;
    for (size_t i = 0; i < b->tints; i++)
        add(out, most, &n, say("fact_tinted toner=%s poured_g=%f", b->tinted[i].toner, b->tinted[i].grams));
    for (size_t i = 0; i < b->foreigns; i++)
        add(out, most, &n, say("fact_foreign toner=%s poured_g=%f", b->foreign[i].toner, b->foreign[i].grams));
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const char *toner = b->recipe.part[b->recipe.step[s].part].toner;
        double off_pct = batch_step_deviation_pct(b, s);
        if (batch_step_verdict(b, s) == STEP_LEFT && off_pct > 0)
            add(out, most, &n, say("fact_left toner=%s deviation_pct=%f", toner, off_pct));
        else if (b->step_short[s] && isnan(off_pct))
            add(out, most, &n, say("fact_missing toner=%s", toner));
        else if (b->step_short[s] && off_pct < 0)
            add(out, most, &n, say("fact_short toner=%s deviation_pct=%f", toner, off_pct));
    }
    add_clock(b, out, most, &n);
    return n;
}

/* ---- as JSON ---- */

json_t *view_text(const char *text)
{
    return text && *text ? json_string(text) : json_null();
}

/* mix.voc of these grams by part, as the method answers it; null where a figure is missing. */
static json_t *view_voc(const struct recipe *r, const double grams[])
{
    struct mix_voc_part parts[RECIPE_PARTS] = {0};
    struct mix_voc voc;
    size_t n = 0;
    for (size_t p = 0; p < r->parts; p++) {
        const struct recipe_part *part = &r->part[p];
        if (!(grams[p] > 0))
            continue;
        parts[n++] = (struct mix_voc_part){.grams = grams[p],
                                           .density_g_per_ml = part->density_g_per_ml,
                                           .voc_pct = part->voc_pct,
                                           .water_pct = isnan(part->water_pct) ? 0 : part->water_pct,
                                           .exempt_pct = isnan(part->exempt_pct) ? 0 : part->exempt_pct,
                                           .exempt_density_g_per_ml = part->exempt_density_g_per_ml};
    }
    mix_voc(parts, n, &voc);
    if (n == 0 || isnan(voc.actual_g_per_l))
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "actual_g_per_l", number_json(voc.actual_g_per_l),
                     "regulatory_g_per_l", number_json(voc.regulatory_g_per_l), "density_g_per_ml",
                     number_json(voc.density_g_per_ml), "volume_ml", number_json(voc.volume_ml), "voc_g",
                     number_json(voc.voc_g));
}

/* Fills g by part as well: cost and VOC of the plan are summed from the same grams. */
static json_t *components(const struct batch *b, double g[])
{
    const struct recipe *r = &b->recipe;
    json_t *list = json_array();
    for (size_t s = 0; s < r->steps; s++) {
        const struct recipe_part *p = &r->part[r->step[s].part];
        if (p->role != PART_COLOUR || p->foreign)
            continue;
        double aim = r->step[s].share * b->wanted_g;
        g[r->step[s].part] += aim;
        json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:o, s:o}", "toner", p->toner, "name", p->name, "share",
                                              number_json(r->step[s].share), "aim_g", number_json(aim), "aim_ml",
                                              number_json(aim / p->density_g_per_ml)));
    }
    return list;
}

/* The reducer as its own member; a hardener or another addition as `additions`, in the product's order. */
static void additions(const struct batch *b, double g[], json_t *plan)
{
    const struct recipe *r = &b->recipe;
    json_t *reducer = json_null(), *others = json_array();
    for (size_t p = 0; p < r->parts; p++) {
        const struct recipe_part *part = &r->part[p];
        if (part->role == PART_COLOUR || part->foreign || !(part->per_base > 0))
            continue;
        g[p] = batch_addition_aim_g(b, (int)p);
        json_t *one = json_pack("{s:s, s:s, s:o, s:s, s:o, s:o}", "toner", part->toner, "name", part->name, "pct",
                                number_json(part->per_base * 100), "basis", r->by_volume ? "volume" : "weight", "grams",
                                number_json(g[p]), "ml", number_json(g[p] / part->density_g_per_ml));
        if (part->role == PART_REDUCER && json_is_null(reducer))
            reducer = one;
        else
            json_array_append_new(others, one);
    }
    json_object_set_new(plan, "reducer", reducer);
    json_object_set_new(plan, "additions", others);
}

/* A plan is a batch that nothing was poured of, so the same sums serve both. */
json_t *view_plan(const struct batch *b, const char *currency)
{
    double g[RECIPE_PARTS] = {0};
    double cost = 0;
    const struct recipe *r = &b->recipe;
    json_t *list = components(b, g);
    json_t *plan = json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "formula", r->code, "name", r->name,
                             "variant", view_text(r->variant), "coat", view_text(r->coat), "finish",
                             view_text(r->finish), "total_g", number_json(b->wanted_g), "total_ml",
                             number_json(batch_colour_ml(b, b->wanted_g)), "components", list, "currency", currency);
    additions(b, g, plan);
    for (size_t p = 0; p < r->parts; p++)
        cost += recipe_price(&r->part[p], g[p]);
    json_object_set_new(plan, "cost", number_json_money(cost));
    json_object_set_new(plan, "voc", view_voc(r, g));
    json_object_set_new(plan, "part", view_text(recipe_first_part(r)));
    json_object_set_new(plan, "ready_ml", number_json(batch_volume_ml(b, b->wanted_g)));
    return plan;
}

/* ---- the record ---- */

/* Aim of a whole part in the batch as it has become. */
static double part_aim(const struct batch *b, int part)
{
    const struct recipe_part *p = &b->recipe.part[part];
    if (p->role != PART_COLOUR)
        return batch_addition_aim_g(b, part);
    return fmax(0, batch_toner_share(b, part)) * batch_k_lo(b);
}

/* Hardener has no share of the colour: null. */
static json_t *part_of(const struct batch *b, int part, const struct number_style *style)
{
    const struct recipe_part *p = &b->recipe.part[part];
    double aim = part_aim(b, part), poured = batch_toner_g(b, part);
    bool shared = p->role == PART_COLOUR;
    struct shade shade = batch_part_shade(b, part,
                                          poured > 0 && !p->foreign ? poured - aim
                                          : poured > 0              ? poured
                                                                    : NAN);
    return json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o}", "toner", p->toner, "name", p->name, "share",
                     shared ? number_json(batch_toner_share(b, part)) : json_null(), "aim_g", number_json(aim),
                     "poured_g", number_json(poured), "deviation_pct",
                     aim > 0 && poured > 0 ? number_json(100 * (poured - aim) / aim) : json_null(), "lot",
                     view_text(b->part_lot[part]), "de00", shade_json(&shade, false, style));
}

/* A stray reducer is no part of the plan; it stands among the parts. */
static json_t *reducer_of(const struct batch *b)
{
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role == PART_REDUCER && !b->recipe.part[p].foreign)
            return json_pack("{s:s, s:s, s:o, s:o, s:o}", "toner", b->recipe.part[p].toner, "name",
                             b->recipe.part[p].name, "aim_g", number_json(part_aim(b, (int)p)), "poured_g",
                             number_json(batch_part_g(b, (int)p)), "lot", view_text(b->part_lot[p]));
    return json_null();
}

/* Volumes add (ASTM D5201): what the cup holds now. NaN where a density is missing. */
static double content_ml(const struct batch *b)
{
    double ml = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double g = batch_toner_g(b, (int)p);
        if (g > 0)
            ml += g / b->recipe.part[p].density_g_per_ml;
    }
    return ml;
}

/* At the prices of the beginning, as the event holds them; NaN where one is missing. */
double batch_cost(const struct batch *b)
{
    double cost = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double g = batch_toner_g(b, (int)p);
        if (g > 0)
            cost += recipe_price(&b->recipe.part[p], g);
    }
    return cost;
}

static json_t *time_or_null(int64_t ms)
{
    char text[CLOCK_TEXT];
    if (ms == 0)
        return json_null();
    clock_text(ms, text);
    return json_string(text);
}

/* What evaporated is in the air, not in the cup: voc_g is what was emitted, the other figures are of the cup. */
static void add_evaporated(json_t *voc, const struct batch *b)
{
    for (size_t p = 0; json_is_object(voc) && b->evaporated_g > 0 && p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        if (part->role != PART_REDUCER || part->foreign || isnan(part->voc_pct))
            continue;
        double voc_g = json_number_value(json_object_get(voc, "voc_g")) + b->evaporated_g * part->voc_pct / 100;
        json_object_set_new(voc, "voc_g", number_json(voc_g));
        return;
    }
}

/* Lists run as `parts` do; null while nothing is in the cup. */
static json_t *uncertainty_of(const struct batch *b, const bool listed[RECIPE_PARTS])
{
    struct batch_sure sure;
    struct number_style style = batch_number_style(b);
    if (!batch_sure(b, &sure))
        return json_null();
    json_t *u_g = json_array(), *share = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++) {
        if (!listed[p])
            continue;
        json_array_append_new(u_g, number_json(sure.u_g[p]));
        json_array_append_new(share, number_json(sure.share_u_pct[p]));
    }
    return json_pack("{s:o, s:o, s:o}", "u_g", u_g, "share_u_pct", share, "said", said_json(&sure.said, &style));
}

/* What was taken of which premix; `parts` tell it by what it is made of. */
static json_t *premixes_of(const struct batch *b)
{
    json_t *list = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (recipe_part_is_mix(&b->recipe, (int)p))
            json_array_append_new(list, json_pack("{s:s, s:o}", "toner", b->recipe.part[p].toner, "grams",
                                                  number_json(batch_part_g(b, (int)p))));
    return list;
}

/* The first reducer has a member of its own; a second one stands among the parts. */
json_t *view_record(const struct batch *b, const char *currency)
{
    const struct recipe *r = &b->recipe;
    json_t *parts = json_array();
    struct number_style style = batch_number_style(b);
    bool reducer_seen = false, listed[RECIPE_PARTS] = {false};
    for (size_t p = 0; p < r->parts; p++) {
        if (r->part[p].role == PART_REDUCER && !r->part[p].foreign && !reducer_seen) {
            reducer_seen = true;
            continue;
        }
        if (recipe_part_is_mix(r, (int)p))
            continue;
        listed[p] = true;
        json_array_append_new(parts, part_of(b, (int)p, &style));
    }
    double g = batch_content_g(b), ml = content_ml(b), by_part[RECIPE_PARTS] = {0};
    for (size_t p = 0; p < r->parts; p++)
        by_part[p] = batch_toner_g(b, (int)p);
    json_t *have = json_array();
    for (size_t i = 0; i < b->haves; i++)
        json_array_append_new(have, json_pack("{s:o, s:o}", "batch", view_text(b->have[i].batch), "grams",
                                              number_json(b->have[i].grams)));
    char made[SAID_TEXT_MAX];
    json_t *o = json_pack(
        "{s:s, s:s, s:s, s:s, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:o, s:s, s:o, s:o, s:o, s:o, s:o}",
        "batch", b->id, "state", batch_state_names[b->state], "formula", r->code, "name", r->name, "formula_revision",
        (json_int_t)r->formula_revision, "variant", view_text(r->variant), "coat", view_text(r->coat), "finish",
        view_text(r->finish), "order", view_text(b->order), "painter", view_text(b->painter), "station",
        view_text(b->station), "begun", time_or_null(b->begun_ms), "finished", time_or_null(b->finished_ms),
        "repeat_of", view_text(b->repeat_of), "parts", parts, "reducer", reducer_of(b), "total_g", number_json(g),
        "total_ml", number_json(ml), "density_g_per_ml", g > 0 ? number_json(g / ml) : json_null(), "cost",
        number_json_money(batch_cost(b)), "currency", currency, "wanted_g", number_json(b->wanted_g), "product",
        view_text(r->product), "made", view_text(said_text(&r->made, WORDS_EN, &style, made, sizeof made)), "have",
        have, "waste_g", number_json(b->waste_g));
    json_object_set_new(o, "made_said", said_json(&r->made, &style));
    json_object_set_new(o, "premixes", premixes_of(b));
    json_object_set_new(o, "evaporated_g", number_json(b->evaporated_g));
    json_object_set_new(o, "voc", view_voc(r, by_part));
    add_evaporated(json_object_get(o, "voc"), b);
    json_object_set_new(o, "use_by", time_or_null(batch_use_by_ms(b)));
    json_object_set_new(o, "uncertainty", uncertainty_of(b, listed));
    for (size_t p = 0; p < r->parts; p++)
        by_part[p] = batch_part_g(b, (int)p); /* how it looks asks for the tins, which were weighed */
    struct shade shade = batch_shade(b, by_part);
    json_object_set_new(o, "de00", g > 0 ? shade_json(&shade, false, &style) : json_null());
    return o;
}
