/* The second half of a painter's day at `poise bench`: orders and their coats, a spray-out card, the shelf, who works
 * here, settings; each by keys alone, against the real daemon. */
#include "tests/e2e/bench_view.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

static int end(void **state)
{
    return harness_end(state);
}

/* The bench on an idle page with an empty pan. */
static void open_bench(struct harness *h, struct terminal *t)
{
    harness_weigh(h, "bench", 0);
    terminal_open(t, h->socket);
    bench_sees(h, t, "0.00 g");
    bench_sees(h, t, "[Enter]    find a colour");
}

/* TI-207 ground, 276.7 g: poured on aim and finished; the pan is empty again. */
static void mix(struct harness *h)
{
    static const double in_cup_g[] = {0, 212, 273.5, 276.7};
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
    for (size_t i = 0; i < sizeof in_cup_g / sizeof *in_cup_g; i++) {
        harness_weigh(h, "bench", 31.2 + in_cup_g[i]);
        harness_act(h, "bench", "batch.accept", NULL);
    }
    while (strcmp(harness_text(h, "bench", "state"), "done") != 0) /* a reducer, where the shop has one */
        harness_act(h, "bench", "batch.accept", json_pack("{s:b}", "short", 1));
    harness_act(h, "bench", "batch.finish", json_pack("{s:i}", "label", 0));
    harness_weigh(h, "bench", 0);
}

static void an_order_is_put_in_and_its_coat_begun(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    open_bench(h, &t);
    bench_keys(h, &t, "0", "3    orders");
    bench_keys(h, &t, "3", "put in a new order");
    bench_keys(h, &t, "1", "type the order's number");
    bench_keys(h, &t, "4417\t\t\t207", "[ground]");
    bench_keys(h, &t, "\t\t40", "keep order 4417");
    bench_enter(h, &t, "begin ground TI-207, order 4417");
    bench_keys(h, &t, "0", "put in a new order");
    bench_keys(h, &t, "0", "[Enter]    find a colour");
    bench_sees(h, &t, "order 4417 "); /* it waits on the idle page */
    bench_keys(h, &t, "1", "begin ground TI-207, order 4417");
    bench_enter(h, &t, "put an empty cup on");
    assert_string_equal(harness_text(h, "bench", "order"), "4417");
    bench_leave(h, &t);
}

static void a_card_is_kept_for_a_coat(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_call(h, "order.put",
                 json_pack("{s:s, s:[{s:s, s:s, s:s}]}", "order", "4418", "coats", "coat", "ground", "formula",
                           "TI-207", "variant", "standard"));
    open_bench(h, &t);
    bench_keys(h, &t, "1", "begin ground TI-207, order 4418");
    bench_keys(h, &t, ".", "the order is done: close it");
    bench_keys(h, &t, ".", "2    what this coat takes");
    bench_keys(h, &t, "1", "keep a spray-out card");
    bench_keys(h, &t, "1", "does it match? press 1, 2 or 3");
    bench_keys(h, &t, "1", "in which light? press 4 to 7");
    bench_keys(h, &t, "45", "[5 shade]");
    bench_enter(h, &t, "card 1 ");
    json_t *cards = json_object_get(
        harness_call(h, "card.match", json_pack("{s:s, s:s}", "formula", "TI-207", "coat", "ground")), "cards");
    assert_int_equal(json_array_size(cards), 1);
    assert_string_equal(json_string_value(json_object_get(json_array_get(cards, 0), "verdict")), "match");
    bench_leave(h, &t);
}

/* Half a door as a blend and its jambs first, four mid coats, a day: all by keys, and kept by the daemon. */
static void an_order_is_changed_at_the_bench(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_call(h, "panel.put",
                 json_pack("{s:s, s:s, s:f}", "id", "door-left-rear", "name", "left rear door", "area_m2", 1.0));
    harness_call(h, "order.put",
                 json_pack("{s:s, s:[{s:s, s:s, s:s, s:[{s:s, s:i}]}]}", "order", "4419", "coats", "coat", "ground",
                           "formula", "TI-207", "variant", "standard", "panels", "name", "door-left-rear", "coats", 3));
    open_bench(h, &t);
    bench_keys(h, &t, "1", "begin ground TI-207, order 4419");
    bench_keys(h, &t, ".", "3    vehicle, painter, due");
    bench_keys(h, &t, "3", "follows card");
    bench_keys(h, &t, "van 9\t24.12.2099", "24.12.2099");
    bench_enter(h, &t, "van 9, due 2099-12-24");
    bench_keys(h, &t, "4", "all coats: ");
    bench_keys(h, &t, "0", "4    all coats at once");
    bench_keys(h, &t, ".", "2    what this coat takes");
    bench_keys(h, &t, "2", "3 left rear door");
    bench_keys(h, &t, "+", "[Enter]    by panels");
    bench_enter(h, &t, ">3x left rear door"); /* the first that is painted is the open one */
    bench_keys(h, &t, ".", "jambs and edges, %");
    bench_keys(h, &t, "++50+15", "15");
    bench_enter(h, &t, "50 %+");
    bench_enter(h, &t, "3 left rear door 50 %, edges 15 %");
    bench_keys(h, &t, "++4", "mid coats  4");
    bench_enter(h, &t, "3x door-left-rear edges 15 %, 3x door-left-rear 50 %");
    json_t *order = harness_call(h, "order.get", json_pack("{s:s}", "order", "4419"));
    json_t *coat = json_array_get(json_object_get(order, "coats"), 0), *panels = json_object_get(coat, "panels");
    assert_int_equal(json_array_size(panels), 2);
    assert_true(json_is_true(json_object_get(json_array_get(panels, 0), "edges")));
    assert_true(json_number_value(json_object_get(coat, "mids")) > 3.9);
    assert_string_equal(json_string_value(json_object_get(order, "vehicle")), "van 9");
    bench_leave(h, &t);
}

static void a_cup_is_weighed_back_placed_and_discarded(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    mix(h);
    open_bench(h, &t);
    bench_sees(h, &t, "TI-207");
    bench_keys(h, &t, "1", "mix 1 again");
    bench_keys(h, &t, ".", "5    the cup: weigh back, place, discard");
    bench_keys(h, &t, "5", "2    weigh back");
    bench_keys(h, &t, "2", "put cup 1 on the scale");
    harness_weigh(h, "bench", 131.2);
    bench_sees(h, &t, "weigh back: 131.20 g with its cup");
    bench_enter(h, &t, "100.00 g are left, ");
    bench_keys(h, &t, "3", "use by");
    bench_keys(h, &t, "B 3\t24.12.2099", "24.12.2099");
    bench_enter(h, &t, "2099-12-24");
    json_t *shelf = json_object_get(harness_call(h, "batch.get", json_pack("{s:s}", "batch", "1")), "shelf");
    assert_string_equal(json_string_value(json_object_get(shelf, "use_by")), "2099-12-24");
    bench_keys(h, &t, "0", "B 3  TI-207");
    bench_keys(h, &t, "1", "7    discard 100.00 g");
    bench_keys(h, &t, "7", "[Enter]    discard 100.00 g");
    bench_enter(h, &t, "100.00 g of batch 1"); /* with what to do with it */
    json_t *cups = json_object_get(harness_call(h, "shelf.list", json_object()), "cups");
    assert_int_equal(json_array_size(cups), 0);
    bench_leave(h, &t);
}

static void who_works_here_signs_in_and_out(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    harness_call(h, "people.put", json_pack("{s:s}", "painter", "Ines"));
    open_bench(h, &t);
    bench_keys(h, &t, ".", "sign in as Ines");
    bench_enter(h, &t, ". Ines"); /* the bench again, and who is there */
    assert_string_equal(harness_text(h, "bench", "signed_in"), "Ines");
    bench_keys(h, &t, ".", "sign out Ines");
    bench_enter(h, &t, ". who works here?");
    bench_leave(h, &t);
}

static void a_setting_is_changed_at_the_bench(void **state)
{
    struct harness *h = *state;
    struct terminal t;
    open_bench(h, &t);
    bench_keys(h, &t, "0", "7    settings");
    bench_keys(h, &t, "7", "anguage of benches");
    bench_keys(h, &t, "3", "[Enter]    comma");
    bench_enter(h, &t, "[Enter]    point");
    bench_keys(h, &t, "0", "0,00 g");
    bench_leave(h, &t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_order_is_put_in_and_its_coat_begun, begin, end),
        cmocka_unit_test_setup_teardown(a_card_is_kept_for_a_coat, begin, end),
        cmocka_unit_test_setup_teardown(an_order_is_changed_at_the_bench, begin, end),
        cmocka_unit_test_setup_teardown(a_cup_is_weighed_back_placed_and_discarded, begin, end),
        cmocka_unit_test_setup_teardown(who_works_here_signs_in_and_out, begin, end),
        cmocka_unit_test_setup_teardown(a_setting_is_changed_at_the_bench, begin, end),
    };
    return cmocka_run_group_tests_name("the day at the bench", tests, NULL, NULL);
}
