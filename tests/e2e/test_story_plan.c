/* mix.plan and the arithmetic methods by their examples and their faults; worked out by hand. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const double nul = (double)NAN;

static bool warns(json_t *plan, const char *code)
{
    json_t *warning;
    size_t i;
    json_array_foreach(json_object_get(plan, "warnings"), i, warning)
    {
        if (strcmp(json_string_value(json_object_get(warning, "code")), code) == 0)
            return json_string_length(json_object_get(warning, "text")) > 0 && json_object_get(warning, "toner");
    }
    return false;
}

/* 250 g of TS-1: 247.5 mL, 4.75; a tenth of it reducer, 24.75 mL, 19.8 g at 5/kg: 0.099; 4.849 in all. */
static void a_plan_by_grams(void **state)
{
    struct harness *h = *state;
    json_t *p = story_call(h, "mix.plan", "{'formula':'TS-1','variant':'standard','coat':'base','grams':250}");
    story_text(p, "formula", "TS-1");
    story_text(p, "variant", "standard");
    story_text(p, "coat", "base");
    story_text(p, "finish", "solid");
    story_number(p, "total_g", 250);
    story_number(p, "total_ml", 247.5);
    story_text(p, "components.1.toner", "B");
    story_text(p, "components.1.name", "Birch");
    story_number(p, "components.1.share", 0.3);
    story_number(p, "components.1.aim_g", 75);
    story_number(p, "components.1.aim_ml", 60);
    story_text(p, "reducer.toner", "RS");
    story_number(p, "reducer.pct", 10);
    story_text(p, "reducer.basis", "volume");
    story_number(p, "reducer.grams", 19.8);
    story_number(p, "reducer.ml", 24.75);
    story_number(p, "cost", 4.85);
    story_text(p, "currency", "EUR");
    /* Colour as it stands: 125*0.5 + 75*0.4 + 50*0.6 = 122.5 g of VOC. With the reducer 142.3 g in 272.25 mL. */
    story_number(p, "voc.actual_g_per_l", 142.3 / 0.27225);
    story_number(p, "voc.volume_ml", 272.25);
    /* (0.005 + 0.03) / 0.05 = 0.7 g of C, the least share: 3.5 g. */
    story_number(p, "smallest_g", 3.5);
    assert_true(json_is_array(json_object_get(p, "warnings")));
    assert_true(json_is_null(json_object_get(p, "cup")) || json_is_object(json_object_get(p, "cup")));
    p = story_call(h, "mix.plan", "{'formula':'TS-1','variant':'darker','grams':10,'reduce_pct':0}");
    story_number(p, "components.0.aim_g", 4);
    assert_true(json_is_null(json_object_get(p, "reducer")));
    assert_false(warns(p, "below_smallest"));
    assert_true(warns(story_call(h, "mix.plan", "{'formula':'TS-3','grams':20}"), "below_smallest"));
    /* A cup of 100 mL. 272.25 mL do not fit. 4000 g are beyond 3000. */
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':250,'cup_ml':100}");
    assert_true(json_is_false(story_at(p, "cup.fits")));
    assert_true(warns(p, "cup_small"));
    /* No cup named, and none of the list holds 5500 mL: the largest is 5000 mL. */
    assert_true(warns(story_call(h, "mix.plan", "{'formula':'TS-1','ml':5500}"), "cup_small"));
    assert_false(warns(story_call(h, "mix.plan", "{'formula':'TS-1','ml':4740}"), "cup_small"));
    assert_true(warns(story_call(h, "mix.plan", "{'formula':'TS-1','grams':4000}"), "over_capacity"));
    assert_true(warns(story_call(h, "mix.plan", "{'formula':'TS-5','grams':100}"), "no_reducer"));
}

/* Design's example in other numbers: 400 mL of a pearl with 20 %. TS-3 has 212/1 + 61.5/1.25 + 3.2/0.8 = 265.2 mL in
 * 276.7 g: 333.333 mL of colour are 347.788 g; 66.667 mL of reducer 53.333 g. */
static void a_plan_by_volume(void **state)
{
    struct harness *h = *state;
    json_t *p = story_call(h, "mix.plan", "{'formula':'TS-3','ml':400}");
    story_number(p, "total_g", 347.788);
    story_number(p, "total_ml", 333.333);
    story_number(p, "reducer.pct", 20);
    story_number(p, "reducer.ml", 66.667);
    story_number(p, "reducer.grams", 53.333);
    static const char *const bad[] = {
        "{'formula':'TS-1'}",
        "{'formula':'TS-1','panels':[{'name':'x','area_m2':1,'share_pct':101}]}",
        "{'formula':'TS-1','panels':[{'name':'x','area_m2':1,'share_pct':0}]}",
        "{'formula':'TS-1','grams':1,'ml':1}",
        "{'formula':'TS-1','grams':0}",
        "{'formula':'TS-1','ml':-3}",
        "{'formula':'TS-1','panels':[]}",
        "{'formula':'TS-1','panels':[{'name':'x','coats':0,'area_m2':1}]}",
        "{'formula':'TS-1','grams':100,'reduce_pct':-1}",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        story_fault(h, "mix.plan", -32005, "%s", bad[i]);
    story_fault(h, "mix.plan", -32602, "{'grams':100}");
    story_fault(h, "mix.plan", -32001, "{'formula':'NOSUCH','grams':100}");
    story_fault(h, "mix.plan", -32602, "{'formula':'TS-1','grams':'100'}");
    story_fault(h, "mix.plan", -32602, "{'formula':'TS-1','panels':'door'}");
}

/* Sources: contract's own examples; reduce 26 g at 0.88; ratio row M05; voc rows V05, V32, V30 of check-values.tsv. */
static void the_examples(void **state)
{
    struct harness *h = *state;
    json_t *r = story_call(h, "mix.remedies",
                           "{'parts':[50,30,15,5],'total_g':100,'poured_g':[50,33,15,0],'tolerance_g':0,"
                           "'tolerance_pct':0,'cup_g':null}");
    story_number(r, "grow.total_g", 110);
    story_number(r, "grow.add_g.3", 5.5);
    story_number(r, "dip.take_g", 8.909091);
    story_number(r, "dip.add_g.0", 4.545455);
    story_number(r, "leave.deviation_pct.1", 10);
    story_number(r, "leave.deviation_pct.3", nul);
    r = story_call(h, "mix.ratio",
                   "{'parts':[4,1,1],'basis':'volume','densities_g_per_ml':[1.05,1.02,0.88],'total_g':500}");
    story_number(r, "weight_g.0", 344.2623);
    story_number(r, "weight_g.2", 72.1311);
    r = story_call(h, "mix.reduce",
                   "{'paint_g':260,'paint_density_g_per_ml':1.05,'pct':10,'basis':'weight',"
                   "'reducer_density_g_per_ml':0.88}");
    story_number(r, "reducer_g", 26);
    story_number(r, "reducer_ml", 29.545455);
    r = story_call(h, "mix.reduce",
                   "{'paint_g':260,'paint_density_g_per_ml':1.04,'pct':10,'basis':'volume',"
                   "'reducer_density_g_per_ml':0.88}");
    story_number(r, "reducer_g", 22); /* 250 mL, 25 of reducer */
    r = story_call(h, "mix.spread",
                   "{'area_m2':1.5,'coats':1,'film_um':50,'solids_vol_pct':40,'transfer_pct':65,'loss_ml':0}");
    story_number(r, "volume_ml", 288.461538);
    story_number(r, "m2_per_l", 8);
    r = story_call(h, "mix.voc_stages", "{'ground_g_per_l':720,'mids_g_per_l':[650],'clear_g_per_l':500}");
    story_number(r, "average_g_per_l", 592.5);
    r = story_call(h, "mix.voc_stages", "{'ground_g_per_l':600,'clear_g_per_l':450}");
    story_number(r, "average_g_per_l", 500);
    /* V32: 1.05 g/mL, 15 % VOC, 50 % water. */
    r = story_call(h, "mix.voc", "{'components':[{'grams':1050,'density_g_per_ml':1.05,'voc_pct':15,'water_pct':50}]}");
    story_number(r, "actual_g_per_l", 157.5);
    story_number(r, "regulatory_g_per_l", 332.69);
    story_number(r, "voc_g", 157.5);
    /* V30: 1 L, 340 g of VOC and 180 g of an exempt compound at 0.7845; a density of 1 is assumed here. */
    r = story_call(h, "mix.voc",
                   "{'components':[{'grams':1000,'density_g_per_ml':1.0,'voc_pct':34,'exempt_pct':18,"
                   "'exempt_density_g_per_ml':0.7845}]}");
    story_number(r, "actual_g_per_l", 340);
    story_number(r, "regulatory_g_per_l", 441.24);
    r = story_call(h, "mix.voc", "{'components':[{'grams':997,'density_g_per_ml':0.997,'voc_pct':0,'water_pct':100}]}");
    story_number(r, "regulatory_g_per_l", nul);
    r = story_call(h, "mix.weighable", "{'parts':[212,61.5,3.2],'d_g':0.1,'error_pct':5}");
    story_number(r, "smallest_g", 138.35); /* 1.6 g * 276.7 / 3.2 */
    story_number(r, "component", 2);
    r = story_call(h, "mix.premix", "{'grams':[0.16],'d_g':0.1,'error_pct':5,'half_drop_g':0.03,'diluent_g_max':200}");
    story_number(r, "toner_g.0", 3.2); /* twice the 1.6 g that one weighing needs */
    story_number(r, "diluent_g", 60.8);
    story_number(r, "take_g", 3.2);
    story_number(r, "total_g", 64);
    story_number(r, "dose_error_pct.0", 5);
}

static void what_is_refused(void **state)
{
    struct harness *h = *state;
    static const struct {
        int code;
        const char *method, *params;
    } bad[] = {
        {-32005, "mix.remedies", "{'parts':[0,0],'total_g':100,'poured_g':[0,0]}"},
        {-32005, "mix.remedies", "{'parts':[1,-1],'total_g':100,'poured_g':[0,0]}"},
        {-32005, "mix.remedies", "{'parts':[1,1],'total_g':100,'poured_g':[0]}"},
        {-32005, "mix.remedies", "{'parts':[1,1],'total_g':0,'poured_g':[0,0]}"},
        {-32005, "mix.remedies", "{'parts':[1,1],'poured_g':[0,0]}"},
        {-32602, "mix.remedies", "{'parts':'1','total_g':100,'poured_g':[0]}"},
        {-32602, "mix.remedies", "{'parts':[1,'1'],'total_g':100,'poured_g':[0,0]}"},
        {-32005, "mix.ratio", "{'parts':[4,1],'basis':'volume','densities_g_per_ml':[1,null],'total_g':5}"},
        {-32005, "mix.ratio", "{'parts':[4,1],'basis':'volume','densities_g_per_ml':[1,1]}"},
        {-32005, "mix.ratio", "{'parts':[4,1],'basis':'volume','densities_g_per_ml':[1,1],'total_g':5,'total_ml':5}"},
        {-32005, "mix.ratio", "{'parts':[4,1],'basis':'colour','densities_g_per_ml':[1,1],'total_g':5}"},
        {-32005, "mix.weighable", "{'parts':[0],'d_g':0.1,'error_pct':5}"},
        {-32005, "mix.premix", "{'grams':[0.001],'d_g':0.1,'error_pct':5,'half_drop_g':0.03,'diluent_g_max':200}"},
        {-32005, "mix.reduce", "{'paint_g':260,'pct':-10,'basis':'weight'}"},
        {-32005, "mix.spread", "{'area_m2':1.5,'coats':1,'film_um':50,'solids_vol_pct':0,'transfer_pct':65}"},
        {-32005, "mix.spread", "{'area_m2':1.5,'coats':1,'film_um':50,'solids_vol_pct':40,'transfer_pct':165}"},
        /* What a plan by grams has no use for is looked at all the same. */
        {-32005, "mix.plan", "{'formula':'TS-1','grams':80,'film_um':-3}"},
        {-32005, "mix.plan", "{'formula':'TS-1','ml':80,'transfer_pct':0}"},
        {-32005, "mix.plan", "{'formula':'TS-1','grams':80,'loss_ml':-0.5}"},
        {-32005, "mix.plan", "{'formula':'TS-1','grams':80,'mids':-1}"},
        {-32601, "mix.nosuch", "{}"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        json_t *data = story_fault(h, bad[i].method, bad[i].code, "%s", bad[i].params);
        if (bad[i].code != -32601)
            assert_true(json_string_length(json_object_get(data, "field")) > 0 &&
                        json_string_length(json_object_get(data, "help")) > 0);
    }
    char parts[400] = "1";
    for (int i = 1; i < 65; i++)
        strcat(parts, ",1");
    story_fault(h, "mix.weighable", -32005, "{'parts':[%s],'d_g':0.1,'error_pct':5}", parts);
    /* Poured all 0: grow is T, dip takes 0. */
    json_t *r = story_call(h, "mix.remedies", "{'parts':[1,1],'total_g':100,'poured_g':[0,0]}");
    story_number(r, "grow.total_g", 100);
    story_number(r, "dip.take_g", 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_by_grams),
        cmocka_unit_test(a_plan_by_volume),
        cmocka_unit_test(the_examples),
        cmocka_unit_test(what_is_refused),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
