/* Any size and any model: nothing crashes, no cell holds what a terminal must not get, no line is longer than the page.
 */
#include "tests/unit/client/scene.h"
#include "text/utf8.h"

#include <math.h>

/* A small generator of our own, so that a failure comes again: xorshift, seeded by the round. */
static uint32_t chance(uint32_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 17;
    *seed ^= *seed << 5;
    return *seed;
}

static const char *const nasty[] = {"",
                                    "P31",
                                    "a name that is far too long for any line of any page of any terminal there is",
                                    "\033[2J\033]0;x\007",
                                    "Grün-weiß Ærø",
                                    "\xE6\xB7\xB1\xE7\xB4\x85 pearl",
                                    "\xF0\x9F\x8E\xA8",
                                    "cut \xE6\xB7",
                                    "e\xCC\x81t\xC3\xA9",
                                    "tab\there\nline",
                                    "%s%n%d"};
static const double numbers[] = {0, -0.0, 0.1, 84, -84, 1e-7, 123456.789, 1e12, -1e12, 3000};

static json_t *some_text(uint32_t *seed)
{
    json_t *text = json_string_nocheck(nasty[chance(seed) % (sizeof nasty / sizeof *nasty)]);
    return text ? text : json_null();
}

static json_t *some_number(uint32_t *seed)
{
    uint32_t n = chance(seed) % (sizeof numbers / sizeof *numbers + 1);
    return n < sizeof numbers / sizeof *numbers ? json_real(numbers[n]) : json_null();
}

static const char *some_word(uint32_t *seed, const char *const *words, size_t n)
{
    return words[chance(seed) % n];
}

/* Changes members of a screen at random, down to its lists. */
static void spoil(json_t *json, uint32_t *seed)
{
    static const char *const words[] = {"idle", "cup",  "pour", "over", "done",  "now",    "next",    "again",
                                        "ease", "stop", "ok",   "live", "stale", "absent", "seeking", "nonsense"};
    const char *key;
    json_t *value;
    void *at;
    json_object_foreach_safe(json, at, key, value)
    {
        if (json_is_object(value) || json_is_array(value)) {
            spoil(value, seed);
            continue;
        }
        if (chance(seed) % 5)
            continue;
        bool word = strcmp(key, "state") == 0 || strcmp(key, "cue") == 0;
        json_t *other = word               ? json_string(some_word(seed, words, sizeof words / sizeof *words))
                        : chance(seed) % 2 ? some_number(seed)
                                           : some_text(seed);
        json_object_set_new_nocheck(json, key, other);
    }
    size_t i;
    json_array_foreach(json, i, value)
    {
        if (json_is_number(value))
            json_array_set_new(json, i, some_number(seed));
        else
            spoil(value, seed);
    }
}

static void check_grid(const struct grid *g, const char *what)
{
    for (int r = 0; r < g->rows; r++)
        for (int c = 0; c < g->cols; c++) {
            char32_t ch = g->cells[r][c].c;
            bool joins = false, control = ch != 0 && (ch < 0x20 || (ch >= 0x7F && ch < 0xA0));
            bool torn = ch == 0 && (c == 0 || utf8_width(g->cells[r][c - 1].c) != 2);
            for (int i = 0; i < CELL_MARKS; i++) /* a terminal may glue a joiner to what comes next */
                joins = joins || g->cells[r][c].marks[i] == 0x200C || g->cells[r][c].marks[i] == 0x200D;
            bool hangs = utf8_width(ch) == 2 && (c + 1 >= g->cols || g->cells[r][c + 1].c != 0);
            if (joins || control || torn || (ch != 0 && hangs) || ch > 0x10FFFF || (!g->utf8 && ch >= 0x80))
                fail_msg("%s: row %d col %d holds %x", what, r, c, (unsigned)ch);
        }
}

static const char *const scenes[] = {"pour",      "stop",   "stale", "lost",     "lifted", "over_no_fit", "take_out",
                                     "tint",      "cup",    "done",  "done_off", "idle",   "menu",        "find",
                                     "find_coat", "amount", "toner", "scrap",    "note",   "scales",      "names"};

/* Every size at which a page changes its shape, and those around it. */
static const int widths[] = {1, 2, 3, 5, 9, 17, 30, 45, 59, 60, 61, 70, 79, 80, 81, 95, 109, 110, 111, 140, 200};
static const int heights[] = {1,  2,  3,  5,  9,  14, 15, 16, 17, 18, 19, 20, 21,
                              22, 23, 24, 25, 26, 27, 30, 33, 34, 35, 40, 60};

static void every_size_of_every_page(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++)
        for (int utf8 = 0; utf8 < 2; utf8++) {
            struct scene s;
            scene_begin(&s, utf8);
            scene_play(&s, scenes[i]);
            for (size_t c = 0; c < sizeof widths / sizeof *widths; c++)
                for (size_t r = 0; r < sizeof heights / sizeof *heights; r++) {
                    page_draw(s.m, s.now, widths[c], heights[r], s.g);
                    assert_int_equal(s.g->cols, widths[c]);
                    assert_int_equal(s.g->rows, heights[r]);
                    check_grid(s.g, scenes[i]);
                }
            scene_end(&s);
        }
}

static void any_model_can_be_drawn(void **state)
{
    static const char *const screens[] = {"pour", "over", "take_out", "tint", "done", "cup", "idle"};
    (void)state;
    for (uint32_t round = 1; round <= 500; round++) {
        uint32_t seed = round * 2654435761u;
        struct scene s;
        scene_begin(&s, chance(&seed) % 2);
        scene_play(&s, some_word(&seed, screens, 7));
        json_t *screen = json_deep_copy(s.m->bench.held);
        spoil(screen, &seed);
        model_screen(s.m, screen, s.now);
        json_decref(screen);
        s.weight_g = numbers[chance(&seed) % 10];
        s.stable = chance(&seed) % 2;
        s.speaks = false;
        json_t *note = json_pack("{s:f, s:i, s:s}", "weight_g", s.weight_g, "age_ms", 0, "state", "live");
        json_object_set_new(note, "to_go_g", some_number(&seed));
        json_object_set_new(note, "in_cup_g", some_number(&seed));
        json_object_set_new(note, "landing_g", some_number(&seed));
        model_weight(s.m, note, s.now);
        json_decref(note);
        scene_pass(&s, (int64_t)(chance(&seed) % 4) * 500, false);
        for (int key = 0; key < 6; key++) /* any keys, on whatever page they lead to */
            scene_key(&s, scene_press("0123456789.+-*/\n\bqx"[chance(&seed) % 19]));
        page_draw(s.m, s.now, (int)(chance(&seed) % 200) + 1, (int)(chance(&seed) % 60) + 1, s.g);
        check_grid(s.g, "random");
        page_draw(s.m, s.now, 80, 24, s.g);
        check_grid(s.g, "random 80x24");
        scene_end(&s);
    }
}

static void sizes_beyond_the_limits_are_the_limits(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "pour");
    page_draw(s.m, s.now, 100000, 100000, s.g);
    assert_int_equal(s.g->cols, GRID_COLS_MAX);
    assert_int_equal(s.g->rows, GRID_ROWS_MAX);
    page_draw(s.m, s.now, -5, 0, s.g);
    assert_int_equal(s.g->cols, 1);
    assert_int_equal(s.g->rows, 1);
    scene_end(&s);
}

/* On every size from 60x16 the foot line and what is to go can be read whole. */
static void the_foot_line_is_never_pushed_off(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "on_aim");
    for (int cols = 60; cols <= 200; cols += 7)
        for (int rows = 16; rows <= 60; rows++) {
            char text[1000];
            page_draw(s.m, s.now, cols, rows, s.g);
            grid_row_text(s.g, rows - 1, text, sizeof text);
            if (!strstr(text, "[Enter]    accept 83.9 g, then P12"))
                fail_msg("%dx%d: %s", cols, rows, text);
            grid_row_text(s.g, 0, text, sizeof text);
            assert_non_null(strstr(text, "TI-207"));
            assert_non_null(strstr(text, "scale ok"));
        }
    scene_end(&s);
}

/* A text that no longer fits its line is a fault of its words, in either language. */
static void no_text_is_cut(void **state)
{
    static const int sizes[][2] = {{80, 24}, {120, 40}, {60, 16}, {64, 18}};
    struct scene all;
    size_t i;
    const json_t *one;
    (void)state;
    scene_begin(&all, false);
    json_array_foreach(json_object_get(all.file, "scenes"), i, one)
    {
        const char *name = json_string_value(json_object_get(one, "name"));
        for (int l = 0; l < WORDS_LANGUAGES && strcmp(name, "names") != 0; l++)
            for (int size = 0; size < 4; size++) {
                struct scene s;
                scene_begin_in(&s, size % 2, (enum words_language)l);
                scene_play(&s, name);
                page_draw(s.m, s.now, sizes[size][0], sizes[size][1], s.g);
                if (s.g->cuts) {
                    for (int row = 0; row < s.g->rows; row++) {
                        char text[GRID_COLS_MAX * 4];
                        grid_row_text(s.g, row, text, sizeof text);
                        print_error("%s\n", text);
                    }
                    fail_msg("%s in %s at %dx%d: %d texts are cut", name, words_language_names[l], sizes[size][0],
                             sizes[size][1], s.g->cuts);
                }
                scene_end(&s);
            }
    }
    scene_end(&all);
}

/* A name is cut between characters and empties nothing, however long and in whatever letters. */
static void names_of_any_letters_are_shown(void **state)
{
    (void)state;
    struct scene s;
    char text[1000];
    scene_begin(&s, true);
    scene_play(&s, "names");
    for (int cols = 60; cols <= 120; cols++) {
        page_draw(s.m, s.now, cols, 24, s.g);
        check_grid(s.g, "names");
        grid_row_text(s.g, 0, text, sizeof text);
        assert_non_null(strstr(text, "TI-300 \xE7\x9C\x9F\xE7\x8F\xA0"));
        grid_row_text(s.g, 3, text, sizeof text);
        assert_non_null(strstr(text, "W01  \xE7\x99\xBD"));
        assert_true(utf8_valid(text));
    }
    scene_end(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_size_of_every_page),
        cmocka_unit_test(any_model_can_be_drawn),
        cmocka_unit_test(sizes_beyond_the_limits_are_the_limits),
        cmocka_unit_test(the_foot_line_is_never_pushed_off),
        cmocka_unit_test(no_text_is_cut),
        cmocka_unit_test(names_of_any_letters_are_shown),
    };
    return cmocka_run_group_tests_name("page sizes", tests, NULL, NULL);
}
