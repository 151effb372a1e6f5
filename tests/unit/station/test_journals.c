/* Journals that every later version must fold to the same cup and the same screen: tests/data/journals, see README
 * there. */
#include "station/batch_record.h"
#include "station/decide.h"
#include "tests/unit/station/bench_top.h"

#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static const char *const states[] = {
    [BATCH_CUP] = "cup",   [BATCH_POUR] = "pour",         [BATCH_OVER] = "over",        [BATCH_DONE] = "done",
    [BATCH_HELD] = "held", [BATCH_FINISHED] = "finished", [BATCH_SCRAPPED] = "scrapped"};
static const char *const nows[] = {
    [NOW_STEP] = "step", [NOW_TAKE_OUT] = "take_out", [NOW_TINT] = "tint", [NOW_CUP] = "cup"};

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *step_of(const struct batch *b, size_t s)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
    const char *verdict = step_verdict_names[batch_step_verdict(b, s)];
    return json_pack("{s:s, s:o, s:o, s:b, s:b, s:b, s:b, s:o, s:o, s:s, s:b, s:o, s:o}", "toner", p->toner, "poured_g",
                     number(b->step_g[s]), "share", number(b->recipe.step[s].share), "poured", b->step_poured[s],
                     "short", b->step_short[s], "left", b->part_left[b->recipe.step[s].part], "foreign", p->foreign,
                     "aim_g", number(batch_step_aim_g(b, s)), "tolerance_g", number(batch_step_tolerance_g(b, s)),
                     "lot", batch_step_lot(b, s), "wants", batch_step_wants(b, s), "verdict",
                     verdict ? json_string(verdict) : json_null(), "deviation_pct",
                     number(batch_step_deviation_pct(b, s)));
}

static void add_remedies(json_t *o, const struct batch *b)
{
    struct batch_remedies r;
    if (b->state != BATCH_OVER)
        return;
    batch_remedies(b, &r);
    json_object_set_new(o, "grow_g", number(r.grow.possible ? r.grow.total_g : NAN));
    json_object_set_new(o, "take_g", number(r.dip.possible ? r.take_g : NAN));
    json_object_set_new(o, "again", json_boolean(r.again));
    json_object_set_new(o, "rescue_g", number(r.rescue.possible ? r.rescue.total_g : NAN));
}

/* What the cup holds toner by toner, a premix told as what it is made of. */
static json_t *contents_of(const struct batch *b)
{
    json_t *list = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++)
        json_array_append_new(list, json_pack("{s:s, s:o, s:o}", "toner", b->recipe.part[p].toner, "grams",
                                              number(batch_toner_g(b, (int)p)), "share",
                                              number(batch_toner_share(b, (int)p))));
    return list;
}

/* All that an expectation may list. */
static json_t *cup_of(const struct batch *b)
{
    struct said fact[BATCH_FACTS];
    json_t *steps = json_array(), *facts = json_array();
    for (size_t s = 0; s < b->recipe.steps; s++)
        json_array_append_new(steps, step_of(b, s));
    for (size_t i = 0, n = batch_facts(b, fact, BATCH_FACTS); i < n; i++)
        json_array_append_new(facts, said_bare_json(&fact[i]));
    json_t *o = json_pack("{s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:b, s:o, s:o}", "batch", b->id,
                          "formula", b->recipe.code, "state", states[b->state], "now", nows[b->now], "open",
                          b->open < 0 ? "" : b->recipe.part[b->recipe.step[b->open].part].toner, "asks",
                          b->over < 0 ? "" : b->recipe.part[b->recipe.step[b->over].part].toner, "repeat_of",
                          b->repeat_of, "order", b->order, "painter", b->painter, "scrap_why", b->scrap_why, "retired",
                          b->retired, "steps", steps, "facts", facts);
    const struct {
        const char *name;
        double value;
    } numbers[] = {{"wanted_g", b->wanted_g},
                   {"target_g", b->target_g},
                   {"k_lo_g", batch_k_lo(b)},
                   {"k_aim_g", batch_k_aim(b)},
                   {"waste_g", b->waste_g},
                   {"tare_g", b->tare_g},
                   {"content_g", batch_content_g(b)},
                   {"volume_ml", batch_volume_ml(b, batch_k_aim(b))},
                   {"use_by_ms", (double)batch_use_by_ms(b)},
                   {"finished_ms", (double)b->finished_ms},
                   {"undoable", (double)b->events},
                   {"cautions", (double)b->cautions},
                   {"hardener_ms", (double)b->hardener_ms}};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        json_object_set_new(o, numbers[i].name, number(numbers[i].value));
    json_object_set_new(o, "contents", contents_of(b));
    json_object_set_new(o, "premix_take_g", number(b->recipe.premix_take_g));
    json_object_set_new(o, "tin", json_sprintf("%s%s%s", b->tin.toner, b->tin.toner[0] ? " " : "", b->tin.lot));
    add_remedies(o, b);
    return o;
}

/* What the cup and the beginning say, in English with the shop's figures. */
static json_t *sayings_of(const struct batch *b)
{
    char text[SAID_TEXT_MAX], made[SAID_TEXT_MAX], caution[SAID_TEXT_MAX];
    struct number_style style = batch_number_style(b);
    return json_pack("{s:i, s:s, s:s, s:s, s:s, s:s}", "rules", b->rules, "said", b->said.code, "text",
                     said_text(&b->said, WORDS_EN, &style, text, sizeof text), "made",
                     said_text(&b->recipe.made, WORDS_EN, &style, made, sizeof made), "caution", b->caution[0].code,
                     "caution_text", said_text(&b->caution[0], WORDS_EN, &style, caution, sizeof caution));
}

/* The whole screen with a scale that rests on what is counted. A clock and a port tell nothing of the journal, so their
 * members are no part of any expectation. */
static json_t *screen_of(const struct batch *b)
{
    struct track t;
    track_init(&t);
    const struct front f = {.station = "bench",
                            .batch = b,
                            .track = &t,
                            .cue = front_resting_cue(b, &t),
                            .settled = true,
                            .wall_ms = 1800000000000LL,
                            .d_g = b->set.d_g,
                            .currency = "EUR"};
    return front_screen(&f);
}

/* Every member that is wanted, numbers to 1 ug; what else there is does not matter. */
static void same(const char *where, const json_t *got, const json_t *want)
{
    char path[300];
    const char *name;
    size_t i;
    json_t *member;
    if (json_is_number(want) && json_is_number(got)) {
        if (fabs(json_number_value(got) - json_number_value(want)) > 1e-6)
            fail_msg("%s: got %.9f, want %.9f", where, json_number_value(got), json_number_value(want));
        return;
    }
    if (json_is_array(want) && json_array_size(got) != json_array_size(want))
        fail_msg("%s: got %zu, want %zu", where, json_array_size(got), json_array_size(want));
    if (!json_is_object(want) && !json_is_array(want) && !json_equal(got, want))
        fail_msg("%s: got %s, want %s", where, json_is_string(got) ? json_string_value(got) : "something else",
                 json_is_string(want) ? json_string_value(want) : "something else");
    json_array_foreach(want, i, member)
    {
        snprintf(path, sizeof path, "%s.%zu", where, i);
        same(path, json_array_get(got, i), member);
    }
    json_object_foreach((json_t *)want, name, member)
    {
        snprintf(path, sizeof path, "%s.%s", where, name);
        same(path, json_object_get(got, name), member);
    }
}

static const char *text_of(const json_t *o, const char *name)
{
    const char *text = json_string_value(json_object_get(o, name));
    return text ? text : "";
}

/* One line of a journal as an event; what the store keeps in columns stands beside the body. */
static void read_line(const char *path, const json_t *o, struct event *e)
{
    if (!event_read(e, text_of(o, "kind"), json_object_get(o, "body")))
        fail_msg("%s: a body of %s is refused", path, text_of(o, "kind"));
    e->wall_ms = json_integer_value(json_object_get(o, "wall_ms"));
    e->mono_ns = json_integer_value(json_object_get(o, "mono_ns"));
    snprintf(e->station, sizeof e->station, "%s", text_of(o, "station"));
    snprintf(e->boot, sizeof e->boot, "%s", text_of(o, "boot"));
}

static void fold(const char *path, struct batch *b, const struct event *e)
{
    if (!batch_fold(b, NULL, e))
        fail_msg("%s: %s does not fold", path, event_names[e->kind]);
}

struct seen {
    bool kind[EVENT_KINDS], remedy[REMEDY_KINDS], product[2], shorts[SHORT_LESS + 1];
};

/* Folds a journal, and beside it what today's writer makes of each of its events. */
static void tell(const char *path, int version, struct batch *b, struct batch *again, struct seen *seen)
{
    FILE *file = fopen(path, "r");
    char *line = NULL;
    size_t room = 0;
    if (!file)
        fail_msg("no %s", path);
    while (getline(&line, &room, file) > 0) {
        struct event e, back;
        json_t *o = json_loads(line, 0, NULL);
        assert_int_equal(json_integer_value(json_object_get(o, "v")), version);
        read_line(path, o, &e);
        fold(path, b, &e);
        json_t *body = event_body(&e);
        assert_non_null(body);
        json_object_set_new(o, "body", body);
        read_line(path, o, &back);
        fold(path, again, &back);
        seen->kind[e.kind] = seen->remedy[e.remedy] = seen->shorts[e.short_mode] = true;
        if (e.begun)
            seen->product[e.begun->recipe.is_product] = true;
        event_finish(&e);
        event_finish(&back);
        json_decref(o);
    }
    free(line);
    (void)fclose(file);
}

static void story(const char *path, int version, struct seen *seen)
{
    char name[300], member[16];
    struct batch b, again;
    json_t *want = json_load_file(path, 0, NULL);
    if (!want)
        fail_msg("%s cannot be read", path);
    snprintf(member, sizeof member, "v%d", version);
    if (!json_object_get(want, member)) { /* told by a later version alone */
        json_decref(want);
        return;
    }
    snprintf(name, sizeof name, "%.*s%s.jsonl", (int)(strlen(path) - strlen("expect.json")), path, member);
    batch_init(&b);
    batch_init(&again);
    tell(name, version, &b, &again, seen);
    json_t *got = cup_of(&b), *rewritten = cup_of(&again), *words = sayings_of(&b), *screen = screen_of(&b);
    same(name, got, json_object_get(want, "cup"));
    same(name, rewritten, json_object_get(want, "cup"));
    same(name, words, json_object_get(want, member));
    /* What the batch says last is the screen's message, told by its code; a journal of version 1 kept it as text. */
    const char *message = text_of(json_object_get(want, member), "said");
    bool idle = strcmp(text_of(screen, "state"), "idle") == 0;
    same(name, screen, json_object_get(want, "screen"));
    assert_non_null(json_object_get(want, "screen"));
    assert_string_equal(text_of(json_object_get(screen, "said"), "code"), idle ? "" : message);
    json_decref(got);
    json_decref(rewritten);
    json_decref(words);
    json_decref(screen);
    json_decref(want);
    batch_finish(&b);
    batch_finish(&again);
}

static void all_of(const char *what, const bool *seen, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!seen[i])
            fail_msg("no journal has %s %zu", what, i);
}

static void every_journal_folds_to_the_cup_it_always_folded_to(void **state)
{
    glob_t found;
    (void)state;
    assert_int_equal(glob("tests/data/journals/*.expect.json", 0, NULL, &found), 0);
    for (int version = 1; version <= EVENT_VERSION; version++) {
        struct seen seen = {0};
        for (size_t i = 0; i < found.gl_pathc; i++)
            story(found.gl_pathv[i], version, &seen);
        seen.kind[EVENT_TIN] |= version < 2; /* came later */
        seen.kind[EVENT_CLOCK] |= version < 2;
        all_of("kind", seen.kind, EVENT_KINDS);
        all_of("remedy", seen.remedy, version == 1 ? REMEDY_RESCUE : REMEDY_KINDS); /* the later one is no word of 1 */
        all_of("short mode", seen.shorts, SHORT_LESS + 1);
        all_of("sort of recipe", seen.product, 2);
    }
    globfree(&found);
}

int main(void)
{
    setenv("TZ", "UTC0", 1); /* facts tell times of day */
    tzset();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_journal_folds_to_the_cup_it_always_folded_to),
    };
    return cmocka_run_group_tests_name("journals", tests, NULL, NULL);
}
