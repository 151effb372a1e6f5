#include "station/view.h"

#include "clock.h"
#include "station/aims.h"
#include "station/remedies.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

json_t *view_number(double value)
{
    if (!isfinite(value))
        return json_null();
    double v = round(value * 1e6) / 1e6;
    return json_real(v == 0 ? 0 : v);
}

json_t *view_money(double value)
{
    if (!isfinite(value))
        return json_null();
    double v = round(value * 100) / 100;
    return json_real(v == 0 ? 0 : v);
}

json_t *view_text(const char *text)
{
    return text && *text ? json_string(text) : json_null();
}

static json_t *view_time(int64_t ms)
{
    char text[CLOCK_TEXT];
    if (ms == 0)
        return json_null();
    clock_text(ms, text);
    return json_string(text);
}

/* The step that stands open: in state over, the one that asks. */
static int shown_step(const struct batch *b)
{
    if (b->state == BATCH_OVER)
        return b->over;
    return b->state == BATCH_POUR && b->now == NOW_STEP ? b->open : -1;
}

__attribute__((hot)) bool view_now(const struct batch *b, const struct track *t, double *aim_g, double *in_cup_g,
                                   double *tolerance_g)
{
    *aim_g = b->asked.aim_g;
    *in_cup_g = b->asked.counted_g + (b->asked.running ? (double)track_pour_ug(t) / 1e6 : 0);
    *tolerance_g = b->asked.tolerance_g;
    return b->asked.open;
}

static json_t *now_of(const struct batch *b, const struct track *t, enum mix_cue cue)
{
    double aim, in_cup, tolerance;
    if (!view_now(b, t, &aim, &in_cup, &tolerance))
        return json_null();
    const char *toner = NULL, *name = "take out";
    int step = shown_step(b);
    if (step >= 0) {
        toner = b->recipe.part[b->recipe.step[step].part].toner;
        name = b->recipe.part[b->recipe.step[step].part].name;
    } else if (b->now == NOW_TINT) {
        toner = b->tint.toner;
        name = b->tint.name;
    }
    /* What the scale's own display reads at the aim: the base, and what is still to come onto it. */
    double pour = (double)track_pour_ug(t) / 1e6;
    double shows = t->active ? (double)t->base_ug / 1e6 + aim - (in_cup - pour) : NAN;
    return json_pack("{s:o, s:s, s:o, s:o, s:o, s:o, s:s, s:o}", "toner", view_text(toner), "name", name, "aim_g",
                     view_number(aim), "in_cup_g", view_number(in_cup), "to_go_g", view_number(aim - in_cup),
                     "tolerance_g", view_number(tolerance), "cue", mix_cue_name(cue), "scale_shows_g",
                     view_number(shows));
}

static const char *step_state(const struct batch *b, size_t step)
{
    if ((int)step == shown_step(b))
        return b->step_poured[step] && b->state == BATCH_POUR ? "again" : "now";
    if (b->state == BATCH_DONE || !batch_step_wants(b, step))
        return "done";
    return "next";
}

static json_t *steps_of(const struct batch *b)
{
    json_t *list = json_array();
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
        json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:o, s:s}", "toner", p->toner, "name", p->name, "aim_g",
                                              view_number(batch_step_aim_g(b, s)), "poured_g",
                                              view_number(b->step_g[s]), "state", step_state(b, s)));
    }
    return list;
}

static json_t *remedy_of(const struct batch *b, const struct remedy *r, bool adds)
{
    if (!r->possible)
        return json_null();
    json_t *o = json_pack("{s:o, s:b, s:o, s:o, s:o, s:o}", "total_g", view_number(r->total_g), "fits", r->why == NULL,
                          "why", view_text(r->why), "waste_g", view_number(r->waste_g), "cost", view_money(r->cost),
                          "volume_ml", view_number(r->volume_ml));
    if (!adds)
        return o;
    json_t *add = json_array();
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(add, view_number(r->add_g[s]));
    json_object_set_new(o, "add_g", add);
    return o;
}

static json_t *remedies_of(const struct batch *b, const char *currency)
{
    struct batch_remedies r;
    if (b->state != BATCH_OVER)
        return json_null();
    batch_remedies(b, &r);
    json_t *grow = remedy_of(b, &r.grow, true), *dip = remedy_of(b, &r.dip, true);
    json_t *leave = remedy_of(b, &r.leave, false), *deviation = json_array();
    if (r.dip.possible)
        json_object_set_new(dip, "take_g", view_number(r.take_g));
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(deviation, view_number(r.deviation_pct[s]));
    json_object_set_new(leave, "deviation_pct", deviation);
    json_object_set_new(leave, "foreign_pct", view_number(r.foreign_pct));
    json_object_set_new(leave, "ratio", view_text(r.ratio));
    json_t *o = json_pack("{s:o, s:o, s:o, s:s}", "grow", grow, "dip", dip, "leave", leave, "currency", currency);
    if (!r.grow.possible && r.grow.why)
        json_object_set_new(o, "grow_why", json_string(r.grow.why));
    json_object_set_new(o, "again", r.again ? json_pack("{s:o}", "cost", view_money(r.again_cost)) : json_null());
    return o;
}

static void idle_members(json_t *o)
{
    static const char *const none[] = {"batch",  "formula", "name",     "variant", "coat",    "finish",
                                       "order",  "painter", "step",     "now",     "total_g", "wanted_g",
                                       "cup_ml", "fill_ml", "remedies", "use_by"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        json_object_set_new(o, none[i], json_null());
    json_object_set_new(o, "steps", json_array());
    json_object_set_new(o, "caution", json_array());
    json_object_set_new(o, "lifted", json_false());
}

static void batch_members(json_t *o, const struct batch *b, const struct track *t, const struct view_live *live)
{
    const struct recipe *r = &b->recipe;
    double total = batch_k_aim(b);
    json_t *caution = json_array();
    struct number_style style = batch_number_style(b);
    char text[SAID_TEXT_MAX];
    for (size_t i = 0; i < b->cautions; i++)
        json_array_append_new(caution, json_string(said_text(&b->caution[i], WORDS_EN, &style, text, sizeof text)));
    int step = shown_step(b);
    json_t *more = json_pack(
        "{s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o}", "batch",
        b->id, "formula", r->code, "name", r->name, "variant", view_text(r->variant), "coat", view_text(r->coat),
        "finish", view_text(r->finish), "order", view_text(b->order), "painter", view_text(b->painter), "step",
        step >= 0 ? json_integer(step + 1) : json_null(), "steps", steps_of(b), "now", now_of(b, t, live->cue),
        "total_g", view_number(total), "wanted_g", view_number(b->wanted_g), "cup_ml", view_number(b->cup_ml),
        "fill_ml", view_number(batch_volume_ml(b, total)), "remedies", remedies_of(b, live->currency), "lifted",
        t->lifted, "caution", caution, "use_by", view_time(live->use_by_ms));
    json_object_update(o, more);
    json_decref(more);
}

json_t *view_screen(const struct batch *b, const struct track *t, const struct view_live *live)
{
    bool idle = !b || b->state >= BATCH_HELD;
    char text[SAID_TEXT_MAX] = "";
    if (!idle) {
        struct number_style style = batch_number_style(b);
        said_text(&b->said, WORDS_EN, &style, text, sizeof text);
    }
    const char *message = live->message ? live->message : text;
    json_t *o = json_pack("{s:s, s:s, s:I, s:s, s:b, s:{s:s, s:o, s:o}}", "station", live->station, "state",
                          idle ? "idle" : screen_state_names[b->state], "revision", (json_int_t)live->revision,
                          "message", message, "checking", live->checking, "scale", "state", live->scale_state, "why",
                          view_text(live->scale_why), "cause", view_text(live->scale_cause));
    if (idle)
        idle_members(o);
    else
        batch_members(o, b, t, live);
    for (size_t i = 0; i < sizeof live->caution / sizeof *live->caution; i++)
        if (live->caution[i])
            json_array_append_new(json_object_get(o, "caution"), json_string(live->caution[i]));
    return o;
}
