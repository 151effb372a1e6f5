/* How much to mix: what a painter's earlier jobs teach, and all coats of an order at once. World: story.h. */
#include "tests/e2e/raw_client.h"
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* CP: two of CX (1 g/mL) and one of HX (1.2 g/mL) by volume, 75 of 150 mL solid, film 55 um. A square metre of one coat
 * is 55 / (0.5 x 0.65) = 169.231 mL: 112.821 g of CX and 67.692 g of HX. */
static int begin(void **state)
{
    static const char *const puts[][2] = {
        {"toner.put", "{'id':'CX','role':'clear','line':'two-pack','density_g_per_ml':1,'solids_vol_pct':45,"
                      "'price_per_kg':20}"},
        {"toner.put", "{'id':'HX','role':'hardener','line':'two-pack','density_g_per_ml':1.2,'solids_vol_pct':60,"
                      "'price_per_kg':30}"},
        {"toner.put", "{'id':'PA','line':'solvent','density_g_per_ml':1,'solids_vol_pct':40,'price_per_kg':10}"},
        {"formula.put", "{'code':'PC','finish':'pearl','line':'solvent','coats':["
                        "{'coat':'ground','parts':[{'toner':'PA','parts':1}]},"
                        "{'coat':'mid','parts':[{'toner':'PA','parts':1}]}]}"},
        {"product.put", "{'id':'CP','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,"
                        "'flash_min':8,'parts':['CX','HX']}"},
        {"cup.put", "{'id':'0.2','ml':200,'tare_g':10,'fill_pct':95}"},
        {"cup.put", "{'id':'0.4','ml':400,'tare_g':20,'fill_pct':95}"},
    };
    if (story_begin(state) != 0)
        return -1;
    for (size_t i = 0; i < sizeof puts / sizeof *puts; i++)
        story_call(*state, puts[i][0], "%s", puts[i][1]);
    return 0;
}

/* What the cup held when it was finished, grams. */
static double mix_it(struct harness *h, const char *what, char id[16])
{
    story_cup(h, "%s", what);
    story_batch(h, id);
    for (int n = 0; n < 9 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; n++)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    return json_number_value(json_object_get(story_call(h, "batch.get", "{'batch':'%s'}", id), "total_g"));
}

static const char one_panel[] = "'product':'CP','panels':[{'name':'x','coats':1,'area_m2':0.5}]";

/* Three jobs estimated at 84.615 mL or 90.256 g each: half, 80 % and 110 % of it were used. */
static void weighed_back_cups_correct_the_next_estimate(void **state)
{
    struct harness *h = *state;
    static const double used[] = {0.5, 0.8, 1.1};
    char what[200], id[16];
    snprintf(what, sizeof what, "{%s,'painter':'Ines'}", one_panel);
    json_t *plan = story_call(h, "mix.plan", "%s", what);
    assert_true(json_is_null(json_object_get(plan, "correction")));
    assert_true(json_is_null(json_object_get(plan, "run_out")));
    story_number(plan, "ready_ml", 84.615);
    for (int job = 0; job < 3; job++) {
        double held = mix_it(h, what, id), left = held - used[job] * 90.256;
        if (left < 0) { /* more was needed than was mixed: all of it, and nothing is known beyond */
            story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':30}", id);
        } else {
            story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':%f}", id, 30 + left);
        }
    }
    /* First 0.5: (0.5 + 4) / 5 = 0.9; then 0.5 and 0.8: (1.3 + 4) / 6 = 0.88333. The third cup held that much. */
    plan = story_call(h, "mix.plan", "%s", what);
    double factor = (3 * 0.8 + 4) / 7;
    story_number(plan, "correction.factor", factor);
    story_number(plan, "correction.jobs", 3);
    story_number(plan, "ready_ml", 84.615 * factor);
    /* A second mix at 15 is dearer than any waste here, so the largest need of before. */
    story_number(plan, "run_out.ml", 84.615 * 0.88333);
    story_number(plan, "run_out.chance_pct", 20); /* none of three needed more than 0.914: (0 + 1) / 5 */
    /* Nobody else learns of it, nor another coat; and grams are what was asked for. */
    plan = story_call(h, "mix.plan", "{%s,'painter':'Bo'}", one_panel);
    story_number(plan, "ready_ml", 84.615);
    plan = story_call(h, "mix.plan", "{'product':'CP','grams':50,'painter':'Ines'}");
    assert_true(json_is_null(json_object_get(plan, "correction")));
    story_number(plan, "total_g", 50);
    /* Weighed once more: a touch-up of the same job counts to it, one of another order does not. */
    story_call(h, "batch.weigh_back", "{'batch':'1','gross_g':%f}", 30 + 0.3 * 90.256);
    story_number(story_call(h, "mix.plan", "%s", what), "correction.factor", factor);
    story_call(h, "order.put", "{'order':'9','coats':[]}");
    story_call(h, "batch.weigh_back", "{'batch':'1','gross_g':%f,'order':'9'}", 30 + 0.1 * 90.256);
    /* 0.7, 0.8, 0.883 of three jobs: the middle one is still 0.8. */
    story_number(story_call(h, "mix.plan", "%s", what), "correction.factor", factor);
    /* A restart forgets nothing. */
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    story_number(story_call(h, "mix.plan", "%s", what), "correction.jobs", 3);
}

/* A second cup of the same coat, since the first ran out: both are one job, and the first counts as used up. */
static void a_second_cup_of_a_coat_is_the_same_job(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_call(h, "order.put", "{'order':'77','painter':'Ines','coats':[{%s}]}", one_panel);
    double first = mix_it(h, "{'order':'77','coat_n':1}", id);
    double second = mix_it(h, "{'order':'77','coat_n':1}", id);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':%f}", id, 30 + second - 20);
    json_t *plan = story_call(h, "mix.plan", "{'order':'77','coat_n':1}");
    story_number(plan, "correction.jobs", 1);
    story_number(plan, "correction.factor", ((first + 20) / 90.256 + 4) / 5);
}

/* The first cup was poured over into the second without being weighed: it is used out of that one alone. PC holds no
 * hardener, so its cups may be mixed. */
static void what_was_poured_over_is_not_used_twice(void **state)
{
    struct harness *h = *state;
    char first[16], second[16], what[128];
    story_call(h, "order.put",
               "{'order':'78','painter':'Ines','coats':[{'coat':'ground','formula':'PC','panels':["
               "{'area_m2':1,'coats':1}]}]}");
    double held = mix_it(h, "{'order':'78','coat_n':1}", first);
    snprintf(what, sizeof what, "{'order':'78','coat_n':1,'have':[{'batch':'%s','grams':20}]}", first);
    story_act(h, "begin", "%s", what);
    story_batch(h, second);
    harness_weigh(h, "bench", 50);
    story_act(h, "accept", "{}");
    for (int n = 0; n < 9 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; n++)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    double in_second = json_number_value(story_at(story_call(h, "batch.get", "{'batch':'%s'}", second), "total_g"));
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':40}", second);
    /* What left the gun: the first cup less 20, the second less the 10 that are left; 69.231 mL were estimated. */
    double ratio = (held - 20 + in_second - 10) / held;
    story_number(story_call(h, "mix.plan", "{'order':'78','coat_n':1}"), "correction.factor", (ratio + 4) / 5);
    /* The first cup, weighed after all: empty, so nothing changes. */
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':30}", first);
    story_number(story_call(h, "mix.plan", "{'order':'78','coat_n':1}"), "correction.factor", (ratio + 4) / 5);
}

/* Jambs and edges of each coat first, then the outsides; grams by the panel's own coats, mids and control coat. */
static void an_order_is_planned_in_layers(void **state)
{
    struct harness *h = *state;
    story_call(h, "order.put",
               "{'order':'4417','painter':'Bo','coats':["
               "{'coat':'ground','formula':'PC','panels':[{'area_m2':1,'coats':2},{'area_m2':0.2,'coats':1,'edges':"
               "true}]},{'coat':'mid','formula':'PC','mids':3,'control_coat':true,'panels':[{'area_m2':1}]},"
               "{'product':'CP','panels':[{'area_m2':2,'coats':2},{'area_m2':0.2,'coats':1,'edges':true}]}]}");
    json_t *o = story_call(h, "mix.plan", "{'order':'4417'}");
    static const struct {
        int coat_n;
        const char *coat;
        bool edges;
        double ready_ml;
    } layers[] = {
        {1, "ground", true, 1.2 * 0.2 * 15 / (0.65 * 0.4)}, {3, "clear", true, 0.2 * 55 / (0.65 * 0.5)},
        {1, "ground", false, 1.2 * 2 * 15 / (0.65 * 0.4)},  {2, "mid", false, 1.2 * 3.5 * 12 / (0.65 * 0.4)},
        {3, "clear", false, 2 * 2 * 55 / (0.65 * 0.5)},
    };
    double cost = 0;
    assert_int_equal(json_array_size(json_object_get(o, "layers")), 5);
    for (size_t i = 0; i < 5; i++) {
        json_t *l = json_array_get(json_object_get(o, "layers"), i);
        story_text(l, "coat", layers[i].coat);
        story_number(l, "coat_n", layers[i].coat_n);
        assert_int_equal(json_is_true(json_object_get(l, "edges")), layers[i].edges);
        story_number(l, "ready_ml", layers[i].ready_ml);
        cost += json_number_value(json_object_get(l, "cost"));
        /* The same as that coat asked for by itself. */
        json_t *one = json_deep_copy(l);
        json_t *p = story_call(h, "mix.plan", "{'order':'4417','coat_n':%d,'edges':%s}", layers[i].coat_n,
                               layers[i].edges ? "true" : "false");
        assert_true(json_equal(json_object_get(p, "components"), json_object_get(one, "components")));
        json_decref(one);
        o = story_call(h, "mix.plan", "{'order':'4417'}");
    }
    story_number(o, "cost", cost);
    story_text(o, "layers.0.cups.0.cup", "0.2");
    /* 8 min after each coat of the clear; no product tells how long the ground flashes off, and so not the whole. */
    story_number(o, "layers.4.wait_min", 16);
    story_number(o, "layers.1.wait_min", 8);
    assert_true(json_is_null(json_object_get(json_array_get(json_object_get(o, "layers"), 0), "wait_min")));
    assert_true(json_is_null(json_object_get(o, "wait_min")));
    story_text(story_fault(h, "mix.plan", -32001, "{'order':'none'}"), "field", "order");
    /* More than the largest cup holds: full ones, and the smallest for the rest. */
    story_call(h, "order.put", "{'order':'5','coats':[{%s,'panels':[{'area_m2':12,'coats':2}]}]}", "'product':'CP'");
    o = story_call(h, "mix.plan", "{'order':'5'}");
    const json_t *cups = story_at(o, "layers.0.cups"), *cup;
    double ml = 0, full = json_number_value(story_at(o, "layers.0.cups.0.ml"));
    size_t n;
    json_array_foreach(cups, n, cup)
    {
        double holds = json_number_value(json_object_get(cup, "ml"));
        assert_true(n + 1 == json_array_size(cups) ? holds <= full : fabs(holds - full) < 1e-6);
        ml += holds;
    }
    assert_true(n >= 2 && fabs(ml - 4061.538) < 0.01);
    /* The edges are begun as a coat of their own. */
    story_act(h, "begin", "{'order':'4417','coat_n':3,'edges':true}");
    story_near(h, "fill_ml", layers[1].ready_ml);
    story_is(h, "painter", "Bo");
    story_act(h, "scrap", "{'why':'a try'}");
}

/* Twenty coats with edges are forty layers: other calls are answered meanwhile. A coat without an amount is named. */
static void a_large_order_holds_nobody_up(void **state)
{
    struct harness *h = *state;
    static const char both[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"mix.plan\",\"params\":{\"order\":\"20\"}}\n"
                               "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"daemon.info\"}\n";
    static const char coat[] = "{'coat':'ground','formula':'PC','panels':[{'area_m2':1},{'area_m2':0.2,'edges':true}]}";
    char coats[2048] = "";
    for (int i = 0; i < 20; i++)
        snprintf(coats + strlen(coats), sizeof coats - strlen(coats), "%s%s", i ? "," : "", coat);
    story_call(h, "order.put", "{'order':'20','coats':[%s]}", coats);
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_send(c, both, strlen(both)));
    json_t *first = raw_client_answer(c), *second = raw_client_answer(c);
    assert_int_equal(json_integer_value(json_object_get(first, "id")), 2);
    assert_int_equal(json_array_size(story_at(second, "result.layers")), 40);
    json_decref(first);
    json_decref(second);
    /* A client that leaves meanwhile takes nothing with it. */
    assert_true(raw_client_send(c, both, strlen(both)));
    raw_client_close(c);
    story_call(h, "order.put", "{'order':'21','coats':[{%s},{'coat':'ground','formula':'PC'}]}", one_panel);
    json_t *data = story_fault(h, "mix.plan", -32005, "{'order':'21'}");
    story_text(data, "field", "coats");
    story_number(data, "args.n", 2);
}

/* The coat's number alone is enough: its jambs and edges first, as a coat of their own, then the outsides, then all for
 * whoever needs more. 0.2 m2 of one coat and 1 m2 of two at 69.231 mL each (15 um / (0.4 / 1.2 x 0.65)). */
static void the_half_that_is_still_to_come(void **state)
{
    struct harness *h = *state;
    static const char next[] = "{'order':'7','coat_n':1}";
    const double edges = 0.2 * 69.231, outsides = 2 * 69.231;
    char id[16];
    story_call(h, "order.put",
               "{'order':'7','painter':'Bo','coats':[{'coat':'ground','formula':'PC','panels':["
               "{'area_m2':1,'coats':2},{'area_m2':0.2,'coats':1,'edges':true}]}]}");
    story_number(story_call(h, "mix.plan", next), "ready_ml", edges);
    /* One that was scrapped mixed nothing. */
    story_act(h, "begin", next);
    story_near(h, "fill_ml", edges);
    story_is(h, "said.code", "begun_edges");
    story_act(h, "scrap", "{'why':'wrong cup'}");
    /* One that waits for its painter is not begun a second time. */
    story_act(h, "begin", next);
    story_batch(h, id);
    story_act(h, "hold", "{}");
    story_number(story_call(h, "mix.plan", next), "ready_ml", outsides);
    story_act(h, "resume", "{'batch':'%s'}", id);
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    for (int n = 0; n < 9 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; n++)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    double held = json_number_value(story_at(story_call(h, "batch.get", "{'batch':'%s'}", id), "total_g"));
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':%f}", id, 30 + held / 2);
    /* The edges are a job of their own: half of their own estimate was used, (0.5 + 4) / 5. */
    double factor = (0.5 + 4) / 5;
    story_number(story_call(h, "mix.plan", next), "ready_ml", outsides * factor);
    story_act(h, "begin", next);
    story_is(h, "said.code", "begun_outsides");
    story_act(h, "scrap", "{'why':'wrong cup'}");
    held = mix_it(h, next, id);
    story_text(story_call(h, "order.get", "{'order':'7'}"), "coats.0.state", "left_over");
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':30}", id);
    json_t *plan = story_call(h, "mix.plan", next); /* jobs of 0.5 and of all that was mixed, 0.9 of the estimate */
    story_number(plan, "correction.jobs", 2);
    story_number(plan, "correction.factor", (2 * (0.5 + factor) / 2 + 4) / 6);
    story_number(plan, "ready_ml", (edges + outsides) * (2 * (0.5 + factor) / 2 + 4) / 6);
    /* An amount of one's own is no half of anything, and the edges mixed once more are no outsides. */
    story_number(story_call(h, "mix.plan", "{'order':'7','coat_n':1,'grams':33}"), "total_g", 33);
    story_call(h, "order.put",
               "{'order':'8','coats':[{'coat':'ground','formula':'PC','panels':["
               "{'area_m2':1,'coats':2},{'area_m2':0.2,'coats':1,'edges':true}]}]}");
    mix_it(h, "{'order':'8','coat_n':1,'painter':'Cy'}", id);
    char repeat[64];
    snprintf(repeat, sizeof repeat, "{'repeat':'%s','as':'poured'}", id);
    mix_it(h, repeat, id);
    json_t *o = story_call(h, "order.get", "{'order':'8'}");
    story_text(o, "coats.0.state", "not_mixed");
    story_text(o, "coats.0.half", "edges");
    story_number(story_call(h, "mix.plan", "{'order':'8','coat_n':1,'painter':'Cy'}"), "ready_ml", outsides);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(weighed_back_cups_correct_the_next_estimate, begin, story_end),
        cmocka_unit_test_setup_teardown(a_second_cup_of_a_coat_is_the_same_job, begin, story_end),
        cmocka_unit_test_setup_teardown(what_was_poured_over_is_not_used_twice, begin, story_end),
        cmocka_unit_test_setup_teardown(an_order_is_planned_in_layers, begin, story_end),
        cmocka_unit_test_setup_teardown(a_large_order_holds_nobody_up, begin, story_end),
        cmocka_unit_test_setup_teardown(the_half_that_is_still_to_come, begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
