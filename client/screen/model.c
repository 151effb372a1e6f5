#include "client/screen/model.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* In the air and in the scale's filter, before the station has said better; the station's own first guess. */
#define LAG_S   0.6
#define FLOW_MS 500

void model_init(struct model *m, const char *station, bool utf8, struct moment now)
{
    memset(m, 0, sizeof *m);
    m->words = (struct words){0.1, '.', utf8};
    bench_copy(m->station, sizeof m->station, station);
    m->bench.total_g = m->bench.wanted_g = m->bench.cup_ml = m->bench.fill_ml = NAN;
    m->scale = SCALE_ABSENT;
    m->scale_since_s = now.wall_s;
    m->capacity_g = m->base_g = NAN;
    m->view.copies = 1;
    m->view.changed_ms = m->view.touched_ms = now.ms;
}

void model_open_page(struct model *m, enum page page, struct moment now)
{
    m->view.page = page;
    m->view.choice = 0;
    m->view.line = m->view.coat = m->view.variant = 0;
    m->view.writing = page == PAGE_FIND || page == PAGE_AMOUNT || page == PAGE_TONER || page == PAGE_WRITE;
    m->view.text[0] = '\0';
    m->view.changed_ms = now.ms;
    m->view.list_until_ms = 0;
    m->view.list_from = 0;
}

void model_say(struct model *m, bool rubric, const char *text)
{
    bench_copy(m->foot, sizeof m->foot, text);
    m->foot_rubric = rubric;
    m->foot_ms = 0;
}

static void set_scale(struct model *m, enum scale_state state, const char *why, const char *cause, struct moment now)
{
    if (state != m->scale)
        m->scale_since_s = now.wall_s;
    m->scale = state;
    bench_copy(m->scale_why, sizeof m->scale_why, why);
    bench_copy(m->scale_cause, sizeof m->scale_cause, cause);
}

/* Another batch, state or step is another page: Enter must be looked at anew, and a page beside it is closed. */
static void see_change(struct model *m, const struct bench *b, bool first, struct moment now)
{
    const struct bench *old = &m->bench;
    bool other = first || b->state != old->state || strcmp(b->batch, old->batch) != 0;
    bool moved = other || b->step != old->step || b->lifted != old->lifted || b->revision != old->revision ||
                 b->now.take_out != old->now.take_out;
    if (!moved)
        return;
    m->weight.ring_n = 0;
    m->cue = CUE_NONE;
    if (other)
        m->view.copies = 1;
    if (b->step != old->step || other)
        m->view.lot[0] = '\0';
    /* What is being written stays open unless its batch is gone; a choice made for another revision does not. */
    bool apart = m->view.page == PAGE_SCALES || (!other && m->view.page != PAGE_BENCH);
    if (!apart)
        model_open_page(m, PAGE_BENCH, now);
    m->view.changed_ms = now.ms;
    if (other)
        m->view.touched_ms = now.ms;
    if (!m->foot_rubric)
        m->foot[0] = '\0';
}

bool model_screen(struct model *m, const json_t *screen, struct moment now)
{
    static const struct bench none;
    struct bench b = none;
    if (!bench_read(&b, screen))
        return false;
    if (m->has_screen && !m->relinked && b.revision < m->bench.revision)
        return true; /* none goes back; an answer can be overtaken by a note */
    see_change(m, &b, !m->has_screen, now);
    set_scale(m, b.scale, b.scale_why, b.scale_cause, now);
    m->bench = b;
    m->has_screen = true;
    m->screen_ms = now.ms;
    m->base_g = NAN;
    if (b.now.open && m->weight.known && now.ms - m->weight.at_ms < GREY_MS)
        m->base_g = m->weight.g - b.now.in_cup_g; /* the screen was made from this reading */
    m->relinked = false;
    return true;
}

static void keep_reading(struct weight *w, double g, int64_t at_ms)
{
    if (w->ring_n > 0 && w->ring[w->ring_n - 1].at_ms >= at_ms)
        return; /* an answer and a note may bring the same reading */
    if (w->ring_n == WEIGHT_RING)
        memmove(&w->ring[0], &w->ring[1], sizeof w->ring - sizeof w->ring[0]);
    else
        w->ring_n++;
    w->ring[w->ring_n - 1].g = g;
    w->ring[w->ring_n - 1].at_ms = at_ms;
}

bool model_weight(struct model *m, const json_t *note, struct moment now)
{
    if (!json_is_object(note))
        return false;
    enum scale_state state = m->scale;
    bench_scale_state(json_string_value(json_object_get(note, "state")), &state);
    char why[BENCH_TEXT];
    bench_text(note, "why", why, sizeof why);
    bool news = why[0] || state != m->scale; /* the cause comes with a note of its own */
    set_scale(m, state, news ? why : m->scale_why, news ? "" : m->scale_cause, now);
    const char *cue = json_string_value(json_object_get(note, "cue"));
    bench_cue(cue, &m->bench.now.cue);
    double g = bench_number(note, "weight_g"), age = bench_number(note, "age_ms");
    m->weight.none = !isfinite(g) && state == SCALE_LIVE;
    if (!isfinite(g))
        return true;
    if (!(age >= 0) || age > 1e9)
        age = 0;
    const json_t *stable = json_object_get(note, "stable");
    struct weight *w = &m->weight;
    w->known = true;
    w->g = g;
    w->stable = json_is_true(stable) ? 1 : json_is_false(stable) ? 0 : -1;
    w->at_ms = now.ms - (int64_t)age;
    w->at_wall_s = now.wall_s - (int64_t)(age / 1000);
    keep_reading(w, g, w->at_ms);
    if (!isfinite(m->base_g) && w->stable == 1 && now.ms - m->screen_ms < DEAD_MS)
        m->base_g = g - m->bench.now.in_cup_g; /* nothing moved since the screen */
    return true;
}

bool model_scale(struct model *m, const json_t *note, struct moment now)
{
    const json_t *scale = json_object_get(note, "scale"); /* the whole of it, or one beside the station's name */
    if (!json_is_object(scale))
        scale = note;
    enum scale_state state;
    if (!bench_scale_state(json_string_value(json_object_get(scale, "state")), &state))
        return false;
    char why[BENCH_TEXT], cause[BENCH_ID];
    bench_text(scale, "why", why, sizeof why);
    bench_text(scale, "cause", cause, sizeof cause);
    set_scale(m, state, why, cause, now);
    return true;
}

enum life model_life(const struct model *m, struct moment now)
{
    if (!m->linked || m->scale != SCALE_LIVE || !m->weight.known || m->weight.none)
        return LIFE_DEAD;
    int64_t age = now.ms - m->weight.at_ms;
    return age >= DEAD_MS ? LIFE_DEAD : age >= GREY_MS ? LIFE_GREY : LIFE_LIVE;
}

double model_to_go_g(const struct model *m)
{
    const struct bench_now *n = &m->bench.now;
    if (!n->open || m->bench.lifted || !m->weight.known || !isfinite(n->scale_shows_g) || !isfinite(n->to_go_g))
        return n->open ? n->to_go_g : (double)NAN;
    return words_round(words_round(n->scale_shows_g, m->words.d_g) - m->weight.g, m->words.d_g / 1000);
}

double model_in_cup_g(const struct model *m)
{
    const struct bench_now *n = &m->bench.now;
    if (!n->open || m->bench.lifted || !m->weight.known)
        return n->open ? n->in_cup_g : (double)NAN;
    if (!isfinite(n->scale_shows_g) || !isfinite(n->aim_g)) /* by eye; NAN where no reading is known to belong to it */
        return m->weight.g - m->base_g;
    return n->aim_g - (n->scale_shows_g - m->weight.g);
}

const struct bench_step *model_open_step(const struct model *m)
{
    const struct bench *b = &m->bench;
    return b->step >= 1 && b->step <= b->n_steps ? &b->steps[b->step - 1] : NULL;
}

/* Flow over the last half second, g/s; 0 with fewer than two readings. */
static double flow_g_per_s(const struct weight *w, struct moment now)
{
    if (w->ring_n < 2)
        return 0;
    size_t last = w->ring_n - 1, first = last;
    while (first > 0 && w->ring[first - 1].at_ms >= now.ms - FLOW_MS)
        first--;
    int64_t span = w->ring[last].at_ms - w->ring[first].at_ms;
    return span > 0 ? (w->ring[last].g - w->ring[first].g) * 1000 / (double)span : 0;
}

double model_landing_g(const struct model *m, struct moment now)
{
    double to_go = model_to_go_g(m);
    double falling = flow_g_per_s(&m->weight, now) * LAG_S;
    if (model_life(m, now) != LIFE_LIVE || !isfinite(to_go) || falling < m->words.d_g)
        return NAN;
    return to_go - falling;
}

/* The station's cue, checked against the newest weight: in tolerance and past it are facts that a note may be behind.
 */
static enum cue fresh_cue(const struct model *m)
{
    const struct bench_now *n = &m->bench.now;
    double to_go = model_to_go_g(m), t = n->tolerance_g;
    if (!n->open || n->take_out || !isfinite(to_go) || !isfinite(t))
        return CUE_NONE;
    if (fabs(to_go) <= t + 1e-6)
        return CUE_OK;
    if (to_go < 0)
        return CUE_OVER;
    return n->cue == CUE_EASE || n->cue == CUE_STOP ? n->cue : CUE_POUR;
}

void model_tick(struct model *m, struct moment now)
{
    if (m->foot[0] && m->foot_ms == 0)
        m->foot_ms = now.ms;
    if (m->foot[0] && now.ms - m->foot_ms >= FOOT_MS)
        m->foot[0] = '\0';
    if (m->view.list_until_ms && now.ms >= m->view.list_until_ms)
        m->view.list_until_ms = 0;
    if (m->bench.state != BENCH_POUR || m->bench.lifted || model_life(m, now) != LIFE_LIVE) {
        m->cue = CUE_NONE;
        return;
    }
    enum cue cue = fresh_cue(m);
    bool stays = m->cue == CUE_STOP && now.ms - m->stop_ms < STOP_STAYS_MS;
    if (stays && (cue == CUE_POUR || cue == CUE_EASE))
        cue = CUE_STOP;
    if (cue == CUE_STOP && m->cue != CUE_STOP)
        m->stop_ms = now.ms;
    if ((cue == CUE_STOP || cue == CUE_OVER) && m->cue != cue)
        m->bell = true;
    m->cue = cue;
}
