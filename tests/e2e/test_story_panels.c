/* Panels to grams of colour, worked out by hand from the design's definition: volume solids of the ready-to-spray mix
 * over all that goes into it, hardener and reducer too, whatever the basis; 65 % of the paint reaches the panel. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* 100 g of the colour PC: 60 g of PA (60 mL, 24 of them solid) and 40 g of PB (32 mL, 16 solid). */
static int begin(void **state)
{
    static const char *const puts[][2] = {
        {"toner.put", "{'id':'PA','line':'two-pack','density_g_per_ml':1,'solids_vol_pct':40}"},
        {"toner.put", "{'id':'PB','line':'two-pack','density_g_per_ml':1.25,'solids_vol_pct':50}"},
        {"toner.put", "{'id':'CX','role':'clear','line':'two-pack','density_g_per_ml':1,'solids_vol_pct':45}"},
        {"toner.put", "{'id':'HX','role':'hardener','line':'two-pack','density_g_per_ml':1.2,'solids_vol_pct':60}"},
        {"toner.put", "{'id':'HN','role':'hardener','line':'two-pack','density_g_per_ml':1.2}"},
        {"toner.put", "{'id':'RX','role':'reducer','line':'two-pack','density_g_per_ml':0.9}"},
        {"formula.put", "{'code':'PC','finish':'solid','line':'two-pack','coats':[{'coat':'base','parts':["
                        "{'toner':'PA','parts':60},{'toner':'PB','parts':40}]}]}"},
        {"product.put", "{'id':'PW','role':'single','line':'two-pack','ratio':'3:1','basis':'weight','film_um':40,"
                        "'parts':['colour','HX']}"},
        {"product.put", "{'id':'PV','role':'single','line':'two-pack','ratio':'2:1:10%','basis':'volume','of':'mix',"
                        "'film_um':30,'parts':['colour','HX','RX']}"},
        {"product.put", "{'id':'CP','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,"
                        "'parts':['CX','HX']}"},
        {"product.put", "{'id':'CS','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,"
                        "'solids_vol_pct':40,'parts':['CX','HN']}"},
        {"product.put", "{'id':'CN','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,"
                        "'parts':['CX','HN']}"},
        {"panel.put", "{'id':'hood','area_m2':1.5}"},
    };
    if (story_begin(state) != 0)
        return -1;
    for (size_t i = 0; i < sizeof puts / sizeof *puts; i++)
        story_call(*state, puts[i][0], "%s", puts[i][1]);
    return 0;
}

static const struct {
    const char *name, *params;
    double total_g, ready_ml; /* NAN: not looked at */
} plans[] = {
    /* HX 33.333 g = 27.778 mL, 16.667 solid: 56.667 of 119.778 mL. 2 x 3 x 40 / 0.65 = 369.231 mL of solids. */
    {"by weight, the hardener's solids count",
     "{'formula':'PC','product':'PW','panels':[{'name':'roof','coats':3,'area_m2':2}]}", 651.584, 780.453},
    /* 92 mL of colour, 46 of HX, a tenth of both: 151.8 mL, 67.6 solid. 1.5 x 2 x 30 / 0.65 = 138.462. */
    {"by volume of all toners, per cent of the mix",
     "{'formula':'PC','product':'PV','panels':[{'name':'hood','coats':2}]}", 204.825, 310.924},
    {"two coats where none are named", "{'formula':'PC','product':'PV','panels':[{'name':'hood'}]}", 204.825, NAN},
    {"half a panel", "{'formula':'PC','product':'PV','panels':[{'name':'hood','coats':2,'share_pct':50}]}", 102.412,
     NAN},
    {"a whole one and half of one, and 20 mL lost",
     "{'formula':'PC','product':'PV','loss_ml':20,'panels':[{'name':'hood','coats':2,'share_pct':100,'edges':false},"
     "{'name':'hood','coats':2,'share_pct':50,'edges':true}]}",
     307.237 + 20 / 1.518, NAN},
    /* 150 mL of 100 g, 75 solid; 1 x 2 x 55 / 0.65 = 169.231. */
    {"the product's own film", "{'product':'CP','panels':[{'name':'x','coats':2,'area_m2':1}]}", 225.641, 338.462},
    {"a film that a person gives goes before it",
     "{'product':'CP','film_um':25,'panels':[{'name':'x','coats':2,'area_m2':1}]}", 102.564, NAN},
    {"another transfer", "{'product':'CP','transfer_pct':50,'panels':[{'name':'x','coats':2,'area_m2':1}]}", 293.333,
     NAN},
    /* 110 / (0.4 x 0.65) = 423.077 mL, 150 of 100 g. */
    {"a hardener without a figure: the product's own", "{'product':'CS','panels':[{'name':'x','coats':2,'area_m2':1}]}",
     282.051, 423.077},
    /* 45 of 150 mL solid. */
    {"and without that none, which is too much rather than too little",
     "{'product':'CN','panels':[{'name':'x','coats':2,'area_m2':1}]}", 376.068, NAN},
};

static bool warns(const json_t *plan, const char *code)
{
    const json_t *list = json_object_get(plan, "warnings");
    bool there = false;
    for (size_t i = 0; i < json_array_size(list); i++)
        there |= strcmp(json_string_value(json_object_get(json_array_get(list, i), "code")), code) == 0;
    return there;
}

static void panels_are_worth_what_the_definition_says(void **state)
{
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        json_t *p = story_call(h, "mix.plan", "%s", plans[i].params);
        double total_g = json_number_value(json_object_get(p, "total_g"));
        double ready_ml = json_number_value(json_object_get(p, "ready_ml"));
        if (fabs(total_g - plans[i].total_g) > 0.002 ||
            (!isnan(plans[i].ready_ml) && fabs(ready_ml - plans[i].ready_ml) > 0.002))
            fail_msg("%s: %f g, %f mL", plans[i].name, total_g, ready_ml);
        if (warns(p, "no_solids") != (strstr(plans[i].params, "'CN'") != NULL))
            fail_msg("%s: warned?", plans[i].name);
    }
}

/* What is begun is what was planned. */
static void a_batch_begins_with_the_same_amount(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "{'product':'CP','panels':[{'name':'x','coats':2,'area_m2':1}]}");
    story_near(h, "wanted_g", 225.641);
    story_act(h, "scrap", "{'why':'a try'}");
}

static void what_is_no_panel_is_refused(void **state)
{
    static const char *const bad[] = {
        "{'name':'x','coats':2}",          "{'name':'hood','coats':0}", "{'name':'hood','share_pct':0}",
        "{'name':'hood','share_pct':101}", "{'name':'x','area_m2':-1}",
    };
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        story_text(story_fault(h, "mix.plan", -32005, "{'product':'CP','panels':[%s]}", bad[i]), "field", "panels");
    story_fault(h, "mix.plan", -32602, "{'product':'CP','panels':[{'name':'hood','edges':'yes'}]}");
    /* Colour whose solids nobody knows. */
    story_text(story_fault(h, "mix.plan", -32005, "{'formula':'TS-1','panels':[{'name':'hood'}]}"), "why", "no_solids");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(panels_are_worth_what_the_definition_says),
        cmocka_unit_test(a_batch_begins_with_the_same_amount),
        cmocka_unit_test(what_is_no_panel_is_refused),
    };
    return cmocka_run_group_tests(tests, begin, story_end);
}
