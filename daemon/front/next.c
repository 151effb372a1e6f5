/* next.c - the foot line: the one next move. It tells what the hand must do, or what Enter and `.` do.
 *
 * It must not know how a client draws it, nor decide whether an act is allowed: that is station/decide.
 */
#include "front/front.h"
#include "mix/aim.h"
#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CUP_LEAST_G 1.0 /* less is no cup; as decide_accept has it */

/* The foot line being made; acts are owned until front_next hands them on, NULL: none. */
struct line {
    enum front_kind kind;
    struct said said, second;
    json_t *act, *second_act;
};

/* The hand must do it; no key does anything. */
static void hand(struct line *l, struct said said)
{
    l->kind = FRONT_HAND;
    l->said = said;
}

/* Enter does it. Takes act. */
static void key(struct line *l, struct said said, json_t *act)
{
    l->kind = FRONT_KEY;
    l->said = said;
    l->act = act;
}

/* What `.` does. Takes act. */
static void second(struct line *l, struct said said, json_t *act)
{
    l->second = said;
    l->second_act = act;
}

/* The plain one, of the cup or of the open step. */
static json_t *accept(const struct front *f)
{
    return front_act(f, "accept", NULL, NULL);
}

/* "" while paint is taken out, or poured out of a cup of the shelf: no toner is poured then. */
static const char *open_toner(const struct batch *b)
{
    if (b->now == NOW_CUP)
        return "";
    if (b->now == NOW_TINT)
        return b->tint.toner;
    return b->open >= 0 ? b->recipe.part[b->recipe.step[b->open].part].toner : "";
}

/* Waiting for the cup: nothing there, less than nothing, still moving, or one to take. */
static void cup(const struct front *f, struct line *l)
{
    const struct batch *b = f->batch;
    double g = f->track->has_now ? (double)f->track->now_ug / 1e6 : 0, content = batch_content_g(b);
    if (fabs(g) < CUP_LEAST_G) {
        hand(l, content > 0 ? say("next_cup_with content_g=%f", content) : say("next_cup"));
        second(l, say("next_tared"), front_act(f, "accept", "tared", json_true()));
    } else if (g < 0) {
        hand(l, say("next_zero"));
    } else if (!f->settled) {
        hand(l, say("next_settle"));
    } else {
        struct said doubt;
        if (decide_doubts(b, f->track, f->cups, &doubt))
            key(l, doubt, front_act(f, "accept", "sure", json_true()));
        else
            key(l, say("next_this_cup cup_g=%f", g), accept(f));
    }
}

/* A check weight is led; who would rather mix is not held up. */
static void check(const struct front *f, struct line *l)
{
    struct line other = {0};
    hand(l, f->lead);
    if (!f->batch)
        return;
    cup(f, &other);
    if (other.act)
        second(l, other.said, other.act);
    json_decref(other.second_act); /* of an empty pan: not offered here */
}

/* The step that opens once this much is counted; NULL: that was the last. */
static const char *toner_after(const struct batch *b, double pour_g)
{
    struct batch after;
    batch_try(&after, b);
    after.step_g[b->open] += pour_g;
    after.step_poured[b->open] = true;
    int step = batch_next_step(&after);
    return step >= 0 && step != b->open ? b->recipe.part[b->recipe.step[step].part].toner : NULL;
}

/* Only an accept in a pour asks for a second person: the cup and a held batch are looked at by whoever takes them. */
bool front_glance(const struct front *f, const json_t *act)
{
    const char *method = json_string_value(json_object_get(act, "method"));
    return f->glance && f->batch && f->batch->state == BATCH_POUR && method && strcmp(method, "batch.accept") == 0;
}

/* On aim or past it: what Enter takes, and which toner then opens. */
static void accept_pour(const struct front *f, const struct front_now *now, struct line *l)
{
    const struct batch *b = f->batch;
    const char *then = toner_after(b, now->in_cup_g - b->asked.counted_g);
    if (f->glance) {
        key(l, say("next_accept_seen in_cup_g=%f toner=%s", now->in_cup_g, open_toner(b)), accept(f));
        return;
    }
    if (f->cue == MIX_CUE_OVER)
        key(l, say("next_accept_over in_cup_g=%f past_g=%f", now->in_cup_g, -now->to_go_g), accept(f));
    else if (then)
        key(l, say("next_accept_then in_cup_g=%f toner=%s", now->in_cup_g, then), accept(f));
    else
        key(l, say("next_accept_last in_cup_g=%f", now->in_cup_g), accept(f));
}

/* Any weight that the scale shows may be accepted as taken; whether it was enough the fold decides. */
static void take_out(const struct front *f, const struct front_now *now, struct line *l)
{
    if (f->settled && !f->track->lifted && -now->in_cup_g > f->d_g / 2)
        key(l, say("next_taken out_g=%f", -now->in_cup_g), accept(f));
    else
        hand(l, say("next_take_out take_g=%f", f->batch->take_g));
}

/* No aim and no cue: the eye says when it is enough, so any paint offers the accept. */
static void by_eye(const struct front *f, const struct front_now *now, struct line *l)
{
    double added_g = now->in_cup_g - f->batch->asked.counted_g;
    if (f->settled && added_g > f->d_g / 2)
        key(l, say("next_accept_eye added_g=%f", added_g), accept(f));
    else
        hand(l, say("next_pour_eye toner=%s", open_toner(f->batch)));
}

/* The cup is off. It may also stand there already, changed: then it is set anew. */
static void lifted(const struct front *f, const struct front_now *now, struct line *l)
{
    const char *toner = open_toner(f->batch);
    hand(l, say("next_put_back"));
    second(l, toner[0] ? say("next_retare_with in_cup_g=%f toner=%s", now->in_cup_g, toner) : say("next_retare"),
           front_act(f, "retare", NULL, NULL));
}

/* Another tin follows, or, with nothing poured since, the step closes with its deviation. With nothing in the cup one
 * key must not close a step. */
static void short_of(const struct front *f, const struct front_now *now, struct line *l)
{
    const struct batch *b = f->batch;
    bool since = !b->step_poured[b->open] || now->in_cup_g - b->asked.counted_g > f->d_g / 2;
    if (now->in_cup_g > f->d_g / 2)
        second(l, since ? say("next_empty_tin") : say("next_without_rest"),
               front_act(f, "accept", "short", json_true()));
}

/* The scale shows 0 to go from the beginning: nothing is to be poured, and an accept closes the step (decide_accept).
 */
static bool unseen(const struct front *f, const struct front_now *now)
{
    const struct batch *b = f->batch;
    return b->rules >= 3 && b->now == NOW_STEP && now->in_cup_g - b->asked.counted_g <= b->set.d_g / 2 &&
           batch_step_aim_g(b, (size_t)b->open) < batch_d_g(b) / 2;
}

/* Out of a cup of the shelf: as of a tin, but it is named by its number, and an empty one ends it. */
static void out_of_cup(const struct front *f, const struct front_now *now, struct line *l)
{
    const char *batch = f->batch->cup[f->batch->open_cup].batch;
    bool there = f->cue == MIX_CUE_OK || f->cue == MIX_CUE_OVER;
    if (there && f->settled) {
        key(l, say("next_cup_poured in_cup_g=%f batch=%s", now->in_cup_g, batch), accept(f));
    } else if (there || f->cue == MIX_CUE_STOP) {
        hand(l, f->cue == MIX_CUE_OK ? say("next_settle") : say("next_stop"));
    } else {
        hand(l, f->cue == MIX_CUE_EASE ? say("next_cup_ease batch=%s", batch) : say("next_cup_pour batch=%s", batch));
        second(l, say("next_cup_empty batch=%s", batch), front_act(f, "accept", "short", json_true()));
    }
}

/* A cup that is off, then what is poured, then how near it is; a step of nothing closes by one key. */
static void pour(const struct front *f, struct line *l)
{
    struct front_now now;
    front_now(f, &now);
    const char *toner = open_toner(f->batch);
    if (f->batch->now == NOW_TAKE_OUT) {
        take_out(f, &now, l);
    } else if (f->track->lifted) {
        lifted(f, &now, l);
    } else if (f->batch->now == NOW_TINT) {
        by_eye(f, &now, l);
    } else if (f->batch->now == NOW_CUP) {
        out_of_cup(f, &now, l);
    } else if (f->settled && unseen(f, &now)) {
        key(l, say("next_unseen toner=%s aim_g=%f", toner, now.aim_g), accept(f));
    } else if (f->cue == MIX_CUE_OK || f->cue == MIX_CUE_OVER) {
        if (f->settled)
            accept_pour(f, &now, l);
        else
            hand(l, f->cue == MIX_CUE_OK ? say("next_settle") : say("next_stop"));
    } else {
        hand(l, f->cue == MIX_CUE_STOP   ? say("next_stop")
                : f->cue == MIX_CUE_EASE ? say("next_ease toner=%s", toner)
                                         : say("next_pour toner=%s", toner));
        short_of(f, &now, l);
    }
}

/* By the batch's number, which nobody gives twice. */
const char *front_premix_id(const struct batch *b, char id[RECIPE_ID])
{
    snprintf(id, RECIPE_ID, "PM-%s", b->id);
    return id;
}

/* The finish of a premix, with how many labels. */
static json_t *keep_act(const struct front *f, const char *id, int labels)
{
    json_t *act = front_act(f, "finish", "label", json_integer(labels));
    json_object_set_new(json_object_get(act, "params"), "keep", json_pack("{s:s}", "id", id));
    return act;
}

/* A premix is kept as a toner; a move of its own asks for another id, and a plain finish keeps none. */
static void keep(const struct front *f, struct line *l)
{
    char id[RECIPE_ID];
    front_premix_id(f->batch, id);
    key(l, say("next_keep toner=%s", id), keep_act(f, id, 1));
    second(l, say("next_keep_no_label toner=%s", id), keep_act(f, id, 0));
}

/* What hinders the weighing goes before everything that needs a weight; then what waits, what is led, the state. */
static void line_of(const struct front *f, struct line *l)
{
    const struct batch *b = f->batch;
    struct front_trouble t;
    bool weighs = b && (b->state == BATCH_CUP || b->state == BATCH_POUR);
    if (weighs && front_scale_trouble(f, &t)) {
        hand(l, t.fix);
        if (f->scale.state == FRONT_SEEKING)
            l->kind = FRONT_WAIT;
    } else if (f->waiting) {
        l->kind = FRONT_WAIT;
        l->said = say("next_settle");
    } else if (f->lead.code[0]) {
        check(f, l);
    } else if (!b) {
        l->kind = FRONT_CHOOSE;
        l->said = say("next_find");
    } else if (b->state == BATCH_CUP) {
        cup(f, l);
    } else if (b->state == BATCH_POUR) {
        pour(f, l);
    } else if (b->state == BATCH_OVER) {
        l->kind = FRONT_CHOOSE;
        l->said = say("next_choose");
    } else if (f->unkept) {
        key(l, say("next_finish"), front_act(f, "finish", "label", json_integer(0)));
    } else if (recipe_is_premix(&b->recipe)) {
        keep(f, l);
    } else {
        key(l, say("next_print"), front_act(f, "finish", "label", json_integer(1)));
        second(l, say("next_no_label"), front_act(f, "finish", "label", json_integer(0)));
    }
}

/* What a person must still give to a ready call; NULL asks nothing. */
static json_t *asks_of(const struct front *f, const json_t *act)
{
    json_t *asks = json_array();
    if (act && front_glance(f, act))
        json_array_append_new(asks, json_string("glance"));
    return asks;
}

/* in_s counts only beside the accept that it is the count of. Of two acts the first is what Enter does, `second` what
 * `.` does.
 */
json_t *front_next(const struct front *f)
{
    static const char *const kinds[] = {
        [FRONT_HAND] = "hand", [FRONT_KEY] = "key", [FRONT_CHOOSE] = "choose", [FRONT_WAIT] = "wait"};
    struct line l = {.kind = FRONT_HAND};
    line_of(f, &l);
    json_t *also = l.second_act ? json_pack("{s:o, s:o, s:o}", "said", front_said(f, &l.second), "act", l.second_act,
                                            "asks", asks_of(f, l.second_act))
                                : json_null();
    json_t *asks = asks_of(f, l.act);
    bool counts = f->in_s > 0 && l.kind == FRONT_KEY && f->batch && f->batch->state == BATCH_POUR;
    return json_pack("{s:o, s:s, s:o, s:o, s:o, s:o}", "asks", asks, "kind", kinds[l.kind], "said",
                     front_said(f, &l.said), "act", l.act ? l.act : json_null(), "second", also, "in_s",
                     counts ? json_integer(f->in_s) : json_null());
}
