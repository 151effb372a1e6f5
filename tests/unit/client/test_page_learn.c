/* A practice in the terminal: its keys are the simulated hand's or the bench's, never both; it goes to a bench of its
 * own and home again, and nothing of the shop is touched from there.
 */
#include "tests/unit/client/scene.h"

/* A scene, a key, and the act (with its value) that it must be. */
static const struct {
    const char *scene;
    char key;
    enum act act;
    uint32_t value;
} keys[] = {
    {"practice", '\n', ACT_ASK, FOR_LEARNER}, /* nobody is signed in: the name comes first */
    {"practice_name", '\n', ACT_CALL, CALL_LEARN_AS},
    {"practice_idle", '1', ACT_CHOOSE, 1},
    {"practice_idle", '\n', ACT_PAGE, PAGE_FIND},
    {"practice_idle", '.', ACT_CALL, CALL_LEARN_END},
    {"practice_pour", '1', ACT_CALL, CALL_HAND},
    {"practice_pour", '2', ACT_CALL, CALL_HAND + 1},
    {"practice_pour", '4', ACT_CALL, CALL_HAND + 3}, /* shut: the daemon says why */
    {"practice_pour", '5', ACT_ASK, FOR_HAND_POUR},
    {"practice_pour", '6', ACT_ASK, FOR_HAND_TAKE},
    {"practice_pour", '7', ACT_CHOOSE, 7}, /* the hand has no such place */
    {"practice_pour", '\n', ACT_REFUSED, 0},
    {"practice_pour", '0', ACT_PAGE, PAGE_MENU},
    {"practice_grams", '\n', ACT_CALL, CALL_HAND + HAND_POUR_G},
    {"practice_over", '2', ACT_CHOOSE, 2}, /* of the ways out, not of the hand */
    {"practice_done", '2', ACT_CALL, CALL_HAND + 1},
    {"practice_done", '\n', ACT_CALL, CALL_NEXT},
    {"practice_learnt", '\n', ACT_PAGE, PAGE_BENCH},
    {"practice_learnt", '.', ACT_PAGE, PAGE_PRACTICE},
};

static void keys_are_the_hands_or_the_benchs(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, keys[i].scene);
        scene_pass(&s, 500, true);
        struct move move = keys_move(s.m, scene_press(keys[i].key), s.now);
        if (move.act != keys[i].act || move.value != keys[i].value)
            fail_msg("%s, %c: act %d, value %u", keys[i].scene, keys[i].key, (int)move.act, move.value);
        scene_end(&s);
    }
}

/* The call that went out last: its method, and a member of its params. */
static void sent(const struct scene *s, const char *method, const char *member, const char *text)
{
    assert_string_equal(s->last.method, method);
    assert_string_equal(member_text(s->last.params, member), text);
}

static void press(struct scene *s, const char *all)
{
    for (; *all; all++) {
        scene_pass(s, 500, true);
        scene_key(s, scene_press(*all));
    }
}

/* Each act goes to the bench that the practice was given; the one that it was begun at lends its settings. */
static void calls_name_the_right_bench(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "practice_name");
    press(&s, "\n");
    sent(&s, "learn.start", "station", "bench");
    sent(&s, "learn.start", "painter", "Jo");
    sent(&s, "learn.start", "scenario", "lifted");
    scene_end(&s);

    scene_begin(&s, false);
    scene_play(&s, "practice_pour");
    assert_string_equal(s.m->station, "learn-1");
    assert_string_equal(s.m->home, "bench");
    press(&s, "2");
    sent(&s, "learn.hand", "station", "learn-1");
    sent(&s, "learn.hand", "act", "pour");
    assert_null(json_object_get(s.last.params, "grams"));
    scene_end(&s);

    scene_begin(&s, false);
    scene_play(&s, "practice_grams");
    press(&s, "\n");
    sent(&s, "learn.hand", "act", "pour");
    assert_true(json_number_value(json_object_get(s.last.params, "grams")) == 12);
    scene_end(&s);
}

/* A mishap is told where an answer stands, and the page goes back to the pour. */
static void a_mishap_is_told(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "practice_grams");
    press(&s, "\n");
    json_t *said = json_pack("{s:s, s:{s:s, s:s, s:{s:s}}}", "act", "pour", "said", "code", "practice_empty", "text",
                             "x", "args", "toner", "P31");
    struct call call = {.kind = CALL_MOVE};
    snprintf(call.method, sizeof call.method, "learn.hand");
    scene_answer(&s, &call, said, NULL);
    assert_int_equal(s.m->view.page, PAGE_BENCH);
    assert_string_equal(s.m->foot, "The tin of P31 is empty");
    json_decref(said);
    scene_end(&s);
}

/* However it ends, our own bench is watched again, with nothing of the other one left on the page. */
static void the_end_leads_home(void **state)
{
    static const char *const scenes[] = {"practice_learnt", "practice_ended", "practice_left"};
    (void)state;
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, scenes[i]);
        assert_string_equal(s.m->station, "bench");
        assert_string_equal(s.m->home, "");
        assert_true(s.m->elsewhere);
        assert_null(s.m->lists.answer[LIST_RECORD]);
        assert_int_equal(s.m->view.page, i == 0 ? PAGE_LEARNT : PAGE_BENCH);
        scene_end(&s);
    }
}

/* What is done on the shop's pages stays done, so a practice shows no way to them. */
static void the_shop_is_out_of_reach(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "practice_idle");
    press(&s, "0");
    for (int digit = 3; digit <= 9; digit++) {
        struct menu_line line = menu_line(s.m, digit);
        assert_true(line.there == (digit == 8));
    }
    press(&s, "8\n");
    sent(&s, "learn.end", "station", "learn-1");
    scene_end(&s);

    /* A cup is never weighed back on a scale that is none, nor a practice begun from within a batch. */
    scene_begin(&s, false);
    scene_play(&s, "practice_idle");
    s.m->view.page = PAGE_WEIGH;
    scene_pass(&s, 500, true);
    s.weight_g = 400;
    scene_weight(&s);
    assert_int_equal(keys_move(s.m, scene_press('\n'), s.now).act, ACT_REFUSED);
    scene_end(&s);

    /* A real cup that is scanned, or that the form could offer, opens no page. */
    scene_begin(&s, false);
    scene_play(&s, "practice_idle");
    json_t *cup =
        json_loads("{\"kind\":\"cup\",\"batch\":\"1031\",\"said\":{\"code\":\"scan_cup\",\"args\":{}}}", 0, NULL);
    assert_true(scanned(s.m, cup, NULL, "r", &s.calls, s.now));
    assert_int_equal(s.m->view.page, PAGE_BENCH);
    assert_true(s.m->foot[0]);
    json_decref(cup);
    cup = json_loads("{\"cups\":[{\"batch\":\"1031\",\"formula\":\"\",\"coat\":\"\",\"variant\":\"\"}]}", 0, NULL);
    lists_keep(&s.m->lists, LIST_SHELF, cup);
    lists_keep(&s.m->lists, LIST_WANTED, cup);
    s.m->view.page = PAGE_AMOUNT;
    assert_non_null(form_cup(s.m));
    assert_false(form_has(s.m, FORM_SHELF));
    json_decref(cup);
    scene_end(&s);

    scene_begin(&s, false);
    scene_play(&s, "pour");
    s.m->view.page = PAGE_SHOP;
    assert_true(menu_line(s.m, 8).there && menu_line(s.m, 8).why[0]);
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_the_hands_or_the_benchs),
        cmocka_unit_test(calls_name_the_right_bench),
        cmocka_unit_test(a_mishap_is_told),
        cmocka_unit_test(the_end_leads_home),
        cmocka_unit_test(the_shop_is_out_of_reach),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
