/* Text in a width: as it is, narrower, cut or smaller. */
#include "print/draw/fit.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cairo-pdf.h>
#include <cmocka.h>

#define ELLIPSIS "\xe2\x80\xa6"

static cairo_t *context(void **state)
{
    return *state;
}

static int open_context(void **state)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(NULL, NULL, 100, 100);
    *state = cairo_create(surface);
    cairo_surface_destroy(surface);
    return 0;
}

static int close_context(void **state)
{
    cairo_destroy(*state);
    fit_finish();
    return 0;
}

static void narrower_then_cut(void **state)
{
    cairo_t *cr = context(state);
    struct fit_text whole;
    fit_cut(cr, "Copperwing, a pearl", false, 3, 1000, &whole);
    assert_string_equal(whole.text, "Copperwing, a pearl");
    assert_true(whole.squeeze >= 1 && whole.width_mm > 15 && !whole.cut);
    struct fit_text fit;
    fit_cut(cr, "Copperwing, a pearl", false, 3, whole.width_mm * 0.9, &fit);
    assert_string_equal(fit.text, whole.text);
    assert_true(fit.squeeze < 0.91 && fit.squeeze > 0.89 && !fit.cut);
    fit_cut(cr, "Copperwing, a pearl", false, 3, whole.width_mm * 0.8, &fit);
    assert_true(fit.cut && fit.squeeze >= FIT_NARROWEST);
    assert_true(fit.width_mm <= whole.width_mm * 0.8 + 1e-6);
    assert_string_equal(fit.text + strlen(fit.text) - 3, ELLIPSIS);
    assert_int_equal(strncmp(fit.text, "Copperwing, a", 13), 0);
    /* No space or comma hangs before the ellipsis. */
    for (double part = 0.8; part > 0.1; part -= 0.02) {
        fit_cut(cr, "Copperwing, a pearl", false, 3, whole.width_mm * part, &fit);
        assert_null(strstr(fit.text, " " ELLIPSIS));
        assert_null(strstr(fit.text, "," ELLIPSIS));
        assert_true(fit.width_mm <= whole.width_mm * part + 1e-6);
    }
    fit_cut(cr, "Copperwing", false, 3, 0, &fit);
    assert_string_equal(fit.text, ELLIPSIS);
    fit_cut(cr, "", false, 3, 0, &fit);
    assert_string_equal(fit.text, "");
    assert_false(fit.cut);
}

static void smaller_but_whole(void **state)
{
    cairo_t *cr = context(state);
    struct fit_text fit;
    fit_whole(cr, "TI-207", true, 5.8, 1000, &fit);
    double natural_mm = fit.width_mm;
    assert_true(fit.size_mm >= 5.8 && fit.squeeze >= 1);
    fit_whole(cr, "TI-207", true, 5.8, natural_mm * 0.9, &fit);
    assert_true(fit.size_mm >= 5.8 && fit.squeeze < 1);
    fit_whole(cr, "TI-207", true, 5.8, natural_mm / 4, &fit);
    assert_string_equal(fit.text, "TI-207");
    assert_true(fit.size_mm < 5.8 / 3 && fit.width_mm <= natural_mm / 4 * 1.001 && !fit.cut);
}

static void an_accent_stays_with_its_letter(void **state)
{
    cairo_t *cr = context(state);
    struct fit_text fit;
    for (double width_mm = 3; width_mm < 12; width_mm += 0.1) {
        fit_cut(cr,
                "e\xcc\x81"
                "e\xcc\x81"
                "e\xcc\x81"
                "e\xcc\x81"
                "e\xcc\x81"
                "e\xcc\x81",
                false, 3, width_mm, &fit);
        assert_null(strstr(fit.text, "e" ELLIPSIS));
    }
}

static void control_characters_are_question_marks(void **state)
{
    struct fit_text fit;
    fit_cut(context(state), "a\tb\nc\x7f\xc2\x85", false, 3, 1000, &fit);
    assert_string_equal(fit.text, "a?b?c??");
}

static void a_letter_that_nobody_has(void **state)
{
    char letter[8] = "";
    assert_false(fit_missing(context(state), "Copperwing, 20 %", letter));
    assert_string_equal(letter, "");
    assert_true(fit_missing(context(state), "a\xf3\xb0\x80\x80z", letter)); /* U+F0000, private: no font here */
    assert_string_equal(letter, "\xf3\xb0\x80\x80");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(narrower_then_cut),
        cmocka_unit_test(smaller_but_whole),
        cmocka_unit_test(an_accent_stays_with_its_letter),
        cmocka_unit_test(control_characters_are_question_marks),
        cmocka_unit_test(a_letter_that_nobody_has),
    };
    return cmocka_run_group_tests(tests, open_context, close_context);
}
