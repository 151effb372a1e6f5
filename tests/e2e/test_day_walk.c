/* Days of a shop at random: tins that come in and are counted, orders and their coats, batches by grams, by coat, of a
 * leftover, repeated, poured right and wrong, held and scrapped, cups weighed back, shelved, thrown away, sprayed from
 * again; cards, people, restarts. After each act the daemon is held against a plain model of the shop (day_world.h):
 * a tin holds what came in less what was poured, a cup what was left, an order's coat stands as its batches do, and no
 * work-off takes what may not go.
 *
 * DAYS in the environment says how many stories (`make walk`: ten shops of 200, since a shelf that fills makes each one
 * longer); SEED begins elsewhere. A fault prints its story.
 */
#include "tests/e2e/day_world.h"

#include <signal.h>

enum { STORIES = 40, ACTS = 40 };

/* A batch at the bench. */
static struct {
    struct cup *cup;
    int number;
    double content_g; /* on the scale, less the cup */
    char last[41];    /* the toner of the last accept, "": none of a tin */
    double last_g;
} pot;

/* A batch call that may be refused, for a reason that the model does not know; then nothing has changed. 0: done. */
__attribute__((format(printf, 2, 3))) static int tried(const char *word, const char *format, ...)
{
    char method[64];
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    snprintf(method, sizeof method, "batch.%s", word);
    json_object_set_new(params, "station", json_string("bench"));
    json_object_set_new(params, "request", json_sprintf("walk-%d", ++shop.requests));
    story_look(shop.h);
    json_object_set_new(params, "revision", json_real(harness_number(shop.h, "bench", "revision")));
    json_t *answer = harness_ask(shop.h, method, params), *error = json_object_get(answer, "error");
    int code = (int)json_integer_value(json_object_get(error, "code"));
    if (code == -32602 || code == -32601 || code == -32603)
        fail_msg("%s: %s after:%s", method, json_dumps(error, JSON_COMPACT), shop.story);
    tell(" %s%s", word, code ? " (no)" : "");
    story_look(shop.h);
    return code;
}

/* The scale shows the cup with so much more in it. */
static void put_in(double g)
{
    pot.content_g = round((pot.content_g + g) * 100) / 100;
    harness_weigh(shop.h, "bench", tare_g + pot.content_g);
    story_look(shop.h);
}

/* What an accept took out of a tin, and what its undo would give back. */
static void took(const char *toner, double g)
{
    snprintf(pot.last, sizeof pot.last, "%s", toner);
    pot.last_g = g;
    poured(toner, g);
}

/* ---- begun ---- */

static struct cup *new_cup(int order, int coat)
{
    struct cup *c = &shop.cup[shop.cups];
    *c = (struct cup){.state = "open", .left_g = NAN, .order = order, .coat = coat};
    pot.cup = c;
    pot.number = shop.cups++;
    pot.content_g = 0;
    return c;
}

static bool begin_of_order(void)
{
    int order = shop.orders > 1 ? 1 + pick(shop.orders - 1) : 0, coat = order ? 1 + pick(shop.coats[order]) : 0;
    if (!order || tried("begin", "{'order':'%d','coat_n':%d}", order, coat) != 0)
        return false;
    new_cup(order, coat);
    return true;
}

static bool begin_again_as_poured(void)
{
    int batch = finished_cup();
    if (!batch || shop.cup[batch].activated || tried("begin", "{'repeat':'%d','as':'poured'}", batch) != 0)
        return false;
    new_cup(shop.cup[batch].order, shop.cup[batch].coat);
    return true;
}

static bool begin_of_leftover(void)
{
    int batch = finished_cup();
    struct cup *from = &shop.cup[batch];
    double g = grams(1, 60);
    if (!batch || !(g <= holds(from)) || from->activated ||
        tried("begin", "{'formula':'TS-1','grams':%.2f,'have':[{'batch':'%d','grams':%.2f}]}", grams(g + 20, 300),
              batch, g) != 0)
        return false;
    from->left_g = holds(from); /* of one never weighed back at most that */
    take(from, g);
    new_cup(0, 0);
    pot.content_g = g;
    return true;
}

static bool begin_something(void)
{
    double kind = draw();
    if (kind < 0.25)
        return begin_of_order();
    if (kind < 0.4)
        return begin_of_leftover();
    if (kind < 0.5)
        return begin_again_as_poured();
    if (kind < 0.6 && tried("begin", "{'product':'CLEAR-A','ml':%.0f}", grams(50, 300)) == 0)
        return new_cup(0, 0) != NULL;
    if (tried("begin", "{'formula':'TS-1','grams':%.2f}", grams(30, 300)) != 0)
        return false;
    return new_cup(0, 0) != NULL;
}

/* ---- poured ---- */

/* What is asked of the open step is put in and accepted, in one of the ways of a hand; `toner` NULL: out of a cup. */
static void pour(const char *toner, double go)
{
    double how = draw(), g = fmax(0.01, round(go * 100) / 100);
    int cup = 0;
    bool less = how < 0.08 && toner;
    if (how > 0.85)
        g = fmax(0.01, round(g * (1 + 0.12 * draw()) * 100) / 100);
    if (less)
        g = fmax(0.01, round(g * 60) / 100);
    if (!toner) {
        char path[40];
        snprintf(path, sizeof path, "steps.%.0f.batch", harness_number(shop.h, "bench", "step") - 1);
        cup = atoi(json_string_value(story_at(harness_screen(shop.h, "bench"), path)));
        g = fmin(g, floor(holds(&shop.cup[cup]) * 100) / 100);
    }
    bool other = how > 0.08 && how < 0.12 && toner && strcmp(toner, "B") != 0;
    put_in(g);
    if (tried("accept", less ? "{'short':true}" : other ? "{'really':'B'}" : "{}") != 0) {
        put_in(-g);
        if (go < 0.005)
            tried("accept", "{'short':true}");
        return;
    }
    tell(" %.2f", g);
    if (cup) {
        take(&shop.cup[cup], g);
        pot.last[0] = '\0';
    } else {
        took(other ? "B" : toner, g);
    }
}

static void take_out(double aim)
{
    double g = fmin(pot.content_g - 0.01, ceil(-aim * 100) / 100);
    put_in(-g);
    if (tried("accept", "{}") != 0)
        put_in(g);
}

static void hold(const char *toner, double go)
{
    double g = toner && go > 1 && draw() < 0.5 ? round(go * 50) / 100 : 0;
    put_in(g);
    if (tried("hold", "{}") != 0) {
        put_in(-g);
        return;
    }
    if (g > 0)
        poured(toner, g);
    snprintf(pot.cup->state, sizeof pot.cup->state, "held");
    orders_follow_their_batches();
    if (tried("resume", "{'batch':'%d'}", pot.number) != 0 || tried("accept", "{'sure':true}") != 0)
        fail_msg("a held cup did not come back after:%s", shop.story);
    snprintf(pot.cup->state, sizeof pot.cup->state, "open");
    pot.last[0] = '\0';
}

/* The last accept taken back and done again: what was poured as another tin's is now the open step's. */
static void undo(void)
{
    double g = pot.last_g;
    if (tried("undo", "{}") != 0)
        return;
    const json_t *now = json_object_get(harness_screen(shop.h, "bench"), "now");
    const char *name = json_string_value(json_object_get(now, "toner"));
    char toner[41];
    snprintf(toner, sizeof toner, "%s", name ? name : "");
    assert_int_equal(tried("accept", "{'short':true,'sure':true}"), 0);
    if (pot.last[0] && toner[0]) {
        poured(pot.last, -g);
        took(toner, g);
    }
}

/* Of the ways out one at random; a fresh cup leaves this one on the shelf as it is. */
static void remedy(void)
{
    static const char *const choices[] = {"grow", "dip", "leave", "again", "rescue", "leave"};
    const char *choice = choices[pick(6)];
    if (tried("remedy", "{'choice':'%s'}", choice) != 0)
        return;
    tell(" %s", choice);
    if (strcmp(choice, "again") != 0)
        return;
    snprintf(pot.cup->state, sizeof pot.cup->state, "finished");
    pot.cup->total_g = pot.cup->left_g = pot.content_g;
    pot.cup->activated =
        json_is_true(story_at(story_call(shop.h, "batch.get", "{'batch':'%d'}", pot.number), "activated"));
    new_cup(pot.cup->order, pot.cup->coat);
}

/* One act of the pour; the open step is told by the screen. */
static void step(void)
{
    const json_t *now = json_object_get(harness_screen(shop.h, "bench"), "now");
    const char *name = json_string_value(json_object_get(now, "toner"));
    double aim = number_of((json_t *)(uintptr_t)now, "aim_g"), go = number_of((json_t *)(uintptr_t)now, "to_go_g");
    double act = draw();
    char toner[41];
    snprintf(toner, sizeof toner, "%s", name ? name : "");
    if (!name && aim < 0)
        take_out(aim);
    else if (act < 0.05)
        hold(name ? toner : NULL, go);
    else if (act < 0.08 && name && tried("tint", "{'toner':'D'}") == 0)
        pour("D", grams(0.5, 3));
    else if (act < 0.12)
        undo();
    else if (act < 0.15 && name)
        tried("tin", "{'toner':'%s','lot':'L%d'}", toner, pick(3));
    else
        pour(name ? toner : NULL, go);
}

static void finish(void)
{
    bool scrap = strcmp(harness_text(shop.h, "bench", "state"), "done") != 0 || draw() < 0.08;
    assert_int_equal(scrap ? tried("scrap", "{'why':'a try'}") : tried("finish", "{}"), 0);
    snprintf(pot.cup->state, sizeof pot.cup->state, "%s", scrap ? "scrapped" : "finished");
    harness_weigh(shop.h, "bench", 0);
    json_t *b = story_call(shop.h, "batch.get", "{'batch':'%d'}", pot.number);
    story_text(b, "state", pot.cup->state);
    same("total of the record", number_of(b, "total_g"), pot.content_g);
    pot.cup->total_g = pot.content_g;
    pot.cup->activated = json_is_true(json_object_get(b, "activated"));
}

static void a_batch(void)
{
    if (shop.cups >= CUPS - 2 || !begin_something())
        return;
    for (int acts = 0; acts < ACTS; acts++) {
        const char *state = harness_text(shop.h, "bench", "state");
        if (strcmp(state, "done") == 0 || (acts > 0 && draw() < 0.01))
            break;
        if (strcmp(state, "cup") == 0) {
            put_in(0);
            assert_int_equal(tried("accept", "{'sure':true}"), 0);
            pot.last[0] = '\0';
        } else if (strcmp(state, "over") == 0) {
            remedy();
        } else {
            step();
        }
        tins_hold_what_they_should();
    }
    finish();
}

/* ---- days ---- */

static void a_person(void)
{
    bool in = draw() < 0.6;
    json_t *s = in ? story_call(shop.h, "people.sign_in", "{'station':'bench','painter':'Ines'}")
                   : story_call(shop.h, "people.sign_out", "{'station':'bench'}");
    story_text(s, "signed_in", in ? "Ines" : "");
}

static void restart(void)
{
    int how = draw() < 0.5 ? SIGKILL : SIGTERM;
    tell(" restart");
    assert_int_equal(harness_stop(shop.h, how), how == SIGKILL ? -SIGKILL : 0);
    harness_start(shop.h);
    harness_weigh(shop.h, "bench", 0);
}

static void one_story(void)
{
    shop.story[0] = '\0';
    for (int acts = 1 + pick(4); acts > 0; acts--) {
        double kind = draw();
        kind < 0.15   ? a_tin()
        : kind < 0.25 ? an_order()
        : kind < 0.3  ? a_card()
        : kind < 0.35 ? a_person()
        : kind < 0.6  ? a_cup_of_the_shelf()
        : kind < 0.61 ? restart()
                      : a_batch();
        tins_hold_what_they_should();
        orders_follow_their_batches();
    }
    the_shelf_is_what_is_left();
    no_work_off_takes_what_may_not_go();
}

static void days_at_random(void **state)
{
    const char *days = getenv("DAYS"), *from = getenv("SEED");
    int stories = days ? atoi(days) : STORIES;
    shop.h = *state;
    shop.seed = from ? strtoull(from, NULL, 10) : 20261130;
    shop.cups = shop.orders = 1;
    story_call(shop.h, "people.put", "{'painter':'Ines'}");
    for (int i = 0; i < stories; i++)
        one_story();
    json_t *list = story_call(shop.h, "card.list", "{'limit':1}");
    story_number(list, "cards.0.coats", number_of(list, "cards.0.coats"));
    if (shop.cards > 0)
        assert_int_equal(atoi(json_string_value(story_at(list, "cards.0.card"))), shop.cards);
    assert_true(json_is_true(json_object_get(story_call(shop.h, "store.verify", "{}"), "whole")));
    assert_int_equal(json_integer_value(json_object_get(story_call(shop.h, "store.verify", "{}"), "wrong")), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(days_at_random, story_begin, story_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
