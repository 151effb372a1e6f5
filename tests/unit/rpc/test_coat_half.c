/* What comes next of a coat that has edges and outsides, by what its batches say that they mixed; in a real store. */
#include "bench/coat_half.h"
#include "tests/unit/store/world.h"

/* A batch of the first coat of order 4417, whose beginning says which half it is. */
static void mixed(struct world *w, const char *batch, const char *state, const char *edges)
{
    char body[120];
    snprintf(body, sizeof body, "{\"v\":2,\"begun\":{\"edges\":%s}}", edges);
    struct store_event e = world_event("begun", w->answers + 1);
    struct store_batch row = {.batch = batch,
                              .state = state,
                              .station = "bench",
                              .formula = "TI-207",
                              .name = "Copperwing",
                              .variant = "standard",
                              .coat = "ground",
                              .order = "4417",
                              .begun = e.time,
                              .total_g = 100,
                              .left_g = NAN,
                              .cost = NAN,
                              .discarded_g = NAN,
                              .coat_n = 1};
    e.batch = batch;
    e.body = body;
    assert_int_equal(
        world_write(w, &(struct store_write){.events = &e, .event_count = 1, .batches = &row, .batch_count = 1}),
        STORE_DONE);
}

static enum coat_half next_half(struct world *w, int n)
{
    return coat_half_next(w->store, "4417", n, (const bool[HALVES]){false});
}

static void edges_then_outsides_then_the_whole(void **state)
{
    struct world *w = *state;
    assert_int_equal(next_half(w, 1), HALF_EDGES);
    assert_int_equal(coat_half_next(w->store, "4417", 1, (const bool[HALVES]){[HALF_EDGES] = true}), HALF_OUTSIDES);
    mixed(w, "1", "open", "1");
    assert_int_equal(next_half(w, 1), HALF_OUTSIDES);
    assert_int_equal(next_half(w, 2), HALF_EDGES);
    mixed(w, "2", "scrapped", "2");
    assert_int_equal(next_half(w, 1), HALF_OUTSIDES);
    mixed(w, "3", "finished", "2");
    assert_int_equal(next_half(w, 1), HALF_WHOLE);
}

/* A later version, or a damaged row: it counts as the whole, and nothing is written where there is no such half. */
static void a_half_that_nobody_knows_counts_as_the_whole(void **state)
{
    static const char *const odd[] = {"3", "-1", "100000000", "\"edges\"", "null"};
    struct world *w = *state;
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        char batch[8];
        snprintf(batch, sizeof batch, "%zu", i + 1);
        mixed(w, batch, "finished", odd[i]);
        assert_int_equal(coat_half_of(w->store, batch), HALF_WHOLE);
        assert_int_equal(next_half(w, 1), HALF_WHOLE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define T(f) cmocka_unit_test_setup_teardown(f, world_setup, world_teardown)
        T(edges_then_outsides_then_the_whole),
        T(a_half_that_nobody_knows_counts_as_the_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
