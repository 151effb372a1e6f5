/* Files taken into the books over the protocol. */
#include "tests/unit/rpc/shop.h"

static void write_file(const struct shop *shop, const char *name, const char *content, char *params, size_t size)
{
    char path[160];
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", shop->dir, name);
    file = fopen(path, "w");
    assert_non_null(file);
    fputs(content, file);
    fclose(file);
    snprintf(params, size, "{\"files\":[\"%s\"]}", path);
}

static void files_are_taken_in_once_and_a_bad_one_changes_nothing(void **state)
{
    static const char good[] = "[toner N10]\nname = White\n\n[toner M42]\nname = Violet\n";
    static const char bad[] = "[toner N10]\nname = Whiter\n\n[toner N11]\ndensity_g_per_ml = 0\n";
    struct shop *shop = *state;
    char params[300];
    json_t *result, *error;

    write_file(shop, "a.ini", good, params, sizeof params);
    result = call(shop, "catalogue.import", params);
    assert_int_equal(2, number(result, "changed"));
    json_decref(result);
    result = call(shop, "catalogue.import", params);
    assert_int_equal(0, number(result, "changed"));
    json_decref(result);
    write_file(shop, "b.ini", bad, params, sizeof params);
    result = ask(shop, "catalogue.import", params);
    error = json_object_get(result, "error");
    assert_int_equal(-32005, stub_code(result));
    assert_string_equal("density_g_per_ml", stub_field(result));
    assert_non_null(strstr(text(error, "message"), "b.ini:5"));
    assert_non_null(strstr(text(json_object_get(error, "data"), "place"), "b.ini:5"));
    json_decref(result);
    result = call(shop, "toner.get", "{\"id\":\"N10\"}");
    assert_string_equal("White", text(result, "name"));
    json_decref(result);
}

static void an_import_asked_for_twice_tells_the_same_twice(void **state)
{
    struct shop *shop = *state;
    char params[300], again[340];
    json_t *result;

    write_file(shop, "a.ini", "[toner N10]\nname = White\n", params, sizeof params);
    snprintf(again, sizeof again, "{\"request\":\"r-1\",%s", params + 1);
    for (int i = 0; i < 2; i++) {
        result = call(shop, "catalogue.import", again);
        assert_int_equal(1, number(result, "changed"));
        json_decref(result);
    }
    result = call(shop, "catalogue.import", params);
    assert_int_equal(0, number(result, "changed"));
    json_decref(result);
    refused(shop, "toner.put", "{\"id\":\"N10\",\"request\":\"r-1\"}", -32602, "request");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(files_are_taken_in_once_and_a_bad_one_changes_nothing, begin, end),
        cmocka_unit_test_setup_teardown(an_import_asked_for_twice_tells_the_same_twice, begin, end),
    };
    return cmocka_run_group_tests_name("import", tests, NULL, NULL);
}
