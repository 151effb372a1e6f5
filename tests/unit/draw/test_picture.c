/* The picture of a label, rendered with pdftoppm: its QR code by zbarimg, white where it must be, letters by their
 * boxes. */
#include "drawn.h"

#include <stdbool.h>

#define DPI 300

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

/* Black from margin to margin. */
static bool is_rule(const struct picture *picture, int y)
{
    for (int x = dots(2) + 2; x < picture->width - dots(2) - 2; x++) {
        if (!black(picture, x, y))
            return false;
    }
    return true;
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

/* The QR code's place, from the specification: 21 modules of 0.56 mm, as far right as four free ones allow;
 * its upper edge is the first black below the rule, or, where it stands beside the first line, of all. */
static void four_free_modules(const char *json, double width_mm, bool beside)
{
    char *path = drawn(json);
    struct picture picture = render(path);
    int side = dots(21 * 0.56);
    int quiet = dots(4 * 0.56) - 1; /* a dot of rounding */
    int left = dots(width_mm - 4 * 0.56 - 21 * 0.56);
    int top = dots(2);
    while (!beside && top < picture.height && !is_rule(&picture, top))
        top++;
    while (!beside && top < picture.height && is_rule(&picture, top))
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

static void a_scanner_reads_it(void **state)
{
    (void)state;
    char *long_number = with(roomy, "\"1042\"", "\"104288812345\"");
    char *most = crowded(compact);
    read_by_a_scanner(roomy, "POISE:1042\n");
    read_by_a_scanner(compact, "POISE:1043\n");
    read_by_a_scanner(long_number, "POISE:104288812345\n");
    read_by_a_scanner(most, "POISE:1043\n");
    four_free_modules(roomy, 62, false);
    four_free_modules(compact, 50, true);
    four_free_modules(long_number, 62, false);
    four_free_modules(most, 50, false);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_scanner_reads_it),
        cmocka_unit_test(nothing_runs_over_the_margin),
        cmocka_unit_test(letters_are_large_enough),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
