/* story.c - see story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double cup_g = 30, near_g = 0.02;

int story_begin(void **state)
{
    return harness_begin(state, &(struct harness_setup){.data = "tests/data/story"});
}

int story_begin_two(void **state)
{
    return harness_begin(state, &(struct harness_setup){.data = "tests/data/story", .stations = {"bench", "second"}});
}

int story_end(void **state)
{
    return harness_end(state);
}

json_t *story_json(const char *format, va_list args)
{
    char text[4096];
    int len = vsnprintf(text, sizeof text, format, args);
    if (len < 0 || (size_t)len >= sizeof text)
        fail_msg("params too long");
    for (char *c = text; *c; c++)
        if (*c == '\'')
            *c = '"';
    json_error_t why;
    json_t *v = json_loads(*text ? text : "{}", 0, &why);
    if (!v)
        fail_msg("%s: %s", text, why.text);
    return v;
}

static const char *method_of(const char *word, char method[64])
{
    snprintf(method, 64, "batch.%s", word);
    return method;
}

json_t *story_act(struct harness *h, const char *word, const char *format, ...)
{
    char method[64];
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    return harness_act(h, "bench", method_of(word, method), params);
}

json_t *story_act_at(struct harness *h, const char *station, const char *word, const char *format, ...)
{
    char method[64];
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    return harness_act(h, station, method_of(word, method), params);
}

json_t *story_refused(struct harness *h, const char *word, int code, const char *member, const char *text,
                      const char *format, ...)
{
    char method[64];
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    json_t *data = json_object_get(harness_refused(h, "bench", method_of(word, method), params, code), "data");
    if (!json_string_length(json_object_get(data, "help")))
        fail_msg("batch.%s refused without help", word);
    if (member)
        story_text(data, member, text);
    return data;
}

json_t *story_call(struct harness *h, const char *method, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    return harness_call(h, method, params);
}

json_t *story_fault(struct harness *h, const char *method, int code, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    json_t *answer = harness_ask(h, method, params), *error = json_object_get(answer, "error");
    if (json_integer_value(json_object_get(error, "code")) != code)
        fail_msg("%s %s: not %d but %s", method, format, code, json_dumps(answer, JSON_COMPACT));
    return json_object_get(error, "data");
}

void story_cup(struct harness *h, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    harness_act(h, "bench", "batch.begin", params);
    harness_weigh(h, "bench", cup_g);
    story_act(h, "accept", "{}");
}

void story_add(struct harness *h, double grams)
{
    double now = json_number_value(json_object_get(h->station[0].weight, "weight_g"));
    harness_weigh(h, "bench", round((now + grams) * 100) / 100);
    story_look(h);
}

void story_look(struct harness *h)
{
    json_t *screen = harness_call(h, "watch", json_pack("{s:s}", "station", "bench"));
    json_decref(h->station[0].screen);
    h->station[0].screen = json_incref(screen);
}

json_t *story_pour(struct harness *h, double grams)
{
    story_add(h, grams);
    return story_act(h, "accept", "{}");
}

void story_clear(struct harness *h)
{
    story_act(h, "scrap", "{'why':'the story is over'}");
    harness_weigh(h, "bench", 0);
}

json_t *story_at(json_t *at, const char *path)
{
    for (const char *from = path; at && *from;) {
        size_t len = strcspn(from, ".");
        char key[64], *end;
        unsigned long index = strtoul(from, &end, 10);
        snprintf(key, sizeof key, "%.*s", (int)len, from);
        at = end == from + len && len ? json_array_get(at, index) : json_object_get(at, key);
        from += len + (from[len] == '.');
    }
    return at;
}

static void differs(json_t *object, const char *path, const char *want, const char *file, int line)
{
    char *text = json_dumps(object, JSON_COMPACT | JSON_REAL_PRECISION(12));
    print_error("%s:%d: %s is not %s in %s\n", file, line, path, want, text ? text : "nothing");
    free(text);
    _fail(file, line);
}

void story_number_at(json_t *object, const char *path, double want, const char *file, int line)
{
    char text[32];
    json_t *is = story_at(object, path);
    snprintf(text, sizeof text, "%.4f", want);
    if (isnan(want) ? !json_is_null(is) : !json_is_number(is) || !(fabs(json_number_value(is) - want) <= near_g))
        differs(object, path, text, file, line);
}

void story_text_at(json_t *object, const char *path, const char *want, const char *file, int line)
{
    json_t *is = story_at(object, path);
    const char *text = json_is_null(is) ? "" : json_string_value(is);
    if (!text || strcmp(text, want) != 0)
        differs(object, path, want, file, line);
}

void story_near_at(struct harness *h, const char *path, double want, const char *file, int line)
{
    story_number_at(harness_screen(h, "bench"), path, want, file, line);
}

void story_is_at(struct harness *h, const char *path, const char *want, const char *file, int line)
{
    story_text_at(harness_screen(h, "bench"), path, want, file, line);
}

void story_step_at(struct harness *h, size_t index, const char *toner, double aim, double poured, const char *state,
                   const char *file, int line)
{
    json_t *screen = harness_screen(h, "bench"), *step = json_array_get(json_object_get(screen, "steps"), index);
    if (!step)
        differs(screen, "steps", "that long", file, line);
    story_text_at(step, "toner", toner, file, line);
    story_text_at(step, "state", state, file, line);
    story_number_at(step, "aim_g", aim, file, line);
    story_number_at(step, "poured_g", poured, file, line);
}

void story_now_at(struct harness *h, const char *toner, double aim, double in_cup, const char *file, int line)
{
    json_t *screen = harness_screen(h, "bench");
    story_text_at(screen, "now.toner", toner, file, line);
    story_number_at(screen, "now.aim_g", aim, file, line);
    story_number_at(screen, "now.in_cup_g", in_cup, file, line);
    story_number_at(screen, "now.to_go_g", aim - in_cup, file, line);
}

void story_batch(struct harness *h, char id[16])
{
    snprintf(id, 16, "%s", harness_text(h, "bench", "batch"));
}
