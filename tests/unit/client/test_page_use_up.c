/* Cups of the shelf into what is planned or into the coat that waits, in the terminal: offered by the daemon's work-off
 * alone, and begun with just its cups.
 */
#include "tests/unit/client/scene.h"

#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

#include <math.h>

static void begin(struct scene *s, const char *name)
{
    scene_begin(s, false);
    scene_play(s, name);
    scene_pass(s, 500, true);
}

static void holds(const json_t *have, size_t i, const char *batch, double grams)
{
    assert_string_equal(member_text(json_array_get(have, i), "batch"), batch);
    assert_true(fabs(member_number(json_array_get(have, i), "grams") - grams) < 1e-9);
}

/* Taken over they stand in the form, and go with the beginning. */
static void cups_are_taken_into_the_form(void **state)
{
    struct scene s;
    (void)state;
    begin(&s, "uses");
    assert_int_equal(s.m->view.line, FORM_WORKOFF);
    scene_key(&s, scene_press('\n'));
    assert_string_equal(s.m->view.form[FORM_HAVE], "1031 120.50 + 1034 46.00");
    assert_false(workoff_offered(s.m));
    assert_false(form_has(s.m, FORM_HAVE_G));
    scene_pass(&s, 500, true);
    scene_key(&s, scene_press('\n'));
    assert_string_equal(s.last.method, "batch.begin");
    const json_t *have = json_object_get(s.last.params, "have");
    assert_int_equal(json_array_size(have), 2);
    holds(have, 0, "1031", 120.5);
    holds(have, 1, "1034", 46);
    scene_end(&s);
}

/* Another amount needs another answer, a cup that is named already needs none, and a practice has no shelf. */
static void what_was_offered_is_gone(void **state)
{
    struct scene s;
    (void)state;
    begin(&s, "uses");
    assert_true(workoff_offered(s.m));
    utf8_copy(s.m->view.form[FORM_HAVE], WRITE_ROOM, "1031");
    assert_false(workoff_offered(s.m));
    s.m->view.form[FORM_HAVE][0] = '\0';
    utf8_copy(s.m->home, sizeof s.m->home, "bench");
    assert_false(workoff_offered(s.m));
    s.m->home[0] = '\0';
    s.m->view.line = FORM_GRAMS;
    scene_key(&s, scene_press('\b'));
    assert_false(workoff_offered(s.m));
    scene_end(&s);
}

/* What is no whole list is half a line: nothing of it is planned. */
static void a_list_is_whole_or_nothing(void **state)
{
    static const char *const halves[] = {"1031", "1031 120 + 1034", "1031 none", "1031 0", "1031 120 1034 4 9"};
    struct scene s;
    (void)state;
    begin(&s, "uses");
    for (size_t i = 0; i < sizeof halves / sizeof *halves; i++) {
        utf8_copy(s.m->view.form[FORM_HAVE], WRITE_ROOM, halves[i]);
        assert_null(form_have(s.m));
        assert_true(form_have_half(s.m));
    }
    utf8_copy(s.m->view.form[FORM_HAVE], WRITE_ROOM, "POISE:1031 120,5; #1034 46");
    json_t *have = form_have(s.m);
    holds(have, 0, "1031", 120.5);
    holds(have, 1, "1034", 46);
    json_decref(have);
    scene_end(&s);
}

/* Of two orders that wait the clear has no colour; the coat of 4417 is begun with both cups, and no other amount. */
static void the_coat_that_waits_is_begun(void **state)
{
    struct scene s;
    (void)state;
    begin(&s, "cup_uses");
    scene_key(&s, scene_press('\n'));
    assert_string_equal(s.last.method, "batch.begin");
    assert_string_equal(member_text(s.last.params, "order"), "4417");
    assert_true(fabs(member_number(s.last.params, "coat_n") - 2) < 1e-9);
    assert_int_equal(json_array_size(json_object_get(s.last.params, "have")), 2);
    assert_null(json_object_get(s.last.params, "grams"));
    assert_null(json_object_get(s.last.params, "formula"));
    scene_end(&s);
}

static void a_cup_that_stays_says_why(void **state)
{
    struct scene s;
    struct footline f;
    (void)state;
    begin(&s, "cup_stays");
    footline_of(s.m, s.now, &f);
    assert_string_equal(f.text, "stays: too rich in one toner");
    assert_int_equal(f.enter, ACT_REFUSED);
    assert_null(workoff_begins(s.m));
    scene_end(&s);
}

/* Nothing must go and nothing be ordered: the bank is still there to be stirred. */
static void the_round_ends_with_the_bank(void **state)
{
    struct scene s;
    (void)state;
    begin(&s, "round");
    assert_int_equal(s.m->view.page, PAGE_ROUND);
    scene_key(&s, scene_press('\n'));
    assert_string_equal(s.last.method, "stock.stir");
    assert_true(json_is_true(json_object_get(s.last.params, "all")));
    json_t *result = json_pack("{s:s}", "time", "2025-11-25T10:42:00.000+01:00");
    struct call call = {.kind = CALL_MOVE, .method = "stock.stir"};
    calls_answer(&s.calls, s.m, &call, result, NULL, s.now);
    json_decref(result);
    assert_int_equal(s.m->view.page, PAGE_ROUND);
    assert_string_equal(s.m->foot, "bank stirred today");
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cups_are_taken_into_the_form), cmocka_unit_test(what_was_offered_is_gone),
        cmocka_unit_test(a_list_is_whole_or_nothing),   cmocka_unit_test(the_coat_that_waits_is_begun),
        cmocka_unit_test(a_cup_that_stays_says_why),    cmocka_unit_test(the_round_ends_with_the_bank),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
