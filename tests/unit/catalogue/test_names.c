/* Names of things: any UTF-8 up to 60 characters, kept whole; what label and screen could not show right is refused
 * where it is written, with the line and the way out. */
#include "catalogue/files.h"
#include "tests/unit/catalogue/folder.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define TEN   "abcdefghij"
#define ACUTE "e\xCC\x81"

static int setup(void **state)
{
    static struct folder f;
    folder_make(&f);
    *state = &f;
    return 0;
}

static int teardown(void **state)
{
    folder_remove(*state);
    return 0;
}

/* Reads one file that says this. */
static bool read_text(struct folder *f, const char *text, struct file_items *items, struct file_fault *fault)
{
    const char *path = f->dir;
    folder_clear(f);
    folder_write(f, "a.ini", text);
    return files_read(&path, 1, NULL, NULL, items, fault);
}

/* One byte, a letter with its mark, three bytes, four bytes: each sixty times. */
static void sixty_characters_of_any_width_are_kept_whole(void **state)
{
    static const char *const letters[] = {"x", ACUTE, "\xE8\x89\xB2", "\xF0\xA0\x80\x80"};
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        struct file_items items;
        struct file_fault fault;
        char name[256] = "", text[320];
        for (size_t n = 0; n < 60; n++)
            strcat(name, letters[i]);
        snprintf(text, sizeof text, "[toner N10]\nname = %s\n", name);
        if (!read_text(*state, text, &items, &fault))
            fail_msg("%s: %s", name, fault.why);
        json_t *body = json_loads(items.item[0].body, 0, NULL);
        assert_string_equal(json_string_value(json_object_get(body, "name")), name);
        json_decref(body);
        file_items_finish(&items);
    }
}

static const struct {
    const char *about, *name, *code;
} refused[] = {
    {"61 letters", TEN TEN TEN TEN TEN TEN "x", "name_long"},
    {"right to left", "\xD7\x9C\xD7\x91\xD7\x9F", "name_script"},
    {"one such letter among others", "White \xD8\xA8", "name_script"},
    {"joined letters", "\xE0\xA4\x95", "name_script"},
    {"a mark of direction", "a\xE2\x80\xAEz", "ini_unclean"},
    {"no width at all", "a\xE2\x80\x8Bz", "ini_unclean"},
    {"an escape", "a\x1B[7m", "ini_unclean"},
};

static void what_cannot_be_shown_right_is_refused_at_its_line(void **state)
{
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        static const char *const forms[] = {
            "[toner N10]\nname = %s\n",
            "[toner N10]\n[formula TI-1]\nfinish = solid\nline = solvent\nname = %s\n[coat base]\nN10 = 1\n",
            "[panel door]\narea_m2 = 1\nname = %s\n",
        };
        static const int lines[] = {2, 5, 3};
        for (size_t k = 0; k < 3; k++) {
            struct file_items items;
            struct file_fault fault;
            char text[400];
            snprintf(text, sizeof text, k == 0 ? forms[0] : k == 1 ? forms[1] : forms[2], refused[i].name);
            if (read_text(*state, text, &items, &fault))
                fail_msg("%s: taken", refused[i].about);
            if (strcmp(fault.said.code, refused[i].code) != 0 || fault.line != lines[k] ||
                (strcmp(fault.field, "name") != 0 && strcmp(fault.said.code, "ini_unclean") != 0))
                fail_msg("%s: %d: %s: %s", refused[i].about, fault.line, fault.field, fault.said.code);
        }
    }
}

/* What was kept before this rule is still read: only writing asks. */
static void what_is_kept_already_is_still_read(void **state)
{
    struct fault fault;
    (void)state;
    json_t *json = json_pack("{s:s, s:s}", "id", "N10", "name", "\xD7\x9C\xD7\x91\xD7\x9F");
    json_t *thing = catalogue_shape("toner", json, &fault);
    assert_non_null(thing);
    assert_false(catalogue_name_fits(thing, &fault));
    assert_string_equal(fault.field, "name");
    assert_int_equal(fault.kind, FAULT_INVALID);
    json_decref(thing);
    json_decref(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sixty_characters_of_any_width_are_kept_whole),
        cmocka_unit_test(what_cannot_be_shown_right_is_refused_at_its_line),
        cmocka_unit_test(what_is_kept_already_is_still_read),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
