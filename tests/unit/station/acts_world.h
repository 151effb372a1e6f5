/* acts_world.h - hand, cup and scale of the random walk, and the invariants that hold after each act. */
#pragma once

#include "tests/unit/station/bench_top.h"

#include <stdio.h>

enum { CUPS = 4 };
enum { TONERS = 12, STRANGERS = 2, ADDITIONS = 2, PARTS = TONERS + STRANGERS + ADDITIONS, ACTS = 60 };

/* A cup of the shelf: what it really holds, and what its row tells. */
struct cup_on_shelf {
    double in_g[PARTS], row_g;
    bool strange, activated; /* it must never be offered */
};

struct world {
    struct bench_top t;
    double d_g, tare_g;
    double in_g[PARTS]; /* what the cup really holds, by part */
    double zero_g;      /* what the scale was set to 0 at by hand */
    /* what the painter settled */
    double settled_g[PARTS]; /* counted when a remedy or a growth was agreed to; -1: not */
    double agreed_g;
    int pending;  /* part that was poured and is uncounted after an undo of a wrong tin, -1 */
    char name[2]; /* that tin */
    double slack_g;
    /* the tin that stands at the scale: lot by number, 0: none was scanned; and what stood there before each accept */
    int tin_part, tin_lot, tins;
    struct {
        int part, lot;
    } tin_before[ACTS * 4];
    size_t accepts;
    unsigned long long seed;
    char trace[ACTS * 64];
    size_t traced;
    size_t undo_depth;
    struct cup_on_shelf shelf[CUPS];
    size_t cups, rescues;
    int premix, brought; /* the tin that is a premix, and the toner that only it brings; -1: none is */
};

static inline unsigned long long next_random(struct world *w)
{
    w->seed ^= w->seed << 13;
    w->seed ^= w->seed >> 7;
    w->seed ^= w->seed << 17;
    return w->seed;
}

static inline double chance(struct world *w)
{
    return (double)(next_random(w) >> 11) / 9007199254740992.0;
}

static inline size_t below(struct world *w, size_t n)
{
    return (size_t)(next_random(w) % n);
}

static inline void note(struct world *w, const char *what, double g)
{
    int n = snprintf(w->trace + w->traced, sizeof w->trace - w->traced, " %s %.3f;", what, g);
    if (n > 0 && w->traced + (size_t)n < sizeof w->trace)
        w->traced += (size_t)n;
}

#define FAIL(w, ...)                                                                                                   \
    do {                                                                                                               \
        char why_[256];                                                                                                \
        snprintf(why_, sizeof why_, __VA_ARGS__);                                                                      \
        fail_msg("%s\nd %.2f, wanted %.3f, acts:%s", why_, (w)->d_g, (w)->t.batch.wanted_g, (w)->trace);               \
    } while (0)

/* ---- names: A to L of the formula, X and Y strangers, r and h on top ---- */
static inline void name_of(int part, char out[2])
{
    out[0] = part < TONERS                ? (char)('A' + part)
             : part < TONERS + STRANGERS  ? (char)('X' + part - TONERS)
             : part == TONERS + STRANGERS ? 'r'
                                          : 'h';
    out[1] = '\0';
}

static inline int part_of(const char *toner)
{
    return toner[0] == 'r'                      ? TONERS + STRANGERS
           : toner[0] == 'h'                    ? TONERS + STRANGERS + 1
           : toner[0] >= 'X' && toner[0] <= 'Z' ? TONERS + toner[0] - 'X'
                                                : toner[0] - 'A';
}

static inline double cup_g(const struct world *w)
{
    double sum = 0;
    for (int p = 0; p < PARTS; p++)
        sum += w->in_g[p];
    return sum;
}

/* ---- the scale ---- */
static inline double display(const struct world *w, double on_pan_g)
{
    return round((on_pan_g - w->zero_g) / w->d_g) * w->d_g;
}

static inline void settle(struct world *w, double on_pan_g)
{
    for (int i = 0; i < 3; i++)
        bench_reads(&w->t, display(w, on_pan_g), i > 0, 300);
}

static inline void show(struct world *w)
{
    settle(w, w->tare_g + cup_g(w));
}

/* Paint runs into the cup: a few readings on the way, unsteady, then it stands. */
static inline void pour(struct world *w, int part, double g)
{
    char name[2];
    name_of(part, name);
    note(w, name, g);
    for (int i = 1; i < 4; i++)
        bench_reads(&w->t, display(w, w->tare_g + cup_g(w) + g * i / 4), 0, 300);
    w->in_g[part] += g;
    show(w);
}

/* ---- the model's view of the station ---- */
static inline double counted(const struct world *w, int part)
{
    char name[2];
    name_of(part, name);
    int at = recipe_find(&w->t.batch.recipe, name);
    return at < 0 ? 0 : batch_part_g(&w->t.batch, at);
}

static inline int open_part(const struct world *w)
{
    const struct batch *b = &w->t.batch;
    if (b->now == NOW_TINT)
        return part_of(b->tint.toner);
    if (b->now == NOW_CUP)
        return -1;
    return b->open < 0 ? -1 : part_of(b->recipe.part[b->recipe.step[b->open].part].toner);
}

/* The tin that the hand holds, followed by itself: an accept of what is in it takes its lot, an undo gives it back. */
static inline void follow_tin(struct world *w, int open)
{
    const struct event *e = &w->t.last;
    char lot[16] = "";
    if (e->kind == EVENT_TIN) {
        w->tin_part = open;
        w->tin_lot = w->tins;
    } else if (e->kind == EVENT_UNDONE) {
        w->accepts--;
        w->tin_part = w->tin_before[w->accepts].part;
        w->tin_lot = w->tin_before[w->accepts].lot;
    } else if (e->kind == EVENT_CUP || e->kind == EVENT_ACCEPTED) {
        w->tin_before[w->accepts].part = w->tin_part;
        w->tin_before[w->accepts++].lot = w->tin_lot;
    }
    if (e->kind != EVENT_ACCEPTED)
        return;
    int part = e->toner[0] ? part_of(e->toner) : open;
    bool of_tin = w->tin_lot > 0 && part == w->tin_part;
    if (of_tin && e->counted_g > w->d_g / 2)
        snprintf(lot, sizeof lot, "L%d", w->tin_lot);
    if (strcmp(e->lot, lot) != 0)
        FAIL(w, "lot '%s' was counted, '%s' stands at the scale", e->lot, lot);
    if (of_tin)
        w->tin_lot = 0;
}

static inline bool try_it(struct world *w, struct command *c)
{
    int open = open_part(w);
    enum decision d = bench_try(&w->t, c);
    if (d == NOT_YET)
        FAIL(w, "a still weight is not yet steady");
    if (d == DECIDED)
        follow_tin(w, open);
    return d == DECIDED;
}

static inline void check_tin(struct world *w)
{
    const struct batch *b = &w->t.batch;
    char lot[16] = "";
    if (w->tin_lot > 0)
        snprintf(lot, sizeof lot, "L%d", w->tin_lot);
    if (strcmp(b->tin.lot, lot) != 0 || (lot[0] && part_of(b->tin.toner) != w->tin_part))
        FAIL(w, "tin %s of '%s' is kept, '%s' of part %d stands there", b->tin.lot, b->tin.toner, lot, w->tin_part);
}

/* Of a gram of the cup that is poured in. */
static inline double open_cup_share(const struct batch *b, int part)
{
    const struct event_rescue_cup *cup = &b->rescue.cup[b->open_cup + b->rescue.cups - b->cups];
    double share = 0;
    for (size_t p = 0; p < b->recipe.parts && p < cup->parts; p++)
        share += part_of(b->recipe.part[p].toner) == part ? cup->share[p] : 0;
    return share;
}

static inline void check_counts(struct world *w)
{
    const struct batch *b = &w->t.batch;
    double open = b->state == BATCH_POUR && w->t.track.active && b->now != NOW_TAKE_OUT
                      ? (double)track_pour_ug(&w->t.track) / 1e6
                      : 0;
    double all = batch_content_g(b) + open;
    if (b->state != BATCH_POUR || b->now != NOW_TAKE_OUT)
        if (fabs(all - cup_g(w)) > w->slack_g)
            FAIL(w, "the cup holds %.3f g, %.3f are counted and %.3f open", cup_g(w), batch_content_g(b), open);
    for (int p = 0; p < PARTS; p++) {
        bool may_be_open = b->state == BATCH_POUR && p == (w->pending >= 0 ? w->pending : open_part(w));
        double mine = counted(w, p) + (may_be_open ? open : 0);
        if (b->state == BATCH_POUR && b->now == NOW_CUP)
            mine += open * open_cup_share(b, p);
        if (b->now != NOW_TAKE_OUT && fabs(mine - w->in_g[p]) > w->slack_g) {
            char name[2];
            name_of(p, name);
            FAIL(w, "of %s the cup holds %.3f g, %.3f are counted (%.3f open)", name, w->in_g[p], counted(w, p),
                 may_be_open ? open : 0.0);
        }
    }
}

static inline void check_asks_once(struct world *w)
{
    const struct batch *b = &w->t.batch;
    if (b->state != BATCH_OVER)
        return;
    int part = part_of(b->recipe.part[b->recipe.step[b->over].part].toner);
    if (w->settled_g[part] >= 0 && counted(w, part) <= w->settled_g[part] + w->d_g / 2)
        FAIL(w, "part %d asks again at %.3f g, settled at %.3f g", part, counted(w, part), w->settled_g[part]);
}

/* The journal's way: each remembered event to its body and back, folded anew. */
static inline void restart(struct world *w)
{
    const struct batch *b = &w->t.batch;
    struct batch again;
    batch_init(&again);
    for (size_t i = 0; i < b->events; i++) {
        struct event e;
        json_t *body = event_body(b->history[i]);
        event_init(&e, b->history[i]->kind);
        assert_true(event_read(&e, event_names[b->history[i]->kind], body));
        snprintf(e.station, sizeof e.station, "%s", b->history[i]->station);
        e.wall_ms = b->history[i]->wall_ms;
        json_decref(body);
        if (!batch_fold(&again, NULL, &e))
            FAIL(w, "event %zu does not fold again", i);
        event_finish(&e);
    }
    if (again.state != b->state || again.open != b->open || again.now != b->now || again.over != b->over)
        FAIL(w, "after a restart state %d open %d, before %d and %d", again.state, again.open, b->state, b->open);
    if (again.rescue.cups != b->rescue.cups || again.cups != b->cups || again.rescuing != b->rescuing)
        FAIL(w, "after a restart %zu cups are offered, before %zu", again.rescue.cups, b->rescue.cups);
    if (fabs(batch_k_aim(&again) - batch_k_aim(b)) > 1e-6 || fabs(again.wanted_g - b->wanted_g) > 1e-6)
        FAIL(w, "after a restart the total is %.6f, before %.6f", batch_k_aim(&again), batch_k_aim(b));
    if (memcmp(&again.tin, &b->tin, sizeof b->tin) != 0)
        FAIL(w, "after a restart the tin is %s %s, before %s %s", again.tin.toner, again.tin.lot, b->tin.toner,
             b->tin.lot);
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (fabs(again.step_g[s] - b->step_g[s]) > 1e-9)
            FAIL(w, "after a restart step %zu holds %.6f, before %.6f", s, again.step_g[s], b->step_g[s]);
    batch_finish(&again);
    note(w, "restart", 0);
}

/* Off and back on as it was. */
static inline void act_lift(struct world *w)
{
    int64_t before = track_pour_ug(&w->t.track);
    settle(w, 0);
    note(w, "lift", 0);
    show(w);
    if (w->t.track.lifted || llabs(track_pour_ug(&w->t.track) - before) > llround(w->d_g * 2e6))
        FAIL(w, "the cup is back as it went, and the pour went from %.3f to %.3f g", (double)before / 1e6,
             (double)track_pour_ug(&w->t.track) / 1e6);
}

static inline void check_all(struct world *w)
{
    check_counts(w);
    check_asks_once(w);
    check_tin(w);
    if (chance(w) < 0.1)
        restart(w);
}
