/* shown.c - reading the daemon's screen. It must not know how a page looks, nor work out what the daemon decides. */
#include "client/screen/shown.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const state_names[] = {"idle", "cup", "pour", "over", "done"};
static const char *const step_names[] = {"next", "now", "again", "done"};
static const char *const verdict_names[] = {"", "on_aim", "short", "over", "left", "foreign", "tinted"};
static const char *const cue_names[] = {"", "pour", "ease", "stop", "ok", "over"};
static const char *const scale_names[] = {"live", "stale", "absent", "seeking"};
static const char *const kind_names[] = {"hand", "key", "choose", "wait"};

/* The place of a name in a table of names; `otherwise` where it is not there. */
static int place(const char *name, const char *const *names, size_t n, int otherwise)
{
    for (size_t i = 0; name && i < n; i++)
        if (strcmp(name, names[i]) == 0)
            return (int)i;
    return otherwise;
}
#define PLACE(name, names, otherwise) place(name, names, sizeof(names) / sizeof *(names), otherwise)

bool shown_scale_state(const char *name, enum scale_state *state)
{
    int at = PLACE(name, scale_names, -1);
    if (at >= 0)
        *state = (enum scale_state)at;
    return at >= 0;
}

bool shown_cue(const char *name, enum cue *cue)
{
    int at = PLACE(name, cue_names, -1);
    if (at >= 0)
        *cue = (enum cue)at;
    return at >= 0;
}

const json_t *shown_object(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_object(value) ? value : NULL;
}

/* A code that this program does not know comes from a newer daemon: its English is better than nothing. */
const char *shown_said(const json_t *said, enum words_language language, const struct number_style *style, char *buf,
                       size_t size)
{
    struct said s;
    const char *text = member_text(said, "text");
    if (said_read(&s, said) && (words_find(s.code) || !*text))
        return said_text(&s, language, style, buf, size);
    utf8_copy(buf, size, text);
    return buf;
}

/* A step's state and verdict are the daemon's; a name that is not known counts as `next` and as no verdict. */
/* A cup of the shelf has no toner; its number stands in its place. */
static bool take_cup(const char **toner, const json_t *from)
{
    const char *batch = member_text(from, "batch");
    if ((*toner)[0] || !batch[0])
        return false;
    *toner = batch;
    return true;
}

static void read_step(struct shown_step *step, const json_t *from)
{
    *step = (struct shown_step){
        .toner = member_text(from, "toner"),
        .name = member_text(from, "name"),
        .aim_g = member_number(from, "aim_g"),
        .poured_g = member_number(from, "poured_g"),
        .to_go_g = member_number(from, "to_go_g"),
        .deviation_pct = member_number(from, "deviation_pct"),
        .looks = shown_object(shown_object(from, "de00"), "said"),
        .state = (enum step_state)PLACE(member_text(from, "state"), step_names, STEP_NEXT),
        .verdict = (enum verdict)PLACE(member_text(from, "verdict"), verdict_names, VERDICT_NONE),
    };
    step->shelf_cup = take_cup(&step->toner, from);
}

/* In the order of pouring: cups of the shelf that are still to come stand last in the screen, so that no place in its
 * lists moves, and first here. b->step follows its step. */
static void read_steps(struct shown *b, const json_t *steps)
{
    size_t open = b->step;
    for (int rest = 0; rest < 2; rest++) {
        for (size_t i = 0; i < json_array_size(steps) && b->n_steps < SHOWN_STEPS; i++) {
            struct shown_step *step = &b->steps[b->n_steps];
            read_step(step, json_array_get(steps, i));
            if ((step->shelf_cup && step->state != STEP_DONE) == (rest == 1))
                continue;
            b->n_steps++;
            if (open == i + 1)
                b->step = b->n_steps;
        }
    }
}

/* No landing is known from a screen: it comes with each weight. */
static void read_now(struct shown_now *now, const json_t *from)
{
    *now = (struct shown_now){
        .open = json_is_object(from),
        .toner = member_text(from, "toner"),
        .name = member_text(from, "name"),
        .lot = member_text(from, "lot"),
        .aim_g = member_number(from, "aim_g"),
        .tolerance_g = member_number(from, "tolerance_g"),
        .in_cup_g = member_number(from, "in_cup_g"),
        .to_go_g = member_number(from, "to_go_g"),
        .landing_g = NAN,
        .cue = (enum cue)PLACE(member_text(from, "cue"), cue_names, CUE_NONE),
    };
    now->shelf_cup = take_cup(&now->toner, from);
    now->take_out = now->open && now->toner[0] == '\0' && now->aim_g < 0;
}

/* An act that can be called: a method and its params. */
static const json_t *act_of(const json_t *object)
{
    const json_t *act = shown_object(object, "act");
    return member_text(act, "method")[0] && shown_object(act, "params") ? act : NULL;
}

/* True where a person must still give that member. */
static bool asks(const json_t *move, const char *name)
{
    const json_t *list = json_object_get(move, "asks");
    for (size_t i = 0; i < json_array_size(list); i++)
        if (json_is_string(json_array_get(list, i)) && strcmp(json_string_value(json_array_get(list, i)), name) == 0)
            return true;
    return false;
}

/* A line whose kind is not known is waited for: no key may do what was not understood. */
static void read_next(struct shown *b, const json_t *from)
{
    const json_t *second = shown_object(from, "second");
    b->next = (enum next_kind)PLACE(member_text(from, "kind"), kind_names, NEXT_WAIT);
    b->next_said = shown_object(from, "said");
    b->next_act = act_of(from);
    b->next_looks = asks(from, "glance");
    b->second_said = shown_object(second, "said");
    b->second_act = act_of(second);
    b->second_looks = asks(second, "glance");
    b->next_in_s = member_number(from, "in_s");
}

/* The moves stand in the contract's order, so the first that fits is meant. */
const json_t *shown_move(const struct shown *b, const char *method, const char *key, const char *value)
{
    for (size_t i = 0; i < json_array_size(b->moves); i++) {
        const json_t *move = json_array_get(b->moves, i), *act = act_of(move);
        const json_t *has = key ? json_object_get(json_object_get(act, "params"), key) : NULL;
        bool same = value ? json_is_string(has) && strcmp(json_string_value(has), value) == 0 : json_is_true(has);
        if (strcmp(member_text(act, "method"), method) == 0 && (!key || same || asks(move, key)))
            return move;
    }
    return NULL;
}

bool shown_is_open(const json_t *move)
{
    return json_is_true(json_object_get(move, "open"));
}

bool shown_poured(const struct shown_step *step)
{
    return isfinite(step->poured_g) && step->poured_g > 0;
}

/* Texts point into the JSON that the screen holds. */
static void read_names(struct shown *b, const json_t *screen)
{
    b->batch = member_text(screen, "batch");
    b->formula = member_text(screen, "formula");
    b->name = member_text(screen, "name");
    b->variant = member_text(screen, "variant");
    b->coat = member_text(screen, "coat");
    b->order = member_text(screen, "order");
    b->painter = member_text(screen, "painter");
    b->signed_in = member_text(screen, "signed_in");
    b->currency = member_text(json_object_get(screen, "remedies"), "currency");
}

/* All but the state, which is what a screen is known by. */
static void read_rest(struct shown *b, json_t *screen)
{
    const json_t *steps = json_object_get(screen, "steps"), *fill = json_object_get(screen, "fill");
    const json_t *trouble = json_object_get(screen, "trouble");
    double step = member_number(screen, "step");
    read_names(b, screen);
    b->held = json_incref(screen);
    b->revision = (int64_t)json_integer_value(json_object_get(screen, "revision"));
    b->settings = (int64_t)json_integer_value(json_object_get(screen, "settings"));
    b->step = step >= 1 && step <= SHOWN_STEPS ? (size_t)step : 0;
    read_steps(b, steps);
    read_now(&b->now, json_object_get(screen, "now"));
    read_next(b, json_object_get(screen, "next"));
    b->moves = json_object_get(screen, "moves");
    b->cautions = json_object_get(screen, "cautions");
    b->facts = json_object_get(screen, "facts");
    b->remedies = json_object_get(screen, "remedies");
    b->sure = shown_object(screen, "sure");
    b->said = shown_object(screen, "said");
    b->trouble = shown_object(trouble, "said");
    b->fix = shown_object(trouble, "mend");
    b->colour_g = member_number(fill, "colour_g");
    b->part = member_text(fill, "part");
    b->spray_g = member_number(fill, "spray_g");
    b->spray_ml = member_number(fill, "spray_ml");
    b->cup_ml = member_number(fill, "cup_ml");
    b->pot_left_s = member_number(json_object_get(screen, "pot_life"), "left_s");
    b->activated = json_is_true(json_object_get(screen, "activated"));
    b->lifted = json_is_true(json_object_get(screen, "lifted"));
    b->scale =
        (enum scale_state)PLACE(member_text(json_object_get(screen, "scale"), "state"), scale_names, SCALE_ABSENT);
}

void shown_init(struct shown *b)
{
    memset(b, 0, sizeof *b);
    read_rest(b, NULL);
}

/* The state is checked first, so a page is never drawn of what is no screen. */
bool shown_read(struct shown *b, json_t *screen)
{
    int at = PLACE(member_text(screen, "state"), state_names, -1);
    if (at < 0)
        return false;
    memset(b, 0, sizeof *b);
    b->state = (enum bench_state)at;
    read_rest(b, screen);
    return true;
}

void shown_finish(struct shown *b)
{
    json_decref(b->held);
    b->held = NULL;
}

struct said shown_amounts(const char *part, double total_g, double spray_ml)
{
    if (part[0])
        return isfinite(spray_ml) ? say("page.part_both total_g=%f part=%s spray_ml=%f", total_g, part, spray_ml)
                                  : say("page.part total_g=%f part=%s", total_g, part);
    return isfinite(spray_ml) ? say("page.both colour_g=%f spray_ml=%f", total_g, spray_ml)
                              : say("page.colour colour_g=%f", total_g);
}
