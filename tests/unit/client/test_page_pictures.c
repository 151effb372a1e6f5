/* Whole pages as text: each scene of tests/data/pages/scenes.json against its picture. */
#include "tests/unit/client/scene.h"

/* A scene in a size; its picture is tests/data/pages/NAME.txt. */
static const struct {
    const char *name, *scene;
    int cols, rows;
    bool utf8;
} pictures[] = {
    {"pour", "pour", 80, 24, false},
    {"pour_utf8", "pour", 80, 24, true},
    {"pour_wide", "pour", 120, 36, false},
    {"pour_narrow", "pour", 70, 20, false},
    {"pour_tiny", "pour", 50, 10, false},
    {"first", "first", 80, 24, false},
    {"ease", "ease", 80, 24, false},
    {"ease_utf8", "ease", 80, 24, true},
    {"stop", "stop", 80, 24, false},
    {"stop_small", "stop", 60, 16, false},
    {"on_aim", "on_aim", 80, 24, false},
    {"past", "past", 80, 24, false},
    {"settling", "settling", 80, 24, false},
    {"too_much", "too_much", 80, 24, false},
    {"fine", "fine", 80, 24, false},
    {"comma", "comma", 80, 24, false},
    {"formula", "formula", 80, 24, false},
    {"again", "again", 80, 24, false},
    {"grew", "grew", 80, 24, false},
    {"grey", "grey", 80, 24, false},
    {"stale", "stale", 80, 24, false},
    {"stale_small", "stale", 60, 16, false},
    {"stale_tiny", "stale", 40, 1, false},
    {"refused", "refused", 80, 24, false},
    {"absent", "absent", 80, 24, false},
    {"absent_long", "absent_long", 80, 24, false},
    {"seeking", "seeking", 80, 24, false},
    {"other_family", "other_family", 80, 24, false},
    {"tie", "tie", 80, 24, false},
    {"check_idle", "check_idle", 80, 24, false},
    {"check_cup", "check_cup", 80, 24, false},
    {"idle_absent", "idle_absent", 80, 24, false},
    {"idle_denied", "idle_denied", 80, 24, false},
    {"too_heavy", "too_heavy", 80, 24, false},
    {"lost", "lost", 80, 24, false},
    {"lifted", "lifted", 80, 24, false},
    {"sent", "sent", 80, 24, false},
    {"disk_full", "disk_full", 80, 24, false},
    {"moved_on", "moved_on", 80, 24, false},
    {"short", "short", 80, 24, false},
    {"over", "over", 80, 24, false},
    {"over_chosen", "over_chosen", 80, 24, false},
    {"over_small", "over_chosen", 60, 16, false},
    {"over_no_fit", "over_no_fit", 80, 24, false},
    {"over_foreign", "over_foreign", 80, 24, false},
    {"over_hardener", "over_hardener", 80, 24, false},
    {"over_stale", "over_stale", 80, 24, false},
    {"take_out", "take_out", 80, 24, false},
    {"taken", "taken", 80, 24, false},
    {"tint", "tint", 80, 24, false},
    {"tint_unknown", "tint_unknown", 80, 24, false},
    {"cup_empty", "cup_empty", 80, 24, false},
    {"cup", "cup", 80, 24, false},
    {"cup_stale", "cup_stale", 80, 24, false},
    {"done", "done", 80, 24, false},
    {"done_wide", "done", 120, 36, true},
    {"done_narrow", "done", 64, 18, false},
    {"done_copies", "done_copies", 80, 24, false},
    {"done_off", "done_off", 80, 24, false},
    {"idle", "idle", 80, 24, false},
    {"idle_held", "idle_held", 80, 24, false},
    {"idle_again", "idle_again", 80, 24, false},
    {"idle_drowsy", "idle_drowsy", 80, 24, false},
    {"contents", "contents", 80, 24, false},
    {"contents_idle", "contents_idle", 80, 24, false},
    {"undo", "undo", 80, 24, false},
    {"tin", "tin", 80, 24, false},
    {"note", "note", 80, 24, false},
    {"scrap", "scrap", 80, 24, false},
    {"find", "find", 80, 24, false},
    {"find_none", "find_none", 80, 24, false},
    {"find_coat", "find_coat", 80, 24, false},
    {"amount", "amount", 80, 24, false},
    {"amount_product", "amount_product", 80, 24, false},
    {"begin_refused", "begin_refused", 80, 24, false},
    {"toner", "toner", 80, 24, false},
    {"toner_choose", "toner_choose", 80, 24, false},
    {"scales", "scales", 80, 24, false},
};

/* The page as lines, each ended by \n; to be freed. */
static char *page_text(const struct grid *g)
{
    size_t size = (size_t)g->rows * (GRID_COLS_MAX * 4 + 2) + 1, n = 0;
    char *text = malloc(size);
    for (int row = 0; text && row < g->rows; row++) {
        grid_row_text(g, row, text + n, size - n - 1);
        n += strlen(text + n);
        text[n++] = '\n';
        text[n] = '\0';
    }
    return text;
}

static char *picture_text(const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "tests/data/pages/%s.txt", name);
    FILE *f = fopen(path, "r");
    if (!f)
        fail_msg("%s is missing", path);
    size_t size = (size_t)GRID_ROWS_MAX * GRID_COLS_MAX * 4;
    char *text = calloc(1, size + 1);
    size_t got = text ? fread(text, 1, size, f) : 0;
    if (text)
        text[got] = '\0';
    fclose(f);
    return text;
}

static void a_page_is_its_picture(void **state)
{
    size_t i = *(const size_t *)*state;
    struct scene s;
    scene_begin(&s, pictures[i].utf8);
    scene_play(&s, pictures[i].scene);
    page_draw(s.m, s.now, pictures[i].cols, pictures[i].rows, s.g);
    char *is = page_text(s.g), *shall = picture_text(pictures[i].name);
    if (!is || !shall || strcmp(is, shall) != 0)
        fail_msg("%s.txt\n--- shall be\n%s--- is\n%s", pictures[i].name, shall, is);
    free(is);
    free(shall);
    scene_end(&s);
}

int main(void)
{
    enum { COUNT = sizeof pictures / sizeof *pictures };
    static size_t places[COUNT];
    struct CMUnitTest tests[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        places[i] = i;
        tests[i] = (struct CMUnitTest){pictures[i].name, a_page_is_its_picture, NULL, NULL, &places[i]};
    }
    return cmocka_run_group_tests_name("page pictures", tests, NULL, NULL);
}
