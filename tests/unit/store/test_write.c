#include "tests/unit/store/world.h"

struct seen {
    int count, stop_after;
    char kinds[256];
    struct store_event last;
    char last_text[1024]; /* all fields of the last one */
};

static bool see(void *arg, const struct store_event *e)
{
    struct seen *s = arg;
    s->count++;
    s->last = *e;
    snprintf(s->kinds + strlen(s->kinds), sizeof s->kinds - strlen(s->kinds), "%s ", e->kind);
    snprintf(s->last_text, sizeof s->last_text, "%s|%s|%s|%s|%s|%s|%s|%s|%s|%s|%s", e->kind,
             e->station ? e->station : "NULL", e->batch, e->time, e->boot, e->person ? e->person : "NULL", e->client,
             e->request ? e->request : "NULL", e->method, e->version, e->body);
    return s->count != s->stop_after;
}

static void every_field_comes_back(void **state)
{
    struct world *w = *state;
    struct seen s = {0};
    struct store_event e = world_event("accepted", 3);
    e.request = "r1";
    e.person = "J\xc3\xb6rg | O'Brien \"x\"";
    struct store_write write = {.events = &e, .event_count = 1, .request = "r1", .method = "m", .answer = "{\"a\":1}"};
    assert_int_equal(world_write(w, &write), STORE_DONE);
    assert_int_equal(w->result[0].first_seq, 1);
    assert_true(store_events(w->store, "7", see, &s));
    assert_int_equal(s.count, 1);
    assert_string_equal(s.last_text, "accepted|bench|7|2026-11-25T14:03:07.412+01:00|b00t|J\xc3\xb6rg | O'Brien \"x\"|"
                                     "test|r1|m|0.1.0|{\"weight_ug\":1}");
    assert_int_equal(s.last.seq, 1);
    assert_int_equal(s.last.revision, 3);
    assert_int_equal(s.last.mono_ns, 1003);
    assert_int_equal(strlen(s.last.hash), 64);
    e.person = e.request = e.station = NULL;
    write.request = NULL;
    assert_int_equal(world_write(w, &write), STORE_DONE);
    assert_true(store_events(w->store, "7", see, &s));
    assert_non_null(strstr(s.last_text, "accepted|NULL|7|"));
    assert_non_null(strstr(s.last_text, "|NULL|test|NULL|"));
}

/* No answer means no memory for it: kept, the same request would be answered with nothing for ever. */
static void a_request_without_an_answer_leaves_no_trace(void **state)
{
    struct world *w = *state;
    struct seen s = {0};
    char *answer, *method;
    struct store_event e = world_event("accepted", 1);
    struct store_write write = {.events = &e, .event_count = 1, .request = "r1", .method = "m"};
    assert_int_equal(world_write(w, &write), STORE_REFUSED);
    write.answer = "";
    assert_int_equal(world_write(w, &write), STORE_REFUSED);
    assert_int_equal(store_answer(w->store, "r1", &answer, &method), STORE_NONE);
    assert_true(store_events(w->store, "7", see, &s));
    assert_int_equal(s.count, 0);
    write.answer = "{}";
    assert_int_equal(world_write(w, &write), STORE_DONE); /* the id is free still */
}

static void answers_come_in_order_of_submission(void **state)
{
    struct world *w = *state;
    struct seen s = {0};
    for (int i = 0; i < 300; i++) {
        char kind[16];
        snprintf(kind, sizeof kind, "k%d", i);
        struct store_event e[2] = {world_event(kind, i), world_event(kind, i)};
        world_submit(w, i, &(struct store_write){.events = e, .event_count = 2});
        memset(kind, 'x', sizeof kind); /* the store has its own copy */
    }
    assert_int_equal(w->answers, 0); /* never from within store_submit */
    world_wait(w, 300);
    for (int i = 0; i < 300; i++) {
        assert_int_equal(w->result[i].tag, i);
        assert_int_equal(w->result[i].result, STORE_DONE);
        assert_int_equal(w->result[i].first_seq, 2 * i + 1);
    }
    assert_true(store_events(w->store, "7", see, &s));
    assert_int_equal(s.count, 600);
    assert_non_null(strstr(s.kinds, "k0 k0 k1 k1 k2 k2 "));
    assert_memory_equal(s.last_text, "k299|", 5);
    int64_t bad;
    char head[65];
    assert_true(store_verify(w->store, &bad, head));
    assert_string_equal(head, s.last.hash);
}

static void a_reader_can_stop(void **state)
{
    struct world *w = *state;
    struct seen s = {.stop_after = 2};
    for (int i = 0; i < 5; i++)
        assert_int_equal(world_note(w, "kept", NULL), STORE_DONE);
    assert_true(store_events(w->store, "7", see, &s));
    assert_int_equal(s.count, 2);
    assert_true(store_events(w->store, "8", see, &s));
    assert_int_equal(s.count, 2);
}

static bool see_nested(void *arg, const struct store_event *e)
{
    struct world *w = arg;
    struct seen inner = {0};
    assert_true(store_events(w->store, e->batch, see, &inner));
    assert_int_equal(inner.count, 3);
    return true;
}

static void a_reader_can_read_within(void **state)
{
    struct world *w = *state;
    for (int i = 0; i < 3; i++)
        assert_int_equal(world_note(w, "kept", NULL), STORE_DONE);
    assert_true(store_events(w->store, "7", see_nested, w));
}

static void a_repeat_gets_the_first_answer(void **state)
{
    struct world *w = *state;
    char *answer, *method;
    struct store_event e = world_event("accepted", 1);
    struct store_write write = {
        .events = &e, .event_count = 1, .request = "20261125-1", .method = "batch.accept", .answer = "{\"step\":1}"};
    assert_int_equal(store_answer(w->store, "20261125-1", &answer, &method), STORE_NONE);
    assert_null(answer);
    assert_null(method);
    assert_int_equal(world_write(w, &write), STORE_DONE);
    write.answer = "{\"step\":2}";
    write.method = "batch.undo";
    assert_int_equal(world_write(w, &write), STORE_REPEATED);
    assert_string_equal(w->result[1].answer, "{\"step\":1}");
    assert_string_equal(w->result[1].method, "batch.accept");
    assert_int_equal(w->result[1].first_seq, 0);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 1);
    assert_int_equal(store_answer(w->store, "20261125-1", &answer, &method), STORE_FOUND);
    assert_string_equal(answer, "{\"step\":1}");
    assert_string_equal(method, "batch.accept");
    free(answer);
    free(method);
}

/* What happened may be worth no event (a label printed again); its answer is kept all the same. */
static void an_answer_needs_no_event(void **state)
{
    struct world *w = *state;
    struct store_write write = {.request = "r1", .method = "batch.label", .answer = "{\"copies\":2}"};
    assert_int_equal(world_write(w, &write), STORE_DONE);
    assert_int_equal(world_write(w, &write), STORE_REPEATED);
    assert_string_equal(w->result[1].answer, "{\"copies\":2}");
    assert_string_equal(w->result[1].method, "batch.label");
    assert_int_equal(world_number(w, "SELECT count(*) FROM event WHERE kind = 'answered'"), 1);
}

/* A client that lost its connection sends again while the first is still in the queue. */
static void a_repeat_in_the_queue_is_seen(void **state)
{
    struct world *w = *state;
    struct store_event e = world_event("accepted", 1);
    for (int i = 0; i < 40; i++) {
        char request[16], answer[16];
        snprintf(request, sizeof request, "r%d", i / 2);
        snprintf(answer, sizeof answer, "{\"n\":%d}", i);
        world_submit(
            w, i,
            &(struct store_write){.events = &e, .event_count = 1, .request = request, .method = "m", .answer = answer});
    }
    world_wait(w, 40);
    for (int i = 0; i < 40; i += 2) {
        char answer[16];
        snprintf(answer, sizeof answer, "{\"n\":%d}", i);
        assert_int_equal(w->result[i].result, STORE_DONE);
        assert_int_equal(w->result[i].first_seq, i / 2 + 1);
        assert_int_equal(w->result[i + 1].result, STORE_REPEATED);
        assert_string_equal(w->result[i + 1].answer, answer);
    }
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 20);
}

static void revision_is_the_stations_last(void **state)
{
    struct world *w = *state;
    struct store_event e[3] = {world_event("begun", 1), world_event("accepted", 2), world_event("kept", -1)};
    assert_int_equal(world_revision(w, "bench"), 0);
    assert_int_equal(world_write(w, &(struct store_write){.events = &e[2], .event_count = 1}), STORE_DONE);
    assert_int_equal(world_revision(w, "bench"), 0);
    assert_int_equal(world_write(w, &(struct store_write){.events = e, .event_count = 3}), STORE_DONE);
    e[0].station = "annex";
    e[0].revision = 9;
    assert_int_equal(world_write(w, &(struct store_write){.events = e, .event_count = 1}), STORE_DONE);
    assert_int_equal(world_revision(w, "bench"), 2);
    assert_int_equal(world_revision(w, "annex"), 9);
    assert_int_equal(world_revision(w, "attic"), 0);
}

/* Whatever is written in whatever order, it is the greatest of the events; across the marks of the table `station`. */
static void revision_is_that_of_the_events(void **state)
{
    struct world *w = *state;
    const char *const stations[] = {"bench", "annex", "attic"};
    int64_t last[3] = {0};
    unsigned chance = 1;
    for (int i = 0; i < 400; i++) {
        struct store_event e[7];
        chance = chance * 1103515245 + 12345;
        size_t count = 1 + chance / 65536 % 7;
        for (size_t k = 0; k < count; k++) {
            chance = chance * 1103515245 + 12345;
            size_t which = i < 300 ? chance / 65536 % 3 : 1; /* two stations rest while a mark goes by */
            bool note = chance / 65536 % 5 == 0;
            e[k] = world_event("accepted", note ? -1 : ++last[which]);
            e[k].station = stations[which];
        }
        world_submit(w, i, &(struct store_write){.events = e, .event_count = count});
        if (i % 10 != 9)
            continue;
        world_wait(w, i + 1);
        for (int k = 0; k < 3; k++)
            assert_int_equal(world_revision(w, stations[k]), last[k]);
    }
    assert_true(world_number(w, "SELECT count(*) FROM event") > 1024);
}

static void all_is_there_after_a_restart(void **state)
{
    struct world *w = *state;
    struct seen s = {0};
    char head[65], head_before[65];
    int64_t seq, bad;
    for (int i = 0; i < 10; i++) {
        char request[16];
        snprintf(request, sizeof request, "r%d", i);
        assert_int_equal(world_note(w, "accepted", request), STORE_DONE);
    }
    assert_true(store_head(w->store, &seq, head_before));
    world_close(w);
    assert_true(world_open(w));
    assert_true(store_events(w->store, "7", see, &s));
    assert_int_equal(s.count, 10);
    assert_int_equal(world_note(w, "accepted", "r3"), STORE_REPEATED);
    assert_int_equal(world_note(w, "accepted", "r10"), STORE_DONE);
    assert_int_equal(w->result[11].first_seq, 11);
    assert_true(store_verify(w->store, &bad, head));
    assert_string_not_equal(head, head_before);
}

/* A writer that ran out of memory has no body to give; the call is refused, alone, and leaves no trace. */
static void an_event_without_a_body_is_refused(void **state)
{
    struct world *w = *state;
    struct store_event e[2] = {world_event("accepted", 1), world_event("accepted", 2)};
    struct store_write two = {.events = e, .event_count = 2, .request = "r1", .method = "m", .answer = "{}"};
    const char *const none[] = {NULL, ""};
    for (int i = 0; i < 2; i++) {
        e[1].body = none[i];
        world_submit(w, 0, &two);
        world_submit(w, 1, &(struct store_write){.events = e, .event_count = 1}); /* shares the transaction */
        world_wait(w, 2 * i + 2);
        assert_int_equal(w->result[2 * i].result, STORE_REFUSED);
        assert_int_equal(w->result[2 * i + 1].result, STORE_DONE);
    }
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 2);
    e[1].body = "{\"weight_ug\":1}";
    assert_int_equal(world_write(w, &two), STORE_DONE); /* its request may be used again */
    assert_int_equal(w->deaths, 0);
}

/* What is queued when the store is closed is still written and answered, before closed() is called. */
static void close_finishes_what_is_queued(void **state)
{
    struct world *w = *state;
    struct store_event e = world_event("accepted", 1);
    for (int i = 0; i < 50; i++)
        world_submit(w, i, &(struct store_write){.events = &e, .event_count = 1});
    world_close(w);
    assert_int_equal(w->answers, 50);
    for (int i = 0; i < 50; i++)
        assert_int_equal(w->result[i].result, STORE_DONE);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event"), 50);
}

static void resubmit(void *arg, const struct store_outcome *o)
{
    struct world *w = arg;
    struct store_event e = world_event("late", 1);
    assert_int_equal(o->result, STORE_DONE);
    world_submit(w, 0, &(struct store_write){.events = &e, .event_count = 1});
}

/* A callback of the last answers that submits once more is answered, written or not. */
static void a_write_during_close_is_answered(void **state)
{
    struct world *w = *state;
    struct store_event e = world_event("accepted", 1);
    store_submit(w->store, &(struct store_write){.events = &e, .event_count = 1}, resubmit, w);
    world_close(w);
    assert_int_equal(w->answers, 1);
    int64_t rows = world_number(w, "SELECT count(*) FROM event");
    assert_int_equal(rows, w->result[0].result == STORE_DONE ? 2 : 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_field_comes_back, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_request_without_an_answer_leaves_no_trace, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(answers_come_in_order_of_submission, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_reader_can_stop, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_reader_can_read_within, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_repeat_gets_the_first_answer, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(an_answer_needs_no_event, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_repeat_in_the_queue_is_seen, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(revision_is_the_stations_last, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(revision_is_that_of_the_events, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(an_event_without_a_body_is_refused, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(all_is_there_after_a_restart, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(close_finishes_what_is_queued, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_write_during_close_is_answered, world_setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: write", tests, NULL, NULL);
}
