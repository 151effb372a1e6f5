/* screen.c - the whole screen as JSON, put together of what the other files of this folder decide. */
#include "front/front.h"
#include "station/aims.h"
#include "station/batch_record.h"
#include "station/cautions.h"
#include "station/decide.h"
#include "station/shade.h"
#include "station/sure.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* null for what is not known: "" would be a name. */
static json_t *text_of(const char *text)
{
    return text && *text ? json_string(text) : json_null();
}

/* Wall milliseconds as RFC 3339; 0 is null. */
static json_t *time_of(int64_t ms)
{
    char text[TIMESTAMP_ROOM];
    if (ms == 0)
        return json_null();
    timestamp_text(ms, text);
    return json_string(text);
}

/* The step that stands open: in state over, the one that asks. */
static int shown_step(const struct batch *b)
{
    if (b->state == BATCH_OVER)
        return b->over;
    return b->state == BATCH_POUR && b->now == NOW_STEP ? b->open : -1;
}

/* A cup of the shelf is poured in. */
static bool is_cup_open(const struct batch *b)
{
    return b->state == BATCH_POUR && b->now == NOW_CUP;
}

/* What is poured just now, as of the last reading: clients move to_go_g and in_cup_g on with each weight. null where no
 * step is open. */
static json_t *now_of(const struct front *f)
{
    const struct batch *b = f->batch;
    const struct track *t = f->track;
    struct front_now n;
    front_now(f, &n);
    if (!n.open)
        return json_null();
    const char *toner = NULL, *name = "take out";
    char cup[32];
    int step = shown_step(b);
    if (is_cup_open(b)) {
        snprintf(cup, sizeof cup, "cup %s", b->cup[b->open_cup].batch);
        name = cup;
    } else if (step >= 0) {
        toner = b->recipe.part[b->recipe.step[step].part].toner;
        name = b->recipe.part[b->recipe.step[step].part].name;
    } else if (b->now == NOW_TINT) {
        toner = b->tint.toner;
        name = b->tint.name;
    }
    /* What the scale's own display reads at the aim: the base, and what is still to come onto it. */
    double pour = (double)track_pour_ug(t) / 1e6;
    double shows = t->active ? (double)t->base_ug / 1e6 + n.aim_g - (n.in_cup_g - pour) : NAN;
    return json_pack("{s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:s, s:o}", "toner", text_of(toner), "name", name,
                     "batch", is_cup_open(b) ? json_string(b->cup[b->open_cup].batch) : json_null(), "lot",
                     text_of(batch_tin_lot(b, batch_open_toner(b))), "aim_g", number_json(n.aim_g), "in_cup_g",
                     number_json(n.in_cup_g), "to_go_g", number_json(n.to_go_g), "tolerance_g",
                     number_json(n.tolerance_g), "cue", mix_cue_name(f->cue), "scale_shows_g", number_json(shows));
}

/* `again`: counted before, open once more. A closed step is `done`, short or not: its verdict tells which. */
static const char *step_state(const struct batch *b, size_t step)
{
    if ((int)step == shown_step(b))
        return b->step_poured[step] && b->state == BATCH_POUR ? "again" : "now";
    if (b->state == BATCH_DONE || !batch_step_wants(b, step))
        return "done";
    return "next";
}

/* A step that is done asks for nothing, whatever it was left with. */
static json_t *step_of(const struct front *f, size_t s)
{
    const struct batch *b = f->batch;
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
    const char *state = step_state(b, s);
    bool done = strcmp(state, "done") == 0;
    double aim_g = batch_step_aim_g(b, s), poured_g = b->step_g[s], to_go_g = done ? 0 : aim_g - poured_g;
    double deviation_pct = batch_step_deviation_pct(b, s);
    struct shade shade = {.known = false};
    struct number_style style = front_style(f);
    if (!isnan(deviation_pct))
        shade = batch_part_shade(b, b->recipe.step[s].part, b->step_g[s] - batch_step_judged_aim_g(b, s));
    return json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "toner", p->toner, "name", p->name,
                     "aim_g", number_json(aim_g), "poured_g", number_json(poured_g), "to_go_g", number_json(to_go_g),
                     "off_g", number_json(done ? poured_g - aim_g : NAN), "state", state, "place", text_of(p->place),
                     "verdict", text_of(step_verdict_names[batch_step_verdict(b, s)]), "deviation_pct",
                     number_json(deviation_pct), "lot", text_of(batch_step_lot(b, s)), "de00",
                     shade_json(&shade, false, &style));
}

/* A cup of the shelf has no toner: it is counted by what it holds. */
static json_t *cup_step_of(const struct batch *b, size_t i)
{
    const struct batch_cup *cup = &b->cup[i];
    char name[32];
    bool open = is_cup_open(b) && i == b->open_cup;
    snprintf(name, sizeof name, "cup %s", cup->batch);
    const char *verdict = !cup->done                                                   ? NULL
                          : cup->poured_g < cup->aim_g - batch_cup_tolerance_g(b, cup) ? "short"
                                                                                       : "on_aim";
    double lacks_g = cup->aim_g - cup->poured_g;
    return json_pack("{s:n, s:s, s:s, s:o, s:o, s:o, s:o, s:s, s:n, s:o, s:n, s:n, s:n}", "toner", "batch", cup->batch,
                     "name", name, "aim_g", number_json(cup->aim_g), "poured_g", number_json(cup->poured_g), "to_go_g",
                     number_json(cup->done ? 0 : lacks_g), "off_g", number_json(cup->done ? -lacks_g : NAN), "state",
                     cup->done           ? "done"
                     : !open             ? "next"
                     : cup->poured_g > 0 ? "again"
                                         : "now",
                     "place", "verdict", text_of(verdict), "deviation_pct", "lot", "de00");
}

/* In pouring order: colour, what goes on top, then wrong tins, all listed from the beginning with their aims; then the
 * cups of the shelf that a rescue pours in, so that no place in the list moves. */
static json_t *steps_of(const struct front *f)
{
    const struct batch *b = f->batch;
    json_t *list = json_array();
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(list, step_of(f, s));
    for (size_t i = 0; i < b->cups; i++)
        json_array_append_new(list, cup_step_of(b, i));
    return list;
}

/* What a way out takes longer than the plan: each tin or cup that is opened for it, and stirring before paint is taken
 * out. Common practice, no source; it tells one way from another, no hour of the day. */
static int minutes_of(const struct batch *b, const struct remedy *r, double take_g, size_t cups)
{
    enum { A_TIN = 1, TAKING_OUT = 2 }; /* minutes */
    int minutes = (take_g > 0 ? TAKING_OUT : 0) + A_TIN * (int)cups;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (r->add_g[s] > 0 && batch_part_g(b, b->recipe.step[s].part) > 0) /* what is still to come is opened anyway */
            minutes += A_TIN;
    return minutes;
}

/* The cups of an earlier rescue are steps as well, and no way out pours from them again. */
static json_t *with_cups(const struct batch *b, json_t *list, json_t *of_a_cup)
{
    for (size_t i = 0; i < b->cups; i++)
        json_array_append(list, of_a_cup);
    return list;
}

/* Lists run in the order of the steps, a toner named twice at its first one. null: this way out does not exist. */
static json_t *remedy_of(const struct front *f, const struct batch_remedies *all, const struct remedy *r, bool adds)
{
    double take_g = r == &all->dip ? all->take_g : r == &all->rescue ? all->rescue_take_g : 0;
    const struct batch *b = f->batch;
    struct number_style style = front_style(f);
    if (!r->possible)
        return json_null();
    json_t *o = json_pack("{s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:b}", "total_g", number_json(r->total_g), "fits",
                          r->why == NULL, "why", text_of(r->why), "waste_g", number_json(r->waste_g), "cost",
                          number_json_money(r->cost), "volume_ml", number_json(r->volume_ml), "de00",
                          shade_json(&r->shade, r == all->nearest, &style), "nearest", r == all->nearest);
    json_object_set_new(o, "minutes",
                        json_integer(adds ? minutes_of(b, r, take_g, r == &all->rescue ? b->rescue.cups : 0) : 0));
    if (!adds)
        return o;
    json_t *add = json_array();
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(add, number_json(r->add_g[s]));
    json_t *none = json_integer(0);
    json_object_set_new(o, "add_g", with_cups(b, add, none));
    json_decref(none);
    return o;
}

/* null: no cup of the shelf makes it cheaper. */
static json_t *rescue_of(const struct front *f, const struct batch_remedies *r)
{
    const struct batch *b = f->batch;
    json_t *o = remedy_of(f, r, &r->rescue, true), *batches = json_array();
    for (size_t i = 0; json_is_object(o) && i < b->rescue.cups; i++)
        json_array_append_new(batches, json_pack("{s:s, s:o}", "batch", b->rescue.cup[i].batch, "grams",
                                                 number_json(b->rescue.cup[i].grams)));
    if (json_is_object(o)) {
        json_object_set(o, "batches", batches);
        json_object_set_new(o, "take_g", number_json(r->rescue_take_g));
    }
    json_decref(batches);
    return o;
}

/* null but in over: elsewhere there is nothing to choose. */
static json_t *remedies_of(const struct front *f)
{
    const struct batch *b = f->batch;
    struct batch_remedies r;
    if (b->state != BATCH_OVER)
        return json_null();
    batch_remedies(b, &r);
    json_t *grow = remedy_of(f, &r, &r.grow, true), *dip = remedy_of(f, &r, &r.dip, true);
    json_t *leave = remedy_of(f, &r, &r.leave, false), *deviation = json_array();
    if (r.dip.possible)
        json_object_set_new(dip, "take_g", number_json(r.take_g));
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(deviation, number_json(r.deviation_pct[s]));
    json_object_set_new(leave, "deviation_pct", with_cups(b, deviation, json_null()));
    json_object_set_new(leave, "foreign_pct", number_json(r.foreign_pct));
    json_object_set_new(leave, "ratio", text_of(r.ratio));
    json_t *o = json_pack("{s:o, s:o, s:o, s:s}", "grow", grow, "dip", dip, "leave", leave, "currency", f->currency);
    if (!r.grow.possible && r.grow.why)
        json_object_set_new(o, "grow_why", json_string(r.grow.why));
    json_object_set_new(
        o, "again",
        r.again ? json_pack("{s:o, s:i}", "cost", number_json_money(r.again_cost), "minutes", (int)b->recipe.steps)
                : json_null());
    json_object_set_new(o, "rescue", rescue_of(f, &r));
    return o;
}

/* ---- what a person reads ---- */

/* One sentence at a time; none in idle, where a check that is led shows by the foot line alone. First what is led (a
 * check weight), then what may be no paint at all, then the clock, then what the batch says; a cup that is off goes
 * before the two in the middle. */
static struct said message_of(const struct front *f)
{
    const struct batch *b = front_batch(f);
    if (!b)
        return (struct said){.used = 0};
    if (f->lead.code[0])
        return f->lead;
    /* What came at once goes before what the batch says; but a cup that is off is to be put back first. */
    if (f->came.code[0] && !f->track->lifted)
        return f->came;
    struct said pot_life;
    bool news;
    if (front_pot_life(f, &pot_life, &news) && news && !f->track->lifted)
        return pot_life;
    if (b->state == BATCH_DONE && recipe_is_premix(&b->recipe) && !b->said.code[0])
        return say("premix_done take_g=%f grams=%f", b->recipe.premix_take_g, b->recipe.premix_for_g);
    /* A cup that was held stands lighter than it was put aside: what that will be taken for, before it is taken. */
    double lost_g =
        b->state == BATCH_CUP && f->track->has_now && !f->track->lifted ? decide_evaporated_g(b, f->track) : 0;
    if (lost_g > 0)
        return say("evaporating lost_g=%f", lost_g);
    /* Undone while its paint stands in the open step: what it was is the painter's to say. */
    bool waits = b->state == BATCH_POUR && b->now == NOW_STEP && b->open >= 0 &&
                 (double)track_pour_ug(f->track) / 1e6 > f->d_g / 2;
    return said_is(&b->said, "undone") && waits
               ? say("undone_tin toner=%s", b->recipe.part[b->recipe.step[b->open].part].toner)
               : b->said;
}

/* Gravest first: what harms lungs, then what is too late for the paint. */
static json_t *cautions_of(const struct front *f)
{
    const struct batch *b = front_batch(f);
    json_t *list = json_array();
    struct said caution[CAUTIONS_MAX], pot_life;
    bool news;
    for (size_t i = 0, n = b ? batch_cautions(b, caution) : 0; i < n; i++)
        json_array_append_new(list, front_said(f, &caution[i]));
    if (b && front_pot_life(f, &pot_life, &news))
        json_array_insert_new(list, b->cautions > 0 && said_is(&b->caution[0], "isocyanate"), front_said(f, &pot_life));
    if (b && f->failed.code[0])
        json_array_append_new(list, front_said(f, &f->failed));
    if (b && f->due.code[0])
        json_array_append_new(list, front_said(f, &f->due));
    return list;
}

/* Told on, whatever the batch becomes: each list and label says the same. */
static json_t *facts_of(const struct front *f)
{
    struct said facts[BATCH_FACTS];
    json_t *list = json_array();
    size_t n = batch_facts(f->batch, facts, BATCH_FACTS);
    for (size_t i = 0; i < n; i++)
        json_array_append_new(list, front_said(f, &facts[i]));
    return list;
}

/* `caution`, as it stood before there were codes. */
static json_t *texts_of(const json_t *saids)
{
    json_t *list = json_array(), *one;
    size_t i;
    json_array_foreach((json_t *)(uintptr_t)saids, i, one) json_array_append(list, json_object_get(one, "text"));
    return list;
}

static json_t *trouble_of(const struct front *f)
{
    struct front_trouble t;
    if (!front_trouble(f, &t))
        return json_null();
    return json_pack("{s:s, s:o, s:o}", "code", t.code, "said", front_said(f, &t.said), "mend", front_said(f, &t.fix));
}

/* The first reading of hardener is enough; it need not have been accepted. */
static bool activated(const struct batch *b)
{
    return b && (b->hardener_ms != 0 || batch_activated(b));
}

/* left_s is as of now and may be below 0: a client counts it on by itself. */
static json_t *pot_life_of(const struct front *f)
{
    const struct batch *b = front_batch(f);
    if (!activated(b))
        return json_null();
    json_t *left = f->use_by_ms ? json_integer((f->use_by_ms - f->wall_ms) / 1000) : json_null();
    int64_t from_ms = b->hardener_ms ? b->hardener_ms : b->hardened_ms;
    return json_pack("{s:o, s:o, s:o}", "from", time_of(from_ms), "until", time_of(f->use_by_ms), "left_s", left);
}

/* ---- the whole ---- */

/* How sure the finished cup is, in one line; null before: half a cup's shares mean nothing. */
static json_t *sure_of(const struct front *f)
{
    struct batch_sure sure;
    if (!f->batch || f->batch->state != BATCH_DONE || !batch_sure(f->batch, &sure))
        return json_null();
    return front_said(f, &sure.said);
}

/* A member is there in every state, so a client asks for none in vain. */
static void idle_members(json_t *o)
{
    static const char *const none[] = {"batch",    "formula", "name", "variant",      "coat",     "finish", "order",
                                       "painter",  "step",    "now",  "total_g",      "wanted_g", "cup_ml", "fill_ml",
                                       "remedies", "use_by",  "fill", "evaporated_g", "premix"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        json_object_set_new(o, none[i], json_null());
    json_object_set_new(o, "steps", json_array());
    json_object_set_new(o, "facts", json_array());
    json_object_set_new(o, "lifted", json_false());
}

/* What a premix is made for, and the id by which it is kept where nobody names another. */
static json_t *premix_of(const struct batch *b)
{
    char id[RECIPE_ID];
    if (!recipe_is_premix(&b->recipe))
        return json_null();
    return json_pack("{s:o, s:o, s:s}", "for_g", number_json(b->recipe.premix_for_g), "take_g",
                     number_json(b->recipe.premix_take_g), "id", front_premix_id(b, id));
}

/* What belongs to a batch; the rest of the screen is there without one as well. */
static void batch_members(json_t *o, const struct front *f)
{
    const struct batch *b = f->batch;
    const struct recipe *r = &b->recipe;
    double total = batch_k_aim(b), ml = batch_volume_ml(b, total);
    int step = is_cup_open(b) ? (int)(b->recipe.steps + b->open_cup) : shown_step(b);
    json_t *fill = json_pack("{s:o, s:o, s:o, s:o, s:o}", "colour_g", number_json(total), "spray_g",
                             number_json(batch_weight_g(b, total)), "spray_ml", number_json(ml), "cup_ml",
                             number_json(b->cup_ml), "part", text_of(recipe_first_part(r)));
    json_t *more = json_pack(
        "{s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o}", "batch",
        b->id, "formula", r->code, "name", r->name, "variant", text_of(r->is_product ? "" : r->variant), "coat",
        text_of(r->coat), "finish", text_of(r->finish), "order", text_of(b->order), "painter", text_of(b->painter),
        "step", step >= 0 ? json_integer(step + 1) : json_null(), "steps", steps_of(f), "now", now_of(f), "total_g",
        number_json(total), "wanted_g", number_json(b->wanted_g), "cup_ml", number_json(b->cup_ml), "fill_ml",
        number_json(ml), "remedies", remedies_of(f), "lifted", f->track->lifted, "use_by", time_of(f->use_by_ms),
        "fill", fill, "facts", facts_of(f));
    json_object_update(o, more);
    json_object_set_new(o, "premix", premix_of(b));
    /* Before the cup is accepted what would be taken off, then what was. */
    double standing_g = b->state == BATCH_CUP && f->track->has_now ? decide_evaporated_g(b, f->track) : 0;
    json_object_set_new(o, "evaporated_g", number_json(b->evaporated_g + standing_g));
    json_decref(more);
}

/* As scale.list has it, less what a bench need not show. */
static json_t *scale_of(const struct front *f)
{
    static const char *const states[] = {
        [FRONT_LIVE] = "live", [FRONT_STALE] = "stale", [FRONT_ABSENT] = "absent", [FRONT_SEEKING] = "seeking"};
    return json_pack("{s:s, s:o, s:o}", "state", states[f->scale.state], "why", text_of(f->scale.text), "cause",
                     text_of(f->scale.cause));
}

/* In idle whatever belongs to a batch is null and lists are empty, but every member is there: a client asks for none
 * before it reads it. */
json_t *front_screen(const struct front *given)
{
    struct front front = *given, *f = &front;
    char text[SAID_TEXT_MAX] = "";
    f->batch = front_batch(given);
    struct number_style style = front_style(f);
    struct said said = message_of(f);
    if (said.code[0])
        said_text(&said, WORDS_EN, &style, text, sizeof text);
    json_t *o = json_pack("{s:s, s:s, s:I, s:s, s:o, s:o, s:b}", "station", f->station, "state",
                          f->batch ? screen_state_names[f->batch->state] : "idle", "revision", (json_int_t)f->revision,
                          "message", text, "said", front_said(f, &said), "scale", scale_of(f), "activated",
                          activated(f->batch));
    if (f->batch)
        batch_members(o, f);
    else
        idle_members(o);
    json_object_set_new(o, "next", front_next(f));
    json_object_set_new(o, "moves", front_moves(f));
    json_object_set_new(o, "trouble", trouble_of(f));
    json_object_set_new(o, "pot_life", pot_life_of(f));
    json_object_set_new(o, "sure", sure_of(f));
    json_object_set_new(o, "cautions", cautions_of(f));
    json_object_set_new(o, "caution", texts_of(json_object_get(o, "cautions")));
    return o;
}
