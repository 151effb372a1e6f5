/* A multi-interval scale: the interval, and with it the tolerance, follow what stands on the pan. */
#include "tests/unit/station/bench_top.h"

static const struct bench_part parts[] = {{"N10", 60, PART_COLOUR, 0}, {"M42", 40, PART_COLOUR, 0}};

static void the_tolerance_follows_the_load(void **state)
{
    (void)state;
    static const struct {
        double range1_g, d2_g, tare_g, poured_g, d_g, tolerance_g;
    } rows[] = {
        {NAN, NAN, 30, 900, 0.01, 0.05},                                    /* one interval */
        {600, 0.1, 30, 500, 0.01, 0.05},  {600, 0.1, 30, 570, 0.01, 0.05},  /* up to range1_g itself */
        {600, 0.1, 30, 570.01, 0.1, 0.1}, {600, 0.1, NAN, 590, 0.01, 0.05}, /* no tare known: what is counted alone */
        {600, 0.02, 30, 900, 0.02, 0.05},                                   /* the station's is wider already */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct bench_top t;
        bench_begin(&t, parts, 2, 1000);
        t.batch.set.range1_g = rows[i].range1_g;
        t.batch.set.d2_g = rows[i].d2_g;
        t.batch.tare_g = rows[i].tare_g;
        t.batch.step_g[0] = rows[i].poured_g;
        double d = batch_d_g(&t.batch), tolerance = batch_tolerance(&t.batch).abs_g;
        if (fabs(d - rows[i].d_g) > 1e-12 || fabs(tolerance - rows[i].tolerance_g) > 1e-12)
            fail_msg("row %zu: d %g g, tolerance %g g", i, d, tolerance);
        bench_end(&t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_tolerance_follows_the_load)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
