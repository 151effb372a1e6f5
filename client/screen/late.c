/* late.c - see late.h. It must not know what a key means on a page. */
#include "client/screen/late.h"

/* Where nothing can be committed there is nothing to wait for; `.` that only turns a page costs nothing. */
struct move late_move(const struct model *m, enum act act, uint32_t value, bool dot, struct moment now)
{
    bool stood = now.ms - m->view.changed_ms >= ENTER_QUIET_MS;
    if (stood || act == ACT_NONE || act == ACT_REFUSED || (dot && act != ACT_CALL))
        return (struct move){act, value};
    bool twice = now.ms - m->entered_ms < ENTER_TWICE_MS;
    return (struct move){twice ? ACT_EARLY : ACT_WAITS, dot};
}

/* What its foot line says now is what it may do later, and nothing else. */
void late_wait(struct model *m, bool dot, struct moment now)
{
    struct footline f;
    footline_of(m, now, &f);
    m->early.waits = true;
    m->early.dot = dot;
    m->early.act = dot ? f.dot : f.enter;
    m->early.value = dot ? f.dot_value : f.enter_value;
    m->early.changed_ms = m->view.changed_ms;
}

bool late_is_due(struct model *m, struct moment now, struct press *press)
{
    struct footline f;
    if (!m->early.waits)
        return false;
    footline_of(m, now, &f);
    bool same = m->early.changed_ms == m->view.changed_ms && m->early.act == (m->early.dot ? f.dot : f.enter) &&
                m->early.value == (m->early.dot ? f.dot_value : f.enter_value);
    if (same && now.ms - m->view.changed_ms < ENTER_QUIET_MS)
        return false;
    m->early.waits = false;
    *press = m->early.dot ? (struct press){PRESS_CHAR, '.'} : (struct press){PRESS_ENTER, 0};
    if (same)
        return true;
    m->bell = true;
    model_say(m, true, model_word(m, "page.early"));
    return false;
}

int late_sleep_ms(const struct model *m, struct moment now, int most_ms)
{
    int64_t left_ms = m->view.changed_ms + ENTER_QUIET_MS - now.ms;
    if (!m->early.waits || left_ms >= most_ms)
        return most_ms;
    return left_ms > 0 ? (int)left_ms : 0;
}

/* The page that they are for is about to go, or stays with what was sent of it. */
bool late_is_refused(const struct model *m, enum act act)
{
    return m->sent.waiting &&
           (act == ACT_WRITE || act == ACT_RUB_OUT || act == ACT_CHOOSE || act == ACT_VARIANT || act == ACT_TYPE);
}
