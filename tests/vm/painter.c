#include "tests/vm/painter.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void show(struct machine *m, enum machine_line line, json_t *screen)
{
    json_incref(screen);
    json_decref(m->station[line].screen);
    m->station[line].screen = screen;
}

static json_t *result_of(json_t *answer, const char *method)
{
    json_t *result = json_object_get(answer, "result");
    if (!result) {
        char *text = json_dumps(answer, JSON_COMPACT);
        fail_msg("%s was refused: %s", method, text ? text : "?");
    }
    return result;
}

void painter_look(struct machine *m, enum machine_line line)
{
    json_t *params = json_pack("{s:s}", "station", m->station[line].name);
    show(m, line, result_of(machine_call(m, "watch", params), "watch"));
}

void painter_watch(struct machine *m)
{
    for (enum machine_line i = 0; i < MACHINE_LINES; i++)
        if (m->station[i].name)
            painter_look(m, i);
}

static json_t *press(struct machine *m, enum machine_line line, const char *method, json_t *params)
{
    char request[32];
    snprintf(request, sizeof request, "vm-%d", m->next_id + 1);
    if (!params)
        params = json_object();
    json_object_set_new(params, "station", json_string(m->station[line].name));
    json_object_set_new(params, "revision", json_real(painter_number(m, line, NULL, "revision")));
    json_object_set_new(params, "request", json_string(request));
    return machine_call(m, method, params);
}

json_t *painter_act(struct machine *m, enum machine_line line, const char *method, json_t *params)
{
    show(m, line, result_of(press(m, line, method, params), method));
    return m->station[line].screen;
}

int painter_refused(struct machine *m, enum machine_line line, const char *method, json_t *params)
{
    json_t *error = json_object_get(press(m, line, method, params), "error");
    if (!error)
        fail_msg("%s was not refused", method);
    return (int)json_integer_value(json_object_get(error, "code"));
}

static bool reads(const struct machine_station *s, double grams, bool steady)
{
    const char *state = json_string_value(json_object_get(s->weight, "state"));
    return state && strcmp(state, "live") == 0 &&
           fabs(json_number_value(json_object_get(s->weight, "weight_g")) - grams) < 0.005 &&
           json_is_true(json_object_get(s->weight, "stable")) == steady;
}

static void wait_weight(struct machine *m, enum machine_line line, double grams, bool steady)
{
    char what[64];
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    snprintf(what, sizeof what, "%s to read %.2f g", m->station[line].name, grams);
    m->line[line].mute = false;
    line_show(&m->line[line], grams, !steady);
    while (!reads(&m->station[line], grams, steady))
        machine_step(m, deadline, what);
}

void painter_weigh(struct machine *m, enum machine_line line, double grams)
{
    wait_weight(m, line, grams, true);
}

void painter_pour(struct machine *m, enum machine_line line, double grams)
{
    double from = (double)m->line[line].centigrams / 100;
    for (int i = 1; i <= 10; i++)
        wait_weight(m, line, round((from + (grams - from) * i / 10) * 100) / 100, false);
    wait_weight(m, line, grams, true);
}

void painter_wait_scale(struct machine *m, enum machine_line line, const char *state)
{
    char what[64];
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    snprintf(what, sizeof what, "the scale of %s to be %s", m->station[line].name, state);
    for (;;) {
        const char *now =
            json_string_value(json_object_get(json_object_get(m->station[line].screen, "scale"), "state"));
        if (now && strcmp(now, state) == 0)
            return;
        machine_step(m, deadline, what);
    }
}

double painter_number(struct machine *m, enum machine_line line, const char *object, const char *member)
{
    json_t *of = m->station[line].screen;
    json_t *number = json_object_get(object ? json_object_get(of, object) : of, member);
    if (!json_is_number(number))
        fail_msg("%s shows no number %s", m->station[line].name, member);
    return json_number_value(number);
}

const char *painter_text(struct machine *m, enum machine_line line, const char *member)
{
    const char *text = json_string_value(json_object_get(m->station[line].screen, member));
    return text ? text : "";
}

double painter_poured(struct machine *m, enum machine_line line, size_t i)
{
    json_t *step = json_array_get(json_object_get(m->station[line].screen, "steps"), i);
    return json_number_value(json_object_get(step, "poured_g"));
}

bool painter_saw(const struct machine *m, enum machine_line line, double grams)
{
    const struct machine_station *s = &m->station[line];
    for (size_t i = 0; i < s->seen_count; i++)
        if (s->seen[i] == lround(grams * 100))
            return true;
    return false;
}
