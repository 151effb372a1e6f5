/* learn.c - practice: the pages that begin and end it, its hand's keys, and the way to its bench and home. It must not
 * know a mishap, nor judge what was done. */
#include "client/screen/learn.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* In the order of learn.start's paper; what each is like stands beside it. */
static const char *const scenarios[] = {"overpour", "lifted", "empty_tin", "wrong_tin"};
static const char *const words[] = {"page.learn_overpour", "page.learn_lifted", "page.learn_empty_tin",
                                    "page.learn_wrong_tin"};
enum { SCENARIOS = sizeof scenarios / sizeof *scenarios };

const json_t *learn_of(const struct model *m)
{
    return m->has_screen ? shown_object(m->bench.held, "practice") : NULL;
}

/* ---- the hand ---- */

/* Idle and over have other uses for the digits, and nothing to pour. */
static bool digits_are_free(const struct model *m)
{
    return m->bench.state == BENCH_CUP || m->bench.state == BENCH_POUR || m->bench.state == BENCH_DONE;
}

const json_t *learn_hand(const struct model *m, int place)
{
    return place >= 1 && digits_are_free(m) ? json_array_get(json_object_get(learn_of(m), "hand"), (size_t)place - 1)
                                            : NULL;
}

/* What asks for grams leads to a field; a shut one is refused by the daemon in its own words. */
bool learn_key(const struct model *m, int digit, struct move *move)
{
    const json_t *hand = m->view.page == PAGE_BENCH ? learn_hand(m, digit) : NULL;
    if (!hand)
        return false;
    bool grams = json_array_size(json_object_get(hand, "asks")) > 0;
    bool takes = strcmp(member_text(json_object_get(json_object_get(hand, "act"), "params"), "act"), "remove") == 0;
    *move = grams ? (struct move){ACT_ASK, takes ? FOR_HAND_TAKE : FOR_HAND_POUR}
                  : (struct move){ACT_CALL, (uint32_t)CALL_HAND + (uint32_t)digit - 1};
    return true;
}

/* ---- the pages ---- */

/* Which mishap shall come. Who is signed in practises, `.` is for another name; of nobody the name is asked first. */
bool entry_practice(const struct model *m, size_t n, struct entry *e)
{
    if (n >= SCENARIOS)
        return false;
    utf8_copy(e->text, sizeof e->text, model_word(m, words[n]));
    model_text(m, say("page.practise what=%s", e->text), e->says, sizeof e->says);
    bool named = m->bench.signed_in[0] != '\0';
    e->act = named ? ACT_CALL : ACT_ASK;
    e->value = named ? (uint32_t)CALL_LEARN : (uint32_t)FOR_LEARNER;
    e->dot = named ? ACT_ASK : ACT_NONE;
    e->dot_value = FOR_LEARNER;
    utf8_copy(e->second, sizeof e->second, named ? model_word(m, "page.other_name") : "");
    return true;
}

/* How it went is read; what comes next is the foot line's. */
bool entry_learnt(const struct model *m, size_t n, struct entry *e)
{
    e->act = ACT_PAGE;
    e->value = PAGE_BENCH;
    e->dot = ACT_PAGE;
    e->dot_value = PAGE_PRACTICE;
    utf8_copy(e->text, sizeof e->text, model_word(m, "footline.go_back"));
    utf8_copy(e->second, sizeof e->second, model_word(m, "page.practise_again"));
    return n == 0;
}

/* ---- calls ---- */

static json_t *start_params(const struct model *m, bool named)
{
    const char *scenario = named ? m->view.key : m->view.line < SCENARIOS ? scenarios[m->view.line] : "";
    return json_pack("{s:s, s:s, s:s}", "painter", named ? m->view.text : m->bench.signed_in, "scenario", scenario,
                     "station", m->station);
}

/* The open scenario outlives the page that a name is written on. */
void learn_choose(struct model *m)
{
    utf8_copy(m->view.key, sizeof m->view.key, m->view.line < SCENARIOS ? scenarios[m->view.line] : "");
}

/* By its act, as its place among the digits is the daemon's. */
static json_t *hand_params(const struct model *m, uint32_t value)
{
    double grams;
    const json_t *move = json_array_get(json_object_get(learn_of(m), "hand"), value - CALL_HAND);
    json_t *params = json_deep_copy(json_object_get(json_object_get(move, "act"), "params"));
    if (params && json_array_size(json_object_get(move, "asks")) && form_number(m->view.text, &grams))
        json_object_set_new(params, "grams", json_real(grams));
    return params;
}

json_t *learn_params(const struct model *m, uint32_t value, const char **method)
{
    if (value == CALL_LEARN || value == CALL_LEARN_AS) {
        *method = "learn.start";
        return start_params(m, value == CALL_LEARN_AS);
    }
    if (value == CALL_LEARN_END) {
        *method = "learn.end";
        return json_deep_copy(json_object_get(json_object_get(json_object_get(learn_of(m), "end"), "act"), "params"));
    }
    if (value >= CALL_HAND && value <= CALL_HAND_LAST) {
        *method = "learn.hand";
        return hand_params(m, value);
    }
    return NULL;
}

/* ---- to its bench, and home ---- */

/* Nothing of the bench that is left holds for the other one: its weight least of all. */
static void go(struct model *m, enum page page, struct moment now)
{
    static const enum list_kind of_bench[] = {LIST_TODAY, LIST_HELD, LIST_ORDERS, LIST_RECORD, LIST_LABEL, LIST_CHECK};
    for (size_t i = 0; i < sizeof of_bench / sizeof *of_bench; i++)
        lists_keep(&m->lists, of_bench[i], NULL);
    m->has_screen = false;
    m->relinked = true;
    m->weight.known = false;
    m->bench.next_in_s = 0;
    model_open_page(m, page, now);
    m->elsewhere = true;
}

static void go_home(struct model *m, enum page page, struct moment now)
{
    utf8_copy(m->station, sizeof m->station, m->home);
    m->home[0] = '\0';
    go(m, page, now);
}

/* Back from the field that grams were written in; a mishap is told where an answer stands. */
static void hand_done(struct model *m, const json_t *result, struct moment now)
{
    char text[FOOT_ROOM];
    if (m->view.page != PAGE_BENCH)
        model_open_page(m, PAGE_BENCH, now);
    model_sentence(m, shown_object(result, "said"), text, sizeof text);
    model_say(m, false, text);
}

bool learn_answer(struct model *m, const char *method, json_t *result, struct moment now)
{
    if (strcmp(method, "learn.start") == 0) {
        utf8_copy(m->home, sizeof m->home, m->station);
        utf8_copy(m->station, sizeof m->station, member_text(result, "station"));
        go(m, PAGE_BENCH, now);
    } else if (strcmp(method, "learn.end") == 0) {
        lists_keep(&m->lists, LIST_LEARNT, result);
        if (m->home[0])
            go_home(m, PAGE_LEARNT, now);
    } else if (strcmp(method, "learn.hand") == 0) {
        hand_done(m, result, now);
    } else {
        return false;
    }
    return true;
}

/* The daemon was started anew, or the practice ended while the link was down. */
bool learn_refused(struct model *m, const json_t *error, struct moment now)
{
    const char *code = member_text(json_object_get(error, "data"), "code");
    if (!m->home[0] || (strcmp(code, "no_station") != 0 && strcmp(code, "no_practice") != 0))
        return false;
    go_home(m, PAGE_BENCH, now);
    model_say(m, true, model_word(m, "page.practice_over"));
    return true;
}

/* Our own learn.end is answered a moment later, with more to tell. */
void learn_see(struct model *m, struct moment now)
{
    if (!m->home[0] || m->sent.waiting || !json_is_true(json_object_get(learn_of(m), "over")))
        return;
    go_home(m, PAGE_BENCH, now);
    model_say(m, true, model_word(m, "page.practice_over"));
}
