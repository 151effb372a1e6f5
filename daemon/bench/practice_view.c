/* practice_view.c - what the screen of a practice says beside that of any bench, and its batches by number. It must not
 * know how the hand moves, nor what was done well.
 *
 * A client draws and obeys it as it does `moves`: it works out neither what the hand may do nor in which words.
 */
#include "bench/practice_parts.h"

#include "text/utf8.h"

#include <math.h>
#include <string.h>
#include <strings.h>

const char *const practice_scenarios[] = {"overpour", "lifted", "empty_tin", "wrong_tin", NULL};
const char *const practice_acts[] = {"cup", "pour", "lift", "put", "remove", NULL};

/* In the order of their places on both screens, so that a place means the same at every moment. */
static const struct {
    enum practice_act act;
    const char *code; /* its words */
    bool grams;       /* asks for them; else a usual cup, or what is to go */
} hand[] = {
    {HAND_CUP, "hand_cup", false}, {HAND_POUR, "hand_pour", false},  {HAND_LIFT, "hand_lift", false},
    {HAND_PUT, "hand_put", false}, {HAND_POUR, "hand_pour_g", true}, {HAND_REMOVE, "hand_remove_g", true},
};

double practice_removal_g(const struct practice *p)
{
    const struct batch *b = p->bench->batch;
    if (!b || b->state != BATCH_POUR || b->now != NOW_TAKE_OUT)
        return NAN;
    return fmax(0, (double)track_pour_ug(&p->bench->track) / 1e6 - b->asked.aim_g);
}

/* Whether the hand can do that now; the same as practice_hand then allows. */
static bool open_now(const struct practice *p, enum practice_act act)
{
    switch (act) {
    case HAND_LIFT:
    case HAND_POUR:
    case HAND_REMOVE:
        return !p->off;
    case HAND_PUT:
        return p->off && p->cup_g > 0;
    default:
        return true;
    }
}

/* Shaped as an entry of `moves`. What a dip asks to be taken out is known. */
static json_t *hand_move(const struct practice *p, size_t i)
{
    struct said words = {.used = 0};
    const struct said why = hand[i].act == HAND_PUT ? say("practice_cup_on") : say("practice_no_cup");
    bool open = open_now(p, hand[i].act);
    json_t *asks = json_array();
    bool known = hand[i].act == HAND_REMOVE && !isnan(practice_removal_g(p));
    utf8_copy(words.code, sizeof words.code, known ? "hand_remove" : hand[i].code);
    if (hand[i].grams && !known)
        json_array_append_new(asks, json_string("grams"));
    return json_pack("{s:{s:s, s:{s:s, s:s}}, s:o, s:o, s:b, s:o}", "act", "method", "learn.hand", "params", "station",
                     p->config.name, "act", practice_acts[hand[i].act], "asks", asks, "said", said_json(&words, NULL),
                     "open", open, "why", open ? json_null() : said_json(&why, NULL));
}

/* null of a bench that is none. over: it has ended, and this is its last screen. */
json_t *practice_view(const struct bench *b)
{
    const struct practice *p = b->practice;
    const struct said mark = say("practice_mark"), end = say("practice_end");
    if (!p)
        return json_null();
    json_t *list = json_array();
    for (size_t i = 0; i < sizeof hand / sizeof *hand; i++)
        json_array_append_new(list, hand_move(p, i));
    return json_pack("{s:s, s:o, s:o, s:{s:{s:s, s:{s:s}}, s:o}, s:b}", "scenario", practice_scenarios[p->scenario],
                     "said", said_json(&mark, NULL), "hand", list, "end", "act", "method", "learn.end", "params",
                     "station", p->config.name, "said", said_json(&end, NULL), "over", p->ending);
}

/* Of one practice: the open batch, then those that it let go. */
static const struct batch *batch_here(const struct practice *p, const char *id)
{
    const struct batch *open = p->bench->batch;
    if (open && strcasecmp(open->id, id) == 0)
        return open;
    for (size_t i = 0; i < p->ends; i++)
        if (p->ended[i] && strcasecmp(p->ended[i]->id, id) == 0)
            return p->ended[i];
    return NULL;
}

const struct batch *practice_batch(const struct daemon *d, const char *id, const struct bench **at)
{
    const struct batch *found = NULL;
    for (size_t i = 0; i < PRACTICES_MAX && !found && id; i++) {
        *at = d->practice[i];
        found = *at ? batch_here((*at)->practice, id) : NULL;
    }
    return found;
}
