/* The words of a label, read back with pdftotext and pdfinfo. */
#include "drawn.h"

static void the_words_of_both_sizes(void **state)
{
    (void)state;
    char *text = text_of(roomy);
    holds(text, "TI-207 Copperwing");
    holds(text, "mid standard, reduced 20 %");
    holds(text, "van 3, order 4417");
    holds(text, "25 Nov 2026 10:51, Ines");
    holds(text, "flammable, harmful vapour");
    holds(text, "stands ____");
    holds(text, "1042");
    holds_not(text, "use by");
    free(text);
    text = text_of(compact);
    holds(text, "TI-207 clear");
    holds(text, "standard");
    holds(text, "Copperwing");
    holds(text, "4:1:1 vol");
    holds(text, "van 3, order 4417");
    holds(text, "25 Nov 26 11:20, Ines");
    holds(text, "use by 16:40 today");
    holds(text, "flammable, harmful vapour");
    holds(text, "stands ____");
    holds(text, "1043");
    free(text);
}

static void the_size_of_the_paper(void **state)
{
    (void)state;
    static const struct {
        const char *size, *page;
    } rows[] = {
        {"62x29", "175.748 x 82.2047 pts"}, {"50x25", "141.732 x 70.8661 pts"}, {"62.5x30", "177.165 x 85.0394 pts"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *json = with(roomy, "62x29", rows[i].size);
        char *path = drawn(json);
        char *info = tool("pdfinfo", path, "");
        holds(info, rows[i].page);
        free(info);
        free(path);
        free(json);
    }
}

static void what_must_never_be_cut(void **state)
{
    (void)state;
    char *most_roomy = crowded(roomy);
    char *most_compact = crowded(compact);
    char *activated = with(most_roomy, "\"use_by\":null", "\"use_by\":\"07:10 on Thursday, 26 November\"");
    char *text = text_of(activated);
    holds(text, "TI-207-AND-THE-LONGEST-CODE-THERE-CAN-BE");
    holds(text, "mid");
    holds(text, "1042");
    holds(text, "use by 07:10 on Thursday, 26 November");
    holds(text, "order 4417");
    holds(text, "25 Nov 2026 10:51");
    holds(text, "Großer");
    holds(text, "…");
    holds(text, "see sheet");
    holds(text, "stands ____");
    holds_not(text, "zweite Fassung");
    free(text);
    text = text_of(most_compact);
    holds(text, "TI-207-AND-THE-LONGEST-CODE-THERE-CAN-BE");
    holds(text, "1043");
    holds(text, "clear");
    holds(text, "use by 16:40 today");
    holds(text, "25 Nov 26 11:20");
    holds(text, "…");
    free(text);
    free(activated);
    free(most_roomy);
    free(most_compact);
}

/* Texts far beyond a label's width, whose bytes end inside a character wherever a buffer ends. */
static void endless_texts(void **state)
{
    (void)state;
    static const char *const letters[] = {"x", "é", "銅", "🦆", "e\xcc\x81"};
    static const char *const fields[] = {"\"TI-207\"", "\"Copperwing\"", "\"mid\"",       "\"standard\"",
                                         "\"van 3\"",  "\"4417\"",       "\"flammable\"", "\"Ines\""};
    for (size_t i = 0; i < sizeof letters / sizeof *letters * 8; i++) {
        char text[4096] = "\"";
        size_t bytes = strlen(letters[i / 8]);
        memset(text + 1, 'a', i % 5); /* shifts where it ends */
        size_t used = 1 + i % 5;
        for (; used + bytes + 2 < 1200; used += bytes)
            memcpy(text + used, letters[i / 8], bytes);
        text[used] = '"';
        char *json = with(roomy, fields[i % 8], text);
        char *read = text_of(json);
        holds(read, "1042");
        free(read);
        free(json);
    }
}

static void names_in_any_script(void **state)
{
    (void)state;
    static const char *const names[] = {"Медное крыло", "Χάλκινο φτερό", "Ñandú é̈ Ŵing",
                                        "銅の翼",       "🦆 duck",     "tab\\tand line\\nend"};
    static const char *const wanted[] = {"Медное крыло", "Χάλκινο φτερό", "Ñandú",
                                         "TI-207",       "duck",          "tab and line end"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char *json = with(roomy, "Copperwing", names[i]);
        char *text = text_of(json);
        holds(text, wanted[i]);
        holds(text, "1042");
        free(text);
        free(json);
    }
}

static void what_was_done_to_the_batch(void **state)
{
    (void)state;
    char *a = with(roomy, "\"deviations\":[]", "\"deviations\":[\"P31 +7.9 %\"]");
    char *b = with(a, "\"with\":[]", "\"with\":[\"1031\",\"1007\"]");
    char *text = text_of(b);
    holds(text, "P31 +7.9 %, with 1031, 1007");
    free(text);
    free(a);
    free(b);
    a = with(roomy, "[\"flammable\",\"harmful vapour\"]", "[]");
    text = text_of(a);
    holds(text, "hazards: see sheet");
    free(text);
    free(a);
}

static void little_is_enough(void **state)
{
    (void)state;
    char *text = text_of("{\"size_mm\":\"62x29\",\"batch\":\"7\",\"code\":\"X\"}");
    holds(text, "X");
    holds(text, "7");
    holds(text, "hazards: see sheet");
    holds_not(text, "order");
    free(text);
}

static void copies_and_lids_are_pages(void **state)
{
    (void)state;
    char *three = with(compact, "\"copies\":1", "\"copies\":3.0");
    char *both = with(three, "\"lid\":false", "\"lid\":true");
    char *path = drawn(three);
    char *info = tool("pdfinfo", path, "");
    holds(info, "Pages:           3\n");
    free(info);
    free(path);
    path = drawn(both);
    info = tool("pdfinfo", path, "");
    holds(info, "Pages:           6\n");
    char *lid = tool("pdftotext -layout -f 2 -l 2", path, "-");
    holds(lid, "TI-207");
    holds(lid, "clear");
    holds(lid, "1043");
    holds(lid, "use by 16:40 today");
    holds_not(lid, "order");
    free(lid);
    free(info);
    free(path);
    free(three);
    free(both);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_words_of_both_sizes), cmocka_unit_test(the_size_of_the_paper),
        cmocka_unit_test(what_must_never_be_cut),  cmocka_unit_test(endless_texts),
        cmocka_unit_test(names_in_any_script),     cmocka_unit_test(what_was_done_to_the_batch),
        cmocka_unit_test(little_is_enough),        cmocka_unit_test(copies_and_lids_are_pages),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
