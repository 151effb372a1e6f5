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

/* The place of a member's text in a table of names; `otherwise` where it is not there. */
static int place(const char *name, const char *const *names, size_t n, int otherwise)
{
    for (size_t i = 0; name && i < n; i++)
        if (strcmp(name, names[i]) == 0)
            return (int)i;
    return otherwise;
}
#define PLACE(name, names, otherwise) place(name, names, sizeof(names) / sizeof *(names), otherwise)

static const char *member(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

const char *shown_scale_name(enum scale_state state)
{
    return scale_names[state];
}

bool shown_scale_state(const char *name, enum scale_state *state)
{
    int at = PLACE(name, scale_names, -1);
    if (at >= 0)
        *state = (enum scale_state)at;
    return at >= 0;
}

const char *shown_cue_name(enum cue cue)
{
    return cue_names[cue];
}

bool shown_cue(const char *name, enum cue *cue)
{
    int at = PLACE(name, cue_names, -1);
    if (at >= 0)
        *cue = (enum cue)at;
    return at >= 0;
}

void shown_text(const json_t *object, const char *key, char *buf, size_t size)
{
    const json_t *value = json_object_get(object, key);
    if (json_is_string(value))
        utf8_copy(buf, size, json_string_value(value));
    else if (json_is_integer(value))
        snprintf(buf, size, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
    else if (size > 0)
        buf[0] = '\0';
}

double shown_number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

bool told_read(struct told *t, const json_t *said)
{
    bool code = said_read(&t->said, said);
    utf8_copy(t->text, sizeof t->text, json_is_string(said) ? json_string_value(said) : "");
    if (json_is_object(said))
        shown_text(said, "text", t->text, sizeof t->text);
    return code || t->text[0];
}

const char *told_text(const struct told *t, enum words_language language, const struct number_style *style, char *buf,
                      size_t size)
{
    if (t->said.code[0] && (words_find(t->said.code) || !t->text[0]))
        return said_text(&t->said, language, style, buf, size);
    utf8_copy(buf, size, t->text);
    return buf;
}

static size_t read_saids(struct told *list, const json_t *from)
{
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(from) && n < SHOWN_SAIDS; i++)
        n += told_read(&list[n], json_array_get(from, i));
    return n;
}

static void read_step(struct shown_step *step, const json_t *from)
{
    shown_text(from, "toner", step->toner, sizeof step->toner);
    shown_text(from, "name", step->name, sizeof step->name);
    shown_text(from, "lot", step->lot, sizeof step->lot);
    shown_text(from, "place", step->place, sizeof step->place);
    step->aim_g = shown_number(from, "aim_g");
    step->poured_g = shown_number(from, "poured_g");
    step->deviation_pct = shown_number(from, "deviation_pct");
    step->state = (enum step_state)PLACE(member(from, "state"), step_names, STEP_NEXT);
    step->verdict = (enum verdict)PLACE(member(from, "verdict"), verdict_names, VERDICT_NONE);
}

static void read_now(struct shown_now *now, const json_t *from)
{
    now->open = json_is_object(from);
    shown_text(from, "toner", now->toner, sizeof now->toner);
    shown_text(from, "name", now->name, sizeof now->name);
    now->aim_g = shown_number(from, "aim_g");
    now->in_cup_g = shown_number(from, "in_cup_g");
    now->to_go_g = shown_number(from, "to_go_g");
    now->tolerance_g = shown_number(from, "tolerance_g");
    now->landing_g = NAN;
    now->take_out = now->open && now->toner[0] == '\0' && now->aim_g < 0;
    now->cue = CUE_NONE;
    shown_cue(member(from, "cue"), &now->cue);
}

static const json_t *act_of(const json_t *act)
{
    return json_is_string(json_object_get(act, "method")) ? act : NULL;
}

static void read_next(struct shown_next *next, const json_t *from)
{
    const json_t *second = json_object_get(from, "second");
    next->kind = (enum next_kind)PLACE(member(from, "kind"), kind_names, NEXT_WAIT);
    told_read(&next->said, json_object_get(from, "said"));
    next->act = act_of(json_object_get(from, "act"));
    told_read(&next->second, json_object_get(second, "said"));
    next->second_act = act_of(json_object_get(second, "act"));
    next->in_s = shown_number(from, "in_s");
}

static size_t read_moves(struct shown_move *moves, const json_t *from)
{
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(from) && n < SHOWN_MOVES; i++) {
        const json_t *one = json_array_get(from, i);
        struct shown_move *to = &moves[n];
        to->act = act_of(json_object_get(one, "act"));
        to->asks = json_object_get(one, "asks");
        to->open = json_is_true(json_object_get(one, "open"));
        told_read(&to->said, json_object_get(one, "said"));
        told_read(&to->why, json_object_get(one, "why"));
        n += to->act != NULL;
    }
    return n;
}

bool shown_poured(const struct shown_step *step)
{
    return isfinite(step->poured_g) && step->poured_g > 0;
}

double shown_open_g(const struct shown_step *step)
{
    return shown_poured(step) ? step->aim_g - step->poured_g : step->aim_g;
}

const struct shown_move *shown_move(const struct shown *b, const char *method, const char *key, const char *value)
{
    for (size_t i = 0; i < b->n_moves; i++) {
        const struct shown_move *m = &b->moves[i];
        if (strcmp(member(m->act, "method"), method) != 0)
            continue;
        const json_t *has = key ? json_object_get(json_object_get(m->act, "params"), key) : NULL;
        bool asked = false; /* a move that asks for the member is the one meant as well */
        for (size_t k = 0; key && k < json_array_size(m->asks) && !asked; k++)
            asked = json_is_string(json_array_get(m->asks, k)) &&
                    strcmp(json_string_value(json_array_get(m->asks, k)), key) == 0;
        const char *text = json_string_value(has);
        if (!key || asked || (value ? text && strcmp(text, value) == 0 : json_is_true(has)))
            return m;
    }
    return NULL;
}

static size_t read_list(double *list, const json_t *from)
{
    size_t n = json_array_size(from);
    if (n > SHOWN_STEPS)
        n = SHOWN_STEPS;
    for (size_t i = 0; i < n; i++) {
        const json_t *value = json_array_get(from, i);
        list[i] = json_is_number(value) ? json_number_value(value) : (double)NAN;
    }
    return n;
}

static void read_remedy(struct remedy *r, const json_t *from)
{
    r->offered = json_is_object(from);
    r->total_g = shown_number(from, "total_g");
    r->volume_ml = shown_number(from, "volume_ml");
    r->waste_g = shown_number(from, "waste_g");
    r->cost = shown_number(from, "cost");
    r->take_g = shown_number(from, "take_g");
    for (size_t i = 0; i < SHOWN_STEPS; i++)
        r->add_g[i] = r->deviation_pct[i] = NAN;
    size_t adds = read_list(r->add_g, json_object_get(from, "add_g"));
    size_t deviations = read_list(r->deviation_pct, json_object_get(from, "deviation_pct"));
    r->n = adds > deviations ? adds : deviations;
    shown_text(from, "ratio", r->ratio, sizeof r->ratio);
}

static void read_remedies(struct shown *b, const json_t *from)
{
    read_remedy(&b->grow, json_object_get(from, "grow"));
    read_remedy(&b->dip, json_object_get(from, "dip"));
    read_remedy(&b->leave, json_object_get(from, "leave"));
    read_remedy(&b->rescue, json_object_get(from, "rescue"));
    b->again_cost = shown_number(json_object_get(from, "again"), "cost");
    shown_text(from, "currency", b->currency, sizeof b->currency);
}

static void read_names(struct shown *b, const json_t *screen)
{
    shown_text(screen, "station", b->station, sizeof b->station);
    shown_text(screen, "batch", b->batch, sizeof b->batch);
    shown_text(screen, "formula", b->formula, sizeof b->formula);
    shown_text(screen, "name", b->name, sizeof b->name);
    shown_text(screen, "variant", b->variant, sizeof b->variant);
    shown_text(screen, "coat", b->coat, sizeof b->coat);
    shown_text(screen, "finish", b->finish, sizeof b->finish);
    shown_text(screen, "order", b->order, sizeof b->order);
    shown_text(screen, "painter", b->painter, sizeof b->painter);
}

bool shown_read(struct shown *b, json_t *screen)
{
    int at = PLACE(member(screen, "state"), state_names, -1);
    if (at < 0)
        return false;
    memset(b, 0, sizeof *b);
    b->held = json_incref(screen);
    b->state = (enum bench_state)at;
    b->revision = (int64_t)json_integer_value(json_object_get(screen, "revision"));
    read_names(b, screen);
    double step = shown_number(screen, "step");
    b->step = step >= 1 && step <= SHOWN_STEPS ? (size_t)step : 0;
    const json_t *steps = json_object_get(screen, "steps"), *fill = json_object_get(screen, "fill");
    for (size_t i = 0; i < json_array_size(steps) && b->n_steps < SHOWN_STEPS; i++)
        read_step(&b->steps[b->n_steps++], json_array_get(steps, i));
    read_now(&b->now, json_object_get(screen, "now"));
    read_next(&b->next, json_object_get(screen, "next"));
    b->n_moves = read_moves(b->moves, json_object_get(screen, "moves"));
    b->n_cautions = read_saids(b->cautions, json_object_get(screen, "cautions"));
    b->n_facts = read_saids(b->facts, json_object_get(screen, "facts"));
    told_read(&b->said, json_object_get(screen, "said"));
    const json_t *trouble = json_object_get(screen, "trouble");
    b->in_trouble = told_read(&b->trouble, json_object_get(trouble, "said"));
    told_read(&b->mend, json_object_get(trouble, "mend"));
    b->colour_g = shown_number(fill, "colour_g");
    b->spray_g = shown_number(fill, "spray_g");
    b->spray_ml = shown_number(fill, "spray_ml");
    b->cup_ml = shown_number(fill, "cup_ml");
    b->pot_left_s = shown_number(json_object_get(screen, "pot_life"), "left_s");
    b->activated = json_is_true(json_object_get(screen, "activated"));
    read_remedies(b, json_object_get(screen, "remedies"));
    b->lifted = json_is_true(json_object_get(screen, "lifted"));
    b->scale = (enum scale_state)PLACE(member(json_object_get(screen, "scale"), "state"), scale_names, SCALE_ABSENT);
    return true;
}

void shown_finish(struct shown *b)
{
    json_decref(b->held);
    b->held = NULL;
}
