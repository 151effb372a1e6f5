/* How sure a cup is, as the station tells it: which weighings count, what the line says. The arithmetic is
 * mix/test_uncertainty's. */
#include "tests/unit/station/bench_top.h"

#include "mix/uncertainty.h"
#include "station/batch_record.h"
#include "station/sure.h"

#include <jansson.h>

static const struct bench_part three[] = {
    {"A", 60, PART_COLOUR, 0}, {"K", 2, PART_COLOUR, 0}, {"A", 38, PART_COLOUR, 0}, {"T", 0, PART_REDUCER, 0.2}};

/* A in two pours of 60 and 38 g, K 2 g, reducer 20 g, at d 0.01 g. */
static void a_poured_cup_tells_how_sure_it_is(void **state)
{
    struct bench_top t;
    struct batch_sure sure;
    (void)state;
    bench_begin(&t, three, 4, 100);
    bench_cup(&t);
    assert_false(batch_sure(&t.batch, &sure));
    json_t *record = view_record(&t.batch, "EUR");
    assert_true(json_is_null(json_object_get(record, "uncertainty")));
    json_decref(record);
    while (t.batch.state == BATCH_POUR)
        bench_pour(&t, batch_step_aim_g(&t.batch, (size_t)t.batch.open));
    assert_true(batch_sure(&t.batch, &sure));
    /* u of a pour: 0.01^2/6 + 0.01^2 + 0.03^2. G = 120 g of four pours. */
    double u = sqrt(0.01 * 0.01 / 6 + 0.01 * 0.01 + 0.03 * 0.03), k = 2.0 / 120, a = 98.0 / 120;
    assert_true(fabs(sure.u_g[0] - u * sqrt(2)) < 1e-9);
    assert_true(fabs(sure.share_u_pct[1] - 100 * u / 120 * sqrt((1 - k) * (1 - k) + 3 * k * k)) < 1e-9);
    assert_true(fabs(sure.share_u_pct[0] - 100 * u / 120 * sqrt(2 * (1 - a) * (1 - a) + 2 * a * a)) < 1e-9);
    char text[SAID_TEXT_MAX];
    struct number_style style = batch_number_style(&t.batch);
    assert_string_equal(said_text(&sure.said, WORDS_EN, &style, text, sizeof text),
                        "shares sure to 0.031 % of the cup (K 1.67 ± 0.026 %)");
    record = view_record(&t.batch, "EUR");
    const json_t *list = json_object_get(json_object_get(record, "uncertainty"), "share_u_pct");
    assert_int_equal(json_array_size(list), json_array_size(json_object_get(record, "parts")));
    assert_true(fabs(json_number_value(json_array_get(list, 1)) - sure.share_u_pct[1]) < 1e-6);
    json_decref(record);
    /* What the shop says of its scale counts instead; at 0.06, 0.08 and 0.24 g the scale's own interval is no matter.
     */
    t.batch.set.repeatability_g = 0.06;
    t.batch.set.drop_g = 0.08;
    t.batch.set.drift_g = 0.24;
    assert_true(fabs(batch_pour_u_g(&t.batch) - sqrt(0.26 * 0.26 + 0.01 * 0.01 / 6)) < 1e-9);
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_poured_cup_tells_how_sure_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
