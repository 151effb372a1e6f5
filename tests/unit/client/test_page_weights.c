/* Weights, which come with each frame: read from their line as the JSON reader reads them, and drawn alone as the whole
 * page would have drawn them. */
#include "client/screen/note.h"
#include "client/screen/redraw.h"
#include "tests/unit/client/scene.h"

#include <math.h>

#define HEAD "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":"

static bool same_number(double a, double b)
{
    return (isnan(a) && isnan(b)) || (a <= b && a >= b);
}

/* What one reader makes of the line, the other makes as well: the numbers to the last bit. */
static void read_alike(const char *line)
{
    struct weighing fast, slow;
    json_t *message = json_loads(line, 0, NULL);
    if (!note_line(line, strlen(line), &fast) || !note_params(json_object_get(message, "params"), &slow))
        fail_msg("not read: %s", line);
    json_decref(message);
    bool same = fast.has_state == slow.has_state && fast.state == slow.state && same_number(fast.g, slow.g) &&
                same_number(fast.age_ms, slow.age_ms) && fast.pours == slow.pours && fast.cue == slow.cue &&
                same_number(fast.to_go_g, slow.to_go_g) && same_number(fast.in_cup_g, slow.in_cup_g) &&
                same_number(fast.landing_g, slow.landing_g) && fast.settled == slow.settled;
    if (!same)
        fail_msg("read otherwise: %s", line);
}

static void a_line_is_read_as_json_is(void **state)
{
    static const char *const lines[] = {
        HEAD
        "{\"station\":\"bench\",\"weight_g\":352.1,\"stable\":false,\"age_ms\":12,\"state\":\"live\",\"to_go_g\":31.9"
        ",\"in_cup_g\":52.1,\"landing_g\":54.637281,\"cue\":\"pour\",\"settled\":false}}",
        HEAD "{\"station\":\"a bench with a long name, and a sign\",\"weight_g\":-0.01,\"stable\":true,\"age_ms\":0,"
             "\"state\":\"live\",\"to_go_g\":null,\"in_cup_g\":null,\"landing_g\":null,\"cue\":null,\"settled\":true}}",
        HEAD
        "{\"station\":\"bench\",\"weight_g\":null,\"stable\":null,\"age_ms\":0,\"state\":\"absent\",\"to_go_g\":null,"
        "\"in_cup_g\":null,\"landing_g\":null,\"cue\":null,\"settled\":false}}",
        HEAD "{\"station\":\"b\",\"weight_g\":123456789.123456,\"age_ms\":999999999,\"state\":\"of no kind\"}}",
        HEAD "{\"weight_g\":7,\"later\":true,\"kind\":\"net\"}}",
    };
    (void)state;
    char line[512];
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        read_alike(lines[i]);
    for (int ug = -2000003; ug < 400000000; ug += 1999993) { /* each number as the daemon writes it */
        snprintf(line, sizeof line, HEAD "{\"weight_g\":%.6f,\"to_go_g\":%.6f,\"cue\":\"ease\"}}", ug / 1e6, -ug / 1e6);
        read_alike(line);
    }
}

/* Cut short, or no such note: left to the JSON reader, which judges it. */
static void what_is_no_weight_is_left_alone(void **state)
{
    static const char *const lines[] = {
        "",
        "{}",
        "{\"jsonrpc\":\"2.0\",\"method\":\"screen\",\"params\":{\"state\":\"pour\"}}",
        HEAD "{}}",
        HEAD "{\"weight_g\":1}",
        HEAD "{\"weight_g\":1}},",
        HEAD "{\"weight_g\":1e3}}",
        HEAD "{\"weight_g\":1.2.3}}",
        HEAD "{\"weight_g\":-}}",
        HEAD "{\"weight_g\":12345678901234567890}}",
        HEAD "{\"weight_g\":[1]}}",
        HEAD "{\"weight_g\":nil}}",
        HEAD "{\"cue\":\"po\\u0075r\"}}",
        HEAD "{\"cue\":\"pour}}",
        HEAD "{\"weight_g\" :1}}",
    };
    struct weighing w;
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (note_line(lines[i], strlen(lines[i]), &w))
            fail_msg("taken: %s", lines[i]);
    char whole[] =
        HEAD "{\"station\":\"bench\",\"weight_g\":352.1,\"state\":\"live\",\"cue\":\"pour\",\"settled\":true}}";
    for (size_t len = 0; len + 1 < sizeof whole; len++)
        assert_false(note_line(whole, len, &w));
    assert_true(note_line(whole, sizeof whole - 1, &w));
}

static void same_grid(const struct grid *a, const struct grid *b, const char *scene, double g)
{
    for (int r = 0; r < a->rows; r++)
        for (int c = 0; c < a->cols; c++)
            if (memcmp(&a->cells[r][c], &b->cells[r][c], offsetof(struct cell, ink) + 1) != 0)
                fail_msg("%s in %dx%d: %.1f g leaves an old cell in row %d, column %d", scene, a->cols, a->rows, g, r,
                         c);
}

/* From empty to far past the aim and back, with nothing else said between two weights. */
static void a_weight_alone_leaves_the_whole_page(void **state)
{
    static const char *const scenes[] = {"pour", "first",    "stop", "on_aim",    "past",    "again",      "comma",
                                         "fine", "take_out", "tint", "cautioned", "formula", "rescue_cup", "names"};
    static const int sizes[][2] = {{80, 24}, {60, 16}, {120, 40}, {50, 10}, {200, 60}};
    (void)state;
    struct grid *whole = calloc(1, sizeof *whole);
    assert_non_null(whole);
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++)
        for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
            struct scene s;
            struct redraw r = {.cols = 0};
            int from, to, alone = 0;
            scene_begin(&s, k % 2 == 0);
            scene_play(&s, scenes[i]);
            double base = s.m->weight.g - s.m->bench.now.in_cup_g;
            for (int step = 0; isfinite(base) && step < 240; step++) {
                s.weight_g = base + (step < 120 ? step : 240 - step) * 1.1;
                s.now.ms += 20;
                scene_weight(&s);
                redraw_page(&r, s.m, s.now, sizes[k][0], sizes[k][1], s.g, &from, &to);
                page_draw(s.m, s.now, sizes[k][0], sizes[k][1], whole);
                same_grid(s.g, whole, scenes[i], s.weight_g);
                alone += from > 0;
            }
            if (isfinite(base) && k == 0 && alone < 120)
                fail_msg("%s: only %d of 240 weights were drawn alone", scenes[i], alone);
            scene_end(&s);
        }
    free(whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_line_is_read_as_json_is),
                                       cmocka_unit_test(what_is_no_weight_is_left_alone),
                                       cmocka_unit_test(a_weight_alone_leaves_the_whole_page)};
    return cmocka_run_group_tests_name("page weights", tests, NULL, NULL);
}
