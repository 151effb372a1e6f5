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
    holds(text, "shelf ____");
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
    holds(text, "shelf ____");
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
    holds(text, "shelf ____");
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
        char complaint[512], *path = in_folder("label.pdf");
        int code = run(json, path, complaint);
        /* A letter of the others is drawn where a font here has it, and else refused. */
        if (code == 0) {
            char *read = tool("pdftotext -layout", path, "-");
            holds(read, "1042");
            free(read);
        } else if (code != 65 || strlen(letters[i / 8]) < 3) {
            fail_msg("%s: exit %d: %s", letters[i / 8], code, complaint);
        }
        free(path);
        free(json);
    }
}

static void names_in_any_script(void **state)
{
    (void)state;
    static const char *const names[] = {"Медное крыло", "Χάλκινο φτερό", "Ñandú é̈ Ŵing", "tab\\tand line\\nend"};
    static const char *const wanted[] = {"Медное крыло", "Χάλκινο φτερό", "Ñandú", "tab?and line?end"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char *json = with(roomy, "Copperwing", names[i]);
        char *text = text_of(json);
        holds(text, wanted[i]);
        holds(text, "1042");
        free(text);
        free(json);
    }
}

/* A hole in a name would be taken for another colour: no font here has a letter of a private area, and scripts from
 * right to left or with joined letters cannot be set. */
static void a_letter_that_cannot_be_drawn_is_refused(void **state)
{
    (void)state;
    static const char *const names[] = {"\xee\x80\x80 wing", "جناح نحاسي", "כנף נחושת", "तांबे का पंख"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char complaint[512];
        char *json = with(roomy, "Copperwing", names[i]);
        char *path = in_folder("label.pdf");
        (void)unlink(path);
        assert_int_equal(run(json, path, complaint), 65);
        holds(complaint, "this letter cannot be drawn");
        assert_int_equal(access(path, F_OK), -1);
        free(path);
        free(json);
    }
}

/* Words of the label in German, the signal word first, until when in the bar. */
static void it_speaks_german(void **state)
{
    (void)state;
    char *a = with(compact, "\"size_mm\"", "\"language\":\"de\",\"signal\":\"warning\",\"size_mm\"");
    char *b = with(a, "[\"flammable\",\"harmful vapour\"]", "[\"Hautallergie\"],\"gravest\":1");
    char *c = with(b, "16:40 today", "16:40, 25. Nov");
    char *text = text_of(c);
    holds(text, "verarbeiten bis 16:40, 25. Nov");
    holds(text, "Achtung: Hautallergie");
    holds(text, "Auftrag 4417");
    holds(text, "Regal ____");
    free(text);
    free(a);
    free(b);
    free(c);
    a = with(roomy, "\"use_by\":null", "\"use_by\":null,\"activated\":true");
    text = text_of(a);
    holds(text, "activated, pot life unknown");
    free(text);
    free(a);
}

static const char *const hazards[] = {"asthma by breathing", "skin allergy",  "isocyanates",    "toxic vapour",
                                      "harmful vapour",      "damages eyes",  "irritates skin", "flammable",
                                      "may cause cancer",    "corrodes metal"};

/* How many of the words stand on a label: count of hazards, the first three never to be cut. */
static size_t shown(const char *base, const char *size, size_t count, bool facts)
{
    char list[512] = "[";
    for (size_t i = 0; i < count; i++)
        (void)snprintf(list + strlen(list), sizeof list - strlen(list), "%s\"%s\"", i ? "," : "", hazards[i]);
    (void)snprintf(list + strlen(list), sizeof list - strlen(list), "],\"signal\":\"danger\",\"gravest\":%zu",
                   count < 3 ? count : (size_t)3);
    char *a = with(base, "[\"flammable\",\"harmful vapour\"]", list);
    char *b = with(a, strstr(base, "62x29") ? "62x29" : "50x25", size);
    char *c =
        facts ? with(b, "\"deviations\":[]", "\"tinted\":[\"V23 2.0 g\"],\"foreign\":[\"K05 3.0 g\"],\"deviations\":[]")
              : strdup(b);
    char *path = drawn(c);
    char *text = tool("pdftotext", path, "-"); /* in reading order, lines joined below */
    for (size_t i = 0; text[i]; i++)
        if (text[i] == '\n')
            text[i] = ' ';
    holds(text, "Danger: ");
    if (facts)
        holds(text, "tinted V23 2.0 g, holds K05 3.0 g");
    size_t n = 0;
    while (n < count && strstr(text, hazards[n]))
        n++;
    if (n < 3 && n < count)
        fail_msg("%s of %zu: `%s` was cut:\n%s", size, count, hazards[n], text);
    free(text);
    free(path);
    free(a);
    free(b);
    free(c);
    return n;
}

/* Who cannot bear a sensitiser must read it on every label; a larger label never says less than a smaller one. */
static void the_gravest_hazards_are_never_cut(void **state)
{
    (void)state;
    for (size_t count = 1; count <= sizeof hazards / sizeof *hazards; count++)
        for (int kind = 0; kind < 4; kind++) {
            const char *base = kind & 1 ? compact : roomy;
            size_t small = shown(base, "50x25", count, kind & 2), large = shown(base, "62x29", count, kind & 2);
            if (large < small)
                fail_msg("%zu hazards: %zu on 62x29, %zu on 50x25", count, large, small);
        }
    /* Where there is paper none has to give way: half of 100x50 was white, and three rows of these were cut. */
    char *large = with(roomy, "62x29", "100x50");
    char *eight =
        with(large, "[\"flammable\",\"harmful vapour\"]",
             "[\"Allergie, Asthma bei Einatmen\",\"allergische Hautreaktionen\",\"giftig bei Einatmen\","
             "\"schwere Augensch\u00e4den\",\"entwickelt mit Wasser giftige Gase\",\"kann Krebs erzeugen\","
             "\"kann das Kind im Mutterleib sch\u00e4digen\",\"giftig f\u00fcr Wasserorganismen\"],\"gravest\":2");
    char *spare = text_of(eight);
    holds(spare, "Wasserorganismen");
    free(spare);
    free(eight);
    free(large);
    char *crowd = crowded(compact);
    char *three = with(crowd, "[\"flammable\"", "[\"asthma by breathing\",\"skin allergy\",\"isocyanates\"");
    char *json = with(three, "\"use_by\"", "\"signal\":\"danger\",\"gravest\":3,\"use_by\"");
    char *text = text_of(json);
    holds(text, "Danger: asthma by breathing");
    holds(text, "skin allergy");
    holds(text, "isocyanates");
    free(text);
    free(json);
    free(three);
    free(crowd);
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

/* What makes it another colour is told whole, whatever else goes; `standard` goes before the reduction is cut. */
static void a_changed_colour_is_told_whole(void **state)
{
    static const char *const changed[] = {"tinted V23 2.0 g", "holds K05 3.0 g", "325 g"};
    static const char *const sizes[] = {"62x29", "50x25"};
    (void)state;
    for (size_t i = 0; i < 2; i++) {
        char *a = with(roomy, "\"deviations\":[]",
                       "\"content\":\"325 g\",\"tinted\":[\"V23 2.0 g\"],\"foreign\":"
                       "[\"K05 3.0 g\"],\"deviations\":[\"P31 +7.9 %\"]");
        char *b = with(a, "62x29", sizes[i]);
        char *text = text_of(b);
        for (size_t k = 0; k < sizeof changed / sizeof *changed; k++)
            holds(text, changed[k]);
        holds(text, "flammable");
        free(text);
        free(b);
        free(a);
    }
    /* Activated, with three sensitisers: the order goes first. */
    char *a = with(roomy, "\"use_by\":null,\"deviations\":[]",
                   "\"use_by\":\"16:40, 25 Nov\",\"gravest\":3,\"tinted\":[\"V23 2.0 g\"],\"foreign\":[\"K05 3.0 g\"],"
                   "\"deviations\":[]");
    char *b = with(a, "\"flammable\",",
                   "\"asthma by breathing of it\",\"allergic reactions of the skin\",\"isocyanates in it\",");
    char *full = text_of(b);
    holds(full, "isocyanates in it");
    holds(full, "tinted V23 2.0 g, holds K05 3.0 g");
    free(full);
    free(b);
    free(a);
    char *german = with(roomy, "reduced 20 %", "verdünnt 20 %, zweimal");
    char *text = text_of(german);
    holds(text, "verdünnt 20 %, zweimal");
    holds_not(text, "stand");
    free(text);
    free(german);
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
    holds(lid, "order 4417");
    holds(lid, "25 Nov 26 11:20");
    holds_not(lid, "Ines");
    free(lid);
    free(info);
    free(path);
    free(three);
    free(both);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_words_of_both_sizes),
        cmocka_unit_test(the_size_of_the_paper),
        cmocka_unit_test(what_must_never_be_cut),
        cmocka_unit_test(endless_texts),
        cmocka_unit_test(names_in_any_script),
        cmocka_unit_test(what_was_done_to_the_batch),
        cmocka_unit_test(a_letter_that_cannot_be_drawn_is_refused),
        cmocka_unit_test(it_speaks_german),
        cmocka_unit_test(the_gravest_hazards_are_never_cut),
        cmocka_unit_test(a_changed_colour_is_told_whole),
        cmocka_unit_test(little_is_enough),
        cmocka_unit_test(copies_and_lids_are_pages),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
