/* Check weights read out of the journal, and what it takes. */
#include "store/reader.h"
#include "tests/unit/store/world.h"

enum { STEPS_EACH = 100 }; /* of SQLite's machine, between two looks at them */

struct seen {
    size_t count, stop_after;
    int64_t seq[8];
    char batches[64];
};

static bool see(void *arg, const struct store_event *e)
{
    struct seen *s = arg;
    assert_true(s->count < sizeof s->seq / sizeof *s->seq);
    assert_string_equal(e->kind, "checked");
    s->seq[s->count++] = e->seq;
    return s->count != s->stop_after;
}

static void see_last(void *arg, const struct store_event *e)
{
    see(arg, e);
}

static void see_batch(void *arg, const char *batch)
{
    struct seen *s = arg;
    size_t len = strlen(s->batches);
    snprintf(s->batches + len, sizeof s->batches - len, "%s ", batch);
}

static void add(struct world *w, const char *kind, const char *station, const char *batch, const char *day)
{
    char time[40];
    struct store_event e = world_event(kind, 1);
    snprintf(time, sizeof time, "%sT08:00:00.000+01:00", day);
    e.station = station;
    e.batch = batch;
    e.time = time;
    assert_int_equal(world_write(w, &(struct store_write){.events = &e, .event_count = 1}), STORE_DONE);
}

/* Two benches over three days; numbers 1, 4, 6 and 9 are check weights. */
static void fill(struct world *w)
{
    add(w, "checked", "bench", NULL, "2026-11-01");
    add(w, "cup", "bench", "10", "2026-11-01");
    add(w, "accepted", "second", "11", "2026-11-01");
    add(w, "checked", "second", NULL, "2026-11-02");
    add(w, "accepted", "bench", "9", "2026-11-02");
    add(w, "checked", "bench", NULL, "2026-11-02");
    add(w, "accepted", "bench", "12", "2026-11-02");
    add(w, "kept", "bench", "13", "2026-11-02");
    add(w, "checked", "bench", NULL, "2026-11-03");
    add(w, "taken", "bench", "14", "2026-11-03");
}

static void they_are_listed_by_station_and_day(void **state)
{
    static const struct {
        const char *station, *from, *to;
        size_t count, stop_after;
        int64_t seq[4];
    } rows[] = {
        {NULL, NULL, NULL, 4, 0, {1, 4, 6, 9}},
        {"bench", NULL, NULL, 3, 0, {1, 6, 9}},
        {"second", NULL, "2026-11-01", 0, 0, {0}},
        {NULL, "2026-11-02", NULL, 3, 0, {4, 6, 9}},
        {NULL, "2026-11-02", "2026-11-02", 2, 0, {4, 6}},
        {"third", NULL, NULL, 0, 0, {0}},
        {NULL, NULL, NULL, 2, 2, {1, 4}},
    };
    struct world *w = *state;
    fill(w);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct seen s = {.stop_after = rows[i].stop_after};
        assert_true(store_weight_checks(w->store, rows[i].station, rows[i].from, rows[i].to, see, &s));
        if (s.count != rows[i].count || memcmp(s.seq, rows[i].seq, s.count * sizeof s.seq[0]) != 0)
            fail_msg("row %zu: %zu of them", i, s.count);
    }
}

static void the_last_before_an_event(void **state)
{
    static const struct {
        const char *station;
        int64_t before, seq; /* 0: of all; none */
    } rows[] = {{"bench", 0, 9}, {"bench", 9, 6}, {"bench", 1, 0}, {"second", 0, 4}, {"third", 0, 0}};
    struct world *w = *state;
    fill(w);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct seen s = {0};
        assert_int_equal(store_last_weight_check(w->store, rows[i].station, rows[i].before, see_last, &s),
                         rows[i].seq ? STORE_FOUND : STORE_NONE);
        assert_int_equal(s.seq[0], rows[i].seq);
    }
}

static void what_was_weighed_until_the_next(void **state)
{
    static const struct {
        const char *station;
        int64_t seq;
        const char *batches;
    } rows[] = {{"bench", 1, "9 10 "}, {"bench", 6, "12 "}, {"bench", 9, "14 "}, {"second", 4, ""}};
    struct world *w = *state;
    fill(w);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct seen s = {0};
        assert_true(store_weighed_after(w->store, rows[i].station, rows[i].seq, see_batch, &s));
        assert_string_equal(s.batches, rows[i].batches);
    }
}

static int count(void *arg)
{
    ++*(int *)arg;
    return 0;
}

/* It is done on the loop: the journal's own length must not matter. */
static void they_are_found_without_reading_the_journal(void **state)
{
    enum { EVENTS = 2000 };
    static struct store_event many[EVENTS];
    struct world *w = *state;
    struct seen s = {0};
    int looks = 0;
    for (size_t i = 0; i < EVENTS; i++)
        many[i] = world_event("kept", 1);
    fill(w);
    assert_int_equal(world_write(w, &(struct store_write){.events = many, .event_count = EVENTS}), STORE_DONE);
    sqlite3_progress_handler(store_reader(w->store)->statements.db, STEPS_EACH, count, &looks);
    assert_true(store_weight_checks(w->store, NULL, NULL, NULL, see, &s));
    assert_true(store_weight_checks(w->store, "bench", "2026-11-02", NULL, see, &s));
    assert_int_equal(store_last_weight_check(w->store, "bench", 0, see_last, &s), STORE_FOUND);
    assert_true(store_weighed_after(w->store, "bench", 1, see_batch, &s));
    sqlite3_progress_handler(store_reader(w->store)->statements.db, 0, NULL, NULL);
    assert_int_equal(s.count, 4 + 2 + 1);
    if (looks * STEPS_EACH > EVENTS)
        fail_msg("some %d steps among %d events", looks * STEPS_EACH, EVENTS);
}

int main(void)
{
#define WORLD(f) cmocka_unit_test_setup_teardown(f, world_setup, world_teardown)
    const struct CMUnitTest tests[] = {
        WORLD(they_are_listed_by_station_and_day),
        WORLD(the_last_before_an_event),
        WORLD(what_was_weighed_until_the_next),
        WORLD(they_are_found_without_reading_the_journal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
