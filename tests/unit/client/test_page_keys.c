/* What each key asks for on each page, and what then goes to the daemon. */
#include "tests/unit/client/scene.h"

/* A scene, a wait, a key, and the act (with its value) that it must be. */
static const struct {
    const char *scene;
    int wait_ms;
    char key;
    enum act act;
    uint32_t value;
} keys[] = {
    {"on_aim", 500, '\n', ACT_CALL, CALL_NEXT},
    {"on_aim", 200, '\n', ACT_WAITS, 0}, /* the page came 300 ms ago: done once it has stood */
    {"on_aim", 500, '.', ACT_NONE, 0},
    {"settling", 500, '\n', ACT_REFUSED, 0},
    {"pour", 500, '\n', ACT_REFUSED, 0},
    {"pour", 500, '.', ACT_CALL, CALL_SECOND},
    {"pour", 500, ',', ACT_CALL, CALL_SECOND}, /* a number pad with a comma */
    {"pour", 500, '0', ACT_PAGE, PAGE_MENU},
    {"pour", 500, 27, ACT_PAGE, PAGE_MENU},
    {"pour", 500, '/', ACT_PAGE, PAGE_FIND},
    {"pour", 500, '*', ACT_AGAIN, 0},
    {"pour", 500, '+', ACT_NEXT, 0},
    {"pour", 500, '-', ACT_BEFORE, 0},
    {"pour", 500, '7', ACT_CHOOSE, 7},
    {"pour", 500, 'x', ACT_NONE, 0},
    {"pour", 500, 'q', ACT_NONE, 0},  /* a stray letter leaves nothing */
    {"first", 500, '.', ACT_NONE, 0}, /* nothing poured: one key must not close the step */
    {"too_much", 500, '\n', ACT_CALL, CALL_NEXT},
    {"stale", 0, '\n', ACT_REFUSED, 0},
    {"stale", 0, '.', ACT_NONE, 0},
    {"grey", 0, '\n', ACT_REFUSED, 0},
    {"lost", 500, '\n', ACT_REFUSED, 0},
    {"lost", 500, '.', ACT_NONE, 0},
    {"lifted", 500, '\n', ACT_REFUSED, 0},
    {"lifted", 500, '.', ACT_CALL, CALL_SECOND},
    {"sent", 500, '\n', ACT_REFUSED, 0}, /* unanswered */
    {"sent", 500, '.', ACT_NONE, 0},
    {"over", 500, '\n', ACT_REFUSED, 0}, /* nothing is preselected */
    {"over", 500, '2', ACT_CHOOSE, 2},
    {"over_no_fit", 500, '\n', ACT_REFUSED, 0}, /* growing was pressed, but is shut */
    {"over_stale", 0, '\n', ACT_REFUSED, 0},
    {"take_out", 500, '\n', ACT_REFUSED, 0},
    {"taken", 500, '\n', ACT_CALL, CALL_NEXT},
    {"tint", 500, '\n', ACT_CALL, CALL_NEXT},
    {"cup", 500, '\n', ACT_CALL, CALL_NEXT},
    {"cup_empty", 500, '\n', ACT_REFUSED, 0},
    {"cup_empty", 500, '.', ACT_CALL, CALL_SECOND},
    {"cup_stale", 0, '\n', ACT_REFUSED, 0},
    {"check_cup", 500, '\n', ACT_REFUSED, 0}, /* what stands there is the check weight */
    {"check_cup", 500, '.', ACT_CALL, CALL_SECOND},
    {"check_idle", 500, '\n', ACT_REFUSED, 0},
    {"check_idle", 500, '.', ACT_PAGE, PAGE_FIND},
    {"done", 500, '\n', ACT_CALL, CALL_NEXT},
    {"done", 500, '.', ACT_CALL, CALL_SECOND},
    {"idle", 500, '\n', ACT_PAGE, PAGE_FIND},
    {"idle_held", 500, '.', ACT_RECORD, 0},
    {"idle", 500, 'T', ACT_TYPE, 'T'}, /* a code begins with its letter; a reader's with P */
    {"idle", 500, '#', ACT_TYPE, '#'},
    {"idle_again", 500, '\n', ACT_AMOUNT, 0},
    {"menu", 500, '0', ACT_PAGE, PAGE_BENCH},
    {"menu", 500, 'q', ACT_QUIT, 0},
    {"menu", 500, '\n', ACT_REFUSED, 0},
    {"note", 500, '0', ACT_WRITE, '0'}, /* in a field keys write */
    {"note", 500, '+', ACT_WRITE, '+'},
    {"note", 500, '\b', ACT_RUB_OUT, 0},
    {"note", 500, 27, ACT_PAGE, PAGE_BENCH},
    {"find", 500, '-', ACT_WRITE, '-'}, /* codes hold one */
    {"find", 500, '\n', ACT_END_WRITING, 0},
    {"find_none", 500, '\n', ACT_REFUSED, 0},
    {"find", 500, '+', ACT_NEXT, 0},
    {"find_number", 500, '\n', ACT_RECORD, 0}, /* a label's code is enough, whatever was found */
    {"find_batch", 500, '\n', ACT_END_WRITING, 0},
    {"record", 500, '\n', ACT_REFUSED, 0}, /* nothing is preselected that costs paint */
    {"record_unknown", 500, '\n', ACT_PAGE, PAGE_BENCH},
    {"record_pour", 500, '0', ACT_PAGE, PAGE_BENCH},
    {"panels", 500, '.', ACT_PAGE, PAGE_PANEL},
    {"panels", 500, '\b', ACT_RUB_OUT, 0},
    {"panel", 500, '\n', ACT_PAGE, PAGE_PANELS},
    {"panel", 500, 27, ACT_PAGE, PAGE_PANELS},
    {"panels_blend", 500, '\n', ACT_PAGE, PAGE_COAT_FORM}, /* back to the form that they belong to */
    {"order", 500, '.', ACT_PAGE, PAGE_COAT},
    {"order_coat", 500, '.', ACT_PAGE, PAGE_CARD},
    {"layers", 500, '\n', ACT_PAGE, PAGE_COAT}, /* of the open layer */
    {"order_head", 500, '\n', ACT_CALL, CALL_ORDER_HEAD},
    {"order_coat", 500, '\n', ACT_PAGE, PAGE_CARDS},
    {"coat_form", 500, '\n', ACT_CALL, CALL_COAT_PUT},
    {"coat_form", 500, '-', ACT_BEFORE, 0},
    {"card", 500, '\n', ACT_CALL, CALL_CARD},
    {"card", 500, '4', ACT_WRITE, '4'}, /* its note is being written */
    {"place", 500, '\n', ACT_CALL, CALL_PLACE},
    {"place", 500, 27, ACT_PAGE, PAGE_CUP},
    {"record_tinted", 500, '\n', ACT_CALL, CALL_KEEP},
    {"panels", 500, '0', ACT_AMOUNT, AMOUNT_OF_SAME}, /* what was written is not lost */
    {"touch_up", 500, '\n', ACT_LINE, FORM_HAVE_G},
    {"ratio", 500, '2', ACT_CHOOSE, 2},
    {"ratio", 500, 'x', ACT_NONE, 0},
    {"retare", 500, '-', ACT_BEFORE, 0},
    {"find_coat", 500, '1', ACT_CHOOSE, 1},
    {"find_coat", 500, '.', ACT_VARIANT, 0},
    {"find_coat", 500, '\n', ACT_AMOUNT, 0},
    {"amount", 500, '5', ACT_WRITE, '5'},
    {"amount", 500, '.', ACT_WRITE, '.'},
    {"amount", 500, 'g', ACT_NONE, 0},
    {"amount", 500, '+', ACT_NEXT, 0},
    {"amount_two", 500, '\n', ACT_REFUSED, 0}, /* grams and mL: neither wins in silence */
    {"toner", 500, '\n', ACT_END_WRITING, 0},
    {"scales", 500, '\n', ACT_READ, CALL_SCALES},
};

static void a_key_is_its_act(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, keys[i].scene);
        scene_pass(&s, keys[i].wait_ms, true);
        struct move move = keys_move(s.m, scene_press(keys[i].key), s.now);
        if (move.act != keys[i].act || (move.act != ACT_REFUSED && move.value != keys[i].value))
            fail_msg("%s, key %d: act %d value %u, want %d and %u", keys[i].scene, keys[i].key, (int)move.act,
                     move.value, (int)keys[i].act, keys[i].value);
        scene_end(&s);
    }
}

/* Keys from a scene on (each after half a second), and the call that must follow: its method and params. */
static const struct {
    const char *scene, *keys, *method, *params;
} calls[] = {
    {"on_aim", "\n", "batch.accept", "{}"},
    {"cup", "\n", "batch.accept", "{}"},
    {"cup_empty", ".", "batch.accept", "{\"tared\":true}"},
    {"pour", ".", "batch.accept", "{\"short\":true}"},
    {"still", "074\n", "batch.accept", "{\"short\":true}"},
    {"still", "071A17\n.", "batch.accept", "{\"short\":true,\"lot\":\"A17\"}"},
    {"over_chosen", "\n", "batch.remedy", "{\"choice\":\"grow\"}"},
    {"over", "3\n", "batch.remedy", "{\"choice\":\"leave\"}"},
    {"over", "31\n", "batch.remedy", "{\"choice\":\"grow\"}"},
    {"over", "+\n", "batch.remedy", "{\"choice\":\"grow\"}"},
    {"over_no_fit", "+\n", "batch.remedy", "{\"choice\":\"dip\"}"}, /* grow cannot be chosen */
    {"over_foreign", "4\n", "batch.remedy", "{\"choice\":\"again\"}"},
    {"lifted", ".", "batch.retare", "{}"},
    {"done", "\n", "batch.finish", "{\"label\":1}"},
    {"done", "++\n", "batch.finish", "{\"label\":3}"},
    {"done", "++.", "batch.finish", "{\"label\":0}"},
    {"undo", "\n", "batch.undo", "{}"},
    {"still", "08\n", "batch.hold", "{}"},
    {"scrap", "1\n", "batch.scrap", "{\"why\":\"wrong colour\"}"},
    {"note", "\b\b\b\n", "batch.note", "{\"text\":\"wiped the \"}"},
    {"toner_choose", "\n", "batch.tint", "{\"toner\":\"P12\"}"},
    {"toner_choose", "1\n", "batch.tint", "{\"toner\":\"P31\"}"},
    {"idle_held", "\n", "batch.resume", "{\"batch\":\"1043\"}"},
    {"idle_again", "\n15\n", "batch.begin", "{\"repeat\":\"1042\",\"as\":\"poured\",\"grams\":15.0}"},
    {"amount", "\n", "batch.begin", "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0}"},
    {"amount", "\b\b\b12.5\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":12.5}"},
    {"amount", "----4417\n\n\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0,\"order\":\"4417\"}"},
    {"amount_product", "\n", "batch.begin", "{\"product\":\"CLEAR-40\",\"ml\":250.0}"},
    /* The ninth key from idle on (the tenth takes the cup), though a batch bears that number as well. */
    {"quick", "\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"variant\":\"standard\",\"grams\":250.0}"},
    {"kept", "\n", "batch.begin", /* order and painter stay until they are changed */
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":80.0,\"order\":\"4417\",\"painter\":"
     "\"Ines\"}"},
    {"amount_have", "\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0,"
     "\"have\":[{\"batch\":\"1031\",\"grams\":80.0}]}"},
    {"amount_choices", "\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0,\"reducer\":\"THN-20\","
     "\"cup_ml\":1400,\"pour_order\":\"bed\"}"},
    {"amount_choices", "1-1-1\n", "batch.begin", /* as usual: nothing to say of it */
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":400.0}"},
    {"amount_panels", "\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"panels\":[{\"name\":\"door-left-front\","
     "\"coats\":3},{\"name\":\"door-left-rear\",\"coats\":2}]}"},
    {"ratio", "\n", "batch.begin",
     "{\"product\":\"CLEAR-40\",\"ml\":300.0,\"parts\":[\"CLEAR-40\",\"HARD-3\",\"THN-F\"]}"},
    {"single", "\n", "batch.begin",
     "{\"formula\":\"TI-031\",\"coat\":\"single\",\"variant\":\"standard\",\"grams\":250.0,"
     "\"product\":\"SINGLE-21\",\"parts\":[\"colour\",\"HARD-1\",\"THN-M\"]}"},
    {"single", "2\n", "batch.begin", /* the product's own hardener: nothing to say of it */
     "{\"formula\":\"TI-031\",\"coat\":\"single\",\"variant\":\"standard\",\"grams\":250.0}"},
    {"record_held", "\n", "batch.resume", "{\"batch\":\"1042\"}"},
    {"record", "2\n", "batch.label", "{\"batch\":\"1042\",\"copies\":1}"},
    {"record", "3\n", "batch.begin", "{\"repeat\":\"1042\",\"as\":\"poured\"}"},
    {"record", "4250\n", "batch.begin", "{\"repeat\":\"1042\",\"as\":\"corrected\",\"grams\":250.0}"},
    {"touch_up", "\n80\n", "batch.begin",
     "{\"formula\":\"TI-207\",\"coat\":\"mid\",\"variant\":\"redder\",\"grams\":120.0,"
     "\"have\":[{\"batch\":\"1042\",\"grams\":80.0}]}"},
    {"idle_old", "\n", "batch.resume", "{\"batch\":\"977\"}"},
    {"retare", "\n", "batch.retare", "{\"uncounted_g\":12.5,\"lost_g\":3.0}"},
    {"retare", "\b\n", "batch.retare", "{\"uncounted_g\":12.5}"},
    {"done", "07\n", "batch.retare", "{}"},
    {"scale", "1200\n", "scale.check", "{\"grams\":200.0,\"begin\":true}"},
    /* A put replaces the whole order: what was not changed goes with it. */
    {"order_head", "\n", "order.put",
     "{\"order\":\"4417\",\"vehicle\":\"van 3, grey\",\"painter\":\"Ines\",\"due\":\"2025-12-24\",\"closed\":false,"
     "\"coats\":[{\"coat\":\"ground\",\"formula\":\"TI-207\",\"variant\":\"standard\",\"panels\":[],\"grams\":310},"
     "{\"coat\":\"mid\",\"formula\":\"TI-207\",\"variant\":\"redder\",\"panels\":[{\"name\":\"door-left-rear\","
     "\"coats\":3}]}]}"},
    {"coat_form", "\n", "order.put",
     "{\"order\":\"4417\",\"vehicle\":\"van 3\",\"painter\":\"Ines\",\"due\":\"2025-11-28\",\"closed\":false,"
     "\"coats\":[{\"coat\":\"ground\",\"formula\":\"TI-207\",\"variant\":\"standard\",\"panels\":[],\"grams\":310},"
     "{\"coat\":\"mid\",\"formula\":\"TI-207\",\"variant\":\"redder\",\"panels\":[{\"name\":\"door-left-rear\","
     "\"coats\":3}],\"mids\":4.0,\"film_um\":18.0}]}"},
    {"panels_blend", "\n\n", "order.put", /* half the door, and its jambs first */
     "{\"order\":\"4417\",\"vehicle\":\"van 3\",\"painter\":\"Ines\",\"due\":\"2025-11-28\",\"closed\":false,"
     "\"coats\":[{\"coat\":\"ground\",\"formula\":\"TI-207\",\"variant\":\"standard\",\"panels\":[],\"grams\":310},"
     "{\"coat\":\"mid\",\"formula\":\"TI-207\",\"variant\":\"redder\",\"panels\":[{\"name\":\"door-left-rear\","
     "\"coats\":3,\"share_pct\":15.0,\"edges\":true},{\"name\":\"door-left-rear\",\"coats\":3,\"share_pct\":50.0}],"
     "\"mids\":4.0,\"film_um\":18.0}]}"},
    {"order_coat", "3\n", "order.put",
     "{\"order\":\"4417\",\"vehicle\":\"van 3\",\"painter\":\"Ines\",\"due\":\"2025-11-28\",\"closed\":false,"
     "\"coats\":[{\"coat\":\"ground\",\"formula\":\"TI-207\",\"variant\":\"standard\",\"panels\":[],\"grams\":310}]}"},
    {"card", "\n", "card.put",
     "{\"formula\":\"TI-207\",\"variant\":\"redder\",\"coat\":\"mid\",\"coats\":3.0,\"mids\":2.0,\"light\":[\"sun\","
     "\"lamp\"],\"verdict\":\"match\",\"order\":\"4417\",\"note\":\"under the shelf lamp\"}"},
    {"place", "\n", "batch.shelve", "{\"batch\":\"1031\",\"place\":\"B 4\",\"use_by\":\"2025-11-01\"}"},
    {"place", "\b\b\b\b\b\b\b\b\b\b1.2.2026\n", "batch.shelve",
     "{\"batch\":\"1031\",\"place\":\"B 4\",\"use_by\":\"2026-02-01\"}"},
    {"record_tinted", "\n", "formula.keep", "{\"batch\":\"1042\"}"},
    {"record_tinted", "7redder 2\n", "formula.keep", "{\"batch\":\"1042\",\"variant\":\"redder 2\"}"},
    {"check", "\n", "scale.check", "{}"},
    {"check", "0", "scale.check", "{\"cancel\":true}"}, /* nobody leaves a check weight half done */
};

/* A call of the shop's lists names no bench and no revision. */
static bool of_no_bench(const char *method)
{
    static const char *const methods[] = {"batch.label", "batch.shelve", "order.put", "card.put", "formula.keep"};
    for (size_t i = 0; i < sizeof methods / sizeof *methods; i++)
        if (strcmp(methods[i], method) == 0)
            return true;
    return false;
}

static void a_move_is_its_call(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, calls[i].scene);
        for (const char *c = calls[i].keys; *c; c++) {
            scene_pass(&s, 500, true);
            scene_key(&s, scene_press(*c));
        }
        json_t *want = json_loads(calls[i].params, 0, NULL);
        assert_non_null(want);
        json_object_set_new(want, "request", json_string("request"));
        bool check = strcmp(calls[i].method, "scale.check") == 0;
        if (!of_no_bench(calls[i].method))
            json_object_set_new(want, "station", json_string("bench"));
        if (!of_no_bench(calls[i].method) && !check)
            json_object_set_new(want, "revision", json_integer(s.bench->revision));
        char *got = json_dumps(s.last.params, JSON_SORT_KEYS | JSON_REAL_PRECISION(15));
        if (strcmp(s.last.method, calls[i].method) != 0 || !json_equal(want, s.last.params))
            fail_msg("%s: %s %s, want %s %s", calls[i].scene, s.last.method, got ? got : "", calls[i].method,
                     calls[i].params);
        free(got);
        json_decref(want);
        scene_end(&s);
    }
}

static void a_second_enter_sends_nothing(void **state)
{
    (void)state;
    struct scene s;
    scene_begin(&s, false);
    scene_play(&s, "on_aim");
    scene_pass(&s, 500, true);
    scene_key(&s, scene_press('\n'));
    assert_non_null(s.last.params);
    json_decref(s.last.params);
    s.last = (struct call){0};
    scene_pass(&s, 1000, true);
    scene_key(&s, scene_press('\n'));
    scene_key(&s, scene_press('.'));
    assert_null(s.last.params);
    scene_end(&s);
}

/* A refusal is worded by its code, in the language of the page; an unknown code by the daemon's English. */
static void a_refusal_is_worded_by_its_code(void **state)
{
    static const struct {
        const char *code, *text;
    } rows[] = {{"undo_nothing", NULL}, {"a_code_of_tomorrow", "The message. The help."}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scene s;
        char text[FOOT_ROOM], want[FOOT_ROOM];
        scene_begin_in(&s, true, WORDS_DE);
        json_t *error = json_pack("{s:i, s:s, s:{s:s, s:{}, s:s}}", "code", -32004, "message", "the message", "data",
                                  "code", rows[i].code, "args", "help", "The help.");
        calls_error_text(s.m, error, text, sizeof text);
        snprintf(want, sizeof want, "%s", rows[i].text ? rows[i].text : words_of(WORDS_DE, "undo_nothing.help"));
        if (!strstr(text, want) || strstr(text, "the message"))
            fail_msg("%s: %s", rows[i].code, text);
        json_decref(error);
        scene_end(&s);
    }
}

/* A page with nothing written makes way for the pour; what is being written stays. */
static void a_pour_closes_an_idle_page(void **state)
{
    static const struct {
        const char *keys;
        double to_g;
        enum page page;
    } rows[] = {
        {"0", 352.3, PAGE_MENU}, {"0", 353.0, PAGE_BENCH}, {"05", 353.0, PAGE_BENCH}, {"05x", 353.0, PAGE_WRITE}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scene s;
        scene_begin(&s, false);
        scene_play(&s, "still");
        for (const char *c = rows[i].keys; *c; c++)
            scene_key(&s, scene_press(*c));
        s.weight_g = rows[i].to_g;
        scene_pass(&s, 100, true);
        if (s.m->view.page != rows[i].page)
            fail_msg("%s to %.1f: page %d", rows[i].keys, rows[i].to_g, (int)s.m->view.page);
        scene_end(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_key_is_its_act),
        cmocka_unit_test(a_move_is_its_call),
        cmocka_unit_test(a_second_enter_sends_nothing),
        cmocka_unit_test(a_refusal_is_worded_by_its_code),
        cmocka_unit_test(a_pour_closes_an_idle_page),
    };
    return cmocka_run_group_tests_name("keys", tests, NULL, NULL);
}
