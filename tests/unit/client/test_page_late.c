/* Keys that come at the wrong moment: none of them does what was not read, and none is dropped without a word. */
#include "tests/unit/client/scene.h"

/* From a scene whose page has just come: keys, each after so many ms, and what has come of them a second later. `~` is
 * an accept at another bench, which makes it another page. */
static void a_key_before_its_page_has_stood(void **state)
{
    static const struct {
        const char *name, *scene, *keys;
        int gap_ms;
        const char *method; /* sent; NULL: nothing */
        const char *foot;   /* a code of what is told; NULL: nothing */
    } rows[] = {
        {"one Enter waits and is done", "on_aim", "\n", 0, "batch.accept", NULL},
        {"one behind an Enter of the same hand is a double tap", "on_aim", "!\n", 0, NULL, "page.early"},
        {"a key that overtakes it leaves it undone", "on_aim", "\n+", 100, NULL, "page.early"},
        {"its page goes under it", "on_aim", "\n~", 100, NULL, "page.early"},
        {"the second move waits as well", "done", ".", 0, "batch.finish", NULL},
        {"nothing can be committed: told at once", "settling", "\n", 0, NULL, NULL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, rows[i].scene);
        s.m->view.changed_ms = s.now.ms;
        for (const char *c = rows[i].keys; *c; c++) {
            if (*c == '!') { /* an Enter that led here */
                s.m->entered_ms = s.now.ms;
                continue;
            }
            if (*c == '~')
                s.m->view.changed_ms = s.now.ms;
            else
                scene_key(&s, scene_press(*c));
            assert_null(s.last.params);
            scene_pass(&s, rows[i].gap_ms, true);
        }
        scene_pass(&s, 1000, true);
        const char *method = s.last.params ? s.last.method : "(none)";
        if (strcmp(method, rows[i].method ? rows[i].method : "(none)") != 0)
            fail_msg("%s: %s", rows[i].name, method);
        if (rows[i].foot && strcmp(s.m->foot, model_word(s.m, rows[i].foot)) != 0)
            fail_msg("%s: told \"%s\"", rows[i].name, s.m->foot);
        assert_int_equal(s.m->early.waits, false);
        scene_end(&s);
    }
}

/* The foot line shows that it waits. */
static void a_key_that_waits_is_shown(void **state)
{
    (void)state;
    struct scene s;
    struct footline f;
    scene_begin(&s, false);
    scene_play(&s, "on_aim");
    scene_key(&s, scene_press('\n'));
    footline_of(s.m, s.now, &f);
    assert_int_equal(f.kind, FOOTLINE_WAIT);
    scene_end(&s);
}

/* What is typed behind a move is not written into what was sent, nor chosen for the page that comes. */
static void a_digit_behind_an_unanswered_move_is_refused(void **state)
{
    static const struct {
        const char *scene, *keys;
    } rows[] = {{"amount_two", "-\b\b\b\b\n"}, {"over_chosen", "\n"}, {"idle_held", "\n"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, rows[i].scene);
        scene_pass(&s, 500, true);
        for (const char *c = rows[i].keys; *c; c++)
            scene_key(&s, scene_press(*c));
        assert_true(s.m->sent.waiting);
        struct view before = s.m->view;
        static const char late[] = "3\b\n.";
        for (const char *c = late; *c; c++) {
            scene_key(&s, scene_press(*c));
            assert_memory_equal(before.form, s.m->view.form, sizeof before.form);
            assert_int_equal(before.choice, s.m->view.choice);
            assert_int_equal(before.line, s.m->view.line);
            if (*c != '.' && strcmp(s.m->foot, model_word(s.m, "footline.sent")) != 0)
                fail_msg("%s: %c told \"%s\"", rows[i].scene, *c, s.m->foot);
        }
        scene_end(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_key_before_its_page_has_stood),
        cmocka_unit_test(a_key_that_waits_is_shown),
        cmocka_unit_test(a_digit_behind_an_unanswered_move_is_refused),
    };
    return cmocka_run_group_tests_name("late keys", tests, NULL, NULL);
}
