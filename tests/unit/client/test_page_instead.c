/* A tin that is empty, in the terminal: what may be poured in its place is asked for when the bench says so, and is
 * told on the bench and beside what can be done about a tin.
 */
#include "tests/unit/client/scene.h"

#include "client/screen/instead.h"

static void fits(struct scene *s)
{
    static const char with[] = "{\"with\":[{\"toner\":\"E32\",\"why\":{\"code\":\"substitute_same_pigment\",\"args\":{"
                               "\"pigment\":\"PW20 1\",\"line\":\"solvent\"}}}]}";
    json_t *answer = json_loads(with, 0, NULL);
    struct call call = {.kind = CALL_INSTEAD};
    calls_answer(&s->calls, s->m, &call, answer, NULL, s->now);
    json_decref(answer);
}

static void the_open_toner_is_asked_for(void **state)
{
    struct scene s;
    char text[FOOT_ROOM];
    (void)state;
    scene_begin(&s, false);
    scene_play(&s, "pour");
    json_t *params = instead_params(s.m);
    assert_string_equal(member_text(params, "toner"), s.m->bench.now.toner);
    assert_true(member_number(params, "grams") > 0);
    json_decref(params);
    assert_string_equal(instead_text(s.m, text, sizeof text), "");
    fits(&s);
    assert_non_null(strstr(s.m->foot, "E32 ("));
    assert_non_null(strstr(s.m->foot, "PW20 1"));
    scene_end(&s);

    scene_begin(&s, false);
    scene_play(&s, "take_out"); /* no tin is open */
    assert_null(instead_params(s.m));
    scene_end(&s);
}

/* Nothing is told where nothing fits, nor over another page than the bench. */
static void it_is_told_where_it_helps(void **state)
{
    struct scene s;
    char text[FOOT_ROOM];
    (void)state;
    scene_begin(&s, false);
    scene_play(&s, "pour");
    s.m->view.page = PAGE_TIN;
    fits(&s);
    assert_string_equal(s.m->foot, "");
    assert_non_null(strstr(instead_text(s.m, text, sizeof text), "E32"));
    json_t *none = json_loads("{\"with\":[]}", 0, NULL);
    struct call call = {.kind = CALL_INSTEAD};
    s.m->view.page = PAGE_BENCH;
    calls_answer(&s.calls, s.m, &call, none, NULL, s.now);
    assert_string_equal(s.m->foot, "");
    json_decref(none);
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_open_toner_is_asked_for),
        cmocka_unit_test(it_is_told_where_it_helps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
