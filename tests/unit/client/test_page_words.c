/* Numbers as a page shows them, and text as a grid takes it. */
#include "client/screen/figures.h"
#include "client/screen/form.h"
#include "client/screen/shown.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void amounts_as_typed(void **state)
{
    static const struct {
        const char *text;
        bool ok;
        double value;
    } amounts[] = {
        {"400", true, 400}, {"12.5", true, 12.5}, {"12,5", true, 12.5},  {"0.12", true, 0.12},       {".5", true, 0.5},
        {"0", false, 0},    {"", false, 0},       {"1.2.3", false, 0},   {"-5", false, 0},           {"5g", false, 0},
        {".", false, 0},    {"1e3", false, 0},    {"9999999", false, 0}, {"0000000000001", false, 0}};
    (void)state;
    for (size_t i = 0; i < sizeof amounts / sizeof *amounts; i++) {
        double value = -1;
        bool ok = form_above_0(amounts[i].text, &value);
        if (ok != amounts[i].ok || (ok && fabs(value - amounts[i].value) > 1e-9))
            fail_msg("%s: %d %g", amounts[i].text, ok, value);
    }
}

/* Text put at column 2 in eight columns. */
static const struct {
    const char *name, *text;
    bool utf8;
    const char *row;
} texts[] = {
    {"it fits", "P31", false, "  P31"},
    {"cut, and the cut is seen", "copper pearl", false, "  coppe..."},
    {"cut with one sign", "copper pearl", true, "  copper \xE2\x80\xA6"},
    {"accents go on a plain terminal", "Gr\xC3\xBCn", false, "  Gruen"},
    {"and stay on another", "Gr\xC3\xBCn", true, "  Gr\xC3\xBCn"},
    {"what has no plain form is a question mark", "\xE6\xB7\xB1", false, "  ?"},
    {"wide signs take two columns",
     "\xE6\xB7\xB1"
     "x",
     true,
     "  \xE6\xB7\xB1"
     "x"},
    {"control characters never reach a terminal", "a\033[2J", false, "  a?[2J"},
    {"nor do C1 ones",
     "a\xC2\x9B"
     "b",
     true, "  a?b"},
    {"bytes that are no UTF-8",
     "a\xFF"
     "b",
     false, "  a?b"},
    {"a text cut inside a sign", "a\xE6\xB7", false, "  a??"},
    {"marks that combine stay with their letter", "e\xCC\x81", true, "  e\xCC\x81"},
    {"and go on a plain terminal", "e\xCC\x81", false, "  e"},
    {"a cut never parts a letter from its mark", "abcdefge\xCC\x81x", true, "  abcdefg\xE2\x80\xA6"},
    {"what turns the line round",
     "a\xE2\x80\xAE"
     "b",
     true, "  a?b"},
};

static void texts_are_cleaned_and_cut(void **state)
{
    (void)state;
    struct grid *g = calloc(1, sizeof *g);
    assert_non_null(g);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        char row[200];
        grid_clear(g, 20, 1, texts[i].utf8);
        grid_text(g, 0, 2, 8, texts[i].text, INK_PLAIN);
        grid_row_text(g, 0, row, sizeof row);
        if (strcmp(row, texts[i].row) != 0)
            fail_msg("%s: '%s' shall be '%s'", texts[i].name, row, texts[i].row);
    }
    free(g);
}

static void figures_are_as_wide_as_they_say(void **state)
{
    static const char *const numbers[] = {"31.4", "0.8", "  7,25", "-31.2", "9876543210", "----.-", ""};
    static const int rows[] = {3, 5, 7};
    (void)state;
    struct grid *g = calloc(1, sizeof *g);
    assert_non_null(g);
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        for (size_t k = 0; k < 3; k++) {
            struct figure_style style = {rows[k], -1, FIGURE_LIVE, INK_PLAIN};
            grid_clear(g, 200, 9, false);
            assert_int_equal(figures_draw(g, 1, 3, numbers[i], &style) - 3, figures_width(numbers[i], &style));
            for (int r = 0; r < 9; r++) /* nothing above, below or beside */
                for (int c = 0; c < 200; c++)
                    if (r < 1 || r > rows[k] || c < 3 || c >= 3 + figures_width(numbers[i], &style))
                        assert_int_equal(g->cells[r][c].c, ' ');
        }
    free(g);
}

static void no_two_figures_are_alike(void **state)
{
    (void)state;
    char pictures[10][5][16];
    struct grid *g = calloc(1, sizeof *g);
    assert_non_null(g);
    for (int rows = 3; rows <= 5; rows += 2) {
        memset(pictures, 0, sizeof pictures);
        for (int digit = 0; digit < 10; digit++) {
            char text[2] = {(char)('0' + digit), 0};
            struct figure_style style = {rows, -1, FIGURE_LIVE, INK_PLAIN};
            grid_clear(g, 12, rows, false);
            figures_draw(g, 0, 0, text, &style);
            for (int r = 0; r < rows; r++)
                grid_row_text(g, r, pictures[digit][r], sizeof pictures[digit][r]);
            for (int other = 0; other < digit; other++)
                assert_memory_not_equal(pictures[digit], pictures[other], sizeof pictures[digit]);
        }
    }
    free(g);
}

/* A coat shows the variants that it has, and no others; products follow the formulas where the text names them. */
static void variants_belong_to_coats(void **state)
{
    (void)state;
    struct lists l = {.today = "2025-11-25"};
    json_t *formulas =
        json_loads("{\"formulas\":[{\"code\":\"TI-207\",\"coats\":["
                   "{\"coat\":\"ground\",\"variants\":[\"standard\",\"darker\"]},"
                   "{\"coat\":\"mid\",\"variants\":[\"standard\",\"redder\"]}]},{\"code\":\"TI-000\",\"coats\":[]}]}",
                   0, NULL);
    json_t *products =
        json_loads("{\"products\":[{\"id\":\"CLEAR-40\",\"name\":\"Clear, fast\",\"role\":\"clear\"}]}", 0, NULL);
    assert_true(formulas && products);
    lists_keep(&l, LIST_FORMULAS, formulas);
    lists_keep(&l, LIST_PRODUCTS, products);
    const json_t *m = lists_match(&l, "ti", 0);
    assert_int_equal(lists_coats(m), 2);
    assert_string_equal(lists_variant(m, 0, 1), "darker");
    assert_string_equal(lists_variant(m, 1, 1), "redder");
    assert_string_equal(lists_variant(m, 1, 2), "");
    assert_int_equal(lists_coats(lists_match(&l, "ti", 1)), 0);
    assert_int_equal(lists_matches(&l, "ti"), 2); /* the daemon has chosen the formulas */
    assert_int_equal(lists_matches(&l, "CLEAR"), 3);
    m = lists_match(&l, "fast", 2);
    assert_true(lists_is_product(m));
    assert_string_equal(lists_coat(m, 0), "clear");
    assert_null(lists_match(&l, "fast", 3));
    json_decref(formulas);
    json_decref(products);
    lists_finish(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(amounts_as_typed),
        cmocka_unit_test(texts_are_cleaned_and_cut),
        cmocka_unit_test(figures_are_as_wide_as_they_say),
        cmocka_unit_test(no_two_figures_are_alike),
        cmocka_unit_test(variants_belong_to_coats),
    };
    return cmocka_run_group_tests_name("page words", tests, NULL, NULL);
}
