/* A premix first, in the terminal: offered by the plan alone, begun for what the plan comes to, and never for a batch
 * that takes from one already or that is mixed again as it was.
 */
#include "tests/unit/client/scene.h"

#include "client/screen/premix.h"

#include <math.h>

static void begin(struct scene *s, const char *name)
{
    scene_begin(s, false);
    scene_play(s, name);
    scene_pass(s, 500, true);
}

/* The line leads by Enter to a beginning of the premix and of nothing else the form says. */
static void a_premix_is_begun(void **state)
{
    struct scene s;
    struct footline f;
    (void)state;
    begin(&s, "premix");
    assert_int_equal(s.m->view.line, FORM_PREMIX);
    footline_of(s.m, s.now, &f);
    assert_string_equal(f.text, "make the premix first: Y05, K01, 19.5 g");
    scene_key(&s, scene_press('\n'));
    const json_t *params = s.last.params, *of = json_object_get(params, "premix");
    assert_string_equal(s.last.method, "batch.begin");
    assert_string_equal(member_text(of, "formula"), "TI-207");
    assert_string_equal(member_text(of, "coat"), "mid");
    assert_true(fabs(member_number(of, "grams") - 40) < 1e-9);
    assert_string_equal(member_text(params, "station"), "bench");
    assert_null(json_object_get(params, "grams"));
    assert_null(json_object_get(params, "formula"));
    assert_non_null(json_object_get(params, "revision"));
    scene_end(&s);
}

/* A daemon that answers nothing for a while lets reads of every kind wait; a move among them is not lost, else the
 * screen would wait for its answer for ever. */
static void a_move_finds_room_behind_all_reads(void **state)
{
    struct scene s;
    struct call call = {.kind = CALL_INFO};
    bool moved = false;
    (void)state;
    begin(&s, "premix");
    for (int kind = 0; kind < CALL_MOVE; kind++)
        calls_read(&s.calls, s.m, (enum call_kind)kind);
    json_t *act = json_pack("{s:s,s:{s:s}}", "method", "batch.undo", "params", "station", "bench");
    assert_true(calls_act(&s.calls, s.m, act, "r1", s.now));
    while (calls_take(&s.calls, &call)) {
        moved = moved || call.kind == CALL_MOVE;
        json_decref(call.params);
    }
    assert_true(moved);
    json_decref(act);
    scene_end(&s);
}

/* What the bench answers to a move: its screen with another batch and state. */
static void answer(struct scene *s, const char *method, const char *batch, const char *state, bool premix)
{
    json_t *screen = json_deep_copy(s->m->bench.held);
    struct call call = {.kind = CALL_MOVE};
    snprintf(call.method, sizeof call.method, "%s", method);
    json_object_set_new(screen, "state", json_string(state));
    json_object_set_new(screen, "batch", batch ? json_string(batch) : json_null());
    json_object_set_new(screen, "premix", premix ? json_object() : json_null());
    calls_answer(&s->calls, s->m, &call, screen, NULL, s->now);
    json_decref(screen);
}

/* Finished it leads back to the form, as that was left; any other batch, or one that is still open, does not. */
static void it_leads_back_to_the_form(void **state)
{
    struct scene s;
    (void)state;
    begin(&s, "premix");
    scene_key(&s, scene_press('\n'));
    answer(&s, "batch.begin", "1044", "cup", true);
    assert_int_equal(s.m->view.page, PAGE_BENCH);
    answer(&s, "batch.hold", NULL, "idle", false);
    answer(&s, "batch.resume", "1043", "cup", false);
    answer(&s, "batch.finish", NULL, "idle", false);
    assert_int_equal(s.m->view.page, PAGE_BENCH);
    answer(&s, "batch.resume", "1044", "cup", true);
    answer(&s, "batch.finish", NULL, "idle", false);
    assert_int_equal(s.m->view.page, PAGE_AMOUNT);
    assert_string_equal(s.m->view.form[FORM_GRAMS], "40");
    answer(&s, "batch.begin", "1045", "cup", false);
    answer(&s, "batch.finish", NULL, "idle", false);
    assert_int_equal(s.m->view.page, PAGE_BENCH);
    scene_end(&s);
}

static void none_is_offered_in_vain(void **state)
{
    char text[120];
    struct scene s;
    (void)state;
    begin(&s, "premix_kept");
    assert_false(premix_offered(s.m));
    assert_false(form_has(s.m, FORM_PREMIX));
    assert_string_equal(premix_taken(s.m, text, sizeof text), "takes 2.8 g of the premix PM-7");
    assert_null(premix_params(s.m));
    scene_end(&s);

    begin(&s, "premix");
    assert_true(premix_offered(s.m));
    s.m->view.as = "poured"; /* mixed again */
    assert_false(premix_offered(s.m));
    scene_end(&s);

    begin(&s, "amount_plan"); /* the scale weighs it all, or no premix helps */
    assert_false(premix_offered(s.m));
    assert_string_equal(premix_taken(s.m, text, sizeof text), "");
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_move_finds_room_behind_all_reads),
        cmocka_unit_test(a_premix_is_begun),
        cmocka_unit_test(it_leads_back_to_the_form),
        cmocka_unit_test(none_is_offered_in_vain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
