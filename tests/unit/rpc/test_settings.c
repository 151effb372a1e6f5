/* settings.list and settings.put on a real store: what the file sets stays, the rest is kept and comes back. */
#include "config_settings.h"
#include "tests/unit/rpc/shop.h"

static const char file[] = "[shop]\nname = Tern Island Coachworks\n\n[print]\ncommand = true\n\n"
                           "[station bench]\nport = /dev/ttyS1\nd_g = 0.1\ntolerance_pct = 1\n\n"
                           "[station bench.2]\nport = /dev/ttyS2\nd_g = 0.01\n";

static void read_file(struct shop *shop)
{
    char path[128];
    struct file_fault fault;
    snprintf(path, sizeof path, "%s/poised.ini", shop->dir);
    FILE *out = fopen(path, "w");
    assert_non_null(out);
    assert_true(fputs(file, out) >= 0 && fclose(out) == 0);
    if (!config_read(path, &shop->daemon.config, &fault))
        fail_msg("%s:%d: %s", fault.file, fault.line, fault.why);
}

static int begin_shop(void **state)
{
    int rc = begin(state);
    if (rc == 0)
        read_file(*state);
    return rc;
}

/* As settings.list gives it; the caller's. */
static json_t *row(struct shop *shop, const char *key)
{
    json_t *all = call(shop, "settings.list", "{}"), *one, *found = NULL;
    size_t i;
    json_array_foreach(json_object_get(all, "settings"), i, one) if (strcmp(text(one, "key"), key) == 0) found =
        json_incref(one);
    json_decref(all);
    if (!found)
        fail_msg("settings.list has no %s", key);
    return found;
}

static void assert_value(struct shop *shop, const char *key, const char *want)
{
    json_t *one = row(shop, key);
    char *value = json_dumps(json_object_get(one, "value"), JSON_ENCODE_ANY | JSON_REAL_PRECISION(12));
    assert_string_equal(want, value);
    free(value);
    json_decref(one);
}

static void each_row_says_what_holds_and_who_sets_it(void **state)
{
    struct shop *shop = *state;
    static const struct {
        const char *key, *value, *otherwise, *unit, *fixed;
    } rows[] = {
        {"shop.name", "\"Tern Island Coachworks\"", "\"\"", NULL, "poised.ini:2"},
        {"shop.language", "\"en\"", "\"en\"", NULL, NULL},
        {"shop.decimal", "\"point\"", "\"point\"", NULL, NULL},
        {"print.size_mm", "\"62x29\"", "\"62x29\"", "mm", NULL},
        {"station.bench.tolerance_pct", "1", "0.5", "%", "poised.ini:10"},
        {"station.bench.tolerance_g", "0.1", "0.1", "g", NULL}, /* d_g */
        {"station.bench.2.tolerance_g", "0.01", "0.01", "g", NULL},
        {"station.bench.2.check_days", "1", "1", "days", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *one = row(shop, rows[i].key);
        json_t *value = json_loads(rows[i].value, JSON_DECODE_ANY, NULL);
        json_t *otherwise = json_loads(rows[i].otherwise, JSON_DECODE_ANY, NULL);
        const char *unit = json_string_value(json_object_get(one, "unit"));
        const char *fixed = json_string_value(json_object_get(one, "fixed"));
        bool same = json_is_number(value) ? json_number_value(value) == json_number_value(json_object_get(one, "value"))
                                          : json_equal(value, json_object_get(one, "value"));
        assert_true(same);
        same = json_is_number(value)
                   ? json_number_value(otherwise) == json_number_value(json_object_get(one, "default"))
                   : json_equal(otherwise, json_object_get(one, "default"));
        assert_true(same);
        assert_string_equal(rows[i].unit ? rows[i].unit : "", unit ? unit : "");
        assert_string_equal(rows[i].fixed ? rows[i].fixed : "", fixed ? fixed : "");
        json_decref(otherwise);
        json_decref(value);
        json_decref(one);
    }
}

/* What a screen shows and offers; the value itself is what an offer puts back. */
static void each_row_is_shown_in_words_and_offers_its_few_values(void **state)
{
    struct shop *shop = *state;
    static const struct {
        const char *key, *text;
        size_t offers;
    } rows[] = {
        {"shop.name", "Tern Island Coachworks", 0},
        {"shop.language", "English", 2},
        {"shop.decimal", "point: 1.5", 2},
        {"print.size_mm", "62x29 mm", 0},
        {"station.bench.tolerance_pct", "1 %", 0},
        {"station.bench.2.tolerance_g", "0.01 g", 0},
        {"station.bench.2.check_days", "1 day", 0},
        {"station.bench.2.accept_after_s", "never", 0},
        {"station.bench.2.glance_hardener", "no", 2},
        {"shop.pour_order", "as in the formula", 2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *one = row(shop, rows[i].key);
        assert_string_equal(text(json_object_get(one, "shown"), "text"), rows[i].text);
        assert_int_equal(json_array_size(json_object_get(one, "offers")), rows[i].offers);
        json_decref(one);
    }
    json_t *one = row(shop, "station.bench.2.glance_hardener");
    json_t *yes = json_object_get(json_array_get(json_object_get(one, "offers"), 1), "value");
    json_t *put = json_pack("{s:s, s:O}", "key", "station.bench.2.glance_hardener", "value", yes);
    char *params = json_dumps(put, 0);
    json_t *answer = call(shop, "settings.put", params);
    assert_string_equal(text(json_object_get(answer, "shown"), "text"), "yes");
    json_decref(answer);
    json_decref(put);
    json_decref(one);
    free(params);
}

static void what_is_put_holds_and_is_there_after_a_restart(void **state)
{
    struct shop *shop = *state;
    json_t *answer = call(shop, "settings.put", "{\"key\":\"station.bench.2.tolerance_g\",\"value\":0.05}");
    json_t *listed = row(shop, "station.bench.2.tolerance_g");
    assert_true(json_equal(answer, listed));
    json_decref(listed);
    json_decref(answer);
    json_decref(call(shop, "settings.put", "{\"key\":\"shop.decimal\",\"value\":\"comma\"}"));
    assert_true(shop->daemon.config.station[1].tolerance_g == 0.05);
    assert_true(shop->daemon.config.decimal_comma);

    read_file(shop); /* as a start does */
    assert_true(settings_load(&shop->daemon.config, shop->daemon.store));
    assert_value(shop, "station.bench.2.tolerance_g", "0.05");
    assert_value(shop, "shop.decimal", "\"comma\"");
    assert_value(shop, "station.bench.tolerance_g", "0.1");

    json_decref(call(shop, "settings.put", "{\"key\":\"station.bench.2.tolerance_g\",\"value\":null}"));
    assert_value(shop, "station.bench.2.tolerance_g", "0.01");
    json_decref(call(shop, "settings.put", "{\"key\":\"shop.decimal\"}")); /* left out: likewise */
    assert_value(shop, "shop.decimal", "\"point\"");
}

/* A bench without a language of its own speaks as the shop does, one with keeps it. */
static void benches_follow_the_shops_language(void **state)
{
    struct shop *shop = *state;
    json_decref(call(shop, "settings.put", "{\"key\":\"station.bench.language\",\"value\":\"en\"}"));
    json_decref(call(shop, "settings.put", "{\"key\":\"shop.language\",\"value\":\"de\"}"));
    assert_value(shop, "station.bench.language", "\"en\"");
    assert_value(shop, "station.bench.2.language", "\"de\"");
    assert_true(shop->daemon.config.station[1].language_given);
    json_decref(call(shop, "settings.put", "{\"key\":\"station.bench.language\",\"value\":\"\"}"));
    assert_value(shop, "station.bench.language", "\"de\"");
}

static void what_does_not_fit_changes_nothing(void **state)
{
    struct shop *shop = *state;
    refused(shop, "settings.put", "{\"key\":\"station.bench.tolerance_pct\",\"value\":2}", -32006, "key");
    refused(shop, "settings.put", "{\"key\":\"station.bench.port\",\"value\":\"/dev/ttyS9\"}", -32001, "key");
    refused(shop, "settings.put", "{\"key\":\"station.other.tolerance_g\",\"value\":1}", -32001, "key");
    refused(shop, "settings.put", "{\"key\":\"station.bench.error_pct\",\"value\":101}", -32005, "value");
    refused(shop, "settings.put", "{\"key\":\"station.bench.error_pct\",\"value\":\"5\"}", -32602, "value");
    refused(shop, "settings.put", "{\"key\":\"station.bench.tolerance_g\",\"value\":0.04}", -32005,
            "value"); /* < d/2 */
    refused(shop, "settings.put", "{\"key\":\"shop.language\",\"value\":\"fr\"}", -32005, "value");
    refused(shop, "settings.put", "{\"key\":\"print.size_mm\",\"value\":\"1x1\"}", -32005, "value");
    assert_value(shop, "station.bench.tolerance_g", "0.1");
    json_t *answer = ask(shop, "settings.put", "{\"key\":\"station.bench.tolerance_pct\",\"value\":2}");
    assert_string_equal("file", text(json_object_get(json_object_get(answer, "error"), "data"), "why"));
    json_decref(answer);
}

/* Kept once, and the file has been changed since: it sets the key itself, or the value makes no sense any more. */
static void the_file_is_above_what_was_kept(void **state)
{
    struct shop *shop = *state;
    json_decref(call(shop, "settings.put", "{\"key\":\"station.bench.2.tolerance_g\",\"value\":0.02}"));
    json_decref(call(shop, "settings.put", "{\"key\":\"station.bench.error_pct\",\"value\":7}"));
    read_file(shop);
    shop->daemon.config.station[1].d_g = shop->daemon.config.station[1].tolerance_g = 0.5;
    for (size_t i = 0; i < CONFIG_KEYS_MAX; i++)
        shop->daemon.config.station[0].line[i] = 9;
    assert_true(settings_load(&shop->daemon.config, shop->daemon.store));
    assert_value(shop, "station.bench.2.tolerance_g", "0.5");
    assert_value(shop, "station.bench.error_pct", "5");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_row_says_what_holds_and_who_sets_it, begin_shop, end),
        cmocka_unit_test_setup_teardown(each_row_is_shown_in_words_and_offers_its_few_values, begin_shop, end),
        cmocka_unit_test_setup_teardown(what_is_put_holds_and_is_there_after_a_restart, begin_shop, end),
        cmocka_unit_test_setup_teardown(benches_follow_the_shops_language, begin_shop, end),
        cmocka_unit_test_setup_teardown(what_does_not_fit_changes_nothing, begin_shop, end),
        cmocka_unit_test_setup_teardown(the_file_is_above_what_was_kept, begin_shop, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
