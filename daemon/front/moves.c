/* moves.c - every act that the state's row of the contract allows, open or shut, with the reason when shut.
 *
 * An act is open where station/decide, asked in earnest, makes an event of it: the list cannot promise what a call then
 * refuses. It must not know how an act is shown.
 */
#include "front/front.h"
#include "station/decide.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { IN_IDLE = 1, IN_CUP = 2, IN_POUR = 4, IN_OVER = 8, IN_DONE = 16, IN_PREMIX = 32 };

struct move {
    const char *code;   /* what it says */
    const char *method; /* behind `batch.` */
    const char *key;    /* a further member of its params, NULL: none */
    const char *value;  /* its text; NULL: true */
    const char *asks;   /* members that the params leave out, with spaces between */
    unsigned states;
    struct command command;
};

/* In the contract's order. */
static const struct move moves[] = {
    {"move_begin", "begin", NULL, NULL, "formula grams", IN_IDLE, {0}},
    {"move_resume", "resume", NULL, NULL, "batch", IN_IDLE, {0}},
    {"move_accept", "accept", NULL, NULL, "", IN_CUP | IN_POUR, {.kind = COMMAND_ACCEPT}},
    {"move_short", "accept", "short", NULL, "", IN_POUR, {.kind = COMMAND_ACCEPT, .short_mode = SHORT_COUNTED}},
    {"move_less", "accept", "short", "less", "", IN_POUR, {.kind = COMMAND_ACCEPT, .short_mode = SHORT_LESS}},
    {"move_really", "accept", NULL, NULL, "really", IN_POUR, {.kind = COMMAND_ACCEPT}},
    {"move_tared", "accept", "tared", NULL, "", IN_CUP, {.kind = COMMAND_ACCEPT, .tared = true}},
    {"move_grow", "remedy", "choice", "grow", "", IN_OVER, {.kind = COMMAND_REMEDY, .remedy = REMEDY_GROW}},
    {"move_dip", "remedy", "choice", "dip", "", IN_OVER, {.kind = COMMAND_REMEDY, .remedy = REMEDY_DIP}},
    {"move_leave", "remedy", "choice", "leave", "", IN_OVER, {.kind = COMMAND_REMEDY, .remedy = REMEDY_LEAVE}},
    {"move_again", "remedy", "choice", "again", "", IN_OVER, {.kind = COMMAND_REMEDY, .remedy = REMEDY_AGAIN}},
    {"move_rescue", "remedy", "choice", "rescue", "", IN_OVER, {.kind = COMMAND_REMEDY, .remedy = REMEDY_RESCUE}},
    {"move_undo", "undo", NULL, NULL, "", IN_POUR | IN_OVER | IN_DONE, {.kind = COMMAND_UNDO}},
    {"move_retare", "retare", NULL, NULL, "", IN_POUR | IN_DONE, {.kind = COMMAND_RETARE}},
    {"move_tint", "tint", NULL, NULL, "toner", IN_POUR | IN_DONE, {.kind = COMMAND_TINT}},
    {"move_hold", "hold", NULL, NULL, "", IN_CUP | IN_POUR | IN_DONE, {.kind = COMMAND_HOLD}},
    {"move_note", "note", NULL, NULL, "text", IN_CUP | IN_POUR | IN_OVER | IN_DONE, {.kind = COMMAND_NOTE}},
    {"move_finish", "finish", NULL, NULL, "", IN_DONE, {.kind = COMMAND_FINISH}},
    {"move_keep", "finish", NULL, NULL, "keep", IN_PREMIX, {.kind = COMMAND_FINISH, .keep = "?"}},
    {"move_scrap", "scrap", NULL, NULL, "why", IN_CUP | IN_POUR | IN_OVER | IN_DONE, {.kind = COMMAND_SCRAP}},
};

/* The state as a bit of the table. */
static unsigned state_of(const struct batch *b)
{
    static const unsigned states[] = {
        [BATCH_CUP] = IN_CUP, [BATCH_POUR] = IN_POUR, [BATCH_OVER] = IN_OVER, [BATCH_DONE] = IN_DONE};
    if (!b)
        return IN_IDLE;
    return states[b->state] | (b->state == BATCH_DONE && recipe_is_premix(&b->recipe) ? IN_PREMIX : 0);
}

/* "a b" as ["a","b"]; "" as []. */
static json_t *names_of(const char *list)
{
    json_t *words = json_array();
    for (size_t n; *list; list += n + (list[n] == ' ')) {
        n = strcspn(list, " ");
        json_array_append_new(words, json_stringn(list, n));
    }
    return words;
}

/* Whether undo would give paint back to a step, which then may be said to be of another tin. */
static bool last_was_pour(const struct batch *b)
{
    for (size_t i = b->events; i > 0; i--) {
        const struct event *e = b->history[i - 1];
        if (e->kind == EVENT_ACCEPTED || e->kind == EVENT_CUP)
            return e->kind == EVENT_ACCEPTED && e->counted_g > 0;
    }
    return false;
}

/* Whether the act would succeed now; else *why. A weight that only trembles counts as steady: the accept waits for it
 * to rest. */
static bool open_now(const struct front *f, const struct move *m, struct said *why)
{
    /* A toner that nobody named yet stands in for the one that will be. */
    struct recipe_part any = {.toner = "?", .role = PART_COLOUR, .density_g_per_ml = NAN, .price_per_kg = NAN};
    struct command c = m->command;
    struct track steady = *f->track;
    struct front_trouble trouble;
    struct fault fault = {0};
    struct event e;
    if (f->waiting) {
        *why = say("why_waiting");
        return false;
    }
    if (!f->batch) {
        bool none = strcmp(m->method, "resume") == 0 && !f->holds;
        if (none)
            *why = say("why_none_held");
        return !none;
    }
    c.uncounted_g = c.lost_g = NAN;
    c.sure = true; /* the act carries it where it is needed */
    if (strcmp(m->asks, "really") == 0 || strcmp(m->asks, "toner") == 0) {
        memcpy(c.really, any.toner, 2);
        c.part = &any;
    }
    if (command_weighs(f->batch, &c) && front_scale_trouble(f, &trouble)) {
        *why = trouble.said;
        return false;
    }
    steady.now_stable = f->settled;
    enum decision d = decide(f->batch, &steady, &c, &e, &fault);
    event_finish(&e);
    /* A wrong tin found after its accept: nothing is open that it could count for until that is taken back. */
    struct command undo = {.kind = COMMAND_UNDO, .uncounted_g = NAN, .lost_g = NAN};
    struct fault ignored = {0};
    if (d == REFUSED && strcmp(m->asks, "really") == 0 && strcmp(fault.why, "short") == 0 && last_was_pour(f->batch) &&
        decide(f->batch, &steady, &undo, &e, &ignored) == DECIDED) {
        *why = say("why_undo_first");
        event_finish(&e);
        return false;
    }
    /* Without its figure, which moves with every reading and would make each a new screen. */
    if (d == REFUSED)
        *why = strcmp(fault.why, "uncounted") == 0 ? say("why_uncounted") : fault.said;
    else if (d == NOT_YET)
        *why = say("why_unsteady");
    return d == DECIDED;
}

/* The accept of a cup that is doubted: its act carries `sure`, and it says what it doubts. */
static bool doubts(const struct front *f, const struct move *m, struct said *said)
{
    bool cup = f->batch && f->batch->state == BATCH_CUP && m->command.kind == COMMAND_ACCEPT && !m->command.tared;
    if (!cup || !m->method || strcmp(m->method, "accept") != 0 || !f->track->has_now || f->track->now_ug < 1000000)
        return false;
    return decide_doubts(f->batch, f->track, f->cups, said);
}

/* `1031, 1033`: the cups that a rescue pours in. */
static struct said rescue_with(const struct event_rescue *r)
{
    char cups[EVENT_RESCUE_CUPS * 26] = "";
    size_t used = 0;
    for (size_t i = 0; i < r->cups && used < sizeof cups; i++)
        used += (size_t)snprintf(cups + used, sizeof cups - used, "%s%s", i ? ", " : "", r->cup[i].batch);
    return r->cups == 1 ? say("move_rescue_cup batch=%s pour_g=%f", r->cup[0].batch, r->cup[0].grams)
                        : say("move_rescue_cups cups=%s", cups);
}

/* What an accept as short does: a tin or a cup of the shelf is empty, or, with nothing poured since, the step closes.
 */
static struct said short_said(const struct front *f)
{
    const struct batch *b = f->batch;
    struct front_now now;
    front_now(f, &now);
    if (b->now == NOW_CUP)
        return say("next_cup_empty batch=%s", b->cup[b->open_cup].batch);
    if (b->now == NOW_TAKE_OUT || now.in_cup_g - b->asked.counted_g > f->d_g / 2)
        return say("move_short");
    if (b->now == NOW_TINT)
        return say("move_tint_none");
    return now.in_cup_g > f->d_g / 2 ? say("next_without_rest") : say("move_leave_out");
}

/* A remedy tells its figure, the other acts are fixed words. */
static struct said said_of(const struct front *f, const struct move *m)
{
    struct batch_remedies r;
    struct said said = {.used = 0};
    if (doubts(f, m, &said))
        return said;
    if (m->command.remedy == REMEDY_GROW || m->command.remedy == REMEDY_DIP || m->command.remedy == REMEDY_RESCUE) {
        batch_remedies(f->batch, &r);
        if (m->command.remedy == REMEDY_RESCUE && r.rescue.possible)
            return rescue_with(&f->batch->rescue);
        if (m->command.remedy == REMEDY_GROW && r.grow.possible)
            return say("move_grow_to total_g=%f", r.grow.total_g);
        if (m->command.remedy == REMEDY_DIP && r.dip.possible)
            return say("move_dip_out take_g=%f", r.take_g);
    }
    if (m->command.short_mode == SHORT_COUNTED)
        return short_said(f);
    /* Where no tin can be named before the accept is taken back. */
    if (m->command.kind == COMMAND_UNDO && f->batch->state != BATCH_POUR && last_was_pour(f->batch))
        return say("move_undo_tin");
    utf8_copy(said.code, sizeof said.code, m->code);
    return said;
}

/* Each move is tried as a call would be, on copies; some twenty decisions a screen, none of them kept. */
json_t *front_moves(const struct front *f)
{
    json_t *list = json_array();
    unsigned state = state_of(f->batch);
    for (size_t i = 0; i < sizeof moves / sizeof *moves; i++) {
        const struct move *m = &moves[i];
        struct said why = {.used = 0};
        if (!(m->states & state))
            continue;
        struct said said = said_of(f, m);
        bool open = open_now(f, m, &why);
        struct said doubt;
        const char *key = doubts(f, m, &doubt) ? "sure" : m->key;
        json_t *value = !key ? NULL : m->value ? json_string(m->value) : json_true();
        json_t *act = front_act(f, m->method, key, value), *asks = names_of(m->asks);
        if (front_glance(f, act))
            json_array_append_new(asks, json_string("glance"));
        json_array_append_new(list, json_pack("{s:o, s:o, s:o, s:b, s:o}", "act", act, "asks", asks, "said",
                                              front_said(f, &said), "open", open, "why", front_said(f, &why)));
    }
    return list;
}
