#include "catalogue/catalogue.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static json_t *parse(const char *text)
{
    json_error_t error;
    json_t *out = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (!out)
        fail_msg("%s in %s", error.text, text);
    return out;
}

static const struct {
    const char *kind, *text, *want; /* want: the whole shape */
} shapes[] = {
    {"toner", "{\"id\":\"N10\"}",
     "{\"id\":\"N10\",\"name\":\"N10\",\"pigment\":null,\"line\":null,\"role\":\"toner\",\"density_g_per_ml\":null,"
     "\"voc_pct\":null,\"water_pct\":null,\"exempt_pct\":null,\"exempt_density_g_per_ml\":null,"
     "\"solids_vol_pct\":null,\"price_per_kg\":null,\"metals_pct\":null,\"bank\":null,\"code\":null,\"codes\":[],"
     "\"reorder_g\":null,"
     "\"stir\":false,\"composition\":null,\"made\":null,"
     "\"hazards\":{\"signal\":null,\"statements\":[]},\"optics\":null}"},
    {"toner",
     "{\"id\":\"HARD-2\",\"name\":\"H\\u00e4rter\",\"pigment\":\"PW6\",\"line\":\"two-pack\",\"role\":\"hardener\","
     "\"density_g_per_ml\":1,\"voc_pct\":60.5,\"water_pct\":0,\"exempt_pct\":10,\"exempt_density_g_per_ml\":0.79,"
     "\"solids_vol_pct\":38,\"price_per_kg\":0,\"metals_pct\":null,\"bank\":\"B 2\",\"code\":\"4711\","
     "\"unknown\":[1],\"hazards\":{\"signal\":\"Warning\",\"statements\":[\"H226\",\"EUH204\"]}}",
     "{\"id\":\"HARD-2\",\"name\":\"H\\u00e4rter\",\"pigment\":\"PW6\",\"line\":\"two-pack\",\"role\":\"hardener\","
     "\"density_g_per_ml\":1,\"voc_pct\":60.5,\"water_pct\":0,\"exempt_pct\":10,"
     "\"exempt_density_g_per_ml\":0.79,\"solids_vol_pct\":38,\"price_per_kg\":0,\"metals_pct\":null,"
     "\"bank\":\"B "
     "2\",\"code\":\"4711\",\"codes\":[\"4711\"],\"reorder_g\":null,\"stir\":false,\"composition\":null,\"made\":null,"
     "\"hazards\":{\"signal\":\"warning\","
     "\"statements\":["
     "\"H226\",\"EUH204\"]},\"optics\":null}"},
    {"cup", "{\"id\":\"0.75\",\"ml\":750}", "{\"id\":\"0.75\",\"ml\":750,\"tare_g\":null,\"fill_pct\":95}"},
    {"panel", "{\"id\":\"door\",\"area_m2\":1,\"default\":true}",
     "{\"id\":\"door\",\"name\":\"door\",\"area_m2\":1,\"default\":true}"},
    {"formula",
     "{\"code\":\"TI-1\",\"name\":\"One\",\"finish\":\"pearl\",\"line\":\"solvent\",\"variants\":[\"nonsense\"],"
     "\"coats\":[{\"coat\":\"mid\",\"parts\":[{\"toner\":\"N10\",\"parts\":3},{\"toner\":\"N10\",\"parts\":0.5}]},"
     "{\"coat\":\"mid\",\"variant\":\"a bit darker\",\"parts\":[{\"toner\":\"K01\",\"parts\":1}]}]}",
     "{\"code\":\"TI-1\",\"name\":\"One\",\"finish\":\"pearl\",\"line\":\"solvent\",\"variants\":[\"standard\","
     "\"a bit darker\"],\"coats\":[{\"coat\":\"mid\",\"variant\":\"standard\",\"parts\":[{\"toner\":\"N10\",\"parts\":"
     "3},{\"toner\":\"N10\",\"parts\":0.5}]},{\"coat\":\"mid\",\"variant\":\"a bit darker\",\"parts\":[{\"toner\":"
     "\"K01\",\"parts\":1}]}]}"},
    {"product",
     "{\"id\":\"P\",\"role\":\"single\",\"ratio\":[2,1,0.25],\"basis\":\"volume\",\"parts\":[\"colour\",\"H\",\"R\"],"
     "\"hardeners\":[\"H\",{\"id\":\"H2\",\"speed\":\"slow\"}],\"reducers\":[{\"id\":\"R\",\"min_c\":-5,\"max_c\":18}]"
     "}",
     "{\"id\":\"P\",\"name\":\"P\",\"role\":\"single\",\"line\":null,\"ratio\":\"2:1:0.25\",\"basis\":\"volume\","
     "\"of\":\"paint\",\"parts\":[\"colour\",\"H\",\"R\"],\"pot_life_min\":null,\"flash_min\":null,\"film_um\":null,"
     "\"solids_vol_pct\":null,\"hardener_tolerance_pct\":3,\"reducer_tolerance_pct\":5,\"hardeners\":[{\"id\":"
     "\"H\",\"speed\":null,\"min_c\":null,\"max_c\":null},{\"id\":\"H2\",\"speed\":\"slow\",\"min_c\":null,\"max_c\":"
     "null}],\"reducers\":[{\"id\":\"R\",\"speed\":null,\"min_c\":-5,\"max_c\":18}]}"},
};

/* Every member of the contract is there, null where nothing is known; what came out goes in again unchanged. */
static void a_thing_comes_out_whole_and_goes_in_again(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        struct fault fault;
        json_t *in = parse(shapes[i].text), *want = parse(shapes[i].want);
        json_t *out = catalogue_shape(shapes[i].kind, in, &fault);
        if (!out)
            fail_msg("%s: %s: %s", shapes[i].text, fault.field, fault.message);
        json_t *again = catalogue_shape(shapes[i].kind, out, &fault);
        char *text = json_dumps(out, JSON_COMPACT);
        if (!json_equal(out, want))
            fail_msg("got %s, want %s", text, shapes[i].want);
        if (!again || !json_equal(again, out))
            fail_msg("not taken again: %s", text);
        free(text);
        json_decref(again);
        json_decref(out);
        json_decref(want);
        json_decref(in);
    }
}

static void hazards_may_come_as_a_list_or_one_text(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "{\"id\":\"A\",\"hazards\":[\"H226\",\"EUH066\",\"H226\"]}",
        "{\"id\":\"A\",\"hazards\":\"H226, EUH066\"}",
        "{\"id\":\"A\",\"hazards\":{\"statements\":[\"H226\",\"EUH066\"]}}",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct toner t;
        struct fault fault;
        json_t *json = parse(texts[i]);
        assert_true(toner_from_json(json, &t, &fault));
        assert_int_equal(t.hazard_count, 2);
        assert_string_equal(t.hazards[0], "H226");
        assert_string_equal(t.hazards[1], "EUH066");
        assert_string_equal(t.signal, "");
        json_decref(json);
    }
}

#define FIFTY     "01234567890123456789012345678901234567890123456789"
#define LONG_NAME FIFTY FIFTY FIFTY FIFTY "01234567890123456789012345678901234567890" /* 241 bytes */

static const struct {
    const char *kind, *text;
    enum fault_kind fault;
    const char *field;
} bad[] = {
    {"toner", "[]", FAULT_PARAMS, "toner"},
    {"toner", "{}", FAULT_PARAMS, "id"},
    {"toner", "{\"id\":\"\"}", FAULT_PARAMS, "id"},
    {"toner", "{\"id\":7}", FAULT_PARAMS, "id"},
    {"toner", "{\"id\":\"N 10\"}", FAULT_INVALID, "id"},
    {"toner", "{\"id\":\"01234567890123456789012345678901234567890\"}", FAULT_INVALID, "id"},
    {"toner", "{\"id\":\"A\",\"name\":3}", FAULT_PARAMS, "name"},
    {"toner", "{\"id\":\"A\",\"name\":\"" LONG_NAME "\"}", FAULT_INVALID, "name"},
    {"toner", "{\"id\":\"A\",\"name\":\"two\\nlines\"}", FAULT_INVALID, "name"},
    {"toner", "{\"id\":\"A\",\"name\":\"a\\u200bb\"}", FAULT_INVALID, "name"},
    {"toner", "{\"id\":\"A\",\"name\":\"a\\u202eb\"}", FAULT_INVALID, "name"},
    {"toner", "{\"id\":\"A\",\"pigment\":\"\\u0085\"}", FAULT_INVALID, "pigment"},
    {"formula", "{\"code\":\"F\",\"finish\":\"\",\"line\":\"solvent\",\"coats\":[]}", FAULT_PARAMS, "finish"},
    {"toner", "{\"id\":\"A\",\"line\":\"oil\"}", FAULT_INVALID, "line"},
    {"toner", "{\"id\":\"A\",\"role\":\"thinner\"}", FAULT_INVALID, "role"},
    {"toner", "{\"id\":\"A\",\"density_g_per_ml\":\"1.2\"}", FAULT_PARAMS, "density_g_per_ml"},
    {"toner", "{\"id\":\"A\",\"density_g_per_ml\":0}", FAULT_INVALID, "density_g_per_ml"},
    {"toner", "{\"id\":\"A\",\"density_g_per_ml\":-1}", FAULT_INVALID, "density_g_per_ml"},
    {"toner", "{\"id\":\"A\",\"density_g_per_ml\":true}", FAULT_PARAMS, "density_g_per_ml"},
    {"toner", "{\"id\":\"A\",\"voc_pct\":101}", FAULT_INVALID, "voc_pct"},
    {"toner", "{\"id\":\"A\",\"voc_pct\":-0.1}", FAULT_INVALID, "voc_pct"},
    {"toner", "{\"id\":\"A\",\"voc_pct\":60,\"exempt_pct\":41}", FAULT_INVALID, "voc_pct"},
    {"toner", "{\"id\":\"A\",\"price_per_kg\":-1}", FAULT_INVALID, "price_per_kg"},
    {"toner", "{\"id\":\"A\",\"hazards\":7}", FAULT_PARAMS, "hazards"},
    {"toner", "{\"id\":\"A\",\"hazards\":[7]}", FAULT_PARAMS, "hazards"},
    {"toner", "{\"id\":\"A\",\"hazards\":[\"R10\"]}", FAULT_INVALID, "hazards"},
    {"toner", "{\"id\":\"A\",\"hazards\":[\"H22\"]}", FAULT_INVALID, "hazards"},
    {"toner", "{\"id\":\"A\",\"hazards\":[\"H2266\"]}", FAULT_INVALID, "hazards"},
    {"toner", "{\"id\":\"A\",\"hazards\":{\"signal\":\"caution\"}}", FAULT_INVALID, "signal"},
    {"cup", "{\"id\":\"A\"}", FAULT_INVALID, "ml"},
    {"cup", "{\"id\":\"A\",\"ml\":0}", FAULT_INVALID, "ml"},
    {"cup", "{\"id\":\"A\",\"ml\":1,\"fill_pct\":0}", FAULT_INVALID, "fill_pct"},
    {"cup", "{\"id\":\"A\",\"ml\":1,\"tare_g\":-3}", FAULT_INVALID, "tare_g"},
    {"panel", "{\"id\":\"A\"}", FAULT_INVALID, "area_m2"},
    {"panel", "{\"id\":\"A\",\"area_m2\":1,\"default\":\"yes\"}", FAULT_PARAMS, "default"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":\"A\",\"ratio\":\"1\"}", FAULT_PARAMS,
     "parts"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[],\"ratio\":\"1\"}", FAULT_INVALID,
     "parts"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[1],\"ratio\":\"1\"}", FAULT_PARAMS,
     "parts"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[\"A\"],\"ratio\":[0]}", FAULT_INVALID,
     "ratio"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[\"A\"],\"ratio\":[\"1\"]}",
     FAULT_PARAMS, "ratio"},
    {"product", "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[\"A\"],\"ratio\":[1,2]}",
     FAULT_INVALID, "ratio"},
    {"product",
     "{\"id\":\"P\",\"role\":\"clear\",\"basis\":\"volume\",\"parts\":[\"A\"],\"ratio\":\"1\",\"hardeners\":[7]}",
     FAULT_PARAMS, "hardeners"},
    {"formula", "{\"code\":\"F\",\"line\":\"solvent\",\"coats\":[]}", FAULT_PARAMS, "finish"},
    {"formula", "{\"code\":\"F\",\"finish\":\"solid\",\"coats\":[]}", FAULT_PARAMS, "line"},
    {"formula", "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\"}", FAULT_PARAMS, "coats"},
    {"formula", "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[]}", FAULT_INVALID, "coats"},
    {"formula", "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[7]}", FAULT_PARAMS,
     "coats[0].coat"},
    {"formula", "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\"}]}",
     FAULT_PARAMS, "coats[0].parts"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\",\"parts\":[]}]}",
     FAULT_INVALID, "coats[0].parts"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"top\",\"parts\":[]}]}",
     FAULT_INVALID, "coats[0].coat"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\",\"variant\":\" x\","
     "\"parts\":[]}]}",
     FAULT_INVALID, "coats[0].variant"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\",\"parts\":[{\"toner\":"
     "\"N10\",\"parts\":1},{\"toner\":\"N11\"}]}]}",
     FAULT_INVALID, "coats[0].parts[1].parts"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\",\"parts\":[{\"toner\":"
     "\"N10\",\"parts\":0}]}]}",
     FAULT_INVALID, "coats[0].parts[0].parts"},
    {"formula",
     "{\"code\":\"F\",\"finish\":\"solid\",\"line\":\"solvent\",\"coats\":[{\"coat\":\"base\",\"parts\":[{\"parts\":1}"
     "]}]}",
     FAULT_PARAMS, "coats[0].parts[0].toner"},
    {"pigment", "{}", FAULT_UNKNOWN, "kind"},
};

static void what_is_wrong_is_refused_with_its_member(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct fault fault = {0};
        json_t *json = parse(bad[i].text), *out = catalogue_shape(bad[i].kind, json, &fault);
        if (out)
            fail_msg("taken: %s", bad[i].text);
        if (fault.kind != bad[i].fault || strcmp(fault.field, bad[i].field) != 0 || !fault.help[0])
            fail_msg("%s: got %d %s (%s)", bad[i].text, fault_code(fault.kind), fault.field, fault.message);
        json_decref(json);
    }
}

/* Contract and issue: 60 characters of any script are kept whole. */
static void a_name_of_sixty_characters_is_kept_whole(void **state)
{
    (void)state;
    static const char *const letters[] = {"x", "ü", "銅", "🎨"};
    for (size_t i = 0; i < 4; i++) {
        char name[241] = "";
        struct fault fault;
        for (int k = 0; k < 60; k++)
            strcat(name, letters[i]);
        json_t *in = json_pack("{s:s, s:s}", "id", "N10", "name", name), *out = catalogue_shape("toner", in, &fault);
        assert_non_null(out);
        assert_string_equal(json_string_value(json_object_get(out, "name")), name);
        json_decref(in);
        json_decref(out);
    }
}

static json_t *formula_of(size_t coats, size_t parts)
{
    json_t *list = json_array();
    for (size_t i = 0; i < coats; i++) {
        char variant[24];
        json_t *toners = json_array();
        snprintf(variant, sizeof variant, "v%zu", i);
        for (size_t k = 0; k < parts; k++)
            json_array_append_new(toners, json_pack("{s:s, s:i}", "toner", "N10", "parts", 1));
        json_array_append_new(list, json_pack("{s:s, s:s, s:o}", "coat", "base", "variant", variant, "parts", toners));
    }
    return json_pack("{s:s, s:s, s:s, s:o}", "code", "F", "finish", "solid", "line", "solvent", "coats", list);
}

static void a_formula_has_at_most_64_coats_of_64_parts(void **state)
{
    (void)state;
    struct formula f;
    struct fault fault;
    json_t *json = formula_of(64, 64);
    assert_true(formula_from_json(json, &f, &fault));
    assert_int_equal(f.coat_count, 64);
    assert_int_equal(f.coats[63].part_count, 64);
    assert_ptr_equal(formula_coat(&f, "base", "v7"), &f.coats[7]);
    assert_null(formula_coat(&f, "mid", "v7"));
    assert_null(formula_coat(&f, "base", "standard"));
    formula_finish(&f);
    json_decref(json);
    json = formula_of(65, 1);
    assert_false(formula_from_json(json, &f, &fault));
    json_decref(json);
    json = formula_of(1, 65);
    assert_false(formula_from_json(json, &f, &fault));
    assert_string_equal(fault.field, "coats[0].parts");
    json_decref(json);
}

static void the_words_to_find_a_thing_by_are_its_own(void **state)
{
    (void)state;
    json_t *toner = parse("{\"id\":\"THN-20\",\"name\":\"reducer, medium\",\"role\":\"reducer\",\"pigment\":null}");
    char *text = catalogue_text(toner);
    assert_string_equal(text, "THN-20 reducer, medium reducer");
    free(text);
    json_decref(toner);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thing_comes_out_whole_and_goes_in_again),
        cmocka_unit_test(hazards_may_come_as_a_list_or_one_text),
        cmocka_unit_test(what_is_wrong_is_refused_with_its_member),
        cmocka_unit_test(a_name_of_sixty_characters_is_kept_whole),
        cmocka_unit_test(a_formula_has_at_most_64_coats_of_64_parts),
        cmocka_unit_test(the_words_to_find_a_thing_by_are_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
