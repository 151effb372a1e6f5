/* An event read back from the journal folds to the same cup. */
#include "tests/unit/station/bench_top.h"

static const struct bench_part three[] = {
    {"A", 50, PART_COLOUR, 0}, {"B", 30, PART_COLOUR, 0}, {"C", 20, PART_COLOUR, 0}, {"R", 0, PART_REDUCER, 0.2}};

/* Every event of a story goes through JSON text and back, and the fold of what came back is the same screen. */
static void a_story_through_the_journal_is_the_same_story(void **state)
{
    struct bench_top t;
    struct batch again;
    (void)state;
    bench_begin(&t, three, 4, 100);
    bench_cup(&t);
    bench_pour(&t, 51.3);
    bench_pour(&t, 38);
    bench_choose(&t, REMEDY_DIP);
    bench_add(&t, -21.25);
    bench_do(&t, COMMAND_ACCEPT);
    if (t.batch.state == BATCH_OVER)
        bench_choose(&t, REMEDY_LEAVE);
    batch_init(&again);
    for (size_t i = 0; i < t.batch.events; i++) {
        const struct event *e = t.batch.history[i];
        struct event back;
        json_t *body = event_body(e);
        char *text = json_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(17));
        json_t *read = json_loads(text, 0, NULL);
        assert_true(event_read(&back, event_names[e->kind], read));
        assert_true(batch_fold(&again, NULL, &back));
        event_finish(&back);
        json_decref(body);
        json_decref(read);
        free(text);
    }
    assert_int_equal(again.state, t.batch.state);
    assert_int_equal(again.open, t.batch.open);
    assert_true(again.target_g == t.batch.target_g);
    for (size_t s = 0; s < again.recipe.steps; s++)
        assert_true(again.step_g[s] == t.batch.step_g[s]);
    batch_finish(&again);
    bench_end(&t);
}

static void a_body_that_is_not_ours_is_refused(void **state)
{
    static const struct {
        const char *kind, *body;
    } rows[] = {
        {"unheard-of", "{}"},
        {"begun", "{}"},
        {"begun", "{\"begun\":{\"recipe\":{\"parts\":[],\"steps\":[[5,1.0]]}}}"},
        {"accepted", "[]"},
        {"accepted", "{\"toner\":7}"},
        {"remedy", "{\"remedy\":99}"},
        {"noted", "{\"v\":0,\"text\":\"a word\"}"},
        {"noted", "{\"v\":3,\"text\":\"of a later version\"}"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct event e;
        json_t *body = json_loads(rows[i].body, 0, NULL);
        assert_non_null(body);
        if (event_read(&e, rows[i].kind, body))
            fail_msg("row %zu was taken", i);
        json_decref(body);
    }
}

/* What a version of the same number added later and this one does not know: the rest is read all the same. */
static void a_member_that_is_not_known_is_passed_over(void **state)
{
    struct event e;
    json_t *body = json_loads("{\"v\":2,\"text\":\"a word\",\"later\":{\"list\":[1]}}", 0, NULL);
    (void)state;
    assert_non_null(body);
    assert_true(event_read(&e, "noted", body));
    assert_string_equal("a word", e.text);
    event_finish(&e);
    json_decref(body);
}

static void an_event_out_of_place_is_refused_by_the_fold(void **state)
{
    struct batch b;
    struct event e;
    (void)state;
    batch_init(&b);
    event_init(&e, EVENT_ACCEPTED);
    assert_false(batch_fold(&b, NULL, &e));
    event_finish(&e);
    batch_finish(&b);
}

/* An act on that scale, as a bench stamps it; whether it still names the scale then. */
static bool names_it(struct batch *b, enum event_kind kind, const char *port, double d_g)
{
    struct event e;
    event_init(&e, kind);
    e.has_weight = true;
    strcpy(e.profile, "hdr2");
    strcpy(e.port, port);
    e.d_g = d_g;
    e.counted_g = 1;
    e.tare_g = 30;
    batch_scale_left_out(b, &e);
    bool whole = e.port[0] && e.profile[0] && e.d_g == d_g, none = !e.port[0] && !e.profile[0] && isnan(e.d_g);
    assert_true(whole != none);
    assert_true(batch_fold(b, NULL, &e));
    event_finish(&e);
    return whole;
}

/* Once a batch, and again where it is another one: else ten pours would write the same three texts ten times. */
static void a_scale_is_named_once(void **state)
{
    struct bench_top t;
    struct event undo;
    (void)state;
    bench_begin(&t, three, 4, 100);
    assert_true(names_it(&t.batch, EVENT_CUP, "tcp:one", 0.01));
    assert_false(names_it(&t.batch, EVENT_ACCEPTED, "tcp:one", 0.01));
    assert_true(names_it(&t.batch, EVENT_ACCEPTED, "tcp:one", 0.1)); /* its second range */
    assert_false(names_it(&t.batch, EVENT_ACCEPTED, "tcp:one", 0.1));
    assert_true(names_it(&t.batch, EVENT_HELD, "tcp:two", 0.1));
    event_init(&undo, EVENT_UNDONE);
    assert_true(batch_fold(&t.batch, NULL, &undo));
    assert_true(names_it(&t.batch, EVENT_ACCEPTED, "tcp:two", 0.1)); /* whoever reads on would take another for it */
    assert_false(names_it(&t.batch, EVENT_ACCEPTED, "tcp:two", 0.1));
    bench_end(&t);
}

/* A note is folded even where the disk refused it, so what only a note named is named again by the next act. */
static void a_note_names_no_scale_for_others(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 4, 100);
    assert_true(names_it(&t.batch, EVENT_CUP, "tcp:one", 0.01));
    assert_true(names_it(&t.batch, EVENT_LIFTED, "tcp:two", 0.01));
    assert_true(names_it(&t.batch, EVENT_ACCEPTED, "tcp:two", 0.01));
    assert_false(names_it(&t.batch, EVENT_ACCEPTED, "tcp:two", 0.01));
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_story_through_the_journal_is_the_same_story),
        cmocka_unit_test(a_body_that_is_not_ours_is_refused),
        cmocka_unit_test(a_member_that_is_not_known_is_passed_over),
        cmocka_unit_test(an_event_out_of_place_is_refused_by_the_fold),
        cmocka_unit_test(a_scale_is_named_once),
        cmocka_unit_test(a_note_names_no_scale_for_others),
    };
    return cmocka_run_group_tests_name("event", tests, NULL, NULL);
}
