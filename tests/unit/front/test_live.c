/* What tells that a screen may have changed without an act: a key that is cheap, held against the screen itself. Pours
 * are walked through in steps finer than the scale's interval; wherever foot line, moves, message or trouble change,
 * the key must have changed as well. */
#include "tests/unit/front/front_top.h"

static const struct bench_part with_hardener[] = {
    {"N10", 60, PART_COLOUR, 0}, {"K01", 40, PART_COLOUR, 0}, {"HARD", 0, PART_HARDENER, 0.25}};
static const struct bench_part grain[] = {{"K01", 0.004, PART_COLOUR, 0}, {"N10", 99.996, PART_COLOUR, 0}};

static struct front_key key_of(const struct bench_top *t, const struct front_marks *m, const struct front *f)
{
    struct front_key key = {.cue = f->cue, .settled = f->settled};
    front_key(&t->batch, &t->track, m, &key);
    return key;
}

/* From what the scale shows now by so much, each reading against the one before. How many keys there were. */
static int walk(struct bench_top *t, double by_g, double step_g, bool settled)
{
    struct front_marks marks;
    struct front_key last = {.in_s = -1};
    double from_g = t->shows_g;
    uint64_t hash = 0;
    int keys = 0;
    front_marks(&t->batch, t->batch.set.d_g, 0, &marks);
    for (int i = 0; i * step_g <= fabs(by_g); i++) {
        bench_reads(t, from_g + copysign(i * step_g, by_g), settled ? 1 : 0, 100);
        struct front f = front_of(t, settled);
        struct front_key key = key_of(t, &marks, &f);
        json_t *screen = front_screen(&f);
        uint64_t now = front_live_hash(screen);
        json_decref(screen);
        if (i > 0 && now != hash && front_same_key(&key, &last))
            fail_msg("%s at %.4f g: the screen changed and the key did not", screen_state_names[t->batch.state],
                     t->shows_g);
        keys += i == 0 || !front_same_key(&key, &last);
        last = key;
        hash = now;
    }
    return keys;
}

/* A new batch whose steps before this one hold so much of what they ask for. False: it has no such step. */
static bool at_step(struct bench_top *t, const struct bench_part *parts, size_t count, double grams, int step,
                    double of_aim)
{
    bench_begin(t, parts, count, grams);
    bench_cup(t);
    for (int i = 0; i < step && t->batch.state == BATCH_POUR; i++) {
        bench_add(t, of_aim * batch_step_aim_g(&t->batch, (size_t)t->batch.open));
        bench_do(t, COMMAND_ACCEPT);
    }
    return t->batch.state == BATCH_POUR;
}

/* Each step of each batch, steady or not, those before it poured to their aim, short or past it within what is allowed;
 * a steady weight stands in the foot line once it is on aim, so only below it few keys will do. */
static void no_screen_changes_unseen_in_a_pour(void **state)
{
    static const struct {
        const struct bench_part *parts;
        size_t count;
        double grams, of_aim;
    } rows[] = {{two, 2, 100, 1}, {two, 2, 100, 0.996}, {two, 2, 100, 1.0035},
                {two, 2, 3, 1},   {grain, 2, 100, 1},   {with_hardener, 3, 40, 1}};
    static const struct {
        double part, more_g, steps;
        bool settled;
        int most;
    } ways[] = {{1, 1, 200, false, 12}, {1, 1, 1000, true, 5000}, {0.9, 0, 200, true, 8}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (size_t w = 0; w < sizeof ways / sizeof *ways; w++)
            for (int step = 0; step < (int)rows[i].count; step++) {
                struct bench_top t;
                assert_true(at_step(&t, rows[i].parts, rows[i].count, rows[i].grams, step, rows[i].of_aim));
                double aim_g = batch_step_aim_g(&t.batch, (size_t)t.batch.open);
                int keys =
                    walk(&t, aim_g * ways[w].part + ways[w].more_g, aim_g / ways[w].steps + 0.001, ways[w].settled);
                if (aim_g > 1)
                    assert_in_range(keys, 2, ways[w].most);
                bench_end(&t);
            }
}

/* Of a cup only a steady weight is told: what is doubted of it trembles with it. */
static void no_screen_changes_unseen_before_the_cup(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_shows(&t, -3);
    walk(&t, 40, 0.5, true);
    walk(&t, -40, 0.5, true);
    bench_end(&t);
}

/* Paint taken out is told with each steady weight, and a lifted cup by itself. */
static void no_screen_changes_unseen_while_paint_comes_out(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    bench_add(&t, 90);
    bench_do(&t, COMMAND_ACCEPT);
    assert_int_equal(t.batch.state, BATCH_OVER);
    walk(&t, 1, 0.01, true);
    bench_add(&t, -1);
    bench_choose(&t, REMEDY_DIP);
    walk(&t, -t.batch.take_g - 1, 0.05, true);
    bench_end(&t);
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    bench_add(&t, 20);
    walk(&t, -t.shows_g - 1, 1, false);
    bench_end(&t);
}

/* What only time changes: the pot life draws near, is news, is over; a clock is set before the batch. */
static void what_only_time_changes_is_told_by_the_clock(void **state)
{
    static const int64_t left_ms[] = {20 * 60000LL, 15 * 60000LL, 13 * 60000LL, 0, -2 * 60000LL};
    struct bench_top t;
    uint64_t last = 0;
    (void)state;
    bench_begin(&t, two, 2, 100);
    bench_cup(&t);
    for (size_t i = 0; i < sizeof left_ms / sizeof *left_ms; i++) {
        struct front f = front_of(&t, false);
        f.use_by_ms = f.wall_ms + 3600000;
        f.wall_ms = f.use_by_ms - left_ms[i];
        uint64_t key = front_clock_key(&f);
        assert_true(key != last);
        f.wall_ms += 1000;
        assert_true(front_clock_key(&f) == key);
        last = key;
    }
    struct front f = front_of(&t, false);
    uint64_t right = front_clock_key(&f);
    f.wall_ms = 1000;
    assert_true(front_clock_key(&f) != right);
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_screen_changes_unseen_in_a_pour),
        cmocka_unit_test(no_screen_changes_unseen_before_the_cup),
        cmocka_unit_test(no_screen_changes_unseen_while_paint_comes_out),
        cmocka_unit_test(what_only_time_changes_is_told_by_the_clock),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
