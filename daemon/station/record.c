#include "station/record.h"

#include "clock.h"
#include "station/aims.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

/* Aim of a whole part in the batch as it has become. */
static double part_aim(const struct batch *b, int part)
{
    const struct recipe_part *p = &b->recipe.part[part];
    if (p->role != PART_COLOUR)
        return batch_addition_aim_g(b, part);
    return p->share > 0 ? p->share * batch_k_lo(b) : 0;
}

static json_t *part_of(const struct batch *b, int part)
{
    const struct recipe_part *p = &b->recipe.part[part];
    double aim = part_aim(b, part), poured = batch_part_g(b, part);
    bool shared = p->role == PART_COLOUR;
    return json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o}", "toner", p->toner, "name", p->name, "share",
                     shared ? number_json(p->share) : json_null(), "aim_g", number_json(aim), "poured_g",
                     number_json(poured), "deviation_pct",
                     aim > 0 && poured > 0 ? number_json(100 * (poured - aim) / aim) : json_null(), "lot",
                     view_text(b->part_lot[part]));
}

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
        double g = batch_part_g(b, (int)p);
        if (g > 0)
            ml += g / b->recipe.part[p].density_g_per_ml;
    }
    return ml;
}

static double content_cost(const struct batch *b)
{
    double cost = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double g = batch_part_g(b, (int)p);
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

json_t *view_record(const struct batch *b, const char *currency)
{
    const struct recipe *r = &b->recipe;
    json_t *parts = json_array();
    bool reducer_seen = false;
    for (size_t p = 0; p < r->parts; p++) {
        if (r->part[p].role == PART_REDUCER && !r->part[p].foreign && !reducer_seen) {
            reducer_seen = true;
            continue;
        }
        json_array_append_new(parts, part_of(b, (int)p));
    }
    double g = batch_content_g(b), ml = content_ml(b), by_part[RECIPE_PARTS];
    for (size_t p = 0; p < r->parts; p++)
        by_part[p] = batch_part_g(b, (int)p);
    json_t *have = json_array();
    for (size_t i = 0; i < b->haves; i++)
        json_array_append_new(have, json_pack("{s:o, s:o}", "batch", view_text(b->have[i].batch), "grams",
                                              number_json(b->have[i].grams)));
    char made[SAID_TEXT_MAX];
    struct number_style style = batch_number_style(b);
    json_t *o = json_pack(
        "{s:s, s:s, s:s, s:s, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:o, s:s, s:o, s:o, s:o, s:o, s:o}",
        "batch", b->id, "state", batch_state_names[b->state], "formula", r->code, "name", r->name, "formula_revision",
        (json_int_t)r->formula_revision, "variant", view_text(r->variant), "coat", view_text(r->coat), "finish",
        view_text(r->finish), "order", view_text(b->order), "painter", view_text(b->painter), "station",
        view_text(b->station), "begun", time_or_null(b->begun_ms), "finished", time_or_null(b->finished_ms),
        "repeat_of", view_text(b->repeat_of), "parts", parts, "reducer", reducer_of(b), "total_g", number_json(g),
        "total_ml", number_json(ml), "density_g_per_ml", g > 0 ? number_json(g / ml) : json_null(), "cost",
        number_json_money(content_cost(b)), "currency", currency, "wanted_g", number_json(b->wanted_g), "product",
        view_text(r->product), "made", view_text(said_text(&r->made, WORDS_EN, &style, made, sizeof made)), "have",
        have, "waste_g", number_json(b->waste_g));
    json_object_set_new(o, "voc", view_voc(r, by_part));
    json_object_set_new(o, "use_by", time_or_null(batch_use_by_ms(b)));
    return o;
}
