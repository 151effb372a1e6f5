/* track.c - readings followed from pour to pour. It must not know a recipe: weights alone come in. */
#include "station/track.h"

#include <stdlib.h>
#include <string.h>

#define STABLE_MS    600      /* the host's rule: all readings of this long within 1 d */
#define SLOT_MS      12       /* 64 slots of it are more than 0.6 s */
#define MIXED_MS     1000     /* both kinds within this long come in turn */
#define DRIFT_MS     1500     /* the base follows what stood this long */
#define DRIFT_UG_MIN 200000   /* 0.2 g a minute */
#define CUP_UG       1000000  /* less than 1 g on the pan is no cup */
#define LIFT_UG      10000000 /* 10 g stands in for half the tare where no tare is known */

void track_init(struct track *t)
{
    memset(t, 0, sizeof *t);
}

/* Readings from before a silence say nothing about how still the load is now. */
void track_gap(struct track *t)
{
    t->ring_count = 0;
    t->has_drift = false;
}

/* last is the reading that stands; base is below it where the open step holds paint already (undo, cup set anew). */
void track_start(struct track *t, int64_t base_ug, int64_t last_ug)
{
    t->active = true;
    t->base_ug = base_ug;
    t->last_ug = t->high_ug = last_ug;
    t->base_ms = t->now_ms;
    t->has_drift = false;
    t->lifted = t->has_low = false;
    t->kept_ug = last_ug;
    t->mixed = false;
}

/* The ring and the last reading stay: a scale is as still with a batch as without. */
void track_stop(struct track *t)
{
    t->active = t->lifted = t->has_low = t->has_drift = t->mixed = t->stood = false;
    t->has_kept = false;
}

int64_t track_pour_ug(const struct track *t)
{
    if (!t->active)
        return 0;
    return (t->lifted || !t->has_now ? t->last_ug : t->now_ug) - t->base_ug;
}

/* A slot a SLOT_MS, so that a scale of any rate fits 0.6 s into the ring. */
static void remember(struct track *t, const struct track_reading *r)
{
    size_t last = (t->ring_next + TRACK_WINDOW - 1) % TRACK_WINDOW;
    if (t->ring_count > 0 && r->at_ms - t->ring_ms[last] < SLOT_MS) {
        if (r->weight_ug < t->ring_low_ug[last])
            t->ring_low_ug[last] = r->weight_ug;
        if (r->weight_ug > t->ring_high_ug[last])
            t->ring_high_ug[last] = r->weight_ug;
        return;
    }
    t->ring_low_ug[t->ring_next] = t->ring_high_ug[t->ring_next] = r->weight_ug;
    t->ring_ms[t->ring_next] = r->at_ms;
    t->ring_next = (t->ring_next + 1) % TRACK_WINDOW;
    if (t->ring_count < TRACK_WINDOW)
        t->ring_count++;
}

/* Where frames bear no mark: a window of 0.6 s whose readings all lie within 1 d. */
static bool host_stable(struct track *t, const struct track_reading *r, int64_t d_ug)
{
    int64_t low = r->weight_ug, high = r->weight_ug;
    remember(t, r);
    for (size_t i = 1; i <= t->ring_count; i++) {
        size_t at = (t->ring_next + TRACK_WINDOW - i) % TRACK_WINDOW;
        if (t->ring_low_ug[at] < low)
            low = t->ring_low_ug[at];
        if (t->ring_high_ug[at] > high)
            high = t->ring_high_ug[at];
        if (high - low > d_ug)
            return false;
        if (r->at_ms - t->ring_ms[at] >= STABLE_MS)
            return true;
    }
    return false;
}

/* How near two weights count as the same: 2 d and a thousandth of the load, for the scale's own nonlinearity. */
static int64_t same_within(int64_t load_ug, int64_t d_ug)
{
    return 2 * d_ug + llabs(load_ug) / 1000;
}

/* Evaporation: what stood for 1.5 s below the base, no faster than 0.2 g a minute. */
static void follow_drift(struct track *t, int64_t weight_ug, int64_t now_ms)
{
    if (weight_ug >= t->base_ug) {
        t->has_drift = false;
        if (weight_ug == t->base_ug)
            t->base_ms = now_ms;
        return;
    }
    if (!t->has_drift) {
        t->has_drift = true;
        t->drift_from_ms = now_ms;
        t->drift_high_ug = weight_ug;
        return;
    }
    if (weight_ug > t->drift_high_ug)
        t->drift_high_ug = weight_ug;
    if (now_ms - t->drift_from_ms < DRIFT_MS)
        return;
    int64_t allowed = t->base_ug - (now_ms - t->base_ms) * DRIFT_UG_MIN / 60000;
    t->base_ug = t->drift_high_ug > allowed ? t->drift_high_ug : allowed;
    t->base_ms = now_ms;
    t->has_drift = false;
}

/* The cup is off, or nobody can say what happened: the count stands. */
static enum track_note lift(struct track *t)
{
    t->lifted = true;
    t->has_low = false;
    return TRACK_LIFTED;
}

/* Back on the pan: the count stands, so the base moves with whatever the scale's zero did meanwhile. */
static enum track_note back(struct track *t, int64_t weight_ug)
{
    t->base_ug += weight_ug - t->last_ug;
    t->last_ug = t->high_ug = weight_ug;
    t->lifted = t->has_low = t->has_drift = false;
    t->base_ms = t->now_ms;
    return TRACK_BACK;
}

/* Looks for a weight that explains the fall; anything else stays lifted, and the screen asks. */
static enum track_note while_lifted(struct track *t, int64_t w, bool tared, const struct track_context *c)
{
    int64_t tol = same_within(t->last_ug, c->d_ug);
    if (tared)
        return back(t, w);
    if (llabs(w - t->last_ug) <= tol)
        return back(t, w);
    /* The pour was still running when the cup was lifted: it comes back with what had run in by then. */
    if (w > t->last_ug && w <= t->high_ug + tol) {
        t->last_ug = t->high_ug = w;
        t->lifted = t->has_low = false;
        return TRACK_BACK;
    }
    if (!t->has_low) {
        t->has_low = true;
        t->low_ug = w;
        t->fall_ug = t->last_ug - w;
        return TRACK_NOTHING;
    }
    /* Tared or zeroed by hand, or restarted: the same difference returns, from wherever the zero is now. */
    if (t->fall_ug > tol && llabs(w - t->low_ug - t->fall_ug) <= tol)
        return back(t, w);
    if (w < t->low_ug || llabs(w) <= c->d_ug)
        t->low_ug = w;
    return TRACK_NOTHING;
}

/* Paint is taken out: the weight may fall as far as there is paint; further, and the cup itself is off. */
static enum track_note while_dipping(struct track *t, int64_t w, bool stable, const struct track_context *c)
{
    int64_t tol = same_within(t->base_ug, c->d_ug);
    bool off = w < t->base_ug - c->content_ug - tol;
    if (off && !t->lifted)
        return lift(t);
    if (off || !stable)
        return TRACK_NOTHING;
    bool was = t->lifted;
    t->lifted = t->has_low = false;
    t->last_ug = t->high_ug = w;
    return was ? TRACK_BACK : TRACK_NOTHING;
}

/* tared: the scale says itself that it was tared with this reading. */
static enum track_note on_pan(struct track *t, int64_t w, bool stable, bool tared, const struct track_context *c)
{
    int64_t tol = same_within(t->last_ug, c->d_ug);
    int64_t half_tare = c->tare_ug > 0 ? c->tare_ug / 2 : LIFT_UG;
    int64_t from = t->high_ug > t->last_ug ? t->high_ug : t->last_ug;
    int64_t most = half_tare > tol ? half_tare : tol;
    if (from - w > most) {
        /* What came at once may be taken off, in any number of frames: no lift, where it ends at what stood without it.
         * A fall to 0 is not known from a tare by hand, and asks. */
        bool may_go = c->came && !tared && llabs(c->before_ug) > c->d_ug && c->before_ug - w <= most;
        if (!may_go || (stable && llabs(w - c->before_ug) > tol))
            return lift(t);
    }
    if (!stable) {
        if (w > t->high_ug)
            t->high_ug = w;
        return TRACK_NOTHING;
    }
    /* Less than was counted, and no slow drift: nobody can say where it went. */
    if (w < t->base_ug - tol)
        return lift(t);
    t->last_ug = t->high_ug = w;
    follow_drift(t, w, t->now_ms);
    return TRACK_NOTHING;
}

/* Whether a reading tells another weight than the one that is followed. Net and gross are two weights by their names;
 * a line without a kind is one of them, so it and a line that says its kind are two only where they differ. */
static bool tells_another(const struct track *t, const struct track_reading *r, int64_t d_ug)
{
    if (r->kind == t->keeps)
        return false;
    if (r->kind != TRACK_KIND_UNKNOWN && t->keeps != TRACK_KIND_UNKNOWN)
        return true;
    return llabs(r->weight_ug - t->kept_ug) > same_within(t->kept_ug, d_ug);
}

/* Follows the kind that the counting keeps to; none said is a kind too: a print key's line says NET among lines that
 * say nothing. True: two weights come in turn, and this reading must not be looked at. A step to 0 is a tare or its
 * end: from there the other kind holds. */
static bool kinds_mixed(struct track *t, const struct track_reading *r, int64_t d_ug)
{
    /* Of many scales the still line alone says its kind (plain, stx-etx), so a moving one without it is no other. */
    bool unsaid = r->kind == TRACK_KIND_UNKNOWN && r->stable == 0;
    if (unsaid && (!t->has_kept || t->keeps != TRACK_KIND_UNKNOWN))
        return t->mixed;
    if (!t->has_kept || llabs(r->weight_ug) <= d_ug) {
        t->has_kept = true;
        t->keeps = r->kind;
    }
    bool another = tells_another(t, r, d_ug);
    if (another) {
        t->mixed = true;
        t->mixed_ms = r->at_ms;
        if (!t->active) /* nothing is counted yet: of a tare taken off the new kind holds once it has come alone */
            t->keeps = r->kind;
    } else if (r->at_ms - t->mixed_ms >= MIXED_MS) {
        t->mixed = false;
    }
    if (r->kind == t->keeps)
        t->kept_ug = r->weight_ug;
    return t->mixed;
}

__attribute__((hot)) enum track_note track_add(struct track *t, const struct track_reading *r,
                                               const struct track_context *c)
{
    enum track_kind before = t->kind;
    /* A scale that marks its frames needs no window of ours. */
    bool host = r->stable < 0 && host_stable(t, r, c->d_ug);
    t->has_now = true;
    t->now_ug = r->weight_ug;
    t->now_ms = r->at_ms;
    t->kind = r->kind;
    t->now_stable = r->stable < 0 ? host : r->stable == 1;
    if (kinds_mixed(t, r, c->d_ug)) {
        t->now_stable = false;
        return TRACK_NOTHING;
    }
    if (!t->active) {
        if (r->weight_ug < CUP_UG)
            t->stood = false;
        else if (t->now_stable && !t->stood) {
            t->stood = true;
            t->stood_ug = r->weight_ug;
        }
        return TRACK_NOTHING;
    }
    if (c->dip)
        return while_dipping(t, r->weight_ug, t->now_stable, c);
    /* The scale says itself that it was tared: it went from gross to net at the step to 0. */
    bool tared = before == TRACK_KIND_GROSS && t->kind == TRACK_KIND_NET && llabs(r->weight_ug) <= c->d_ug;
    enum track_note note = TRACK_NOTHING;
    if (!t->lifted)
        note = on_pan(t, r->weight_ug, t->now_stable, tared, c);
    if (!t->lifted || !t->now_stable)
        return note;
    enum track_note then = while_lifted(t, r->weight_ug, tared, c);
    return then == TRACK_BACK && note == TRACK_LIFTED ? TRACK_NOTHING : then == TRACK_BACK ? then : note;
}
