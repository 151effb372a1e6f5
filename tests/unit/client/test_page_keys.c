/* What each key asks for on each page, and what then goes to the daemon. */
#include "tests/unit/client/scene.h"

/* A scene, a wait, a key, and the act (with its value) that it must be. */
static const struct {
    const char *scene;
    int wait_ms;
    char key;
    enum act act;
    uint32_t value;
} keys[] = {
    {"on_aim", 500, '\n', ACT_ACCEPT, 0},
    {"on_aim", 200, '\n', ACT_NONE, 0}, /* the page came 300 ms ago */
    {"on_aim", 500, '.', ACT_NONE, 0},
    {"settling", 500, '\n', ACT_REFUSED, 0},
    {"pour", 500, '\n', ACT_REFUSED, 0},
    {"pour", 500, '.', ACT_SHORT, 0},
    {"pour", 500, ',', ACT_SHORT, 0}, /* a number pad with a comma */
    {"pour", 500, '0', ACT_PAGE, PAGE_CONTENTS},
    {"pour", 500, 27, ACT_PAGE, PAGE_CONTENTS},
    {"pour", 500, '/', ACT_PAGE, PAGE_FIND},
    {"pour", 500, '*', ACT_AGAIN, 0},
    {"pour", 500, '+', ACT_NEXT, 0},
    {"pour", 500, '-', ACT_BEFORE, 0},
    {"pour", 500, '7', ACT_CHOOSE, 7},
    {"pour", 500, 'x', ACT_NONE, 0},
    {"pour", 500, 'q', ACT_NONE, 0},  /* a stray letter leaves nothing */
    {"first", 500, '.', ACT_NONE, 0}, /* nothing poured: one key must not close the step */
    {"too_much", 500, '\n', ACT_ACCEPT, 0},
    {"stale", 0, '\n', ACT_REFUSED, 0},
    {"stale", 0, '.', ACT_NONE, 0},
    {"grey", 0, '\n', ACT_REFUSED, 0},
    {"lost", 500, '\n', ACT_REFUSED, 0},
    {"lifted", 500, '\n', ACT_REFUSED, 0},
    {"lifted", 500, '.', ACT_RETARE, 0},
    {"sent", 500, '\n', ACT_NONE, 0}, /* unanswered */
    {"sent", 500, '.', ACT_NONE, 0},
    {"over", 500, '\n', ACT_REFUSED, 0}, /* nothing is preselected */
    {"over", 500, '2', ACT_CHOOSE, 2},
    {"over_chosen", 500, '\n', ACT_REMEDY, 1},
    {"over_foreign", 500, '\n', ACT_REMEDY, 2},
    {"over_no_fit", 500, '\n', ACT_REMEDY, 4},
    {"over_stale", 0, '\n', ACT_REFUSED, 0},
    {"take_out", 500, '\n', ACT_REFUSED, 0},
    {"taken", 500, '\n', ACT_ACCEPT, 0},
    {"tint", 500, '\n', ACT_ACCEPT, 0},
    {"cup", 500, '\n', ACT_ACCEPT, 0},
    {"cup_empty", 500, '\n', ACT_REFUSED, 0},
    {"cup_empty", 500, '.', ACT_TARED, 0},
    {"cup_stale", 0, '\n', ACT_REFUSED, 0},
    {"check_cup", 500, '\n', ACT_REFUSED, 0}, /* what stands there is the check weight */
    {"check_cup", 500, '.', ACT_ACCEPT, 0},
    {"check_idle", 500, '\n', ACT_REFUSED, 0},
    {"check_idle", 500, '.', ACT_PAGE, PAGE_FIND},
    {"done", 500, '\n', ACT_PRINT, 0},
    {"done", 500, '.', ACT_FINISH, 0},
    {"idle", 500, '\n', ACT_PAGE, PAGE_FIND},
    {"idle_held", 500, '\n', ACT_RESUME, 0},
    {"idle_held", 500, '.', ACT_PAGE, PAGE_FIND},
    {"idle_again", 500, '\n', ACT_AMOUNT, 0},
    {"contents", 500, '0', ACT_PAGE, PAGE_BENCH},
    {"contents", 500, 'q', ACT_QUIT, 0},
    {"contents", 500, '\n', ACT_REFUSED, 0},
    {"undo", 500, '\n', ACT_UNDO, 0},
    {"scrap", 500, '\n', ACT_SCRAP, 0},
    {"note", 500, '0', ACT_WRITE, '0'}, /* in a field keys write */
    {"note", 500, '+', ACT_WRITE, '+'},
    {"note", 500, '\b', ACT_RUB_OUT, 0},
    {"note", 500, '\n', ACT_NOTE, 0},
    {"note", 500, 27, ACT_PAGE, PAGE_BENCH},
    {"find", 500, '-', ACT_WRITE, '-'}, /* codes hold one */
    {"find", 500, '\n', ACT_END_WRITING, 0},
    {"find_none", 500, '\n', ACT_REFUSED, 0},
    {"find_coat", 500, '1', ACT_CHOOSE, 1},
    {"find_coat", 500, '.', ACT_VARIANT, 0},
    {"find_coat", 500, '\n', ACT_AMOUNT, 0},
    {"amount", 500, '5', ACT_WRITE, '5'},
    {"amount", 500, '.', ACT_WRITE, '.'},
    {"amount", 500, 'g', ACT_NONE, 0},
    {"amount", 500, '+', ACT_NEXT, 0},
    {"amount", 500, '\n', ACT_BEGIN, 0},
    {"toner", 500, '\n', ACT_END_WRITING, 0},
    {"toner_choose", 500, '\n', ACT_TINT, 0},
    {"scales", 500, '\n', ACT_LOOK, 0},
};

static void a_key_is_its_act(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, keys[i].scene);
        scene_pass(&s, keys[i].wait_ms, true);
        struct move move = keys_move(s.m, scene_press(keys[i].key), s.now);
        if (move.act != keys[i].act ||
            (move.act != ACT_REFUSED && move.act != ACT_ACCEPT && move.value != keys[i].value))
            fail_msg("%s, key %d: act %d value %u, want %d and %u", keys[i].scene, keys[i].key, (int)move.act,
                     move.value, (int)keys[i].act, keys[i].value);
        scene_end(&s);
    }
}

/* Keys from a scene on (each after half a second), and the call that must follow: its method and params. */
static const struct {
    const char *scene, *keys, *method, *params;
} calls[] = {
    {"on_aim", "\n", "batch.accept", "{\"revision\":5}"},
    {"cup", "\n", "batch.accept", "{\"revision\":2}"},
    {"cup_empty", ".", "batch.accept", "{\"revision\":2,\"tared\":true}"},
    {"pour", ".", "batch.accept", "{\"revision\":5,\"short\":true}"},
    {"pour", "073\n", "batch.accept", "{\"revision\":5,\"short\":\"less\"}"},
    {"first", "074\n", "batch.accept", "{\"revision\":3,\"short\":true}"},
    {"pour", "071A17\n.", "batch.accept", "{\"revision\":5,\"short\":true,\"lot\":\"A17\"}"},
    {"over_chosen", "\n", "batch.remedy", "{\"revision\":6,\"choice\":\"grow\"}"},
    {"over", "3\n", "batch.remedy", "{\"revision\":6,\"choice\":\"leave\"}"},
    {"over", "31\n", "batch.remedy", "{\"revision\":6,\"choice\":\"grow\"}"},
    {"over", "+\n", "batch.remedy", "{\"revision\":6,\"choice\":\"grow\"}"},
    {"over_no_fit", "1\n", "batch.remedy", "{\"revision\":6,\"choice\":\"again\"}"}, /* grow cannot be chosen */
    {"lifted", ".", "batch.retare", "{\"revision\":5}"},
    {"done", "++\n", "batch.label", "{\"batch\":\"1042\",\"copies\":3}"},
    {"done", ".", "batch.finish", "{\"revision\":12}"},
    {"undo", "\n", "batch.undo", "{\"revision\":5}"},
    {"pour", "08\n", "batch.hold", "{\"revision\":5}"},
    {"scrap", "1\n", "batch.scrap", "{\"revision\":5,\"why\":\"wrong colour\"}"},
    {"note", "\b\b\b\n", "batch.note", "{\"revision\":5,\"text\":\"wiped the \"}"},
    {"toner_choose", "\n", "batch.tint", "{\"revision\":5,\"toner\":\"P12\"}"},
    {"toner_choose", "1\n", "batch.tint", "{\"revision\":5,\"toner\":\"P31\"}"},
    {"idle_held", "\n", "batch.resume", "{\"batch\":\"1043\",\"revision\":20}"},
    {"idle_again", "\n15\n", "batch.begin", "{\"repeat\":\"1042\",\"as\":\"poured\",\"grams\":15.0,\"revision\":20}"},
    {"amount", "\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0,\"revision\":20}"},
    {"amount", "\b\b\b12.5\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":12.5,\"revision\":20}"},
    {"amount", "++4417\n\n\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0,\"order\":\"4417\",\"revision\":"
     "20}"},
    {"amount_product", "\n", "batch.begin", "{\"product\":\"CLEAR-40\",\"ml\":250.0,\"revision\":20}"},
};

static void a_move_is_its_call(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, calls[i].scene);
        for (const char *c = calls[i].keys; *c; c++) {
            scene_pass(&s, 500, true);
            scene_key(&s, scene_press(*c));
        }
        json_t *want = json_loads(calls[i].params, 0, NULL);
        assert_non_null(want);
        json_object_set_new(want, "request", json_string("request"));
        if (strcmp(calls[i].method, "batch.label") != 0)
            json_object_set_new(want, "station", json_string("Bench 1"));
        char *got = json_dumps(s.last.params, JSON_SORT_KEYS | JSON_REAL_PRECISION(15));
        if (!s.last.method || strcmp(s.last.method, calls[i].method) != 0 || !json_equal(want, s.last.params))
            fail_msg("%s: %s %s, want %s %s", calls[i].scene, s.last.method ? s.last.method : "nothing", got ? got : "",
                     calls[i].method, calls[i].params);
        free(got);
        json_decref(want);
        scene_end(&s);
    }
}

static void a_second_enter_sends_nothing(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "on_aim");
    scene_pass(&s, 500, true);
    scene_key(&s, scene_press('\n'));
    assert_non_null(s.last.params);
    json_decref(s.last.params);
    s.last = (struct call){0};
    scene_pass(&s, 1000, true);
    scene_key(&s, scene_press('\n'));
    scene_key(&s, scene_press('.'));
    assert_null(s.last.params);
    scene_end(&s);
}

static void a_printed_label_asks_for_the_finish(void **state)
{
    (void)state;
    struct scene s;
    bool finish = false;
    scene_begin(&s, false);
    scene_play(&s, "done");
    struct call print = {.kind = CALL_MOVE, .act = ACT_PRINT};
    json_t *result = json_object();
    calls_answer(&s.calls, s.m, &print, result, NULL, s.now, &finish);
    assert_true(finish);
    json_t *error = json_pack("{s:i, s:s}", "code", -32602, "message", "the printer says no");
    calls_answer(&s.calls, s.m, &print, NULL, error, s.now, &finish);
    assert_false(finish); /* the batch stays */
    assert_string_equal(s.m->foot, "the printer says no.");
    assert_int_equal(s.m->bench.state, BENCH_DONE);
    json_decref(result);
    json_decref(error);
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_key_is_its_act),
        cmocka_unit_test(a_move_is_its_call),
        cmocka_unit_test(a_second_enter_sends_nothing),
        cmocka_unit_test(a_printed_label_asks_for_the_finish),
    };
    return cmocka_run_group_tests_name("keys", tests, NULL, NULL);
}
