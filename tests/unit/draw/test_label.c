/* Labels as a printer gets them: drawn by the program's own code, read back with pdftotext, pdfinfo, and
 * zbarimg on what pdftoppm renders. */
#include "print/draw/label.h"
#include "print/draw/program.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#define DPI 300

static char folder[] = "/tmp/poise-label-XXXXXX";

static const char roomy[] =
    "{\"size_mm\":\"62x29\",\"copies\":1,\"batch\":\"1042\",\"code\":\"TI-207\",\"name\":\"Copperwing\",\"coat\":"
    "\"mid\","
    "\"variant\":\"standard\",\"made\":\"reduced 20 %\",\"order\":\"4417\",\"vehicle\":\"van 3\","
    "\"time\":\"25 Nov 2026 10:51\",\"painter\":\"Ines\",\"hazard_words\":[\"flammable\",\"harmful vapour\"],"
    "\"use_by\":null,\"deviations\":[],\"with\":[],\"lid\":false}";
static const char compact[] =
    "{\"size_mm\":\"50x25\",\"copies\":1,\"batch\":\"1043\",\"code\":\"TI-207\",\"name\":\"Copperwing\",\"coat\":"
    "\"clear\","
    "\"variant\":\"standard\",\"made\":\"4:1:1 vol\",\"order\":\"4417\",\"vehicle\":\"van 3\","
    "\"time\":\"25 Nov 2026 11:20\",\"painter\":\"Ines\",\"hazard_words\":[\"flammable\",\"harmful vapour\"],"
    "\"use_by\":\"16:40 today\",\"deviations\":[],\"with\":[],\"lid\":false}";

static char *in_folder(const char *name)
{
    char *path = NULL;
    if (asprintf(&path, "%s/%s", folder, name) < 0)
        fail_msg("no memory");
    return path;
}

/* Runs the program on this JSON; its error line goes to complaint (512 bytes). */
static int run(const char *json, char *path, char *complaint)
{
    char *argv[] = {(char *)"poise-label", path, NULL};
    char *text = NULL;
    size_t size = 0;
    FILE *in = fmemopen((void *)(uintptr_t)json, strlen(json), "r");
    FILE *err = open_memstream(&text, &size);
    if (!in || !err)
        fail_msg("no memory");
    int code = label_program(2, argv, in, stdout, err);
    (void)fclose(in);
    (void)fclose(err);
    (void)snprintf(complaint, 512, "%s", text);
    free(text);
    return code;
}

/* What a tool prints about a file: `before FILE after`. The caller frees it. */
static char *tool(const char *before, const char *path, const char *after)
{
    char command[512];
    char *text = NULL;
    size_t size = 0;
    (void)snprintf(command, sizeof command, "%s '%s' %s 2>/dev/null", before, path, after);
    FILE *pipe = popen(command, "r");
    FILE *out = open_memstream(&text, &size);
    if (!pipe || !out)
        fail_msg("cannot run %s", command);
    for (int c = fgetc(pipe); c != EOF; c = fgetc(pipe))
        (void)fputc(c, out);
    int code = pclose(pipe);
    (void)fclose(out);
    if (code != 0)
        fail_msg("%s: exit %d", command, code);
    return text;
}

static char *drawn(const char *json)
{
    char complaint[512];
    char *path = in_folder("label.pdf");
    int code = run(json, path, complaint);
    if (code != 0)
        fail_msg("exit %d: %s", code, complaint);
    return path;
}

static char *text_of(const char *json)
{
    char *path = drawn(json);
    char *text = tool("pdftotext -layout", path, "-");
    free(path);
    return text;
}

static void holds(const char *text, const char *wanted)
{
    if (!strstr(text, wanted))
        fail_msg("`%s` is not in:\n%s", wanted, text);
}

static void holds_not(const char *text, const char *unwanted)
{
    if (strstr(text, unwanted))
        fail_msg("`%s` is in:\n%s", unwanted, text);
}

/* A copy of a label's JSON with one text in it replaced. The caller frees it. */
static char *with(const char *json, const char *old, const char *new)
{
    char *out = NULL;
    const char *at = strstr(json, old);
    if (!at || asprintf(&out, "%.*s%s%s", (int)(at - json), json, new, at + strlen(old)) < 0)
        fail_msg("no `%s` to replace", old);
    return out;
}

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

/* ---- the picture ---- */

struct picture {
    int width, height;
    unsigned char *grey;
};

static struct picture render(const char *path)
{
    struct picture picture = {0};
    char command[512];
    int most = 0;
    (void)snprintf(command, sizeof command, "pdftoppm -r %d -gray -f 1 -l 1 '%s'", DPI, path);
    FILE *pipe = popen(command, "r");
    if (!pipe || fscanf(pipe, "P5 %d %d %d", &picture.width, &picture.height, &most) != 3 || picture.width < 1 ||
        picture.height < 1 || most != 255)
        fail_msg("%s does not give a picture", command);
    (void)fgetc(pipe);
    size_t bytes = (size_t)picture.width * (size_t)picture.height;
    picture.grey = malloc(bytes);
    if (!picture.grey || fread(picture.grey, 1, bytes, pipe) != bytes)
        fail_msg("half a picture");
    (void)pclose(pipe);
    return picture;
}

static bool black(const struct picture *picture, int x, int y)
{
    bool inside = x >= 0 && y >= 0 && x < picture->width && y < picture->height;
    return inside && picture->grey[(size_t)y * (size_t)picture->width + (size_t)x] < 128;
}

static int dots(double mm)
{
    return (int)(mm * DPI / 25.4 + 0.5);
}

static void read_by_a_scanner(const char *json, const char *wanted)
{
    char *path = drawn(json);
    char *png = in_folder("label.png");
    char *stem = in_folder("label");
    free(tool("pdftoppm -r 300 -png -singlefile", path, stem));
    char *qr = tool("zbarimg --nodbus -q --raw", png, "");
    assert_string_equal(qr, wanted);
    free(qr);
    free(stem);
    free(png);
    free(path);
}

/* Black from margin to margin. */
static bool is_rule(const struct picture *picture, int y)
{
    for (int x = dots(2) + 2; x < picture->width - dots(2) - 2; x++) {
        if (!black(picture, x, y))
            return false;
    }
    return true;
}

/* The QR code's place, from the specification: 21 modules of 0.56 mm, as far right as four free ones allow;
 * its upper edge is the first black below the rule. */
static void four_free_modules(const char *json, double width_mm)
{
    char *path = drawn(json);
    struct picture picture = render(path);
    int side = dots(21 * 0.56);
    int quiet = dots(4 * 0.56) - 1; /* a dot of rounding */
    int left = dots(width_mm - 4 * 0.56 - 21 * 0.56);
    int top = dots(2);
    while (top < picture.height && !is_rule(&picture, top))
        top++;
    while (top < picture.height && is_rule(&picture, top))
        top++;
    while (top < picture.height && !black(&picture, left + 3, top))
        top++;
    /* Three finder patterns, seven modules wide: there it is. */
    assert_true(black(&picture, left + side - 3, top + 3) && black(&picture, left + 3, top + side - 3));
    assert_true(picture.width - left - side >= quiet && picture.height - top - side >= quiet);
    for (int y = top - quiet; y < top + side + quiet; y++) {
        for (int x = left - quiet; x < left + side + quiet; x++) {
            bool inside = x >= left - 1 && x <= left + side && y >= top - 1 && y <= top + side;
            if (!inside && black(&picture, x, y))
                fail_msg("black at %d, %d, beside a QR code at %d, %d of %d dots", x, y, left, top, side);
        }
    }
    free(picture.grey);
    free(path);
}

static void margins_are_white(const char *json)
{
    char *path = drawn(json);
    struct picture picture = render(path);
    int margin = dots(2) - 2;
    for (int y = 0; y < picture.height; y++) {
        for (int x = 0; x < picture.width; x++) {
            bool edge = x < margin || y < margin || x >= picture.width - margin || y >= picture.height - margin;
            if (edge && black(&picture, x, y))
                fail_msg("black at %d, %d of %d x %d", x, y, picture.width, picture.height);
        }
    }
    free(picture.grey);
    free(path);
}

static char *crowded(const char *json)
{
    char *a = with(json, "\"TI-207\"", "\"TI-207-AND-THE-LONGEST-CODE-THERE-CAN-BE\"");
    char *b = with(a, "Copperwing", "Großer übermorgenländischer Flügelschlag in Perlmutt und Kupfer, zweite Fassung");
    char *c = with(b, "\"van 3\"", "\"the lifeboat tractor that stands behind the second shed\"");
    char *d = with(c, "\"Ines\"", "\"Ines Josefina Wilhelmina of the western workshop\"");
    char *e =
        with(d, "\"deviations\":[]", "\"deviations\":[\"P31 +7.9 %\",\"B20 −2.1 %\",\"R17 +3.3 %\",\"K01 +9.1 %\"]");
    char *f = with(e, "\"with\":[]", "\"with\":[\"1031\",\"1007\",\"998\"]");
    char *g =
        with(f, "\"harmful vapour\"", "\"harmful vapour\",\"may cause an allergic skin reaction\",\"toxic to fish\"");
    free(a);
    free(b);
    free(c);
    free(d);
    free(e);
    free(f);
    return g;
}

static void a_scanner_reads_it(void **state)
{
    (void)state;
    char *long_number = with(roomy, "\"1042\"", "\"104288812345\"");
    char *most = crowded(compact);
    read_by_a_scanner(roomy, "POISE:1042\n");
    read_by_a_scanner(compact, "POISE:1043\n");
    read_by_a_scanner(long_number, "POISE:104288812345\n");
    read_by_a_scanner(most, "POISE:1043\n");
    four_free_modules(roomy, 62);
    four_free_modules(compact, 50);
    four_free_modules(long_number, 62);
    four_free_modules(most, 50);
    free(long_number);
    free(most);
}

static void nothing_runs_over_the_margin(void **state)
{
    (void)state;
    char *most_roomy = crowded(roomy);
    char *most_compact = crowded(compact);
    margins_are_white(most_roomy);
    margins_are_white(most_compact);
    free(most_roomy);
    free(most_compact);
}

/* Letters are at least 2.5 mm, on 50x25 2.2: the size of the type, which is what a word's box tells. */
static void letters_are_large_enough(void **state)
{
    (void)state;
    static const struct {
        const char *json;
        double least_mm;
    } rows[] = {{roomy, 2.5}, {compact, 2.2}};
    for (size_t i = 0; i < 2; i++) {
        char *path = drawn(rows[i].json);
        char *boxes = tool("pdftotext -bbox", path, "-");
        size_t words = 0;
        for (const char *at = strstr(boxes, "<word"); at; at = strstr(at + 1, "<word")) {
            const char *low = strstr(at, "yMin=\"");
            const char *high = strstr(at, "yMax=\"");
            if (!low || !high)
                fail_msg("no box in %s", at);
            double height_mm = (strtod(high + 6, NULL) - strtod(low + 6, NULL)) * 25.4 / 72;
            if (height_mm < rows[i].least_mm)
                fail_msg("a word of %.2f mm: %.90s", height_mm, at);
            words++;
        }
        assert_true(words > 12);
        free(boxes);
        free(path);
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

static void bad_data_is_refused_in_one_line(void **state)
{
    (void)state;
    static const struct {
        const char *old, *new, *what;
    } rows[] = {
        {"\"62x29\"", "\"62\"", "size_mm: "},
        {"\"62x29\"", "\"62x29x4\"", "size_mm: "},
        {"\"62x29\"", "\"20x10\"", "size_mm: "},
        {"\"62x29\"", "\"nanx29\"", "size_mm: "},
        {"\"62x29\"", "\"1e9x29\"", "size_mm: "},
        {"\"62x29\"", "62", "size_mm: "},
        {"\"1042\"", "1042", "batch: "},
        {"\"1042\"", "\"\"", "batch: "},
        {"\"1042\"", "\"10-42\"", "batch: "},
        {"\"1042\"", "\"1234567890123\"", "batch: "},
        {"\"TI-207\"", "null", "code: "},
        {"\"Copperwing\"", "[]", "name: "},
        {"\"copies\":1", "\"copies\":0", "copies: "},
        {"\"copies\":1", "\"copies\":101", "copies: "},
        {"\"copies\":1", "\"copies\":1.5", "copies: "},
        {"\"copies\":1", "\"copies\":\"1\"", "copies: "},
        {"\"lid\":false", "\"lid\":1", "lid: "},
        {"\"with\":[]", "\"with\":\"1031\"", "with: "},
        {"\"with\":[]", "\"with\":[1031]", "with: "},
        {"\"with\":[]", "\"with\":[],\"with\":[]", "standard input: "},
        {"\"mid\"", "\"m\\u0000d\"", "standard input: "},
        {"\"mid\"", "\"\xff\"", "standard input: "},
        {"}", "", "standard input: "},
        {"}", "} x", "standard input: "},
    };
    char *path = in_folder("refused.pdf");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char complaint[512];
        char *json = with(roomy, rows[i].old, rows[i].new);
        int code = run(json, path, complaint);
        if (code != 65 || strncmp(complaint, "poise-label: ", 13) != 0 ||
            strncmp(complaint + 13, rows[i].what, strlen(rows[i].what)) != 0 ||
            strchr(complaint, '\n') != complaint + strlen(complaint) - 1)
            fail_msg("%s: exit %d, %s", rows[i].new, code, complaint);
        assert_int_equal(access(path, F_OK), -1);
        free(json);
    }
    char complaint[512];
    assert_int_equal(run("[]", path, complaint), 65);
    assert_int_equal(run("\n", path, complaint), 65);
    char *large = calloc(1, 70000);
    assert_non_null(large);
    memset(large, ' ', 69999);
    assert_int_equal(run(large, path, complaint), 65);
    holds(complaint, "64 KiB");
    free(large);
    free(path);
}

static void a_file_is_whole_or_not_there(void **state)
{
    (void)state;
    char complaint[512];
    char *nowhere = in_folder("nowhere/label.pdf");
    assert_int_equal(run(roomy, nowhere, complaint), 74);
    holds(complaint, "nowhere/label.pdf: No such file or directory. ");
    char full[] = "/dev/full";
    assert_int_equal(run(roomy, full, complaint), 74);
    holds(complaint, "/dev/full: ");
    /* A folder of that name cannot be replaced: the part beside it must go again. */
    char *taken = in_folder("taken.pdf");
    assert_int_equal(mkdir(taken, 0700), 0);
    assert_int_equal(run(roomy, taken, complaint), 74);
    char *left = tool("ls -A", folder, "");
    holds_not(left, ".part");
    free(left);
    assert_int_equal(rmdir(taken), 0);
    free(taken);
    free(nowhere);
    /* An old label is replaced by a whole new one. */
    free(drawn(roomy));
    char *text = text_of(compact);
    holds(text, "1043");
    holds_not(text, "1042");
    free(text);
}

static int plain(int argc, const char *first, const char *second, char **out, char **err)
{
    char *argv[] = {(char *)"poise-label", (char *)(uintptr_t)first, (char *)(uintptr_t)second, NULL};
    size_t out_size = 0;
    size_t err_size = 0;
    FILE *in = fmemopen((void *)(uintptr_t)roomy, strlen(roomy), "r");
    FILE *to = open_memstream(out, &out_size);
    FILE *complaints = open_memstream(err, &err_size);
    if (!in || !to || !complaints)
        fail_msg("no memory");
    int code = label_program(argc, argv, in, to, complaints);
    (void)fclose(in);
    (void)fclose(to);
    (void)fclose(complaints);
    return code;
}

static void options(void **state)
{
    (void)state;
    static const struct {
        int argc;
        const char *first, *second;
        int code;
        const char *out, *err;
    } rows[] = {
        {2, "--help", NULL, 0, "poise-label OUT.pdf", ""},
        {2, "--version", NULL, 0, "poise-label " POISE_VERSION "\n", ""},
        {3, "x.pdf", "--help", 0, "poise-label OUT.pdf", ""},
        {2, "--frobnicate", NULL, 64, "", "poise-label: --frobnicate: not an option. "},
        {1, NULL, NULL, 64, "", "poise-label: OUT.pdf: not given. "},
        {3, "a.pdf", "b.pdf", 64, "", "poise-label: b.pdf: one file too many. "},
        {2, "-", NULL, 0, "%PDF-", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *out = NULL;
        char *err = NULL;
        int code = plain(rows[i].argc, rows[i].first, rows[i].second, &out, &err);
        assert_int_equal(code, rows[i].code);
        assert_int_equal(strncmp(out, rows[i].out, strlen(rows[i].out)), 0);
        assert_int_equal(strncmp(err, rows[i].err, strlen(rows[i].err)), 0);
        free(out);
        free(err);
    }
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"label.pdf", "label.png"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char *path = in_folder(names[i]);
        (void)unlink(path);
        free(path);
    }
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_words_of_both_sizes),
        cmocka_unit_test(the_size_of_the_paper),
        cmocka_unit_test(a_scanner_reads_it),
        cmocka_unit_test(nothing_runs_over_the_margin),
        cmocka_unit_test(letters_are_large_enough),
        cmocka_unit_test(what_must_never_be_cut),
        cmocka_unit_test(endless_texts),
        cmocka_unit_test(names_in_any_script),
        cmocka_unit_test(what_was_done_to_the_batch),
        cmocka_unit_test(little_is_enough),
        cmocka_unit_test(copies_and_lids_are_pages),
        cmocka_unit_test(bad_data_is_refused_in_one_line),
        cmocka_unit_test(a_file_is_whole_or_not_there),
        cmocka_unit_test(options),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
