/* What a bench shows, as tables: a pour told step by step, and what next, moves, trouble and settled say of it. Figures
 * are worked out by hand; the sentences' codes are those of the contract's section 5a and words/en.po. */
#include "tests/unit/front/front_top.h"

/* The foot line: its kind, its code and the codes of what Enter and `.` do ("" none). */
static void expect_next(const struct front *f, const char *kind, const char *code, const char *method,
                        const char *second)
{
    json_t *next = front_next(f);
    const char *got_method = json_string_value(at(at(next, "act"), "method"));
    const char *got_second = json_string_value(at(at(at(next, "second"), "said"), "code"));
    has_words(at(next, "said"));
    assert_string_equal(json_string_value(at(next, "kind")), kind);
    assert_string_equal(json_string_value(at(at(next, "said"), "code")), code);
    assert_string_equal(got_method ? got_method : "", method);
    assert_string_equal(got_second ? got_second : "", second);
    json_decref(next);
}

/* ---- the foot line ---- */

static void the_foot_line_leads_through_a_pour(void **state)
{
    (void)state;
    struct bench_top t;
    struct front f;
    bench_begin(&t, two, 2, 100);
    f = front_of(&t, false);
    expect_next(&f, "hand", "next_cup", "", "next_tared");
    bench_shows(&t, 30);
    f = front_of(&t, false);
    expect_next(&f, "hand", "next_settle", "", "");
    f = front_of(&t, true);
    expect_next(&f, "key", "next_this_cup", "batch.accept", "");
    bench_cup(&t);
    f = front_of(&t, true);
    expect_next(&f, "hand", "next_pour", "", "");
    bench_add(&t, 50);
    f = front_of(&t, true);
    expect_next(&f, "hand", "next_pour", "", "next_empty_tin");
    bench_add(&t, 10);
    f = front_of(&t, true);
    expect_next(&f, "key", "next_accept_then", "batch.accept", "");
    f = front_of(&t, false);
    expect_next(&f, "hand", "next_settle", "", "");
    bench_do(&t, COMMAND_ACCEPT);
    bench_add(&t, 40);
    f = front_of(&t, true);
    expect_next(&f, "key", "next_accept_last", "batch.accept", "");
    bench_do(&t, COMMAND_ACCEPT);
    f = front_of(&t, true);
    expect_next(&f, "key", "next_print", "batch.finish", "next_no_label");
    bench_end(&t);
}

/* 0.004 g of K01 is less than half an interval: the scale shows 0 to go, and Enter goes on without it. */
static void what_the_scale_cannot_show_is_passed_by(void **state)
{
    static const struct bench_part few[] = {{"K01", 0.004, PART_COLOUR, 0}, {"N10", 99.996, PART_COLOUR, 0}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, few, 2, 100);
    bench_cup(&t);
    struct front f = front_of(&t, true);
    expect_next(&f, "key", "next_unseen", "batch.accept", "");
    bench_do(&t, COMMAND_ACCEPT);
    assert_string_equal(bench_open_toner(&t), "N10");
    assert_true(t.batch.step_short[0]);
    f = front_of(&t, true);
    expect_next(&f, "hand", "next_pour", "", "");
    bench_end(&t);
}

/* A frame without a weight because the load moves is no trouble; net and gross in turn are. */
static void moving_is_no_trouble_and_mixed_is(void **state)
{
    struct bench_top t;
    struct front_trouble trouble;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    struct front f = front_of(&t, false);
    f.scale.limit = FRONT_MOVING;
    assert_false(front_scale_trouble(&f, &trouble));
    expect_next(&f, "hand", "next_pour", "", "");
    f.scale.limit = FRONT_MIXED;
    assert_true(front_scale_trouble(&f, &trouble));
    expect_next(&f, "hand", "scale_mixed.help", "", "");
    bench_end(&t);
}

static void the_foot_line_asks_for_what_is_wrong_first(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    bench_pour(&t, 60);
    struct front f = front_of(&t, true);
    f.scale.limit = FRONT_OVER;
    expect_next(&f, "hand", "scale_over.help", "", "");
    f = front_of(&t, true);
    f.scale = (struct front_scale){.state = FRONT_SEEKING, .cause = "trying"};
    expect_next(&f, "wait", "scale_seeking.help", "", "");
    bench_shows(&t, 0); /* the cup is off */
    f = front_of(&t, true);
    expect_next(&f, "hand", "next_put_back", "", "next_retare_with");
    bench_shows(&t, 90);
    bench_add(&t, 60); /* 20 g too much: 100 g become 150, more than grows by itself */
    f = front_of(&t, true);
    expect_next(&f, "key", "next_accept_over", "batch.accept", "");
    bench_do(&t, COMMAND_ACCEPT);
    f = front_of(&t, true);
    expect_next(&f, "choose", "next_choose", "", "");
    bench_choose(&t, REMEDY_DIP);
    f = front_of(&t, true);
    expect_next(&f, "hand", "next_take_out", "", "");
    bench_add(&t, -t.batch.take_g);
    f = front_of(&t, true);
    expect_next(&f, "key", "next_taken", "batch.accept", "");
    bench_end(&t);
}

static void without_a_batch_a_colour_is_looked_for(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    struct front f = front_of(&t, true);
    f.batch = NULL;
    expect_next(&f, "choose", "next_find", "", "");
    bench_end(&t);
}

/* ---- the moves ---- */

static struct command command_of(const json_t *move)
{
    static const struct {
        const char *method;
        enum command_kind kind;
    } kinds[] = {{"batch.accept", COMMAND_ACCEPT}, {"batch.undo", COMMAND_UNDO},     {"batch.remedy", COMMAND_REMEDY},
                 {"batch.retare", COMMAND_RETARE}, {"batch.tint", COMMAND_TINT},     {"batch.hold", COMMAND_HOLD},
                 {"batch.note", COMMAND_NOTE},     {"batch.finish", COMMAND_FINISH}, {"batch.scrap", COMMAND_SCRAP}};
    static struct recipe_part other = {.toner = "Z99", .role = PART_COLOUR};
    const json_t *params = at(at(move, "act"), "params"), *few = at(params, "short");
    const char *method = json_string_value(at(at(move, "act"), "method")), *choice = NULL;
    struct command c = bench_command_of(COMMAND_NOTE);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].method, method) == 0)
            c.kind = kinds[i].kind;
    choice = json_string_value(at(params, "choice"));
    for (int r = REMEDY_GROW; choice && r <= REMEDY_AGAIN; r++)
        if (strcmp(event_remedy_names[r], choice) == 0)
            c.remedy = (enum event_remedy)r;
    c.short_mode = json_is_true(few) ? SHORT_COUNTED : json_is_string(few) ? SHORT_LESS : SHORT_NO;
    c.tared = json_is_true(at(params, "tared"));
    const char *asks = json_string_value(json_array_get(at(move, "asks"), 0));
    if (asks && (strcmp(asks, "toner") == 0 || strcmp(asks, "really") == 0)) {
        strcpy(c.really, other.toner);
        c.part = &other;
    }
    strcpy(c.text, "a word");
    return c;
}

/* Every act of the list is made on a copy: the open ones succeed, the shut ones are refused and say why. */
static void check_moves(const struct bench_top *t, size_t least)
{
    struct front f = front_of(t, t->track.now_stable);
    json_t *moves = front_moves(&f), *move;
    size_t i, open = 0;
    json_array_foreach(moves, i, move)
    {
        struct batch copy;
        struct track track = t->track;
        struct command c = command_of(move);
        struct event e;
        struct fault fault;
        assert_true(batch_copy(&copy, &t->batch));
        enum decision d = decide(&copy, &track, &c, &e, &fault);
        bool done = d == DECIDED && batch_fold(&copy, &track, &e);
        if (done != json_is_true(at(move, "open")))
            fail_msg("%s: %s", done ? "succeeds but shut" : "open but refused", json_dumps(move, JSON_COMPACT));
        assert_true(done == json_is_null(at(move, "why")));
        has_words(at(move, "said"));
        if (!done)
            has_words(at(move, "why"));
        open += done;
        event_finish(&e);
        batch_finish(&copy);
    }
    assert_true(open >= least);
    json_decref(moves);
}

static void open_moves_succeed_and_shut_ones_are_refused(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    check_moves(&t, 3); /* hold, note, scrap */
    bench_shows(&t, 30);
    check_moves(&t, 5);
    bench_cup(&t);
    check_moves(&t, 4);
    bench_add(&t, 50);
    check_moves(&t, 6);
    bench_reads(&t, 85, 0, 100);
    check_moves(&t, 3); /* it moves: nothing that weighs */
    bench_shows(&t, 90);
    bench_do(&t, COMMAND_ACCEPT);
    bench_pour(&t, 60);
    assert_int_equal(t.batch.state, BATCH_OVER);
    check_moves(&t, 4);
    bench_choose(&t, REMEDY_LEAVE);
    assert_int_equal(t.batch.state, BATCH_DONE);
    check_moves(&t, 6);
    bench_end(&t);
}

static void moves_stand_in_the_contracts_order(void **state)
{
    (void)state;
    static const char *const want[] = {"move_accept", "move_leave_out", "move_less", "move_really", "move_undo",
                                       "move_retare", "move_tint",      "move_hold", "move_note",   "move_scrap"};
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    struct front f = front_of(&t, true);
    json_t *moves = front_moves(&f);
    assert_int_equal(json_array_size(moves), sizeof want / sizeof *want);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_string_equal(json_string_value(at(at(json_array_get(moves, i), "said"), "code")), want[i]);
    json_decref(moves);
    bench_end(&t);
}

/* Nothing to go on with: the call could only be refused. */
static void resume_is_shut_while_nothing_is_held(void **state)
{
    (void)state;
    enum { RESUME = 1 };
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    struct front f = front_of(&t, true);
    f.batch = NULL;
    for (int held = 0; held < 2; held++) {
        f.holds = held;
        json_t *moves = front_moves(&f), *resume = json_array_get(moves, RESUME);
        assert_string_equal(json_string_value(at(at(resume, "act"), "method")), "batch.resume");
        assert_true(json_is_true(at(resume, "open")) == f.holds);
        if (!held)
            has_words(at(resume, "why"));
        json_decref(moves);
    }
    bench_end(&t);
}

/* The code that a move bears now. */
static const char *code_of(const struct bench_top *t, size_t place)
{
    struct front f = front_of(t, true);
    json_t *moves = front_moves(&f);
    static char code[64];
    snprintf(code, sizeof code, "%s", json_string_value(at(at(json_array_get(moves, place), "said"), "code")));
    json_decref(moves);
    return code;
}

/* The same accept is of an empty tin, goes on without the rest, or leaves a toner out: each says which. */
static void an_accept_as_short_says_what_it_does(void **state)
{
    (void)state;
    enum { SHORT = 1 };
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    assert_string_equal(code_of(&t, SHORT), "move_leave_out");
    bench_add(&t, 20);
    assert_string_equal(code_of(&t, SHORT), "move_short");
    struct command c = bench_command_of(COMMAND_ACCEPT);
    c.short_mode = SHORT_COUNTED;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_string_equal(code_of(&t, SHORT), "next_without_rest");
    bench_end(&t);
}

/* ---- the last reading ---- */

static void to_go_reaches_exactly_0(void **state)
{
    (void)state;
    /* aim 60.005 at d 0.01: a reading of 60.00 lacks half an interval, one of 60.01 is half an interval past. */
    struct bench_top t;
    char text[NUMBER_ROOM];
    const struct number_style style = {.point = '.', .d_g = 0.01};
    struct front_now now;
    bench_begin(&t, two, 2, 100.0083333);
    bench_cup(&t);
    bench_add(&t, 60.01);
    struct front f = front_of(&t, true);
    front_now(&f, &now);
    assert_true(now.open && isnan(now.landing_g));
    assert_grams(now.in_cup_g, 60.01);
    assert_string_equal(number_weight(&style, now.to_go_g, false, text, sizeof text), "0.00");
    bench_end(&t);
}

/* N10 60 g is poured in two tins, 35 and then 25: what a step still asks for is its aim less what is counted. */
static void each_step_says_what_is_still_to_be_counted(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    bench_add(&t, 35);
    struct command c = bench_command_of(COMMAND_ACCEPT);
    c.short_mode = SHORT_COUNTED;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    for (int turn = 0; turn < 2; turn++) {
        struct front f = front_of(&t, true);
        json_t *screen = front_screen(&f), *steps = at(screen, "steps");
        assert_grams(json_number_value(at(json_array_get(steps, 0), "to_go_g")), turn ? 0 : 25);
        assert_grams(json_number_value(at(json_array_get(steps, 1), "to_go_g")), 40);
        assert_true(json_is_null(at(json_array_get(steps, 1), "off_g")));
        assert_true(json_is_null(at(json_array_get(steps, 0), "off_g")) == (turn == 0));
        if (turn == 0) {
            bench_add(&t, 25);
            bench_do(&t, COMMAND_ACCEPT);
        } else {
            assert_grams(json_number_value(at(json_array_get(steps, 0), "off_g")), 0);
        }
        json_decref(screen);
    }
    bench_end(&t);
}

static void settled_has_hysteresis(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int64_t at_ms, ug;
        bool stable, settled;
    } rows[] = {
        {"moving is not settled", 0, 1000, false, false},
        {"the first stable reading settles it", 100, 1000, true, true},
        {"it trembles by less than half the tolerance", 200, 1040, false, true},
        {"for less than 0.5 s", 600, 960, false, true},
        {"and no longer", 700, 1000, false, false},
        {"stable again", 800, 1000, true, true},
        {"more than half the tolerance away", 900, 1051, false, false},
        {"not settled by coming back", 1000, 1000, false, false},
    };
    struct settle s = {0};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct track t = {.now_ug = rows[i].ug, .now_ms = rows[i].at_ms, .now_stable = rows[i].stable};
        settle_add(&s, &t, 100);
        if (s.settled != rows[i].settled)
            fail_msg("%s", rows[i].name);
    }
}

/* ---- trouble ---- */

static void each_trouble_has_words_and_a_fix(void **state)
{
    (void)state;
    static const struct {
        enum front_state state;
        enum front_limit limit;
        const char *cause;
        enum front_disk disk;
        const char *code;
    } rows[] = {
        {FRONT_ABSENT, FRONT_WEIGHS, "", FRONT_DISK_GOOD, "scale_absent"},
        {FRONT_STALE, FRONT_WEIGHS, "silent", FRONT_DISK_GOOD, "scale_silent"},
        {FRONT_STALE, FRONT_WEIGHS, "strange", FRONT_DISK_GOOD, "scale_strange"},
        {FRONT_SEEKING, FRONT_WEIGHS, "trying", FRONT_DISK_GOOD, "scale_seeking"},
        {FRONT_SEEKING, FRONT_WEIGHS, "tie", FRONT_DISK_GOOD, "scale_tie"},
        {FRONT_LIVE, FRONT_OVER, "", FRONT_DISK_GOOD, "scale_over"},
        {FRONT_LIVE, FRONT_UNDER, "", FRONT_DISK_GOOD, "scale_under"},
        {FRONT_LIVE, FRONT_ERROR, "", FRONT_DISK_GOOD, "scale_error"},
        {FRONT_LIVE, FRONT_NO_UNIT, "", FRONT_DISK_GOOD, "scale_no_unit"},
        {FRONT_LIVE, FRONT_WEIGHS, "", FRONT_DISK_FULL, "disk_full"},
        {FRONT_LIVE, FRONT_WEIGHS, "", FRONT_DISK_READONLY, "disk_readonly"},
        {FRONT_LIVE, FRONT_WEIGHS, "", FRONT_DISK_FAILED, "disk_failed"},
    };
    struct bench_top t;
    struct front_trouble trouble;
    bench_begin(&t, two, 2, 100);
    struct front f = front_of(&t, true);
    assert_false(front_trouble(&f, &trouble));
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        f.scale = (struct front_scale){.state = rows[i].state, .limit = rows[i].limit, .cause = rows[i].cause};
        f.disk = rows[i].disk;
        assert_true(front_trouble(&f, &trouble));
        assert_string_equal(trouble.code, rows[i].code);
        assert_non_null(words_find(trouble.said.code));
        assert_non_null(words_find(trouble.fix.code));
    }
    f = front_of(&t, true);
    f.wall_ms = 1000; /* 1970 */
    assert_true(front_trouble(&f, &trouble));
    assert_string_equal(trouble.code, "clock_wrong");
    bench_end(&t);
}

/* ---- the whole ---- */

static void idle_holds_every_member(void **state)
{
    (void)state;
    static const char *const lists[] = {"steps", "caution", "cautions", "facts"};
    static const char *const nulls[] = {"batch", "said", "now", "fill", "pot_life", "remedies", "use_by", "trouble"};
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    struct front f = front_of(&t, true);
    f.batch = NULL;
    json_t *screen = front_screen(&f);
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        assert_true(json_is_array(at(screen, lists[i])) && json_array_size(at(screen, lists[i])) == 0);
    for (size_t i = 0; i < sizeof nulls / sizeof *nulls; i++)
        assert_true(json_is_null(at(screen, nulls[i])));
    assert_true(json_is_false(at(screen, "activated")) && json_is_object(at(screen, "next")));
    assert_int_equal(json_array_size(at(screen, "moves")), 2); /* begin, resume */
    json_decref(screen);
    bench_end(&t);
}

static void only_what_a_person_sees_makes_another_screen(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    bench_reads(&t, 40, 0, 100);
    struct front f = front_of(&t, false);
    json_t *one = front_screen(&f);
    bench_reads(&t, 41, 0, 100);
    f = front_of(&t, false);
    json_t *two_on = front_screen(&f);
    assert_true(front_live_hash(one) == front_live_hash(two_on)); /* still pouring N10 */
    f.scale.limit = FRONT_OVER;
    json_t *troubled = front_screen(&f);
    assert_false(front_live_hash(one) == front_live_hash(troubled));
    json_decref(one);
    json_decref(two_on);
    json_decref(troubled);
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_foot_line_leads_through_a_pour),
        cmocka_unit_test(what_the_scale_cannot_show_is_passed_by),
        cmocka_unit_test(moving_is_no_trouble_and_mixed_is),
        cmocka_unit_test(the_foot_line_asks_for_what_is_wrong_first),
        cmocka_unit_test(without_a_batch_a_colour_is_looked_for),
        cmocka_unit_test(open_moves_succeed_and_shut_ones_are_refused),
        cmocka_unit_test(resume_is_shut_while_nothing_is_held),
        cmocka_unit_test(moves_stand_in_the_contracts_order),
        cmocka_unit_test(an_accept_as_short_says_what_it_does),
        cmocka_unit_test(to_go_reaches_exactly_0),
        cmocka_unit_test(each_step_says_what_is_still_to_be_counted),
        cmocka_unit_test(settled_has_hysteresis),
        cmocka_unit_test(each_trouble_has_words_and_a_fix),
        cmocka_unit_test(idle_holds_every_member),
        cmocka_unit_test(only_what_a_person_sees_makes_another_screen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
