/* What a client that knows nothing but `next` and `moves` can rely on. A hand without sense pours, lifts and takes out;
 * at each stop every shut move is called and must be refused without a trace, then one of the open ones, or what Enter
 * or `.` does, is called as it stands and must be done. A client adds a request, and what `asks` names.
 * World: story.h. Source: sections 5 and 5a of the contract. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { WALKS = 12, STOPS = 40, CHOICES = 40, CUP_G = 30 };

struct walk {
    struct harness *h;
    uint64_t seed;
    double pan_g;    /* what really stands on the scale */
    char held[16];   /* a batch to resume; "": none */
    int requests;    /* each one is new */
    unsigned shut;   /* moves that were refused, */
    unsigned opened; /* and done */
};

/* xorshift64, from memory; a fixed seed, so that a fault comes back. 0 to below 1. */
static double draw(struct walk *w)
{
    w->seed ^= w->seed << 13;
    w->seed ^= w->seed >> 7;
    w->seed ^= w->seed << 17;
    return (double)(w->seed >> 11) / 9007199254740992.0;
}

static json_t *screen_of(struct walk *w)
{
    return harness_screen(w->h, "bench");
}

static void show(struct walk *w, double pan_g)
{
    w->pan_g = fmax(0, round(pan_g * 100) / 100);
    harness_weigh(w->h, "bench", w->pan_g);
    story_look(w->h);
}

/* What a person gives for a member that a move asks. Every one of them is good, so that only the state can refuse. */
static json_t *given(struct walk *w, const char *member)
{
    static const char *const toners[] = {"A", "B", "C", "D"};
    if (strcmp(member, "grams") == 0)
        return json_integer(100);
    if (strcmp(member, "formula") == 0)
        return json_string("TS-1");
    if (strcmp(member, "batch") == 0)
        return json_string(w->held[0] ? w->held : "1");
    if (strcmp(member, "really") == 0 || strcmp(member, "toner") == 0)
        return json_string(toners[(int)(draw(w) * 4)]);
    assert_true(strcmp(member, "text") == 0 || strcmp(member, "why") == 0);
    return json_string("a word");
}

/* The whole answer to a ready call. */
static json_t *call(struct walk *w, const json_t *act, const json_t *asks)
{
    json_t *params = json_deep_copy(json_object_get(act, "params")), *member;
    char request[32];
    size_t i;
    snprintf(request, sizeof request, "moves-%d", ++w->requests);
    json_object_set_new(params, "request", json_string(request));
    json_array_foreach(asks, i, member)
        json_object_set_new(params, json_string_value(member), given(w, json_string_value(member)));
    return harness_ask(w->h, json_string_value(json_object_get(act, "method")), params);
}

static void expect_refused(struct walk *w, const json_t *move)
{
    double revision = harness_number(w->h, "bench", "revision");
    json_t *answer = call(w, json_object_get(move, "act"), json_object_get(move, "asks"));
    if (!json_is_object(json_object_get(answer, "error")))
        fail_msg("shut but done: %s", json_dumps(move, JSON_COMPACT));
    assert_true(json_is_string(story_at(answer, "error.data.code")));
    story_look(w->h);
    assert_true(harness_number(w->h, "bench", "revision") == revision);
    w->shut++;
}

static void expect_done(struct walk *w, const json_t *act, const json_t *asks)
{
    char batch[16];
    snprintf(batch, sizeof batch, "%s", harness_text(w->h, "bench", "batch"));
    json_t *answer = call(w, act, asks);
    if (!json_is_object(json_object_get(answer, "result")))
        fail_msg("open but refused: %s: %s", json_dumps(act, JSON_COMPACT), json_dumps(answer, JSON_COMPACT));
    const char *method = json_string_value(json_object_get(act, "method"));
    if (strcmp(method, "batch.hold") == 0)
        snprintf(w->held, sizeof w->held, "%s", batch);
    else if (strcmp(method, "batch.resume") == 0)
        w->held[0] = '\0';
    w->opened++;
    story_look(w->h);
}

/* A reason stands beside each shut move, and beside no other. */
static void every_shut_one_is_refused(struct walk *w)
{
    json_t *moves = json_deep_copy(json_object_get(screen_of(w), "moves")), *move;
    size_t i;
    assert_true(json_array_size(moves) > 0);
    json_array_foreach(moves, i, move)
    {
        bool open = json_is_true(json_object_get(move, "open"));
        assert_true(open == json_is_null(json_object_get(move, "why")));
        if (!open)
            expect_refused(w, move);
    }
    json_decref(moves);
}

/* Whether the walk should take it here: one that ends the batch comes seldom, else no walk gets far. */
static bool likely(struct walk *w, const json_t *act)
{
    const char *method = json_string_value(json_object_get(act, "method"));
    if (strcmp(method, "batch.resume") == 0)
        return w->held[0] != '\0';
    if (strcmp(method, "batch.hold") == 0)
        return !w->held[0] && draw(w) < 0.3;
    return strcmp(method, "batch.scrap") != 0 || draw(w) < 0.1;
}

static void one_open_one_is_done(struct walk *w)
{
    json_t *screen = json_deep_copy(screen_of(w)), *act[CHOICES], *asks[CHOICES], *move;
    json_t *enter = story_at(screen, "next.act"), *second = story_at(screen, "next.second.act"), *none = json_array();
    size_t i, n = 0;
    for (int often = 0; often < 3; often++)
        if (json_is_object(enter)) {
            act[n] = enter;
            asks[n++] = story_at(screen, "next.asks");
        }
    if (json_is_object(second)) {
        act[n] = second;
        asks[n++] = none;
    }
    json_array_foreach(json_object_get(screen, "moves"), i, move)
    {
        act[n] = json_object_get(move, "act");
        asks[n] = json_object_get(move, "asks");
        if (n < CHOICES - 1 && json_is_true(json_object_get(move, "open")) && likely(w, act[n]))
            n++;
    }
    if (n > 0) {
        size_t which = (size_t)(draw(w) * (double)n);
        expect_done(w, act[which], asks[which]);
    }
    json_decref(none);
    json_decref(screen);
}

/* The hand: pours about what is to go, too much, too little, takes out, lifts the cup. */
static void hand(struct walk *w)
{
    const char *state = harness_text(w->h, "bench", "state");
    double to_go = harness_number(w->h, "bench", "now.to_go_g"), kind = draw(w), content = 0;
    json_t *step;
    size_t i;
    if (strcmp(state, "idle") == 0) {
        show(w, 0);
    } else if (strcmp(state, "cup") == 0) {
        json_array_foreach(json_object_get(screen_of(w), "steps"), i, step) content +=
            json_number_value(json_object_get(step, "poured_g"));
        show(w, kind < 0.8 ? CUP_G + content : 0);
    } else if (strcmp(state, "pour") == 0 && kind < 0.8) {
        static const double most[] = {0, 0.4, 1, 1, 1, 1.02, 1.3};
        double pours = isnan(to_go) ? draw(w) * 3 : to_go * most[(int)(draw(w) * 7)];
        show(w, w->pan_g + pours);
    } else if (strcmp(state, "pour") == 0 && kind < 0.85) {
        double pan_g = w->pan_g;
        show(w, 0);
        if (draw(w) < 0.5)
            show(w, pan_g);
    }
}

static void moves_keep_their_word(void **state)
{
    struct walk w = {.h = *state};
    for (uint64_t walk = 0; walk < WALKS; walk++) {
        w.seed = 0x9e3779b97f4a7c15ULL * (walk + 1);
        for (int stop = 0; stop < STOPS; stop++) {
            hand(&w);
            every_shut_one_is_refused(&w);
            one_open_one_is_done(&w);
        }
    }
    assert_true(w.shut > WALKS * STOPS / 2);
    assert_true(w.opened > WALKS * STOPS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(moves_keep_their_word, story_begin, story_end),
    };
    return cmocka_run_group_tests_name("story_moves", tests, NULL, NULL);
}
