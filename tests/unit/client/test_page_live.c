/* Never a number that looks live when it is not; and what ink says beside the characters. */
#include "tests/unit/client/scene.h"

#include <math.h>

/* Cells of the page whose ink has all these bits, in rows [from, to). */
static int count_ink(const struct grid *g, int from, int to, unsigned ink)
{
    int n = 0;
    for (int r = from; r < to; r++)
        for (int c = 0; c < g->cols; c++)
            n += (g->cells[r][c].ink & ink) == ink;
    return n;
}

static int count_char(const struct grid *g, int from, int to, char32_t ch)
{
    int n = 0;
    for (int r = from; r < to; r++)
        for (int c = 0; c < g->cols; c++)
            n += g->cells[r][c].c == ch;
    return n;
}

static void age_decides(void **state)
{
    static const struct {
        int64_t age_ms;
        enum life life;
    } ages[] = {{0, LIFE_LIVE},   {499, LIFE_LIVE},  {500, LIFE_GREY},
                {999, LIFE_GREY}, {1000, LIFE_DEAD}, {60000, LIFE_DEAD}};
    (void)state;
    for (size_t i = 0; i < sizeof ages / sizeof *ages; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, "pour");
        s.now.ms += ages[i].age_ms;
        assert_int_equal(model_life(s.m, s.now), ages[i].life);
        scene_end(&s);
    }
}

static void the_age_in_the_note_counts(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "pour");
    json_t *note = json_pack("{s:f, s:b, s:i, s:s}", "weight_g", 352.1, "stable", 1, "age_ms", 700, "state", "live");
    model_weight(s.m, note, s.now);
    assert_int_equal(model_life(s.m, s.now), LIFE_GREY);
    json_decref(note);
    scene_end(&s);
}

/* No figure drawn in solid blocks, no cue, and no weight in digits beside `aim` on the open line. */
static void a_dead_weight_shows_no_live_figure(void **state)
{
    static const char *const scenes[] = {"grey",      "stale", "absent", "absent_long", "seeking",
                                         "too_heavy", "lost",  "lifted", "cup_stale"};
    (void)state;
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++)
        for (int utf8 = 0; utf8 < 2; utf8++) {
            struct scene s;
            char text[1000];
            scene_begin(&s, utf8);
            scene_play(&s, scenes[i]);
            page_draw(s.m, s.now, 80, 24, s.g);
            int solid = count_char(s.g, 4, 16, '#') + count_char(s.g, 4, 16, 0x2588);
            grid_row_text(s.g, 3, text, sizeof text);
            if (solid || strstr(text, "in cup") || s.m->cue != CUE_NONE)
                fail_msg("%s: %d solid cells, cue %d, %s", scenes[i], solid, (int)s.m->cue, text);
            scene_end(&s);
        }
}

static void stop_is_the_open_line_reversed(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "stop");
    page_draw(s.m, s.now, 80, 24, s.g);
    assert_int_equal(count_ink(s.g, 2, 15, INK_REVERSE), 13 * 80);
    assert_int_equal(count_ink(s.g, 0, 2, INK_REVERSE), 0);
    assert_int_equal(count_ink(s.g, 15, 24, INK_REVERSE), 0);
    scene_end(&s);
    scene_begin(&s, false);
    scene_play(&s, "ease");
    page_draw(s.m, s.now, 80, 24, s.g);
    assert_int_equal(count_ink(s.g, 0, 24, INK_REVERSE), 0);
    scene_end(&s);
}

static void stop_stays_800_ms(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "stop");
    s.m->bell = false;
    s.m->bench.now.cue = CUE_POUR; /* the station says pour again, and no more after that */
    s.speaks = false;
    s.m->weight.at_ms += 10000;
    int64_t shown_ms = s.m->stop_ms;
    scene_pass(&s, shown_ms + 799 - s.now.ms, false);
    assert_int_equal(s.m->cue, CUE_STOP);
    scene_pass(&s, 2, false);
    assert_int_equal(s.m->cue, CUE_POUR);
    assert_false(s.m->bell);
    scene_end(&s);
}

static void the_bell_is_for_stop_and_over(void **state)
{
    static const struct {
        const char *scene;
        bool rings;
    } bells[] = {{"pour", false}, {"ease", false},    {"on_aim", false},
                 {"stop", true},  {"too_much", true}, {"stale", false}};
    (void)state;
    for (size_t i = 0; i < sizeof bells / sizeof *bells; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, bells[i].scene);
        if (s.m->bell != bells[i].rings)
            fail_msg("%s rings: %d", bells[i].scene, s.m->bell);
        scene_end(&s);
    }
}

/* A key's sill is a solid bar, the hand's is not. */
static void hand_and_key_look_different(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "on_aim");
    page_draw(s.m, s.now, 80, 24, s.g);
    assert_int_equal(count_ink(s.g, 23, 24, INK_REVERSE), 80);
    scene_end(&s);
    scene_begin(&s, false);
    scene_play(&s, "pour");
    page_draw(s.m, s.now, 80, 24, s.g);
    assert_int_equal(count_ink(s.g, 23, 24, INK_REVERSE), 0);
    scene_end(&s);
}

/* What the colour says, a word says too: rubric ink is only ever on top of words that stand there without it. */
static void rubric_is_for_what_departs(void **state)
{
    static const struct {
        const char *scene;
        bool rubric;
    } pages[] = {{"pour", false}, {"on_aim", false}, {"done", false},
                 {"stale", true}, {"over", true},    {"disk_full", true}};
    (void)state;
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, pages[i].scene);
        page_draw(s.m, s.now, 80, 24, s.g);
        if ((count_ink(s.g, 0, 24, INK_RUBRIC) > 0) != pages[i].rubric)
            fail_msg("%s", pages[i].scene);
        scene_end(&s);
    }
}

/* What is to go is the daemon's figure, to the last digit: a client works out none. */
static void the_weight_is_the_daemons(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "pour");
    json_t *note = json_pack("{s:f, s:b, s:i, s:s, s:f, s:f, s:n, s:s}", "weight_g", 352.1, "stable", 1, "age_ms", 0,
                             "state", "live", "to_go_g", 7.5, "in_cup_g", 1.5, "landing_g", "cue", "ok");
    model_weight(s.m, note, s.now);
    model_tick(s.m, s.now);
    assert_true(s.m->bench.now.to_go_g == 7.5 && s.m->bench.now.in_cup_g == 1.5);
    assert_true(isnan(s.m->bench.now.landing_g));
    assert_int_equal(s.m->cue, CUE_OK); /* however far 7.5 g are from the aim */
    json_decref(note);
    scene_end(&s);
}

static void an_older_screen_changes_nothing(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "half");
    json_t *older = json_incref(s.m->bench.held);
    scene_play(&s, "over");
    assert_true(model_screen(s.m, older, s.now)); /* overtaken */
    assert_int_equal(s.m->bench.state, BENCH_OVER);
    s.m->relinked = true; /* a restored daemon may know less: after a new link its screen holds */
    assert_true(model_screen(s.m, older, s.now));
    assert_int_equal(s.m->bench.state, BENCH_POUR);
    assert_false(model_screen(s.m, json_true(), s.now));
    assert_int_equal(s.m->bench.state, BENCH_POUR);
    json_decref(older);
    scene_end(&s);
}

static void another_step_is_another_page(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "over_chosen");
    assert_int_equal(s.m->view.choice, 1);
    scene_pass(&s, 5000, true);
    s.bench->revision++;
    scene_show(&s);
    assert_int_equal(s.m->view.choice, 0); /* chosen for what was shown then */
    assert_int_equal(s.m->view.changed_ms, s.now.ms);
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(age_decides),
        cmocka_unit_test(the_age_in_the_note_counts),
        cmocka_unit_test(a_dead_weight_shows_no_live_figure),
        cmocka_unit_test(stop_is_the_open_line_reversed),
        cmocka_unit_test(stop_stays_800_ms),
        cmocka_unit_test(the_bell_is_for_stop_and_over),
        cmocka_unit_test(hand_and_key_look_different),
        cmocka_unit_test(rubric_is_for_what_departs),
        cmocka_unit_test(the_weight_is_the_daemons),
        cmocka_unit_test(an_older_screen_changes_nothing),
        cmocka_unit_test(another_step_is_another_page),
    };
    return cmocka_run_group_tests_name("page live", tests, NULL, NULL);
}
