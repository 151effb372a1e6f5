/* Whole pages as text: each scene of tests/data/pages/scenes.json against its picture. */
#include "tests/unit/client/scene.h"

/* A scene in a size; its picture is tests/data/pages/NAME.txt. */
static const struct {
    const char *name, *scene;
    int cols, rows;
    bool utf8;
    enum words_language language;
} pictures[] = {
    {"pour", "pour", 80, 24, false, WORDS_EN},
    {"first", "first", 80, 24, false, WORDS_EN},
    {"ease", "ease", 80, 24, false, WORDS_EN},
    {"stop", "stop", 80, 24, false, WORDS_EN},
    {"on_aim", "on_aim", 80, 24, false, WORDS_EN},
    {"past", "past", 80, 24, false, WORDS_EN},
    {"settling", "settling", 80, 24, false, WORDS_EN},
    {"too_much", "too_much", 80, 24, false, WORDS_EN},
    {"fine", "fine", 80, 24, false, WORDS_EN},
    {"comma", "comma", 80, 24, false, WORDS_EN},
    {"formula", "formula", 80, 24, false, WORDS_EN},
    {"again", "again", 80, 24, false, WORDS_EN},
    {"grew", "grew", 80, 24, false, WORDS_EN},
    {"cautioned", "cautioned", 80, 24, false, WORDS_EN},
    {"grey", "grey", 80, 24, false, WORDS_EN},
    {"silent", "silent", 80, 24, false, WORDS_EN},
    {"stale", "stale", 80, 24, false, WORDS_EN},
    {"refused", "refused", 80, 24, false, WORDS_EN},
    {"absent", "absent", 80, 24, false, WORDS_EN},
    {"absent_long", "absent_long", 80, 24, false, WORDS_EN},
    {"seeking", "seeking", 80, 24, false, WORDS_EN},
    {"other_family", "other_family", 80, 24, false, WORDS_EN},
    {"check_idle", "check_idle", 80, 24, false, WORDS_EN},
    {"check_cup", "check_cup", 80, 24, false, WORDS_EN},
    {"idle_absent", "idle_absent", 80, 24, false, WORDS_EN},
    {"too_heavy", "too_heavy", 80, 24, false, WORDS_EN},
    {"lost", "lost", 80, 24, false, WORDS_EN},
    {"lifted", "lifted", 80, 24, false, WORDS_EN},
    {"sent", "sent", 80, 24, false, WORDS_EN},
    {"early", "early", 80, 24, false, WORDS_EN},
    {"disk_full", "disk_full", 80, 24, false, WORDS_EN},
    {"moved_on", "moved_on", 80, 24, false, WORDS_EN},
    {"over", "over", 80, 24, false, WORDS_EN},
    {"over_chosen", "over_chosen", 80, 24, false, WORDS_EN},
    {"over_no_fit", "over_no_fit", 80, 24, false, WORDS_EN},
    {"over_rescue", "over_rescue", 80, 24, false, WORDS_EN},
    {"rescue_cup", "rescue_cup", 80, 24, false, WORDS_EN},
    {"over_foreign", "over_foreign", 80, 24, false, WORDS_EN},
    {"over_hardener", "over_hardener", 80, 24, false, WORDS_EN},
    {"over_stale", "over_stale", 80, 24, false, WORDS_EN},
    {"hardener", "hardener", 80, 24, false, WORDS_EN},
    {"take_out", "take_out", 80, 24, false, WORDS_EN},
    {"taken", "taken", 80, 24, false, WORDS_EN},
    {"done", "done", 80, 24, false, WORDS_EN},
    {"done_copies", "done_copies", 80, 24, false, WORDS_EN},
    {"done_off", "done_off", 80, 24, false, WORDS_EN},
    {"tint", "tint", 80, 24, false, WORDS_EN},
    {"cup_empty", "cup_empty", 80, 24, false, WORDS_EN},
    {"cup", "cup", 80, 24, false, WORDS_EN},
    {"cup_stale", "cup_stale", 80, 24, false, WORDS_EN},
    {"idle", "idle", 80, 24, false, WORDS_EN},
    {"idle_held", "idle_held", 80, 24, false, WORDS_EN},
    {"idle_again", "idle_again", 80, 24, false, WORDS_EN},
    {"idle_drowsy", "idle_drowsy", 80, 24, false, WORDS_EN},
    {"menu", "menu", 80, 24, false, WORDS_EN},
    {"menu_idle", "menu_idle", 80, 24, false, WORDS_EN},
    {"menu_shut", "menu_shut", 80, 24, false, WORDS_EN},
    {"undo", "undo", 80, 24, false, WORDS_EN},
    {"tin", "tin", 80, 24, false, WORDS_EN},
    {"note", "note", 80, 24, false, WORDS_EN},
    {"scrap", "scrap", 80, 24, false, WORDS_EN},
    {"find", "find", 80, 24, false, WORDS_EN},
    {"find_none", "find_none", 80, 24, false, WORDS_EN},
    {"find_coat", "find_coat", 80, 24, false, WORDS_EN},
    {"amount", "amount", 80, 24, false, WORDS_EN},
    {"amount_two", "amount_two", 80, 24, false, WORDS_EN},
    {"amount_product", "amount_product", 80, 24, false, WORDS_EN},
    {"begin_refused", "begin_refused", 80, 24, false, WORDS_EN},
    {"toner", "toner", 80, 24, false, WORDS_EN},
    {"toner_choose", "toner_choose", 80, 24, false, WORDS_EN},
    {"scales", "scales", 80, 24, false, WORDS_EN},
    {"names", "names", 80, 24, true, WORDS_EN},
    {"pour_utf8", "pour", 80, 24, true, WORDS_EN},
    {"ease_utf8", "ease", 80, 24, true, WORDS_EN},
    {"pour_wide", "pour", 120, 40, true, WORDS_EN},
    {"pour_tall", "pour", 80, 40, false, WORDS_EN},
    {"pour_plain_de", "ease", 80, 24, false, WORDS_DE},
    {"pour_narrow", "pour", 70, 20, false, WORDS_EN},
    {"pour_tiny", "pour", 50, 10, false, WORDS_EN},
    {"stop_small", "stop", 60, 16, false, WORDS_EN},
    {"stale_small", "stale", 60, 16, false, WORDS_EN},
    {"stale_tiny", "stale", 40, 1, false, WORDS_EN},
    {"over_small", "over_chosen", 60, 16, false, WORDS_EN},
    {"over_tiny", "over", 50, 8, false, WORDS_EN},
    {"over_wide", "over", 132, 43, true, WORDS_EN},
    {"over_hazards_small_de", "over_hazards", 60, 16, true, WORDS_DE},
    {"hazards_small_de", "hazards", 60, 16, true, WORDS_DE},
    {"hazards_tiny_de", "hazards", 50, 15, true, WORDS_DE},
    {"hazards_refused", "hazards_refused", 60, 16, true, WORDS_DE},
    {"pot_life", "pot_life", 80, 24, false, WORDS_EN},
    {"pot_life_over", "pot_life_over", 80, 24, false, WORDS_EN},
    {"pot_life_tiny", "pot_life", 50, 15, false, WORDS_EN},
    {"idle_facts", "idle_facts", 80, 24, false, WORDS_EN},
    {"menu_small_de", "menu", 60, 16, true, WORDS_DE},
    {"menu_tiny", "menu", 50, 15, false, WORDS_EN},
    {"done_wide", "done", 120, 40, true, WORDS_EN},
    {"done_narrow", "done", 64, 18, false, WORDS_EN},
    {"pour_de", "pour", 80, 24, true, WORDS_DE},
    {"ease_de", "ease", 80, 24, true, WORDS_DE},
    {"stop_de", "stop", 80, 24, true, WORDS_DE},
    {"on_aim_de", "on_aim", 80, 24, true, WORDS_DE},
    {"stale_de", "stale", 80, 24, true, WORDS_DE},
    {"lifted_de", "lifted", 80, 24, true, WORDS_DE},
    {"over_chosen_de", "over_chosen", 80, 24, true, WORDS_DE},
    {"over_rescue_small_de", "over_rescue", 60, 16, true, WORDS_DE},
    {"rescue_cup_de", "rescue_cup", 100, 30, true, WORDS_DE},
    {"done_de", "done", 80, 24, true, WORDS_DE},
    {"idle_held_de", "idle_held", 80, 24, true, WORDS_DE},
    {"menu_de", "menu", 80, 24, true, WORDS_DE},
    {"find_coat_de", "find_coat", 80, 24, true, WORDS_DE},
    {"amount_de", "amount", 80, 24, true, WORDS_DE},
    {"hardener_de", "hardener", 80, 24, true, WORDS_DE},
    {"cup_de", "cup", 80, 24, true, WORDS_DE},
    {"amount_plan", "amount_plan", 80, 24, false, WORDS_EN},
    {"amount_choices", "amount_choices", 80, 24, false, WORDS_EN},
    {"amount_choices_small_de", "amount_choices", 60, 16, true, WORDS_DE},
    {"amount_have", "amount_have", 80, 24, false, WORDS_EN},
    {"amount_refused", "amount_refused", 80, 24, false, WORDS_EN},
    {"panels", "panels", 80, 24, false, WORDS_EN},
    {"amount_panels", "amount_panels", 80, 24, false, WORDS_EN},
    {"ratio", "ratio", 80, 24, false, WORDS_EN},
    {"single", "single", 80, 24, false, WORDS_EN},
    {"find_batch", "find_batch", 80, 24, false, WORDS_EN},
    {"find_number", "find_number", 80, 24, false, WORDS_EN},
    {"record", "record", 80, 24, false, WORDS_EN},
    {"record_held", "record_held", 80, 24, false, WORDS_EN},
    {"record_unknown", "record_unknown", 80, 24, false, WORDS_EN},
    {"record_pour", "record_pour", 80, 24, false, WORDS_EN},
    {"touch_up", "touch_up", 80, 24, false, WORDS_EN},
    {"idle_orders", "idle_orders", 80, 24, false, WORDS_EN},
    {"orders", "orders", 80, 24, false, WORDS_EN},
    {"order", "order", 80, 24, false, WORDS_EN},
    {"order_small_de", "order", 60, 16, true, WORDS_DE},
    {"order_head", "order_head", 80, 24, false, WORDS_EN},
    {"order_head_small_de", "order_head", 60, 16, true, WORDS_DE},
    {"order_coat", "order_coat", 80, 24, false, WORDS_EN},
    {"coat_form", "coat_form", 80, 24, false, WORDS_EN},
    {"coat_form_small_de", "coat_form", 60, 16, true, WORDS_DE},
    {"panel", "panel", 80, 24, false, WORDS_EN},
    {"panel_small_de", "panel", 60, 16, true, WORDS_DE},
    {"panels_blend", "panels_blend", 80, 24, false, WORDS_EN},
    {"layers", "layers", 80, 24, false, WORDS_EN},
    {"layers_small_de", "layers", 60, 16, true, WORDS_DE},
    {"layers_refused", "layers_refused", 80, 24, false, WORDS_EN},
    {"card", "card", 80, 24, false, WORDS_EN},
    {"card_small_de", "card", 60, 16, true, WORDS_DE},
    {"place", "place", 80, 24, false, WORDS_EN},
    {"place_de", "place", 80, 24, true, WORDS_DE},
    {"uses", "uses", 80, 24, false, WORDS_EN},
    {"uses_small_de", "uses", 60, 16, true, WORDS_DE},
    {"uses_taken", "uses_taken", 80, 24, false, WORDS_EN},
    {"round", "round", 80, 24, false, WORDS_EN},
    {"cup_uses", "cup_uses", 80, 24, false, WORDS_EN},
    {"cup_stays_de", "cup_stays", 80, 24, true, WORDS_DE},
    {"record_tinted", "record_tinted", 80, 24, false, WORDS_EN},
    {"shelf", "shelf", 80, 24, false, WORDS_EN},
    {"shelf_small_de", "shelf", 60, 16, true, WORDS_DE},
    {"settings", "settings", 80, 24, false, WORDS_EN},
    {"people", "people", 80, 24, false, WORDS_EN},
    {"idle_old", "idle_old", 80, 24, false, WORDS_EN},
    {"scale", "scale", 80, 24, false, WORDS_EN},
    {"scale_port", "scale_port", 80, 24, false, WORDS_EN},
    {"scale_drift", "scale_drift", 80, 24, false, WORDS_EN},
    {"retare", "retare", 80, 24, false, WORDS_EN},
    {"check", "check", 80, 24, false, WORDS_EN},
    {"check_done", "check_done", 80, 24, false, WORDS_EN},
    {"printed", "printed", 80, 24, false, WORDS_EN},
    {"amount_plan_de", "amount_plan", 80, 24, true, WORDS_DE},
    {"ratio_de", "ratio", 80, 24, true, WORDS_DE},
    {"record_de", "record", 80, 24, true, WORDS_DE},
    {"record_held_de", "record_held", 80, 24, true, WORDS_DE},
    {"find_batch_de", "find_batch", 80, 24, true, WORDS_DE},
    {"panels_de", "panels", 80, 24, true, WORDS_DE},
    {"retare_de", "retare", 80, 24, true, WORDS_DE},
    {"scale_drift_de", "scale_drift", 80, 24, true, WORDS_DE},
    {"amount_have_small_de", "amount_have", 60, 16, true, WORDS_DE},
    {"record_small_de", "record", 60, 16, true, WORDS_DE},
    {"ratio_small_de", "ratio", 60, 16, true, WORDS_DE},
    {"scale_small_de", "scale", 60, 16, true, WORDS_DE},
    {"record_wide", "record", 132, 43, true, WORDS_EN},
    {"amount_plan_wide_de", "amount_plan", 132, 43, true, WORDS_DE},
    {"premix", "premix", 80, 24, false, WORDS_EN},
    {"premix_small_de", "premix", 60, 16, true, WORDS_DE},
    {"premix_kept", "premix_kept", 80, 24, false, WORDS_EN},
    {"practice", "practice", 80, 24, false, WORDS_EN},
    {"practice_de", "practice", 80, 24, true, WORDS_DE},
    {"practice_name", "practice_name", 80, 24, false, WORDS_EN},
    {"practice_idle", "practice_idle", 80, 24, false, WORDS_EN},
    {"practice_pour", "practice_pour", 80, 24, false, WORDS_EN},
    {"practice_pour_de", "practice_pour", 80, 24, true, WORDS_DE},
    {"practice_pour_small_de", "practice_pour", 60, 16, true, WORDS_DE},
    {"practice_tiny", "practice_pour", 40, 8, false, WORDS_EN},
    {"practice_grams", "practice_grams", 80, 24, false, WORDS_EN},
    {"practice_over", "practice_over", 80, 24, false, WORDS_EN},
    {"practice_done", "practice_done", 80, 24, false, WORDS_EN},
    {"practice_menu", "practice_menu", 80, 24, false, WORDS_EN},
    {"practice_learnt", "practice_learnt", 80, 24, false, WORDS_EN},
    {"practice_learnt_de", "practice_learnt", 60, 16, true, WORDS_DE},
    {"practice_ended", "practice_ended", 80, 24, false, WORDS_EN},
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
    scene_begin_in(&s, pictures[i].utf8, pictures[i].language);
    scene_play(&s, pictures[i].scene);
    page_draw(s.m, s.now, pictures[i].cols, pictures[i].rows, s.g);
    char *is = page_text(s.g), *shall = picture_text(pictures[i].name);
    if (!is || !shall || strcmp(is, shall) != 0) {
        /* Not by fail_msg: it cuts what is longer than a kilobyte, as every page is. */
        fprintf(stderr, "--- %s.txt\n--- shall be\n%s--- is\n%s--- end\n", pictures[i].name, shall, is);
        fail_msg("%s.txt is another page", pictures[i].name);
    }
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
