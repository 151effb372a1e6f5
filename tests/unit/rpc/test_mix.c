/* mix.*: answers shaped as the contract shows them, every refusal with its field. The arithmetic has its own tests. */
#include "rpc/methods/methods.h"
#include "tests/unit/mix/published.h"
#include "tests/unit/rpc/stub.h"

static double number_of(const json_t *object, const char *name)
{
    return json_number_value(json_object_get(object, name));
}

static int begin(void **state)
{
    struct stub *stub = malloc(sizeof *stub);

    if (!stub)
        return -1;
    stub_init(stub);
    *state = stub;
    return 0;
}

static int end(void **state)
{
    stub_finish(*state);
    free(*state);
    return 0;
}

#define ANSWER(result) "{\"jsonrpc\":\"2.0\",\"id\":1,\"result\":" result "}"

/* Source: contract section 4 where not said otherwise; M05, V05, S10, W12 are rows of check-values.tsv. */
static const struct {
    const char *name, *method, *params, *answer;
} answers[] = {
    {"the contract's overpour", "mix.remedies",
     "{\"parts\":[50,30,15,5],\"total_g\":100,\"poured_g\":[50,33,15,0],\"tolerance_g\":0,\"tolerance_pct\":0,"
     "\"cup_g\":null}",
     ANSWER("{\"grow\":{\"total_g\":110,\"add_g\":[5,0,1.5,5.5],\"fits\":true},\"dip\":{\"take_g\":8.909091,"
            "\"total_g\":100,\"add_g\":[4.545455,0,1.363636,5]},\"leave\":{\"deviation_pct\":[0,10,0,null],"
            "\"foreign_pct\":0}}")},
    {"nothing poured", "mix.remedies", "{\"parts\":[1,1],\"total_g\":10,\"poured_g\":[0,0]}",
     ANSWER(
         "{\"grow\":{\"total_g\":10,\"add_g\":[5,5],\"fits\":true},\"dip\":{\"take_g\":0,\"total_g\":10,\"add_g\":[5,"
         "5]},\"leave\":{\"deviation_pct\":[null,null],\"foreign_pct\":0}}")},
    {"a cup too small", "mix.remedies", "{\"parts\":[1,1],\"total_g\":10,\"poured_g\":[6,0],\"cup_g\":11}",
     ANSWER(
         "{\"grow\":{\"total_g\":12,\"add_g\":[0,6],\"fits\":false},\"dip\":{\"take_g\":1,\"total_g\":10,\"add_g\":[0,"
         "5]},\"leave\":{\"deviation_pct\":[20,null],\"foreign_pct\":0}}")},
    {"the wrong tin", "mix.remedies",
     "{\"parts\":[1,1,0],\"total_g\":10,\"poured_g\":[3,0,1],\"tolerance_g\":0.5,\"tolerance_pct\":0}",
     ANSWER(
         "{\"grow\":null,\"dip\":{\"take_g\":2,\"total_g\":10,\"add_g\":[3.5,5,0]},\"leave\":{\"deviation_pct\":[-40,"
         "null,null],\"foreign_pct\":25},\"grow_why\":\"foreign\"}")},
    {"M05: 4:1:1 by volume", "mix.ratio",
     "{\"parts\":[4,1,1],\"basis\":\"volume\",\"densities_g_per_ml\":[1.05,1.02,0.88],\"total_g\":500}",
     ANSWER("{\"weight_g\":[344.262295,83.606557,72.131148],\"volume_ml\":[327.868852,81.967213,81.967213],"
            "\"total_g\":500,\"total_ml\":491.803279}")},
    {"M01: 600 mL, densities in the way of nothing", "mix.ratio",
     "{\"parts\":[4,1,1],\"basis\":\"volume\",\"densities_g_per_ml\":[1,1,1],\"total_ml\":600.0}",
     ANSWER("{\"weight_g\":[400,100,100],\"volume_ml\":[400,100,100],\"total_g\":600,\"total_ml\":600}")},
    {"by weight a density may be missing", "mix.ratio",
     "{\"parts\":[2,1],\"basis\":\"weight\",\"densities_g_per_ml\":[null,0.5],\"total_g\":300}",
     ANSWER("{\"weight_g\":[200,100],\"volume_ml\":[null,200],\"total_g\":300,\"total_ml\":null}")},
    {"by weight all may be", "mix.ratio", "{\"parts\":[2,1],\"basis\":\"weight\",\"total_g\":300,\"total_ml\":null}",
     ANSWER("{\"weight_g\":[200,100],\"volume_ml\":[null,null],\"total_g\":300,\"total_ml\":null}")},
    {"the contract's reduction", "mix.reduce",
     "{\"paint_g\":260,\"paint_density_g_per_ml\":1.05,\"pct\":10,\"basis\":\"weight\","
     "\"reducer_density_g_per_ml\":0.88}",
     ANSWER("{\"reducer_g\":26,\"reducer_ml\":29.545455}")},
    {"by weight without a density", "mix.reduce", "{\"paint_g\":260,\"pct\":10,\"basis\":\"weight\"}",
     ANSWER("{\"reducer_g\":26,\"reducer_ml\":null}")},
    {"no reduction", "mix.reduce", "{\"paint_g\":260,\"pct\":0,\"basis\":\"weight\"}",
     ANSWER("{\"reducer_g\":0,\"reducer_ml\":null}")},
    {"W12: one part of 2 g", "mix.weighable", "{\"parts\":[3,1],\"d_g\":0.1,\"error_pct\":5,\"half_drop_g\":0.05}",
     ANSWER("{\"smallest_g\":8,\"component\":1}")},
    {"half a drop is 0.03 g when left out", "mix.weighable", "{\"parts\":[3,1],\"d_g\":0.1,\"error_pct\":5}",
     ANSWER("{\"smallest_g\":6.4,\"component\":1}")},
    {"error_pct is 5 when left out", "mix.weighable", "{\"parts\":[3,1],\"d_g\":0.1}",
     ANSWER("{\"smallest_g\":6.4,\"component\":1}")},
    /* 4 x 0.03 / 0.05: half a drop alone. */
    {"d_g is 0 when left out", "mix.weighable", "{\"parts\":[3,1]}", ANSWER("{\"smallest_g\":2.4,\"component\":1}")},
    /* m 2 g, k 2 / 0.12; both weighings off by 0.05 g of 2. Worked by hand. */
    {"a premix of one", "mix.premix",
     "{\"grams\":[0.12],\"d_g\":0.1,\"error_pct\":5,\"half_drop_g\":0,\"diluent_g_max\":200}",
     ANSWER("{\"toner_g\":[2],\"diluent_g\":31.333333,\"take_g\":2,\"total_g\":33.333333,\"dose_error_pct\":[5]}")},
    /* m 1.4 g, k 1.4 / 0.09. Worked by hand. */
    {"the contract's premix, all but the interval left out", "mix.premix", "{\"grams\":[0.09,0.24,0.48],\"d_g\":0.01}",
     ANSWER("{\"toner_g\":[1.4,3.733333,7.466667],\"diluent_g\":9.177778,\"take_g\":1.4,\"total_g\":21.777778,"
            "\"dose_error_pct\":[5,3.4375,2.96875]}")},
    /* m 1.2 g, k 12. Worked by hand. */
    {"a premix with the interval left out", "mix.premix", "{\"grams\":[0.1]}",
     ANSWER("{\"toner_g\":[1.2],\"diluent_g\":13.2,\"take_g\":1.2,\"total_g\":14.4,\"dose_error_pct\":[5]}")},
    {"toners that need none", "mix.premix", "{\"grams\":[3,4],\"d_g\":0.1,\"half_drop_g\":0,\"diluent_g_max\":0}",
     ANSWER("{\"toner_g\":[3,4],\"diluent_g\":0,\"take_g\":7,\"total_g\":7,\"dose_error_pct\":[2.380952,1.964286]}")},
    {"S10", "mix.spread",
     "{\"area_m2\":1.5,\"coats\":1,\"film_um\":50,\"solids_vol_pct\":40,\"transfer_pct\":65,\"loss_ml\":0}",
     ANSWER("{\"volume_ml\":288.461538,\"m2_per_l\":8}")},
    {"V30, its solids of 1 g/mL", "mix.voc",
     "{\"components\":[{\"grams\":180,\"density_g_per_ml\":0.7845,\"voc_pct\":0,\"exempt_pct\":100,"
     "\"exempt_density_g_per_ml\":0.7845},{\"grams\":340,\"density_g_per_ml\":0.85,\"voc_pct\":100},"
     "{\"grams\":370.554493,\"density_g_per_ml\":1,\"voc_pct\":0}]}",
     ANSWER("{\"actual_g_per_l\":340,\"regulatory_g_per_l\":441.240695,\"density_g_per_ml\":0.890554,"
            "\"volume_ml\":1000,\"voc_g\":340}")},
    {"V05", "mix.voc_stages", "{\"ground_g_per_l\":720,\"mids_g_per_l\":[650],\"clear_g_per_l\":500}",
     ANSWER("{\"average_g_per_l\":592.5}")},
    {"V02: no mids", "mix.voc_stages", "{\"ground_g_per_l\":6,\"clear_g_per_l\":4.5}",
     ANSWER("{\"average_g_per_l\":5}")},
    /* Pair 19 of Sharma, Wu and Dalal (2005). */
    {"two colours", "mix.de00", "{\"lab\":[50,2.5,0],\"other\":[56,-27,-3]}", ANSWER("{\"de00\":31.903005}")},
    /* 0.6 and 0.8 make 1 g each; ds = (dg1 - dg2) / 200. */
    {"three terms", "mix.uncertainty", "{\"grams\":[50,50,0],\"d_g\":0,\"repeatability_g\":0.6,\"drop_g\":0.8}",
     ANSWER("{\"u_g\":[1,1,0],\"share_u_pct\":[0.707107,0.707107,0]}")},
};

static void answers_are_as_the_contract_shows_them(void **state)
{
    struct stub *stub = *state;

    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
        json_decref(stub_call(stub, answers[i].method, answers[i].params));
        if (strcmp(answers[i].answer, stub->last) != 0)
            fail_msg("%s:\n got %s\nwant %s", answers[i].name, stub->last, answers[i].answer);
    }
}

#define REMEDY(parts, total, poured) "{\"parts\":" parts ",\"total_g\":" total ",\"poured_g\":" poured
#define RATIO(more)                  "{\"parts\":[2,1],\"basis\":\"volume\"," more "}"
#define REDUCE(more)                 "{\"paint_g\":260,\"pct\":10," more "}"
#define VOC(more)                    "{\"components\":[{\"grams\":1,\"voc_pct\":50," more "}]}"

static const struct {
    const char *method, *params;
    int code;
    const char *field;
} refusals[] = {
    {"mix.remedies", REMEDY("[0,0]", "10", "[0,0]}"), -32005, "parts"},
    {"mix.remedies", REMEDY("[]", "10", "[]}"), -32005, "parts"},
    {"mix.remedies", "{\"total_g\":10,\"poured_g\":[1]}", -32005, "parts"},
    {"mix.remedies", REMEDY("[1,-1]", "10", "[0,0]}"), -32005, "parts"},
    {"mix.remedies", REMEDY("[1,null]", "10", "[0,0]}"), -32005, "parts"},
    {"mix.remedies", REMEDY("[1,\"1\"]", "10", "[0,0]}"), -32602, "parts"},
    {"mix.remedies", REMEDY("{}", "10", "[0,0]}"), -32602, "parts"},
    {"mix.remedies", REMEDY("[1,1e999]", "10", "[0,0]}"), -32005, "parts"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0]}"), -32005, "poured_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0,0]}"), -32005, "poured_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,-1]}"), -32005, "poured_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,null]}"), -32005, "poured_g"},
    {"mix.remedies", "{\"parts\":[1],\"total_g\":10}", -32005, "poured_g"},
    {"mix.remedies", REMEDY("[1,1]", "0", "[0,0]}"), -32005, "total_g"},
    {"mix.remedies", REMEDY("[1,1]", "-5", "[0,0]}"), -32005, "total_g"},
    {"mix.remedies", REMEDY("[1,1]", "null", "[0,0]}"), -32005, "total_g"},
    {"mix.remedies", REMEDY("[1,1]", "\"10\"", "[0,0]}"), -32602, "total_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"tolerance_g\":-1}"), -32005, "tolerance_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"tolerance_pct\":101}"), -32005, "tolerance_pct"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"d_g\":-0.1}"), -32005, "d_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"error_pct\":101}"), -32005, "error_pct"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"error_pct\":\"5\"}"), -32602, "error_pct"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"cup_g\":0}"), -32005, "cup_g"},
    {"mix.remedies", REMEDY("[1,1]", "10", "[0,0],\"cup_g\":[]}"), -32602, "cup_g"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,1]"), -32005, "total_g"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,1],\"total_g\":1,\"total_ml\":1"), -32005, "total_g"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,1],\"total_g\":0"), -32005, "total_g"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,1],\"total_ml\":-1"), -32005, "total_ml"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1],\"total_g\":1"), -32005, "densities_g_per_ml"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[],\"total_g\":1"), -32005, "densities_g_per_ml"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,0],\"total_g\":1"), -32005, "densities_g_per_ml"},
    {"mix.ratio", RATIO("\"densities_g_per_ml\":[1,null],\"total_g\":1"), -32005, "densities_g_per_ml"},
    {"mix.ratio", RATIO("\"total_g\":1"), -32005, "densities_g_per_ml"},
    {"mix.ratio", "{\"parts\":[2,1],\"total_g\":1}", -32602, "basis"},
    {"mix.ratio", "{\"parts\":[2,1],\"basis\":\"mass\",\"total_g\":1}", -32005, "basis"},
    {"mix.ratio", "{\"parts\":[2,1],\"basis\":1,\"total_g\":1}", -32602, "basis"},
    {"mix.reduce", REDUCE("\"basis\":\"volume\",\"reducer_density_g_per_ml\":1"), -32005, "paint_density_g_per_ml"},
    {"mix.reduce", REDUCE("\"basis\":\"volume\",\"paint_density_g_per_ml\":1"), -32005, "reducer_density_g_per_ml"},
    {"mix.reduce", REDUCE("\"basis\":\"weight\",\"paint_density_g_per_ml\":0"), -32005, "paint_density_g_per_ml"},
    {"mix.reduce", "{\"paint_g\":1,\"pct\":101,\"basis\":\"weight\"}", -32005, "pct"},
    {"mix.reduce", "{\"paint_g\":1,\"basis\":\"weight\"}", -32005, "pct"},
    {"mix.reduce", "{\"paint_g\":-1,\"pct\":1,\"basis\":\"weight\"}", -32005, "paint_g"},
    {"mix.weighable", "{\"parts\":[1],\"d_g\":-0.1,\"error_pct\":5}", -32005, "d_g"},
    {"mix.weighable", "{\"parts\":[1],\"d_g\":0.1,\"error_pct\":0}", -32005, "error_pct"},
    {"mix.weighable", "{\"parts\":[0],\"d_g\":0.1,\"error_pct\":5}", -32005, "parts"},
    {"mix.weighable", "{\"parts\":[1],\"d_g\":0.1,\"error_pct\":5,\"half_drop_g\":-1}", -32005, "half_drop_g"},
    {"mix.premix", "{\"d_g\":0.1}", -32005, "grams"},
    {"mix.premix", "{\"grams\":[],\"d_g\":0.1}", -32005, "grams"},
    {"mix.premix", "{\"grams\":[0.1,0],\"d_g\":0.1}", -32005, "grams"},
    {"mix.premix", "{\"grams\":[-0.1],\"d_g\":0.1}", -32005, "grams"},
    {"mix.premix", "{\"grams\":[null],\"d_g\":0.1}", -32005, "grams"},
    {"mix.premix", "{\"grams\":0.1,\"d_g\":0.1}", -32602, "grams"},
    {"mix.premix", "{\"grams\":[0.1],\"d_g\":-1}", -32005, "d_g"},
    {"mix.premix", "{\"grams\":[0.1],\"d_g\":0.1,\"error_pct\":0}", -32005, "error_pct"},
    {"mix.premix", "{\"grams\":[0.1],\"d_g\":0.1,\"half_drop_g\":-1}", -32005, "half_drop_g"},
    {"mix.premix", "{\"grams\":[0.001],\"d_g\":0.1,\"diluent_g_max\":200}", -32005, "diluent_g_max"},
    {"mix.premix", "{\"grams\":[1],\"d_g\":0.1,\"diluent_g_max\":-1}", -32005, "diluent_g_max"},
    {"mix.premix", "{\"grams\":[1],\"d_g\":0.1,\"diluent_g_max\":\"2\"}", -32602, "diluent_g_max"},
    {"mix.de00", "{\"lab\":[50,2],\"other\":[56,-27,-3]}", -32005, "lab"},
    {"mix.de00", "{\"lab\":[50,2,1]}", -32005, "other"},
    {"mix.de00", "{\"lab\":[-50,2,1],\"other\":[1,1,1]}", -32005, "lab"},
    {"mix.de00", "{\"lab\":\"red\",\"other\":[1,1,1]}", -32602, "lab"},
    {"mix.uncertainty", "{\"d_g\":0.1}", -32005, "grams"},
    {"mix.uncertainty", "{\"grams\":[1],\"drift_g\":-1}", -32005, "drift_g"},
    {"mix.workoff", "{\"total_g\":1}", -32005, "parts"},
    {"mix.workoff", "{\"parts\":[1],\"total_g\":0}", -32005, "total_g"},
    {"mix.workoff", "{\"parts\":[1],\"total_g\":1,\"smallest_g\":-1}", -32005, "smallest_g"},
    {"mix.workoff", "{\"parts\":[1],\"total_g\":1,\"prices_per_kg\":[1,2]}", -32005, "prices_per_kg"},
    {"mix.workoff", "{\"parts\":[1],\"total_g\":1,\"leftovers\":[1]}", -32602, "leftovers"},
    {"mix.workoff", "{\"parts\":[1,1],\"total_g\":1,\"leftovers\":[{\"grams\":1,\"parts\":[1]}]}", -32005, "parts"},
    {"mix.workoff", "{\"parts\":[1],\"total_g\":1,\"leftovers\":[{\"parts\":[1]}]}", -32005, "grams"},
    {"mix.rescue", "{\"parts\":[1],\"total_g\":1}", -32005, "poured_g"},
    {"mix.rescue", "{\"parts\":[1],\"total_g\":1,\"poured_g\":[1],\"waste_per_kg\":-1}", -32005, "waste_per_kg"},
    {"mix.spread", "{\"area_m2\":1,\"coats\":1,\"film_um\":50,\"solids_vol_pct\":0,\"transfer_pct\":65}", -32005,
     "solids_vol_pct"},
    {"mix.spread", "{\"area_m2\":1,\"coats\":1,\"film_um\":50,\"solids_vol_pct\":40,\"transfer_pct\":101}", -32005,
     "transfer_pct"},
    {"mix.spread", "{\"area_m2\":1,\"coats\":1,\"film_um\":50,\"solids_vol_pct\":40}", -32005, "transfer_pct"},
    {"mix.voc", "{\"components\":[]}", -32005, "components"},
    {"mix.voc", "{}", -32005, "components"},
    {"mix.voc", "{\"components\":[1]}", -32602, "components"},
    {"mix.voc", VOC("\"density_g_per_ml\":0"), -32005, "density_g_per_ml"},
    {"mix.voc", VOC("\"water_pct\":101"), -32005, "water_pct"},
    {"mix.voc", VOC("\"water_pct\":51"), -32005, "voc_pct"},
    {"mix.voc", "{\"components\":[{\"grams\":1}]}", -32005, "voc_pct"},
    {"mix.voc", "{\"components\":[{\"grams\":0,\"voc_pct\":1}]}", -32005, "grams"},
    {"mix.voc_stages", "{\"ground_g_per_l\":-1,\"clear_g_per_l\":500}", -32005, "ground_g_per_l"},
    {"mix.voc_stages", "{\"ground_g_per_l\":1,\"mids_g_per_l\":[null],\"clear_g_per_l\":500}", -32005, "mids_g_per_l"},
};

static void refusals_name_the_field(void **state)
{
    for (size_t i = 0; i < sizeof refusals / sizeof *refusals; i++)
        stub_refused(*state, refusals[i].method, refusals[i].params, refusals[i].code, refusals[i].field);
}

static void at_most_64_components(void **state)
{
    for (size_t n = 64; n <= 65; n++) {
        json_t *parts = json_array(), *params;
        char *text;

        for (size_t i = 0; i < n; i++)
            json_array_append_new(parts, json_integer(1));
        params = json_pack("{s:o,s:s,s:i}", "parts", parts, "basis", "weight", "total_g", 64);
        text = json_dumps(params, 0);
        json_decref(params);
        if (n == 64)
            json_decref(stub_call(*state, "mix.ratio", text));
        else
            stub_refused(*state, "mix.ratio", text, -32005, "parts");
        free(text);
    }
}

static void an_unknown_density_gives_null_and_the_reason(void **state)
{
    json_t *result = stub_call(*state, "mix.voc", "{\"components\":[{\"grams\":1,\"voc_pct\":50}]}");

    assert_true(json_is_null(json_object_get(result, "regulatory_g_per_l")));
    assert_true(json_is_null(json_object_get(result, "volume_ml")));
    assert_true(json_number_value(json_object_get(result, "voc_g")) == 0.5);
    assert_true(json_string_length(json_object_get(result, "why")) > 0);
    json_decref(result);
}

/* Row W07: 2 mg wanted, and 120 mg is what can be weighed. Its aliquot of 125 mg is a round number chosen by the book;
 * ours is the least, so the factor of 60 is the row's and the diluent is that of 120 mg. Here in grams. */
static void a_published_premix(void **state)
{
    json_t *r = stub_call(*state, "mix.premix", "{\"grams\":[2],\"d_g\":6,\"half_drop_g\":0,\"diluent_g_max\":10000}");
    double take_g = number_of(r, "take_g"), factor = published("W07", 0);

    near_to("W07 weighed", json_number_value(json_array_get(json_object_get(r, "toner_g"), 0)), 120, 1e-6);
    near_to("W07 factor", number_of(r, "total_g") / take_g, factor, 1e-6);
    near_to("W07 diluent of the least aliquot", number_of(r, "diluent_g"), factor * take_g - 120, 1e-6);
    json_decref(r);
}

/* Row W13: half an interval is what a reading itself may be off, so no tolerance asks for less, however small the
 * share. Half of a per cent of an aim of 2 g is 0.01 g; a and e bound it between d/2 and a. */
static void a_published_tolerance(void **state)
{
    static const struct {
        double d_g, tolerance_g, error_pct, allowed_g;
    } rows[] = {
        {0, 0.5, 5, 0.1},   /* e of the aim */
        {1, 0.5, 5, 0.5},   /* half an interval is more */
        {0.4, 0.5, 5, 0.2}, /* the same, below a */
        {1, 0.3, 5, 0.3},   /* a bounds it from above */
        {0, 0.5, 1, 0.02},  /* a stricter e */
        {0, 5, 50, 1},      /* what mix.remedies takes where both are left out */
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double half = published("W13", 0) * rows[i].d_g;
        if (rows[i].d_g > 0 && rows[i].tolerance_g >= half)
            near_to("W13 half an interval", rows[i].allowed_g, half, 1e-12);
        for (int over = 0; over <= 1; over++) {
            double poured = 2 + rows[i].allowed_g + (over ? 0.001 : 0);
            json_t *p = json_pack("{s:[i,i],s:i,s:[f,i],s:f,s:f}", "parts", 2, 98, "total_g", 100, "poured_g", poured,
                                  0, "tolerance_g", rows[i].tolerance_g, "tolerance_pct", 0.5);
            if (rows[i].d_g > 0 || rows[i].error_pct != 50) {
                json_object_set_new(p, "d_g", json_real(rows[i].d_g));
                json_object_set_new(p, "error_pct", json_real(rows[i].error_pct));
            }
            char *text = json_dumps(p, 0);
            json_t *r = stub_call(*state, "mix.remedies", text);
            double total_g = number_of(json_object_get(r, "grow"), "total_g");
            if (over ? total_g <= 100 : total_g > 100 + 1e-6)
                fail_msg("row %zu: %f g poured of 2 make %f g", i, poured, total_g);
            json_decref(r);
            json_decref(p);
            free(text);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(answers_are_as_the_contract_shows_them, begin, end),
        cmocka_unit_test_setup_teardown(a_published_premix, begin, end),
        cmocka_unit_test_setup_teardown(a_published_tolerance, begin, end),
        cmocka_unit_test_setup_teardown(refusals_name_the_field, begin, end),
        cmocka_unit_test_setup_teardown(at_most_64_components, begin, end),
        cmocka_unit_test_setup_teardown(an_unknown_density_gives_null_and_the_reason, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
