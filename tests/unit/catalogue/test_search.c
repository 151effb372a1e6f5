#include "tests/unit/catalogue/shop.h"

#define REDUCER(id, line) "[toner " id "]\nrole = reducer\nline = " line "\n"

static const char *reducer(struct shop *s, const char *line, struct toner *t)
{
    return catalogue_reducer(s->store, line, t) ? t->id : "(none)";
}

static void a_line_s_reducer_is_the_first_one_read_not_the_first_by_id(void **state)
{
    struct shop *s = *state;
    struct toner t;
    assert_string_equal(reducer(s, "solvent", &t), "(none)");
    shop_put(s, "toner", "A0", "{\"id\":\"A0\",\"role\":\"reducer\",\"line\":\"solvent\"}");
    assert_string_equal(reducer(s, "solvent", &t), "A0"); /* none read: one put will do */
    shop_write(s, "a.ini",
               "[toner A1]\nname = reducer by name alone\nline = solvent\n" REDUCER("W1", "waterborne")
                   REDUCER("Z9", "solvent") REDUCER("B1", "solvent"));
    assert_string_equal(reducer(s, "solvent", &t), "Z9");
    assert_int_equal(t.revision, 1);
    assert_string_equal(reducer(s, "waterborne", &t), "W1");
    assert_string_equal(reducer(s, "two-pack", &t), "(none)");
    assert_int_equal(shop_write(s, "a.ini", REDUCER("B1", "solvent") REDUCER("Z9", "solvent")), 0);
    assert_string_equal(reducer(s, "solvent", &t), "B1"); /* moved in the file: no section changed, the order did */
    shop_put(s, "toner", "B1", NULL);
    assert_string_equal(reducer(s, "solvent", &t), "Z9");
}

#define PRODUCT(id, role, first)                                                                                       \
    "[product " id "]\nrole = " role "\nbasis = volume\nratio = 4:1\nparts = " first ", H-1\n"

static const char *product_for(struct shop *s, const char *formula, const char *coat, struct product *p)
{
    return catalogue_product_for(s->store, formula, coat, p) ? p->id : "(none)";
}

static void a_coat_s_product_is_its_formula_s_own_before_one_for_any_colour(void **state)
{
    struct shop *s = *state;
    struct product p;
    shop_write(s, "a.ini",
               PRODUCT("Z-ANY", "single", "colour") PRODUCT("A-ANY", "single", "colour")
                   PRODUCT("OWN", "single", "TI-31") PRODUCT("MID", "mid", "TI-31") PRODUCT("CLEAR", "clear", "C-1"));
    assert_string_equal(product_for(s, "TI-31", "single", &p), "OWN");
    assert_string_equal(product_for(s, "TI-32", "single", &p), "Z-ANY");
    assert_int_equal(p.part_count, 2);
    assert_string_equal(product_for(s, "TI-31", "mid", &p), "MID");
    assert_string_equal(product_for(s, "TI-32", "mid", &p), "(none)");
    assert_string_equal(product_for(s, "TI-31", "clear", &p), "(none)");
    assert_true(catalogue_product(s->store, "CLEAR", &p));
    assert_false(catalogue_product(s->store, "NONE", &p));
}

static void a_cup_is_found_by_its_volume_within_a_hundredth(void **state)
{
    struct shop *s = *state;
    struct cup_kind c;
    shop_write(s, "a.ini",
               "[cup 0.4]\nml = 400\ntare_g = 18\n[cup tall]\nml = 404\ntare_g = 19\n[cup 0.75]\nml = 750\n");
    assert_true(catalogue_cup_of_ml(s->store, 401, &c));
    assert_string_equal(c.id, "0.4");
    assert_true(catalogue_cup_of_ml(s->store, 403, &c));
    assert_string_equal(c.id, "tall");
    assert_true(catalogue_cup_of_ml(s->store, 744, &c));
    assert_string_equal(c.id, "0.75");
    assert_true(isnan(c.tare_g) && c.fill_pct == 95);
    assert_false(catalogue_cup_of_ml(s->store, 700, &c));
}

static void panels_and_lists_come_as_they_are_kept(void **state)
{
    struct shop *s = *state;
    struct panel p;
    shop_write(s, "a.ini", "[panel hood]\narea_m2 = 1.5\ndefault = yes\n[panel door]\nname = left door\narea_m2 = 1\n");
    assert_true(catalogue_panel(s->store, "hood", &p));
    assert_true(p.is_default && p.area_m2 == 1.5);
    assert_false(catalogue_panel(s->store, "roof", &p));
    json_t *all = catalogue_list(s->store, "panel", NULL), *some = catalogue_list(s->store, "panel", "lef doo");
    assert_int_equal(json_array_size(all), 2);
    assert_string_equal(json_string_value(json_object_get(json_array_get(all, 0), "id")), "door");
    assert_int_equal(json_integer_value(json_object_get(json_array_get(all, 0), "revision")), 1);
    assert_int_equal(json_array_size(some), 1);
    json_decref(all);
    json_decref(some);
    assert_null(catalogue_get(s->store, "panel", "roof", 0));
}

/* `code/toner` of each warning, in order. */
static void warnings_of(struct shop *s, const char *formula, char *out, size_t size)
{
    struct formula f;
    assert_true(catalogue_formula(s->store, formula, 0, &f));
    json_t *list = formula_check(s->store, &f), *w;
    size_t i;
    out[0] = '\0';
    json_array_foreach(list, i, w)
    {
        const char *toner = json_string_value(json_object_get(w, "toner"));
        size_t used = strlen(out);
        snprintf(out + used, size - used, "%s%s/%s", i ? " " : "", json_string_value(json_object_get(w, "code")),
                 toner ? toner : "-");
        assert_true(json_string_length(json_object_get(w, "text")) > 10);
    }
    json_decref(list);
    formula_finish(&f);
}

static void a_formula_s_check_tells_what_a_painter_should_know(void **state)
{
    struct shop *s = *state;
    char got[256];
    struct formula f;
    struct fault fault;
    shop_write(s, "a.ini",
               "[toner N10]\ndensity_g_per_ml = 1.2\nline = solvent\n[toner K01]\nline = solvent\n"
               "[toner W1]\ndensity_g_per_ml = 1\nline = waterborne\n[toner U1]\ndensity_g_per_ml = 1\n" REDUCER(
                   "R", "solvent") "[formula GOOD]\nfinish = solid\nline = solvent\n[coat base]\nN10 = 1\nU1 = 1\n"
                                   "[formula TWICE]\nfinish = solid\nline = solvent\n[coat base]\nN10 = 1\nU1 = 1\n"
                                   "N10 = 2\nN10 = 1\n[coat mid]\nN10 = 2\n"
                                   "[formula ODD]\nfinish = solid\nline = solvent\n[coat base / dark]\nK01 = 1\n"
                                   "W1 = 1\n"
                                   "[formula WATER]\nfinish = solid\nline = waterborne\n[coat base]\nW1 = 1\n");
    warnings_of(s, "GOOD", got, sizeof got);
    assert_string_equal(got, "");
    warnings_of(s, "TWICE", got, sizeof got);
    assert_string_equal(got, "twice/N10");
    warnings_of(s, "ODD", got, sizeof got);
    assert_string_equal(got, "no_density/K01 line/W1 no_standard/-");
    warnings_of(s, "WATER", got, sizeof got);
    assert_string_equal(got, "no_reducer/-");
    assert_true(catalogue_formula(s->store, "ODD", 0, &f));
    assert_true(formula_toners_known(s->store, &f, &fault));
    shop_put(s, "toner", "W1", NULL);
    assert_false(formula_toners_known(s->store, &f, &fault));
    assert_int_equal(fault.kind, FAULT_UNKNOWN);
    assert_string_equal(fault.field, "toner");
    formula_finish(&f);
    warnings_of(s, "WATER", got, sizeof got);
    assert_string_equal(got, "unknown/W1 no_reducer/-");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_line_s_reducer_is_the_first_one_read_not_the_first_by_id, shop_setup,
                                        shop_teardown),
        cmocka_unit_test_setup_teardown(a_coat_s_product_is_its_formula_s_own_before_one_for_any_colour, shop_setup,
                                        shop_teardown),
        cmocka_unit_test_setup_teardown(a_cup_is_found_by_its_volume_within_a_hundredth, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(panels_and_lists_come_as_they_are_kept, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(a_formula_s_check_tells_what_a_painter_should_know, shop_setup, shop_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
