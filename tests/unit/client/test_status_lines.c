/* The screen as lines: what a person reads of each state. */
#include "client/status.h"

#include "text/utf8.h"

#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define IDLE                                                                                                           \
    "\"station\":\"bench\",\"state\":\"idle\",\"revision\":0,\"batch\":null,\"formula\":null,\"steps\":[],\"now\":"    \
    "null,\"total_g\":null,\"remedies\":null,\"lifted\":false,\"caution\":[],\"message\":\"\",\"scale\":{"             \
    "\"state\":\"absent\",\"why\":\"port gone\"}"

#define POUR                                                                                                           \
    "\"station\":\"bench\",\"state\":\"pour\",\"batch\":\"7\",\"formula\":\"TI-207\",\"name\":\"Copperwing\","         \
    "\"coat\":\"ground\",\"variant\":\"standard\",\"step\":2,\"steps\":[{\"toner\":\"N10\",\"name\":\"White\","        \
    "\"aim_g\":212,\"poured_g\":212.3,\"state\":\"done\",\"verdict\":\"on_aim\",\"deviation_pct\":0.14},{\"toner\":"   \
    "\"M42\",\"name\":\"Silver\",\"aim_g\":61.5,"                                                                      \
    "\"poured_g\":0,\"state\":\"now\"},{\"toner\":\"K01\",\"name\":\"Black\",\"aim_g\":3.2,\"poured_g\":0,"            \
    "\"state\":\"next\"}],\"now\":{\"toner\":\"M42\",\"name\":\"Silver\",\"aim_g\":61.5,\"in_cup_g\":50.1,"            \
    "\"to_go_g\":11.4,\"tolerance_g\":0.05,\"cue\":\"pour\",\"scale_shows_g\":305},\"total_g\":276.7,"                 \
    "\"wanted_g\":276.7,\"cup_ml\":750,\"fill_ml\":240.2,\"scale\":{\"state\":\"live\",\"why\":null}"

#define OVER                                                                                                           \
    POUR ",\"remedies\":{\"grow\":{\"total_g\":300,\"add_g\":[18,0,0.4],\"fits\":false,\"why\":\"cup holds 0.75 L\","  \
         "\"waste_g\":0,\"cost\":4.2},\"dip\":{\"take_g\":12.5,\"total_g\":276.7,\"add_g\":[9.5,0,0.1],"               \
         "\"fits\":true,\"why\":null,\"waste_g\":12.5,\"cost\":1.1},\"leave\":{\"deviation_pct\":[0,5,null]}},"        \
         "\"lifted\":true,\"caution\":[\"H226: flammable\"],\"message\":\"grew to 276.7 g by itself\""

static const struct {
    const char *name, *screen;
    const char *says[6];  /* each must stand in it */
    const char *not_said; /* must not */
} rows[] = {
    {"idle", IDLE, {"bench idle, scale gone: port gone"}, "batch"},
    {"pour",
     POUR,
     {"TI-207 Copperwing   ground   standard   batch 7   bench pour, scale ok", "done  N10  White ....",
      "212.0 g  212.3 g  +0.1 %", "61.5 g   50.1 g  11.4 g to go, pour",
      "the batch becomes 276.7 g colour, 240 mL to spray in a cup of 750 mL"},
     "remedy"},
    {"no cue from a scale that says nothing",
     POUR ",\"scale\":{\"state\":\"stale\",\"why\":\"the scale says nothing\"}",
     {"scale silent: the scale says nothing", "11.4 g to go when last weighed"},
     ", pour"},
    {"nor with the cup off", OVER, {"11.4 g to go when last weighed"}, ", pour\n"},
    {"past the aim",
     POUR ",\"now\":{\"toner\":\"M42\",\"aim_g\":61.5,\"in_cup_g\":62.5,\"to_go_g\":-1,\"cue\":\"over\"}",
     {"62.5 g  1.0 g over"},
     "to go"},
    {"a remedy that does not fit says why", OVER, {"grow", "does not fit: cup holds 0.75 L"}, "pour on N10 18.0 g"},
    {"dip says what to take and to pour", OVER, {"take out 12.5 g, pour on N10 9.5 g, K01 0.1 g"}, NULL},
    {"leave says what is off", OVER, {"off: M42 +5.0 %"}, "K01 +"},
    {"what asks", OVER, {"the cup is off the scale", "caution: H226: flammable", "grew to 276.7 g by itself"}, NULL},
    {"the taking out",
     "\"station\":\"bench\",\"state\":\"pour\",\"steps\":[{\"toner\":\"N10\",\"name\":\"White\",\"aim_g\":5,"
     "\"poured_g\":9,\"state\":\"done\"}],\"step\":null,\"now\":{\"toner\":null,\"name\":\"take out\",\"aim_g\":-8.5,"
     "\"in_cup_g\":-2,\"to_go_g\":-6.5},\"scale\":{\"state\":\"live\"}",
     {"now        take out", "-8.5 g  -2.0 g"},
     NULL},
};

static char *seen(const char *members)
{
    const struct view v = {.style.number = {.point = '.', .d_g = 0.1}, .currency = ""};
    char whole[4096], *text = NULL;
    size_t size;
    snprintf(whole, sizeof whole, "{%s}", members);
    json_t *screen = json_loads(whole, 0, NULL);
    FILE *f = open_memstream(&text, &size);
    assert_true(screen && f);
    view_screen(&v, screen, f);
    fclose(f);
    json_decref(screen);
    return text;
}

static void each_state_says_what_a_person_needs(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *text = seen(rows[i].screen);
        for (size_t s = 0; s < 6 && rows[i].says[s]; s++)
            if (!strstr(text, rows[i].says[s]))
                fail_msg("%s: no \"%s\" in\n%s", rows[i].name, rows[i].says[s], text);
        if (rows[i].not_said && strstr(text, rows[i].not_said))
            fail_msg("%s: \"%s\" in\n%s", rows[i].name, rows[i].not_said, text);
        free(text);
    }
}

static const struct {
    const char *name, *weight, *line;
} weights[] = {
    {"moves on", "{\"weight_g\":300.2,\"to_go_g\":4.8,\"in_cup_g\":56.7,\"state\":\"live\"}",
     "M42  4.8 g to go, in cup 56.7 g"},
    {"past the aim", "{\"weight_g\":306,\"to_go_g\":-1,\"in_cup_g\":62.5,\"state\":\"live\"}",
     "M42  1.0 g over, in cup 62.5 g"},
    {"stale is no weight", "{\"weight_g\":300.2,\"stable\":true,\"state\":\"stale\"}", "no weight: scale silent"},
    {"null is no weight", "{\"weight_g\":null,\"stable\":null,\"state\":\"live\"}", ""},
};

static void a_weight_moves_the_line_on(void **state)
{
    const struct view v = {.style.number = {.point = '.', .d_g = 0.1}, .currency = ""};
    json_t *screen = json_loads("{" POUR "}", 0, NULL);
    (void)state;
    assert_non_null(screen);
    for (size_t i = 0; i < sizeof weights / sizeof *weights; i++) {
        char line[160];
        json_t *weight = json_loads(weights[i].weight, 0, NULL);
        view_weight(&v, screen, weight, line, sizeof line);
        json_decref(weight);
        if (strcmp(line, weights[i].line) != 0)
            fail_msg("%s: \"%s\"", weights[i].name, line);
    }
    json_decref(screen);
}

/* Names come from files, frames and other people. Source: contract, section 3: C0, C1, DEL, zero width, direction. */
#define HOSTILE "\\u001b[31m\\u009b2J\\u007f\\u200b\\u202e\\u2066\\r\\n"

static void hostile_names_do_nothing(void **state)
{
    static const char screen[] =
        "\"station\":\"" HOSTILE "\",\"state\":\"pour\",\"formula\":\"" HOSTILE "\",\"name\":\"" HOSTILE
        "\",\"coat\":\"" HOSTILE "\",\"variant\":\"" HOSTILE "\",\"batch\":\"" HOSTILE "\",\"order\":\"" HOSTILE
        "\",\"painter\":\"" HOSTILE "\",\"step\":1,\"steps\":[{\"toner\":\"" HOSTILE "\",\"name\":\"" HOSTILE
        "\",\"state\":\"" HOSTILE "\"}],\"scale\":{\"state\":\"" HOSTILE "\",\"why\":\"" HOSTILE
        "\"},\"message\":\"" HOSTILE "\",\"caution\":[\"" HOSTILE
        "\"],\"facts\":[{\"code\":\"x\",\"args\":{},\"text\":\"" HOSTILE
        "\"}],\"remedies\":{\"grow\":{\"why\":\"" HOSTILE "\"}}";
    char *text = seen(screen);
    (void)state;
    for (char *rest = text, *line; (line = strsep(&rest, "\n"));)
        if (!utf8_is_clean(line))
            fail_msg("not clean: %s", line);
    free(text);
}

/* JSON is the same value to a program, and harmless to whoever looks on. */
static void json_is_harmless(void **state)
{
    char *text = NULL;
    size_t size;
    FILE *f = open_memstream(&text, &size);
    json_t *before = json_loads("{\"name\":\"" HOSTILE "L\\u00fcster\"}", 0, NULL);
    (void)state;
    assert_true(f && before);
    output_json_to(before, f);
    fclose(f);
    json_t *after = json_loads(text, 0, NULL);
    assert_true(json_equal(before, after));
    text[strcspn(text, "\n")] = '\0';
    assert_true(utf8_is_clean(text));
    assert_non_null(strstr(text, "L\xc3\xbcster")); /* letters stay letters */
    json_decref(before);
    json_decref(after);
    free(text);
}

/* Without UTF-8 German is written as it is on a typewriter. */
static void without_utf8_german_is_readable(void **state)
{
    char *plain = output_clean("Gr\xc3\xb6\xc3\x9f"
                               "e, M\xc3\xbcll, m\xc2\xb2",
                               false);
    (void)state;
    assert_string_equal(plain, "Groesse, Muell, m2");
    free(plain);
}

/* At d = 0.5 g the page shows multiples of it; status showed 61.6 where the display can only say 61.5. */
static void weights_are_shown_to_the_interval(void **state)
{
    const struct view v = {.style.number = {.point = '.', .d_g = 0.5}, .currency = ""};
    json_t *screen = json_loads("{" POUR "}", 0, NULL);
    json_t *weight = json_loads("{\"weight_g\":300.2,\"to_go_g\":4.8,\"in_cup_g\":56.7,\"state\":\"live\"}", 0, NULL);
    char line[160];
    (void)state;
    view_weight(&v, screen, weight, line, sizeof line);
    assert_string_equal(line, "M42  5.0 g to go, in cup 56.5 g");
    json_decref(weight);
    json_decref(screen);
}

static void nonsense_does_no_harm(void **state)
{
    static const char *const screens[] = {
        "",
        "\"steps\":5,\"now\":[],\"remedies\":\"x\",\"caution\":{},\"step\":-3",
        "\"steps\":[null,1,\"a\",{}],\"now\":{},\"step\":9,\"total_g\":\"many\",\"scale\":7",
        "\"remedies\":{\"grow\":{\"total_g\":1,\"add_g\":[1,2,3]},\"dip\":[],\"leave\":{}},\"steps\":[]",
    };
    (void)state;
    for (size_t i = 0; i < sizeof screens / sizeof *screens; i++) {
        char *text = seen(screens[i]);
        assert_non_null(text);
        assert_non_null(strchr(text, '\n'));
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_state_says_what_a_person_needs),
        cmocka_unit_test(a_weight_moves_the_line_on),
        cmocka_unit_test(nonsense_does_no_harm),
        cmocka_unit_test(hostile_names_do_nothing),
        cmocka_unit_test(weights_are_shown_to_the_interval),
        cmocka_unit_test(json_is_harmless),
        cmocka_unit_test(without_utf8_german_is_readable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
