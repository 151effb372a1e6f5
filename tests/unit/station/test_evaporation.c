/* A cup that was held and comes back lighter: what its reducer may have lost is taken off, anything else is doubted. */
#include "tests/unit/station/bench_top.h"

#include <jansson.h>

static const struct bench_part thinned[] = {{"A", 50, PART_COLOUR, 0}, {"T", 0, PART_REDUCER, 0.2}};

/* 50 g of colour and all of its reducer in a cup that is held, then resumed. */
static double held_and_resumed(struct bench_top *t)
{
    bench_begin(t, thinned, 2, 50);
    bench_cup(t);
    bench_pour(t, 50);
    bench_pour(t, batch_step_aim_g(&t->batch, 1));
    assert_int_equal(t->batch.state, BATCH_DONE);
    double stood_g = (double)t->track.now_ug / 1e6;
    bench_do(t, COMMAND_HOLD);
    struct event e;
    struct event_settings settings = t->batch.set;
    event_init(&e, EVENT_RESUMED);
    e.settings = &settings;
    assert_true(batch_fold(&t->batch, &t->track, &e));
    assert_int_equal(t->batch.state, BATCH_CUP);
    return stood_g;
}

static void what_evaporated_is_taken_off_the_reducer_and_asked_again(void **state)
{
    struct bench_top t;
    (void)state;
    double stood_g = held_and_resumed(&t), reducer_g = t.batch.step_g[1], content_g = batch_content_g(&t.batch);
    bench_shows(&t, stood_g - 4);
    assert_grams(decide_evaporated_g(&t.batch, &t.track), 4);
    bench_do(&t, COMMAND_ACCEPT);
    assert_true(said_is(&t.batch.said, "evaporated"));
    assert_grams(t.batch.evaporated_g, 4);
    assert_grams(t.batch.step_g[1], reducer_g - 4);
    assert_grams(batch_content_g(&t.batch), content_g - 4);
    assert_string_equal(bench_open_toner(&t), "T");
    json_t *body = event_body(&t.last);
    assert_true(fabs(json_number_value(json_object_get(body, "evaporated_g")) - 4) < 1e-6);
    json_decref(body);
    bench_do(&t, COMMAND_UNDO);
    assert_int_equal(t.batch.state, BATCH_CUP);
    assert_grams(t.batch.evaporated_g, 0);
    assert_grams(batch_content_g(&t.batch), content_g);
    bench_do(&t, COMMAND_ACCEPT);
    bench_pour(&t, 4);
    assert_int_equal(t.batch.state, BATCH_DONE);
    assert_grams(batch_content_g(&t.batch), content_g);
    bench_end(&t);
}

/* More than a tenth, or as little as the scale itself may err by, is no evaporation. */
static void more_than_evaporation_explains_is_not_taken_off(void **state)
{
    static const double lost_g[] = {0.02, 20};
    (void)state;
    for (size_t i = 0; i < 2; i++) {
        struct bench_top t;
        double stood_g = held_and_resumed(&t), content_g = batch_content_g(&t.batch);
        bench_shows(&t, stood_g - lost_g[i]);
        assert_grams(decide_evaporated_g(&t.batch, &t.track), 0);
        bench_do(&t, COMMAND_ACCEPT);
        assert_grams(batch_content_g(&t.batch), content_g);
        assert_int_equal(t.batch.state, BATCH_DONE);
        bench_end(&t);
    }
}

/* Among cups that are known by their weight, a lighter cup is doubted, but not for what evaporated. */
static void evaporation_is_no_doubtful_cup(void **state)
{
    struct bench_top t;
    struct said said;
    (void)state;
    double stood_g = held_and_resumed(&t);
    struct cup_tares cups = {.count = 1, .g = {t.batch.tare_g}};
    bench_shows(&t, stood_g - 4);
    assert_false(decide_doubts(&t.batch, &t.track, &cups, &said));
    bench_shows(&t, 0);
    bench_shows(&t, stood_g - 20);
    assert_true(decide_doubts(&t.batch, &t.track, &cups, &said));
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_evaporated_is_taken_off_the_reducer_and_asked_again),
        cmocka_unit_test(more_than_evaporation_explains_is_not_taken_off),
        cmocka_unit_test(evaporation_is_no_doubtful_cup),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
