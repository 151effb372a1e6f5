/* What a bench warns of by itself: the end of a pot life, and a wrong tin found late. Codes are those of words/en.po.
 */
#include "tests/unit/front/front_top.h"

/* Hardener at 0 min, a pot life of 60 min. The clock alone tells, so a restart says nothing twice. */
static void the_end_of_a_pot_life_is_said_once_and_shown(void **state)
{
    static const struct {
        double min;
        const char *message, *caution;
    } rows[] = {
        {44.9, "", ""},
        {45, "pot_life_soon", "pot_life_soon"},
        {45.9, "pot_life_soon", "pot_life_soon"},
        {46.1, "", "pot_life_soon"},
        {59.9, "", "pot_life_soon"},
        {60, "pot_life_over", "pot_life_over"},
        {60.9, "pot_life_over", "pot_life_over"},
        {61.1, "", "pot_life_over"},
        {600, "", "pot_life_over"},
    };
    struct bench_top t;
    uint64_t before = 0;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    t.batch.hardener_ms = 1800000000000LL;
    t.batch.recipe.pot_life_min = 60;
    t.batch.caution[t.batch.cautions++] = say("isocyanate");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct front f = front_of(&t, true);
        f.use_by_ms = batch_use_by_ms(&t.batch);
        f.wall_ms = t.batch.hardener_ms + (int64_t)(rows[i].min * 60000);
        json_t *screen = front_screen(&f), *cautions = at(screen, "cautions"), *second = json_array_get(cautions, 1);
        const char *code = json_string_value(at(at(screen, "said"), "code"));
        const char *caution = json_string_value(at(second, "code"));
        assert_string_equal(json_string_value(at(json_array_get(cautions, 0), "code")), "isocyanate");
        assert_string_equal(caution ? caution : "", rows[i].caution);
        assert_string_equal(code ? code : "", rows[i].message);
        if (second)
            has_words(second);
        /* A screen of the same revision is due where the message or the caution changed, else not. */
        bool changed = i > 0 && (strcmp(rows[i].message, rows[i - 1].message) != 0 ||
                                 strcmp(rows[i].caution, rows[i - 1].caution) != 0);
        assert_true(i == 0 || (front_live_hash(screen) != before) == changed);
        before = front_live_hash(screen);
        json_decref(screen);
    }
    t.track.lifted = true; /* a cup that is off is to be put back first */
    struct front f = front_of(&t, true);
    f.use_by_ms = f.wall_ms = batch_use_by_ms(&t.batch);
    json_t *screen = front_screen(&f);
    assert_true(json_is_null(at(screen, "said")));
    json_decref(screen);
    bench_end(&t);
}

/* The move of this method and member asked for ("" none), and what it says: its code, and why it is shut ("" open). */
static void expect_move(const struct front *f, const char *method, const char *asks, const char *code, const char *why)
{
    json_t *moves = front_moves(f), *move, *found = NULL;
    size_t i;
    json_array_foreach(moves, i, move)
    {
        const char *of = json_string_value(at(at(move, "act"), "method"));
        const char *one = json_string_value(json_array_get(at(move, "asks"), 0));
        if (strcmp(of, method) == 0 && strcmp(one ? one : "", asks) == 0)
            found = move;
    }
    assert_non_null(found);
    const char *shut = json_string_value(at(at(found, "why"), "code"));
    has_words(at(found, "said"));
    assert_string_equal(json_string_value(at(at(found, "said"), "code")), code);
    assert_string_equal(shut ? shut : "", why);
    json_decref(moves);
}

static void expect_message(const struct front *f, const char *code)
{
    json_t *screen = front_screen(f);
    assert_string_equal(json_string_value(at(at(screen, "said"), "code")), code);
    has_words(at(screen, "said"));
    json_decref(screen);
}

/* K01 was poured from the wrong tin and accepted as N10: take it back, name it, and N10 is offered again. */
static void a_wrong_tin_found_late_is_undone_and_named(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    struct front f = front_of(&t, true);
    expect_move(&f, "batch.accept", "really", "move_really", "nothing_poured"); /* nothing to take back yet */
    bench_pour(&t, 60);
    expect_move(&f, "batch.accept", "really", "move_really", "why_undo_first");
    expect_move(&f, "batch.undo", "", "move_undo", "");
    bench_do(&t, COMMAND_UNDO);
    expect_message(&f, "undone_tin");
    expect_move(&f, "batch.accept", "really", "move_really", "");
    struct command c = bench_command_of(COMMAND_ACCEPT);
    strcpy(c.really, "K01");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_int_equal(t.batch.state, BATCH_OVER); /* 60 of 40 g */
    expect_move(&f, "batch.undo", "", "move_undo_tin", "");
    bench_choose(&t, REMEDY_GROW);
    assert_string_equal(bench_open_toner(&t), "N10");
    bench_end(&t);
}

/* Within what the formula holds of it nothing is over: the message names the toner that it stood in for. */
static void a_named_tin_leaves_what_it_stood_in_for_to_be_poured(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    struct command c = bench_command_of(COMMAND_ACCEPT);
    c.short_mode = SHORT_COUNTED;
    bench_add(&t, 30);
    assert_int_equal(bench_try(&t, &c), DECIDED);
    bench_do(&t, COMMAND_UNDO);
    c = bench_command_of(COMMAND_ACCEPT);
    strcpy(c.really, "K01");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    struct front f = front_of(&t, true);
    expect_message(&f, "really_instead");
    assert_string_equal(bench_open_toner(&t), "N10");
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_end_of_a_pot_life_is_said_once_and_shown),
        cmocka_unit_test(a_wrong_tin_found_late_is_undone_and_named),
        cmocka_unit_test(a_named_tin_leaves_what_it_stood_in_for_to_be_poured),
    };
    return cmocka_run_group_tests_name("warnings", tests, NULL, NULL);
}
