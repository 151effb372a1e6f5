/* The codes of tins: which toner a scan means, and that no two toners of a shop bear the same. */
#include "catalogue/codes.h"
#include "catalogue/tin_code.h"
#include "tests/unit/catalogue/shop.h"

static void a_code_may_look_like_this(void **state)
{
    static const struct {
        const char *code;
        bool fits;
    } rows[] = {
        {"4012345678901", true}, {"TIN10-*", true}, {"a b", true},    {"*", false},    {"", false},
        {"40*12", false},        {" 4012", false},  {"4012 ", false}, {"40**", false}, {"POISE:1042", false},
        {"poise:*", false},      {"POISE", true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (code_fits(rows[i].code) != rows[i].fits)
            fail_msg("'%s' is told %s", rows[i].code, rows[i].fits ? "unfit" : "fit");
}

#define BANK                                                                                                           \
    "[toner N10]\ncodes = 4012, TIN10-*\n[toner K01]\ncode = TIK01\n[toner M42]\n[toner N1]\n"                         \
    "codes = 77*, 7700*\n"

/* The longest code holds; what its star stands for is the lot. The id alone will do where no code is that. */
static void a_scan_means_one_toner_and_its_lot(void **state)
{
    static const struct {
        const char *scan, *toner, *lot; /* toner NULL: none */
    } rows[] = {
        {"4012", "N10", ""},     {"TIN10-A17", "N10", "A17"}, {"TIN10-", "N10", ""}, {"TIK01", "K01", ""},
        {"TIK01-A17", NULL, ""}, {"M42", "M42", ""},          {"m42", "M42", ""},    {"tin10-A17", NULL, ""},
        {"40123", NULL, ""},     {"77x", "N1", "x"},          {"7700x", "N1", "x"},  {"POISE:1042", NULL, ""},
        {"no such", NULL, ""},
    };
    struct shop *s = *state;
    shop_write(s, "a.ini", BANK);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct toner t = {.id = ""};
        char lot[CODE_MAX];
        bool found = codes_toner(s->store, rows[i].scan, &t, lot);
        if (found != (rows[i].toner != NULL) || (found && strcmp(t.id, rows[i].toner) != 0) ||
            strcmp(lot, rows[i].lot) != 0)
            fail_msg("%s: %s, lot '%s'", rows[i].scan, found ? t.id : "none", lot);
    }
}

/* `code` is from before a toner could have several: read as the one it has, told as the first. */
static void a_toner_with_one_code_is_told_both_ways(void **state)
{
    struct shop *s = *state;
    shop_write(s, "a.ini", BANK);
    json_t *thing = catalogue_get(s->store, "toner", "K01", 0), *codes = json_object_get(thing, "codes");
    assert_int_equal(json_array_size(codes), 1);
    assert_string_equal(json_string_value(json_array_get(codes, 0)), "TIK01");
    json_decref(thing);
    thing = catalogue_get(s->store, "toner", "N10", 0);
    assert_string_equal(json_string_value(json_object_get(thing, "code")), "4012");
    json_decref(thing);
    json_t *found = catalogue_list(s->store, "toner", "TIN10");
    assert_int_equal(json_array_size(found), 1);
    json_decref(found);
}

/* What the store has of toners that no file writes now is looked at as well; the section at fault is named. */
static void a_file_may_not_take_a_code_that_the_store_knows(void **state)
{
    struct shop *s = *state;
    struct file_items items;
    struct file_fault unread;
    struct fault fault;
    const char *path = s->folder.dir;
    size_t changed;
    shop_put(s, "toner", "P31", "{\"id\":\"P31\",\"codes\":[\"4012*\"]}");
    folder_write(&s->folder, "a.ini", "# a bank\n[toner N10]\nname = White\ncodes = 40123\n");
    assert_true(files_read(&path, 1, files_known_by_store, s->store, &items, &unread));
    assert_false(files_import(s->store, &items, NULL, "test", shop_imported, s, &changed, &fault));
    file_items_finish(&items);
    assert_int_equal(fault.kind, FAULT_INVALID);
    assert_non_null(strstr(fault.place, "a.ini:4"));
    assert_non_null(strstr(fault.message, "P31"));
    /* A toner's own code may move to another one within one reading. */
    shop_write(s, "a.ini", "[toner P31]\ncodes = 5000\n[toner N10]\nname = White\ncodes = 40123\n");
    assert_int_equal(shop_write(s, "a.ini", "[toner P31]\ncodes = 40123\n[toner N10]\nname = White\ncodes = 5000\n"),
                     2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_code_may_look_like_this),
        cmocka_unit_test_setup_teardown(a_scan_means_one_toner_and_its_lot, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(a_toner_with_one_code_is_told_both_ways, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(a_file_may_not_take_a_code_that_the_store_knows, shop_setup, shop_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
