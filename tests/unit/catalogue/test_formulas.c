#include "catalogue/hazards.h"
#include "tests/unit/catalogue/shop.h"

/* The invented world under formulas/: what it must hold, and that it fits together. */

static int demo_setup(void **state)
{
    shop_setup(state);
    struct shop *s = *state;
    assert_true(shop_import(s, "formulas") > 0);
    return 0;
}

static json_t *list(struct shop *s, const char *kind)
{
    return catalogue_list(s->store, kind, NULL);
}

static void it_passes_the_check(void **state)
{
    (void)state;
    char *said = NULL;
    size_t size;
    char here[256], config[400], path[128];
    struct folder folder;
    folder_make(&folder);
    assert_non_null(getcwd(here, sizeof here));
    snprintf(config, sizeof config, "[shop]\ndata = %s/formulas\n", here);
    folder_write(&folder, "poised.ini", config);
    snprintf(path, sizeof path, "%s/poised.ini", folder.dir);
    FILE *out = open_memstream(&said, &size);
    bool fine = files_check(path, NULL, out);
    fclose(out);
    folder_remove(&folder);
    if (!fine)
        fail_msg("%s", said);
    assert_int_equal(size, 0);
    free(said);
}

static void every_file_says_that_it_is_invented(void **state)
{
    (void)state;
    static const char *const files[] = {"toners", "colours-solid", "colours-metallic", "colours-pearl", "products",
                                        "cups",   "panels"};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        char path[64], line[256] = "";
        snprintf(path, sizeof path, "formulas/%s.ini", files[i]);
        FILE *in = fopen(path, "r");
        assert_non_null(in);
        assert_non_null(fgets(line, sizeof line, in));
        fclose(in);
        if (line[0] != '#' || !strstr(line, "invented"))
            fail_msg("%s begins with %s", path, line);
    }
}

static void there_are_thirty_toners_with_all_that_is_known_of_one(void **state)
{
    struct shop *s = *state;
    json_t *toners = list(s, "toner"), *t;
    size_t i, n = 0;
    json_array_foreach(toners, i, t)
    {
        struct toner v;
        assert_true(catalogue_toner(s->store, json_string_value(json_object_get(t, "id")), &v));
        if (isnan(v.density_g_per_ml) || isnan(v.voc_pct) || isnan(v.solids_vol_pct) || isnan(v.price_per_kg) ||
            !v.line[0] || !v.role[0] || !v.bank[0] || !v.name[0])
            fail_msg("%s: something is missing", v.id);
        if (v.hazard_count == 0 && strcmp(v.line, "waterborne") != 0)
            fail_msg("%s: no hazards", v.id);
        struct hazards known = {.count = 0};
        for (size_t h = 0; h < v.hazard_count; h++)
            hazards_add(&known, v.hazards[h]);
        if (known.count < v.hazard_count)
            fail_msg("%s: hazards without a word", v.id);
        n += strcmp(v.role, "toner") == 0 || strcmp(v.role, "pearl") == 0 || strcmp(v.role, "metallic") == 0 ||
             strcmp(v.role, "binder") == 0;
    }
    json_decref(toners);
    assert_true(n >= 30);
}

static void no_two_stand_in_one_place_of_the_bank(void **state)
{
    struct shop *s = *state;
    json_t *toners = list(s, "toner"), *seen = json_object(), *t;
    size_t i;
    json_array_foreach(toners, i, t)
    {
        const char *bank = json_string_value(json_object_get(t, "bank"));
        if (json_object_get(seen, bank))
            fail_msg("%s is taken twice", bank);
        json_object_set(seen, bank, json_true());
    }
    json_decref(seen);
    json_decref(toners);
}

static void there_are_twelve_colours_in_three_finishes_with_variants(void **state)
{
    struct shop *s = *state;
    json_t *formulas = list(s, "formula"), *f;
    size_t i, solid = 0, metallic = 0, pearl = 0, variants = 0, layers = 0, waterborne = 0, single = 0;
    json_array_foreach(formulas, i, f)
    {
        struct formula v;
        assert_true(catalogue_formula(s->store, json_string_value(json_object_get(f, "code")), 0, &v));
        solid += strcmp(v.finish, "solid") == 0;
        metallic += strcmp(v.finish, "metallic") == 0;
        pearl += strcmp(v.finish, "pearl") == 0;
        waterborne += strcmp(v.line, "waterborne") == 0;
        variants += json_array_size(json_object_get(f, "variants")) > 1;
        single += formula_coat(&v, "single", "standard") != NULL;
        layers += formula_coat(&v, "ground", "standard") && formula_coat(&v, "mid", "standard");
        json_t *warnings = formula_check(s->store, &v);
        if (json_array_size(warnings))
            fail_msg("%s: %s", v.code, json_string_value(json_object_get(json_array_get(warnings, 0), "text")));
        json_decref(warnings);
        formula_finish(&v);
    }
    assert_true(json_array_size(formulas) >= 12);
    assert_true(solid >= 3 && metallic >= 3 && pearl >= 3);
    assert_true(variants >= 6 && layers >= 2 && waterborne >= 2 && single >= 1);
    json_decref(formulas);
}

static void there_are_five_products_of_known_parts_with_pot_life(void **state)
{
    struct shop *s = *state;
    json_t *products = list(s, "product"), *p;
    size_t i;
    assert_int_equal(json_array_size(products), 5);
    json_array_foreach(products, i, p)
    {
        struct product v;
        struct toner t;
        assert_true(catalogue_product(s->store, json_string_value(json_object_get(p, "id")), &v));
        assert_true(v.pot_life_min > 0);
        for (size_t k = 0; k < v.part_count; k++)
            if (!(k == 0 && strcmp(v.parts[k].id, "colour") == 0) && !catalogue_toner(s->store, v.parts[k].id, &t))
                fail_msg("%s: nothing describes %s", v.id, v.parts[k].id);
        for (size_t k = 0; k < v.hardener_count; k++)
            if (!catalogue_toner(s->store, v.hardeners[k].id, &t) || strcmp(t.role, "hardener") != 0)
                fail_msg("%s: %s is no hardener", v.id, v.hardeners[k].id);
        for (size_t k = 0; k < v.reducer_count; k++)
            if (!catalogue_toner(s->store, v.reducers[k].id, &t) || strcmp(t.role, "reducer") != 0)
                fail_msg("%s: %s is no reducer", v.id, v.reducers[k].id);
    }
    json_decref(products);
    struct product single, clear;
    assert_true(catalogue_product_for(s->store, "TI-031", "single", &single));
    assert_true(catalogue_product(s->store, "CLEAR-40", &clear));
    assert_true(clear.by_volume && clear.part_count == 3 && clear.pot_life_min == 90);
    assert_true(clear.parts[0].ratio == 4 && clear.parts[1].ratio == 1 && clear.parts[2].ratio == 1);
}

static void cups_and_panels_are_there(void **state)
{
    struct shop *s = *state;
    struct cup_kind c;
    struct panel p;
    assert_true(catalogue_cup_of_ml(s->store, 750, &c));
    assert_true(c.tare_g == 31.2);
    assert_true(catalogue_panel(s->store, "door-left-rear", &p));
    assert_true(p.area_m2 == 1.0 && p.is_default);
    json_t *cups = list(s, "cup");
    assert_true(json_array_size(cups) >= 4);
    json_decref(cups);
}

/* The demo's ground and mid as the rest of the papers speak of them, with the density that its 400 mL are worked with:
 * 400 mL with 20 % reducer by volume are 412.4 g of ground; 400 g of mid take 68.3 g of reducer. */
static void copperwing_is_what_the_papers_say(void **state)
{
    static const struct {
        const char *coat, *toner[6];
        double parts[6], sum, reducer_g, grams_of_400_ml;
        size_t n;
    } want[] = {
        {"ground", {"N10", "S42", "K01"}, {212.0, 61.5, 3.2}, 276.7, NAN, 412.4, 3},
        {"mid", {"B20", "E31", "E12", "R17", "Y05", "K01"}, {268, 84, 26.4, 12.8, 6.4, 2.4}, 400, 68.3, NAN, 6},
    };
    struct shop *s = *state;
    struct formula f;
    struct toner reducer;
    assert_true(catalogue_formula(s->store, "TI-207", 0, &f));
    assert_true(catalogue_reducer(s->store, f.line, &reducer));
    for (size_t i = 0; i < 2; i++) {
        const struct coat *c = formula_coat(&f, want[i].coat, "standard");
        assert_non_null(c);
        assert_int_equal(c->part_count, want[i].n);
        double sum = 0, ml = 0;
        for (size_t k = 0; k < c->part_count; k++) {
            struct toner t;
            assert_string_equal(c->parts[k].toner, want[i].toner[k]);
            assert_true(c->parts[k].parts == want[i].parts[k]);
            assert_true(catalogue_toner(s->store, c->parts[k].toner, &t));
            sum += c->parts[k].parts;
            ml += c->parts[k].parts / t.density_g_per_ml;
        }
        assert_true(fabs(sum - want[i].sum) < 1e-9);
        if (!isnan(want[i].reducer_g))
            assert_true(fabs(0.2 * ml * reducer.density_g_per_ml - want[i].reducer_g) < 0.05);
        if (!isnan(want[i].grams_of_400_ml))
            assert_true(fabs(400 / 1.2 * sum / ml - want[i].grams_of_400_ml) < 0.05);
    }
    assert_non_null(formula_coat(&f, "ground", "darker"));
    formula_finish(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_passes_the_check),
        cmocka_unit_test(every_file_says_that_it_is_invented),
        cmocka_unit_test(there_are_thirty_toners_with_all_that_is_known_of_one),
        cmocka_unit_test(no_two_stand_in_one_place_of_the_bank),
        cmocka_unit_test(there_are_twelve_colours_in_three_finishes_with_variants),
        cmocka_unit_test(there_are_five_products_of_known_parts_with_pot_life),
        cmocka_unit_test(cups_and_panels_are_there),
        cmocka_unit_test(copperwing_is_what_the_papers_say),
    };
    return cmocka_run_group_tests(tests, demo_setup, shop_teardown);
}
