/* scene.h - plays a scene of tests/data/pages/scenes.json on a model: screens, weights, keys, answers, time.
 *
 * A scene is a list of things that happen, each an object with one of these members:
 *   screen   name of a screen of the file, changed by `with`       weight   grams on the scale, stable unless `moving`
 *   wait     ms that pass while the scale goes on speaking         silence  ms that pass while it does not
 *   scale    a scale note                                          keys     characters; \n is Enter, \b Backspace,
 * \u001b Escape answer   result of a read (its kind by name)                   error    the answer to the move under
 * way link     false: the daemon is lost                             bare     a weight note without a weight Owner:
 * scene_end frees what scene_begin made. */
#ifndef POISE_TESTS_CLIENT_SCENE_H
#define POISE_TESTS_CLIENT_SCENE_H

#include "client/screen/act.h"
#include "client/screen/page.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct scene {
    json_t *file;
    struct model *m;
    struct grid *g;
    struct moment now;
    struct calls calls;
    struct call last; /* the last move that was queued; params owned */
    double weight_g;
    bool speaks, stable, left;
};

static inline void scene_weight(struct scene *s)
{
    json_t *note =
        json_pack("{s:f, s:b, s:i, s:s}", "weight_g", s->weight_g, "stable", s->stable, "age_ms", 0, "state", "live");
    model_weight(s->m, note, s->now);
    json_decref(note);
    model_tick(s->m, s->now);
}

static inline void scene_pass(struct scene *s, int64_t ms, bool speaks)
{
    for (int64_t end = s->now.ms + ms; s->now.ms < end;) {
        int64_t step = end - s->now.ms < 100 ? end - s->now.ms : 100;
        int64_t before = s->now.ms / 1000;
        s->now.ms += step;
        s->now.wall_s += s->now.ms / 1000 - before;
        if (speaks && s->speaks)
            scene_weight(s);
        model_tick(s->m, s->now);
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
    scene_keep_moves(s);
    return move;
}

static inline json_t *scene_screen(struct scene *s, const char *name, const json_t *with)
{
    json_t *base = json_object_get(json_object_get(s->file, "screens"), name);
    if (!base)
        fail_msg("no screen %s", name);
    json_t *screen = json_deep_copy(base);
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)with, key, value)
    {
        json_t *old = json_object_get(screen, key);
        if (json_is_object(old) && json_is_object(value))
            json_object_update(old, value);
        else
            json_object_set(screen, key, value);
    }
    return screen;
}

static inline enum call_kind scene_kind(const char *name)
{
    static const char *const names[] = {"info",     "scales", "watch", "today",  "formulas",
                                        "products", "toners", "cups",  "record", "label"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i], name) == 0)
            return (enum call_kind)i;
    fail_msg("no read %s", name);
    return CALL_MOVE;
}

static inline void scene_answer(struct scene *s, const struct call *call, const json_t *result, const json_t *error)
{
    bool finish;
    calls_answer(&s->calls, s->m, call, result, error, s->now, &finish);
    scene_keep_moves(s);
}

static inline void scene_do(struct scene *s, const json_t *step)
{
    const json_t *value;
    if ((value = json_object_get(step, "screen"))) {
        json_t *screen = scene_screen(s, json_string_value(value), json_object_get(step, "with"));
        model_screen(s->m, screen, s->now);
        json_decref(screen);
    } else if ((value = json_object_get(step, "weight"))) {
        s->weight_g = json_number_value(value);
        s->stable = !json_is_true(json_object_get(step, "moving"));
        s->speaks = true;
        s->now.ms += 100;
        scene_weight(s);
    } else if ((value = json_object_get(step, "wait"))) {
        scene_pass(s, json_integer_value(value), true);
    } else if ((value = json_object_get(step, "silence"))) {
        scene_pass(s, json_integer_value(value), false);
    } else if ((value = json_object_get(step, "scale"))) {
        s->speaks = false;
        model_scale(s->m, value, s->now);
    } else if ((value = json_object_get(step, "keys"))) {
        for (const char *c = json_string_value(value); *c; c++)
            scene_key(s, scene_press(*c));
    } else if ((value = json_object_get(step, "answer"))) {
        struct call call = {.kind = scene_kind(json_string_value(value))};
        scene_answer(s, &call, json_object_get(step, "result"), NULL);
    } else if ((value = json_object_get(step, "error"))) {
        struct call call = {.kind = CALL_MOVE, .act = s->last.act};
        scene_answer(s, &call, NULL, value);
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

static inline void scene_begin(struct scene *s, bool utf8)
{
    memset(s, 0, sizeof *s);
    json_error_t fault;
    s->file = json_load_file("tests/data/pages/scenes.json", JSON_REJECT_DUPLICATES, &fault);
    if (!s->file)
        fail_msg("scenes.json:%d: %s", fault.line, fault.text);
    s->m = calloc(1, sizeof *s->m);
    s->g = calloc(1, sizeof *s->g);
    s->now = (struct moment){1000000, 1764067327}; /* 10:42:07 of 25 November 2025 */
    model_init(s->m, "Bench 1", utf8, s->now);
    s->m->linked = true;
}

static inline void scene_end(struct scene *s)
{
    calls_finish(&s->calls);
    json_decref(s->last.params);
    json_decref(s->file);
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

#endif
