/* model.c - what is known, and how long it holds. It must not know a page, and works out no weight. */
#include "client/screen/model.h"

#include "client/screen/note.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The scale counts as absent and the interval as 0.1 g until the daemon has said otherwise. */
void model_init(struct model *m, const char *station, bool utf8, struct moment now)
{
    memset(m, 0, sizeof *m);
    m->style = (struct number_style){.point = '.', .minus = utf8, .d_g = 0.1};
    m->utf8 = utf8;
    m->language = words_language_of_environment();
    utf8_copy(m->station, sizeof m->station, station);
    shown_init(&m->bench);
    m->scale = SCALE_ABSENT;
    m->view.opened_g = NAN;
    m->view.copies = 1;
    m->view.changed_ms = m->view.touched_ms = now.ms;
}

/* What texts point into goes last: nothing is drawn any more. */
void model_finish(struct model *m)
{
    shown_finish(&m->bench);
    lists_finish(&m->lists);
}

/* Who asked for a language by hand is not talked out of it by the shop. */
void model_fix_language(struct model *m, const char *name)
{
    m->language_fixed = words_language_of(name, &m->language);
}

/* A shop whose setting was taken back speaks as the terminal's environment does, as it did before it was set. */
void model_language(struct model *m, const char *name)
{
    if (!m->language_fixed && !words_language_of(name, &m->language))
        m->language = words_language_of_environment();
}

bool model_is_form(enum page page)
{
    return page == PAGE_AMOUNT || page == PAGE_RETARE || page == PAGE_ORDER_FORM || page == PAGE_ORDER_HEAD ||
           page == PAGE_COAT_FORM || page == PAGE_PANEL || page == PAGE_CARD || page == PAGE_PLACE;
}

/* Nothing is chosen on a new page: what costs paint is never preselected. */
void model_open_page(struct model *m, enum page page, struct moment now)
{
    m->view.page = page;
    m->view.choice = 0;
    m->view.line = 0;
    m->view.writing =
        page == PAGE_FIND || page == PAGE_TONER || page == PAGE_WRITE || page == PAGE_WEIGH || model_is_form(page);
    m->view.text[0] = '\0';
    m->view.opened_g = m->weight.known ? m->weight.g : (double)NAN;
    m->view.changed_ms = now.ms;
    m->view.list_until_ms = 0;
    m->view.list_from = 0;
}

const char *model_text(const struct model *m, struct said s, char *buf, size_t size)
{
    return said_text(&s, m->language, &m->style, buf, size);
}

const char *model_told(const struct model *m, const json_t *said, char *buf, size_t size)
{
    return shown_said(said, m->language, &m->style, buf, size);
}

/* ASCII alone is raised: no sentence of the table begins with another small letter. */
const char *model_sentence(const struct model *m, const json_t *said, char *buf, size_t size)
{
    model_told(m, said, buf, size);
    if (buf[0] >= 'a' && buf[0] <= 'z')
        buf[0] = (char)(buf[0] - 'a' + 'A');
    return buf;
}

/* The table of words is built in, so a word is never missing for want of a file. */
const char *model_word(const struct model *m, const char *code)
{
    return words_of(m->language, code);
}

const char *model_name(const struct model *m, const char *kind, const char *name)
{
    char code[NAME_ROOM];
    snprintf(code, sizeof code, "%s.%s", kind, name);
    return words_or(m->language, code, name);
}

void model_say(struct model *m, bool rubric, const char *text)
{
    utf8_copy(m->foot, sizeof m->foot, text);
    m->foot_rubric = rubric;
    m->foot_ms = 0;
}

/* Another batch, state or step is another page: Enter must be looked at anew, and a page beside it is closed. */
static void see_change(struct model *m, const struct shown *b, bool first, struct moment now)
{
    const struct shown *old = &m->bench;
    bool other = first || b->state != old->state || strcmp(b->batch, old->batch) != 0;
    bool moved = other || b->step != old->step || b->lifted != old->lifted || b->revision != old->revision ||
                 b->now.take_out != old->now.take_out;
    if (!moved)
        return;
    m->cue = CUE_NONE;
    if (other)
        m->view.copies = 1;
    if (b->step != old->step || other)
        m->view.lot[0] = m->view.glance[0] = '\0';
    /* What is being written stays open unless its batch is gone; a choice made for another revision does not. */
    bool scales = m->view.page == PAGE_SCALES || m->view.page == PAGE_SCALE || m->view.page == PAGE_CHECK ||
                  m->view.page == PAGE_LEARNT;
    bool apart = scales || (!other && m->view.page != PAGE_BENCH);
    if (!apart)
        model_open_page(m, PAGE_BENCH, now);
    m->view.changed_ms = now.ms;
    if (other)
        m->view.touched_ms = now.ms;
    /* What was said of the page before does not hold any more; a refusal just given is still to be read. */
    if (!m->foot_rubric || (m->foot_ms && now.ms - m->foot_ms > SHOWN_MS))
        m->foot[0] = '\0';
}

/* An answer can be overtaken by the note of a later act, so revisions only ascend; after a new link they may begin
 * anywhere. */
bool model_screen(struct model *m, json_t *screen, struct moment now)
{
    struct shown b;
    if (!shown_read(&b, screen))
        return false;
    if (m->has_screen && !m->relinked && b.revision < m->bench.revision) {
        shown_finish(&b);
        return true; /* none goes back; an answer can be overtaken by a note */
    }
    see_change(m, &b, !m->has_screen, now);
    m->scale = b.scale;
    m->wrong = b.revision == m->bench.revision ? m->wrong : NULL;
    shown_finish(&m->bench);
    m->bench = b;
    m->has_screen = true;
    m->screen_ms = now.ms;
    m->relinked = false;
    return true;
}

/* Who pours looks at the pour: a page with nothing written on it makes way for it. */
static void see_pour(struct model *m, struct moment now)
{
    const struct view *v = &m->view;
    double t = fmax(m->style.d_g, m->bench.now.tolerance_g); /* by eye there is no tolerance, and fmax passes NAN by */
    bool typed = v->text[0] || v->page == PAGE_CHECK || model_is_form(v->page);
    if (v->page == PAGE_BENCH || m->bench.state != BENCH_POUR || typed || !(fabs(m->weight.g - v->opened_g) > t))
        return;
    model_open_page(m, PAGE_BENCH, now);
}

/* A note moves the open step's figures on. A null weight keeps the last known one, shown as dead, with its time. */
void model_weigh(struct model *m, const struct weighing *w, struct moment now)
{
    struct shown_now *n = &m->bench.now;
    double age = w->age_ms >= 0 && w->age_ms <= 1e9 ? w->age_ms : 0;
    if (w->has_state)
        m->scale = w->state;
    m->weight.none = !isfinite(w->g) && m->scale == SCALE_LIVE;
    if (!isfinite(w->g))
        return;
    m->weight =
        (struct weight){true, false, w->settled, w->g, now.ms - (int64_t)age, now.wall_s - (int64_t)(age / 1000)};
    if (n->open && w->pours) {
        n->to_go_g = w->to_go_g;
        n->in_cup_g = w->in_cup_g;
        n->landing_g = w->landing_g;
        n->cue = w->cue;
    }
    see_pour(m, now);
}

bool model_weight(struct model *m, const json_t *note, struct moment now)
{
    struct weighing w;
    if (!note_params(note, &w))
        return false;
    model_weigh(m, &w, now);
    return true;
}

/* The note of the scale alone; it comes at once, before the screen that tells what ails it. */
bool model_scale(struct model *m, const json_t *note, struct moment now)
{
    (void)now;
    const json_t *scale = json_object_get(note, "scale"); /* the whole of it, or one beside the station's name */
    if (!json_is_object(scale))
        scale = note;
    return shown_scale_state(json_string_value(json_object_get(scale, "state")), &m->scale);
}

/* A link or scale that is gone makes the weight dead at once, whatever its age. */
enum life model_life(const struct model *m, struct moment now)
{
    if (!m->linked || m->scale != SCALE_LIVE || !m->weight.known || m->weight.none)
        return LIFE_DEAD;
    int64_t age = now.ms - m->weight.at_ms;
    return age >= DEAD_MS ? LIFE_DEAD : age >= GREY_MS ? LIFE_GREY : LIFE_LIVE;
}

bool model_dead(const struct model *m, struct moment now)
{
    return model_life(m, now) == LIFE_DEAD || (m->bench.lifted && m->bench.state == BENCH_POUR);
}

const struct shown_step *model_open_step(const struct model *m)
{
    const struct shown *b = &m->bench;
    return b->step >= 1 && b->step <= b->n_steps ? &b->steps[b->step - 1] : NULL;
}

/* The station's cue; stop stays for a while, and nothing of it is shown of a weight that is not live. */
static void see_cue(struct model *m, struct moment now)
{
    bool by_eye = !isfinite(m->bench.now.to_go_g);
    enum cue cue = m->bench.now.open && !by_eye ? m->bench.now.cue : CUE_NONE;
    if (m->bench.state != BENCH_POUR || m->bench.now.take_out || model_dead(m, now) ||
        model_life(m, now) != LIFE_LIVE) {
        m->cue = CUE_NONE;
        return;
    }
    bool stays = m->cue == CUE_STOP && now.ms - m->stop_ms < STOP_STAYS_MS;
    if (stays && (cue == CUE_POUR || cue == CUE_EASE))
        cue = CUE_STOP;
    if (cue == CUE_STOP && m->cue != CUE_STOP)
        m->stop_ms = now.ms;
    if ((cue == CUE_STOP || cue == CUE_OVER) && m->cue != cue)
        m->bell = true;
    m->cue = cue;
}

/* What was said for a while goes by itself; the age of an answer counts from when it was first drawn. */
void model_tick(struct model *m, struct moment now)
{
    if (m->foot[0] && m->foot_ms == 0)
        m->foot_ms = now.ms;
    if (m->foot[0] && now.ms - m->foot_ms >= FOOT_MS)
        m->foot[0] = '\0';
    if (m->view.list_until_ms && now.ms >= m->view.list_until_ms)
        m->view.list_until_ms = 0;
    see_cue(m, now);
}
