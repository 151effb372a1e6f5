/* scene.h - plays a scene of tests/data/pages/scenes.json on a model: a station's acts, weights, keys, answers, time.
 *
 * A scene is a list of things that happen, each an object with one of these members:
 *   begin    a recipe of the file is begun (grams, cup_ml, d_g, comma)   play     another scene first
 *   weight   grams on the scale, stable unless `moving`                  accept   true, "short" or "less"
 *   remedy, tint, really, undo   acts of the batch                       idle     nothing is open
 *   front    what ails the scale, the disk; a check weight that is led; what is left of a pot life
 *   wait     ms that pass while the scale goes on speaking               silence  ms that pass while it does not
 *   keys     characters; \n is Enter, \b Backspace, \u001b Escape        link     false: the daemon is lost
 *   answer   result or error of a read (its kind)                        error    the answer to the move under way
 *   done     the result of the move under way
 *   practice what the screens say of a practice from now on; null: nothing
 *   bare     a weight note without a weight
 * Owner: scene_end frees what scene_begin made. */
#pragma once

#include "client/screen/calls.h"
#include "client/screen/late.h"
#include "client/screen/learn.h"
#include "client/screen/page.h"
#include "tests/unit/client/scene_bench.h"

#include <stdio.h>

struct scene {
    json_t *file;
    struct model *m;
    struct grid *g;
    struct scene_bench *bench;
    struct moment now;
    struct calls calls;
    struct call last; /* the last move that was queued; params owned */
    json_t *practice; /* of the file; NULL: a real bench */
    double weight_g;
    bool speaks, stable, left;
};

/* The screen as the daemon would send it now; of a practice with what the scene says of it. */
static inline void scene_show(struct scene *s)
{
    s->bench->front.revision = s->bench->revision;
    json_t *screen = front_screen(&s->bench->front);
    json_object_set(screen, "practice", s->practice);
    if (!model_screen(s->m, screen, s->now))
        fail_msg("the front makes no screen");
    json_decref(screen);
}

static inline void scene_weight(struct scene *s)
{
    scene_bench_reads(s->bench, s->weight_g, s->stable, s->now.ms);
    json_t *note = scene_bench_weight(s->bench, s->weight_g);
    model_weight(s->m, note, s->now);
    json_decref(note);
    model_tick(s->m, s->now);
}

static inline struct move scene_key(struct scene *s, struct press press);

/* As the loop does: a key that waited is done in its time. */
static inline void scene_pass(struct scene *s, int64_t ms, bool speaks)
{
    struct press press;
    for (int64_t end = s->now.ms + ms; s->now.ms < end;) {
        int64_t step = end - s->now.ms < 100 ? end - s->now.ms : 100;
        int64_t before = s->now.ms / 1000;
        s->now.ms += step;
        s->now.wall_s += s->now.ms / 1000 - before;
        s->bench->front.wall_ms += step;
        if (speaks && s->speaks) {
            scene_weight(s);
            scene_show(s);
        }
        model_tick(s->m, s->now);
        if (late_is_due(s->m, s->now, &press))
            scene_key(s, press);
    }
}

static inline struct press scene_press(char c)
{
    switch (c) {
    case '\n':
        return (struct press){PRESS_ENTER, 0};
    case '\b':
        return (struct press){PRESS_BACKSPACE, 0};
    case 27:
        return (struct press){PRESS_ESCAPE, 0};
    default:
        return (struct press){PRESS_CHAR, (char32_t)c};
    }
}

static inline void scene_keep_moves(struct scene *s)
{
    struct call call;
    while (calls_take(&s->calls, &call)) {
        if (call.kind != CALL_MOVE) {
            json_decref(call.params);
            continue;
        }
        json_decref(s->last.params);
        s->last = call;
    }
}

static inline struct move scene_key(struct scene *s, struct press press)
{
    struct move move = keys_move(s->m, press, s->now);
    if (!act_do(s->m, move, s->now, "request", &s->calls))
        s->left = true;
    if (press.kind == PRESS_ENTER)
        s->m->entered_ms = s->now.ms;
    scene_keep_moves(s);
    return move;
}

static inline enum call_kind scene_kind(const char *name)
{
    static const char *const names[] = {
        "info",   "scales", "watch",  "today", "formulas", "products", "toners", "record", "label",   "held",
        "found",  "batch",  "plan",   "uses",  "instead",  "panels",   "cups",   "drift",  "seek",    "scan",
        "orders", "order",  "layers", "cards", "shelf",    "due",      "stock",  "people", "settings"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i], name) == 0)
            return (enum call_kind)i;
    fail_msg("no read %s", name);
    return CALL_MOVE;
}

static inline void scene_answer(struct scene *s, const struct call *call, json_t *result, const json_t *error)
{
    calls_answer(&s->calls, s->m, call, result, error, s->now);
    scene_keep_moves(s);
}

/* What the daemon knows of the scale, the disk and a check weight. */
static inline void scene_front(struct scene *s, const json_t *with)
{
    static const char *const states[] = {"live", "stale", "absent", "seeking"};
    struct front *f = &s->bench->front;
    for (size_t i = 0; i < 4; i++)
        if (strcmp(scene_text(with, "state", "live"), states[i]) == 0)
            f->scale.state = (enum front_state)i;
    f->scale.limit = json_object_get(with, "too_heavy") ? FRONT_OVER : FRONT_WEIGHS;
    f->disk = json_object_get(with, "disk_full") ? FRONT_DISK_FULL : FRONT_DISK_GOOD;
    f->scale.cause = scene_text(with, "cause", "");
    said_read(&f->scale.why, json_object_get(with, "why"));
    said_read(&f->scale.fix, json_object_get(with, "fix"));
    said_read(&f->lead, json_object_get(with, "lead"));
    if (json_object_get(with, "pot_left_s"))
        f->use_by_ms = f->wall_ms + 1000 * json_integer_value(json_object_get(with, "pot_left_s"));
    s->speaks = s->speaks && f->scale.state == FRONT_LIVE;
    scene_show(s);
}

/* One act of the batch; false: the step is none. */
static inline bool scene_act(struct scene *s, const json_t *step)
{
    struct recipe_part part = {.name = "carbon black", .density_g_per_ml = 1, .price_per_kg = 40};
    struct command c = {.kind = COMMAND_ACCEPT};
    const json_t *value;
    if ((value = json_object_get(step, "accept"))) {
        const char *how = json_is_string(value) ? json_string_value(value) : "";
        c.short_mode = strcmp(how, "short") == 0 ? SHORT_COUNTED : strcmp(how, "less") == 0 ? SHORT_LESS : SHORT_NO;
        snprintf(c.lot, sizeof c.lot, "%s", scene_text(step, "lot", ""));
    } else if ((value = json_object_get(step, "remedy"))) {
        c.kind = COMMAND_REMEDY;
        for (size_t i = 0; i < REMEDY_KINDS; i++)
            if (strcmp(json_string_value(value), event_remedy_names[i]) == 0)
                c.remedy = (enum event_remedy)i;
    } else if ((value = json_object_get(step, "tint")) || (value = json_object_get(step, "really"))) {
        c.kind = json_object_get(step, "tint") ? COMMAND_TINT : COMMAND_ACCEPT;
        snprintf(c.really, sizeof c.really, "%s", json_string_value(value));
        snprintf(part.toner, sizeof part.toner, "%s", json_string_value(value));
        c.part = recipe_find(&s->bench->batch.recipe, c.really) < 0 ? &part : NULL;
    } else if (json_object_get(step, "undo")) {
        c.kind = COMMAND_UNDO;
    } else {
        return false;
    }
    scene_bench_act(s->bench, &c);
    scene_show(s);
    return true;
}

static inline void scene_play(struct scene *s, const char *name);

static inline void scene_begins(struct scene *s, const json_t *step)
{
    const char *name = scene_text(step, "begin", "");
    const json_t *recipe = json_object_get(json_object_get(s->file, "recipes"), name);
    if (!recipe)
        fail_msg("no recipe %s", name);
    scene_bench_begin(s->bench, recipe, step);
    s->m->style.d_g = s->bench->front.d_g;
    scene_show(s);
}

static inline void scene_do(struct scene *s, const json_t *step)
{
    json_t *value;
    if ((value = json_object_get(step, "play"))) {
        scene_play(s, json_string_value(value));
    } else if (json_object_get(step, "begin")) {
        scene_begins(s, step);
    } else if ((value = json_object_get(step, "offer"))) {
        scene_bench_offer(s->bench, value);
        scene_show(s);
    } else if (json_object_get(step, "idle")) {
        scene_bench_end(s->bench);
        s->bench->revision++;
        scene_show(s);
    } else if (scene_act(s, step)) {
        model_tick(s->m, s->now);
    } else if ((value = json_object_get(step, "weight"))) {
        s->weight_g = json_number_value(value);
        s->stable = !json_is_true(json_object_get(step, "moving"));
        s->speaks = true;
        s->now.ms += 100;
        scene_weight(s);
        scene_show(s);
    } else if ((value = json_object_get(step, "front"))) {
        scene_front(s, value);
    } else if ((value = json_object_get(step, "wait"))) {
        scene_pass(s, json_integer_value(value), true);
    } else if ((value = json_object_get(step, "silence"))) {
        scene_pass(s, json_integer_value(value), false);
    } else if ((value = json_object_get(step, "keys"))) {
        for (const char *c = json_string_value(value); *c; c++)
            scene_key(s, scene_press(*c));
    } else if ((value = json_object_get(step, "answer"))) {
        struct call call = {.kind = scene_kind(json_string_value(value))};
        scene_answer(s, &call, json_object_get(step, "result"), json_object_get(step, "error"));
    } else if ((value = json_object_get(step, "done"))) {
        struct call call = {.kind = CALL_MOVE};
        snprintf(call.method, sizeof call.method, "%s", s->last.method);
        scene_answer(s, &call, value, NULL);
    } else if ((value = json_object_get(step, "error"))) {
        struct call call = {.kind = CALL_MOVE};
        scene_answer(s, &call, NULL, value);
    } else if ((value = json_object_get(step, "practice"))) {
        s->practice = json_is_object(value) ? value : NULL;
        s->bench->front.unkept = s->practice != NULL;
        scene_show(s);
        learn_see(s->m, s->now);
    } else if ((value = json_object_get(step, "link"))) {
        s->m->linked = json_is_true(value);
    } else if ((value = json_object_get(step, "bare"))) {
        s->speaks = false;
        model_weight(s->m, value, s->now);
    } else {
        fail_msg("a scene holds a step that means nothing");
    }
    model_tick(s->m, s->now);
}

static inline void scene_begin_in(struct scene *s, bool utf8, enum words_language language)
{
    memset(s, 0, sizeof *s);
    json_error_t fault;
    s->file = json_load_file("tests/data/pages/scenes.json", JSON_REJECT_DUPLICATES, &fault);
    if (!s->file)
        fail_msg("scenes.json:%d: %s", fault.line, fault.text);
    s->m = calloc(1, sizeof *s->m);
    s->g = calloc(1, sizeof *s->g);
    s->bench = calloc(1, sizeof *s->bench);
    assert_true(s->m && s->g && s->bench);
    scene_bench_init(s->bench);
    s->now = (struct moment){1000000, 1764067327}; /* 10:42:07 of 25 November 2025 */
    model_init(s->m, "bench", utf8, s->now);
    s->m->language = language;
    s->m->linked = true;
}

static inline void scene_begin(struct scene *s, bool utf8)
{
    scene_begin_in(s, utf8, WORDS_EN);
}

static inline void scene_end(struct scene *s)
{
    calls_finish(&s->calls);
    json_decref(s->last.params);
    json_decref(s->file);
    model_finish(s->m);
    scene_bench_end(s->bench);
    free(s->bench);
    free(s->m);
    free(s->g);
}

/* Plays all of a scene by its name. */
static inline void scene_play(struct scene *s, const char *name)
{
    size_t i;
    const json_t *one, *step;
    json_array_foreach(json_object_get(s->file, "scenes"), i, one)
    {
        if (strcmp(json_string_value(json_object_get(one, "name")), name) != 0)
            continue;
        json_array_foreach(json_object_get(one, "do"), i, step) scene_do(s, step);
        return;
    }
    fail_msg("no scene %s", name);
}
