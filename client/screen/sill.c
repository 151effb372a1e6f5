#include "client/screen/sill.h"

#include "client/screen/sill_say.h"
#include "client/screen/trouble.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void weight_text(const struct model *m, double g, char *buf, size_t size)
{
    words_weight(&m->words, g, buf, size);
}

static void sill_idle(const struct model *m, struct sill *s)
{
    size_t line = m->view.line;
    if (line == 0 || line > m->n_batches) {
        sill_key(s, ACT_PAGE, PAGE_FIND, "find a colour");
        return;
    }
    const struct batch_line *b = &m->batches[line - 1];
    bool scrapped = strcmp(b->state, "scrapped") == 0;
    if (b->finished[0] == '\0' && !scrapped && strcmp(b->state, "finished") != 0)
        sill_key(s, ACT_RESUME, 0, "resume %s, %s %s", b->batch, b->formula, b->coat);
    else
        sill_key(s, ACT_AMOUNT, 0, "mix %s again: how much?", b->batch);
    sill_second(s, ACT_PAGE, "find a colour");
}

static void sill_cup(const struct model *m, struct sill *s)
{
    if (!(fabs(m->weight.g) >= 1)) {
        sill_hand(s, "put an empty cup on");
        sill_second(s, ACT_TARED, "tared with the cup on");
    } else if (m->weight.g < 0) {
        sill_hand(s, "take everything off, zero the scale, put the cup on");
    } else if (m->weight.stable == 0) {
        sill_hand(s, "let it settle");
    } else {
        char g[48];
        weight_text(m, m->weight.g, g, sizeof g);
        sill_key(s, ACT_ACCEPT, 0, "this is the cup, %s g", g);
    }
}

/* A check weight is led; who would rather mix is not held up. */
static void sill_check(const struct model *m, struct sill *s)
{
    struct sill cup = {.text = ""};
    sill_hand(s, m->bench.message);
    if (m->bench.state == BENCH_IDLE) {
        sill_second(s, ACT_PAGE, "find a colour");
        return;
    }
    sill_cup(m, &cup);
    if (cup.enter == ACT_ACCEPT)
        sill_second(s, ACT_ACCEPT, cup.text);
}

static void sill_accept(const struct model *m, struct sill *s)
{
    char g[48], over[48];
    weight_text(m, model_in_cup_g(m), g, sizeof g);
    const struct bench_step *after = bench_step_after(&m->bench);
    if (m->cue == CUE_OVER) {
        weight_text(m, -model_to_go_g(m), over, sizeof over);
        sill_key(s, ACT_ACCEPT, 0, "accept %s g, %s over", g, over);
    } else if (after) {
        sill_key(s, ACT_ACCEPT, 0, "accept %s g, then %s", g, after->toner);
    } else {
        sill_key(s, ACT_ACCEPT, 0, "accept %s g, the last", g);
    }
}

static void sill_take_out(const struct model *m, struct sill *s)
{
    char g[48];
    double out = -model_in_cup_g(m);
    if (!(out >= m->words.d_g / 2) || m->weight.stable == 0) {
        weight_text(m, fmax(0, -model_to_go_g(m)), g, sizeof g);
        char text[96];
        snprintf(text, sizeof text, "stir, take out %s g", g);
        sill_hand(s, text);
    } else {
        weight_text(m, out, g, sizeof g);
        sill_key(s, ACT_ACCEPT, 0, "%s g are out", g);
    }
}

static void sill_lifted(const struct model *m, struct sill *s)
{
    char g[48], text[128];
    sill_hand(s, "put the cup back");
    weight_text(m, model_in_cup_g(m), g, sizeof g);
    if (m->bench.now.toner[0] && isfinite(m->bench.now.in_cup_g))
        snprintf(text, sizeof text, "this is the cup (%s g of %.20s were in it)", g, m->bench.now.toner);
    else
        snprintf(text, sizeof text, "this is the cup");
    sill_second(s, ACT_RETARE, text);
}

/* Another tin follows, or, with nothing poured since, the step closes with its deviation. */
static void sill_short(const struct model *m, struct sill *s)
{
    const struct bench_step *step = model_open_step(m);
    double in_cup = model_in_cup_g(m), d = m->words.d_g;
    if (m->cue != CUE_POUR && m->cue != CUE_EASE && m->cue != CUE_STOP)
        return;
    bool since = !step || !bench_step_poured(step) || in_cup - step->poured_g > d / 2;
    if (in_cup > d / 2) /* with nothing in, one key must not close the step: the page of the tin leaves it out */
        sill_second(s, ACT_SHORT, since ? "short" : "leave it short");
}

/* What the cup holds of the open toner by the accepts before. */
static double counted_g(const struct model *m)
{
    double g = 0;
    for (size_t i = 0; i < m->bench.n_steps; i++)
        if (strcmp(m->bench.steps[i].toner, m->bench.now.toner) == 0 && bench_step_poured(&m->bench.steps[i]))
            g += m->bench.steps[i].poured_g;
    return g;
}

static void sill_pour(const struct model *m, struct sill *s)
{
    const struct bench_now *n = &m->bench.now;
    char text[96];
    bool settled = m->weight.stable != 0;
    if (n->take_out) {
        sill_take_out(m, s);
        return;
    }
    if (!isfinite(n->to_go_g)) { /* by eye */
        double added = model_in_cup_g(m) - counted_g(m);
        if (settled && added > m->words.d_g / 2) {
            char g[48];
            weight_text(m, added, g, sizeof g);
            sill_key(s, ACT_ACCEPT, 0, "accept %s g by eye", g);
            return;
        }
        snprintf(text, sizeof text, "pour %.40s by eye", n->toner);
        sill_hand(s, text);
        return;
    }
    switch (m->cue) {
    case CUE_OK:
        if (settled)
            sill_accept(m, s);
        else
            sill_hand(s, "let it settle");
        return;
    case CUE_OVER:
        if (settled)
            sill_accept(m, s);
        else
            sill_hand(s, "tip back, let it settle");
        return;
    case CUE_STOP:
        sill_hand(s, "tip back, let it settle");
        break;
    case CUE_EASE:
        snprintf(text, sizeof text, "pour %.40s slower", n->toner);
        sill_hand(s, text);
        break;
    case CUE_POUR:
    case CUE_NONE:
        snprintf(text, sizeof text, "pour %.40s", n->toner);
        sill_hand(s, text);
        break;
    }
    sill_short(m, s);
}

/* `or press 2 or 3` */
static void other_remedies(const struct model *m, char *buf, size_t size)
{
    size_t n = 0;
    for (int digit = 1; digit <= 4; digit++)
        if (digit != m->view.choice && sill_remedy_open(m, digit))
            n += (size_t)snprintf(buf + n, size - n, "%s%d", n ? " or " : "or press ", digit);
}

static void sill_over(const struct model *m, struct sill *s)
{
    const struct remedy *r = sill_remedy(m, m->view.choice);
    char g[48];
    if (!sill_remedy_open(m, m->view.choice)) {
        sill_pick(s, "choose what to do");
    } else if (!r) {
        sill_key(s, ACT_REMEDY, 4, "begin again with a new cup");
    } else if (m->view.choice == 1) {
        weight_text(m, r->total_g, g, sizeof g);
        sill_key(s, ACT_REMEDY, 1, "grow the batch to %s g", g);
    } else if (m->view.choice == 2) {
        weight_text(m, r->take_g, g, sizeof g);
        sill_key(s, ACT_REMEDY, 2, "dip: stir and take out %s g", g);
    } else {
        sill_key(s, ACT_REMEDY, 3, "leave it, the error is shown on the list");
    }
    if (s->kind == SILL_KEY)
        other_remedies(m, s->zero, sizeof s->zero);
}

static void sill_bench(const struct model *m, struct moment now, struct sill *s)
{
    const struct bench *b = &m->bench;
    struct trouble t;
    trouble_of(m, now, &t);
    bool weighs = b->state == BENCH_CUP || b->state == BENCH_POUR;
    if (t.kind == TROUBLE_LOST || !m->has_screen) {
        sill_hand(s, m->has_screen || t.kind == TROUBLE_LOST ? t.by_hand : "wait");
        return;
    }
    if (weighs && t.kind == TROUBLE_LIFTED && b->state == BENCH_POUR && !b->now.take_out) {
        sill_lifted(m, s);
        return;
    }
    if (weighs && t.kind != TROUBLE_NONE && t.kind != TROUBLE_LIFTED) {
        sill_hand(s, t.by_hand);
        if (t.kind == TROUBLE_ABSENT || t.kind == TROUBLE_SEEKING)
            bench_copy(s->zero, sizeof s->zero, "0 scales");
        return;
    }
    if (b->checking) {
        sill_check(m, s);
        return;
    }
    switch (b->state) {
    case BENCH_IDLE:
        sill_idle(m, s);
        break;
    case BENCH_CUP:
        sill_cup(m, s);
        break;
    case BENCH_POUR:
        sill_pour(m, s);
        break;
    case BENCH_OVER:
        sill_over(m, s);
        break;
    case BENCH_DONE:
        sill_key(s, ACT_PRINT, 0, "print the label and finish");
        sill_second(s, ACT_FINISH, "finish without a label");
        break;
    }
}

void sill_of(const struct model *m, struct moment now, struct sill *s)
{
    memset(s, 0, sizeof *s);
    bool bench = m->view.page == PAGE_BENCH;
    bench_copy(s->zero, sizeof s->zero, m->view.writing ? "Esc back" : bench ? "0 other pages" : "0 back");
    if (bench)
        sill_bench(m, now, s);
    else
        sill_beside(m, s);
    if (!m->linked && s->enter <= ACT_LAST_CALL && s->enter != ACT_NONE)
        sill_hand(s, "wait: it tries again every 2 s");
    if (m->sent.waiting) {
        s->enter = s->dot = ACT_NONE;
        s->second[0] = '\0';
        if (now.ms - m->sent.since_ms >= SENT_SHOWN_MS) {
            s->kind = SILL_SENT;
            bench_copy(s->text, sizeof s->text, "sent, no answer yet");
        }
    }
}
