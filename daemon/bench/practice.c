/* practice.c - a practice begun, its pan and hand, and its end. It must not know how an act is decided or judged.
 *
 * Twenty readings a second, as a quick scale sends them; a weight that stands for a quarter of a second is stable by
 * the scale's own mark. The hand pours everything in less than a second: what is practised is what to do, not how to
 * tip.
 */
#include "bench/practice_parts.h"

#include "drivers/scale.h"
#include "station/aims.h"
#include "text/number.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { READING_MS = 50, POUR_READINGS = 12, STILL_READINGS = 5, IDLE_MS = 600000 };
#define USUAL_CUP_G 20.0

/* ---- the pan ---- */

/* What the simulated scale shows; nothing while the cup is off. */
static double weight_g(const struct practice *p)
{
    return p->off ? 0 : p->cup_g + p->paint_g;
}

/* Everybody who watches sees what the hand may do now; the revision stays, since it is no act. */
static void show(const struct practice *p)
{
    bench_publish_screen(p->bench);
}

/* One reading further: the paint that is on its way has come a little nearer. */
static void move(struct practice *p)
{
    double before = weight_g(p);
    if (fabs(p->to_g - p->paint_g) <= p->step_g)
        p->paint_g = p->to_g;
    else
        p->paint_g += p->to_g > p->paint_g ? p->step_g : -p->step_g;
    if (!isnan(p->lift_at_g) && p->paint_g >= p->lift_at_g) {
        p->off = true; /* somebody took it */
        p->lift_at_g = NAN;
        p->to_g = p->paint_g;
        show(p);
    }
    p->still = weight_g(p) == before ? p->still + 1 : 0;
}

/* Nobody acts any more: whoever practised has gone, with or without a word. */
static bool left(const struct practice *p)
{
    return (int64_t)uv_now(p->bench->daemon->loop) - p->acted_ms > IDLE_MS;
}

/* One frame of the scale that is not there. A practice that everybody has left ends by itself here. */
static void on_timer(uv_timer_t *timer)
{
    struct practice *p = timer->data;
    struct practice_verdict nobody_reads;
    practice_tell(p);
    if (p->ending)
        return;
    if (left(p)) {
        practice_end(p->bench, &nobody_reads);
        return;
    }
    move(p);
    double d_g = config_station_d_g(&p->config, weight_g(p));
    struct scale_reading r = {.has_weight = true,
                              .weight_ug = (int64_t)llround(number_round(weight_g(p), d_g) * 1e6),
                              .stability = p->still >= STILL_READINGS ? SCALE_STABLE : SCALE_MOVING,
                              .kind = SCALE_KIND_UNKNOWN,
                              .status = SCALE_OK,
                              .at_ms = uv_now(p->bench->daemon->loop)};
    bench_hear(p->bench, &r);
}

/* ---- the hand ---- */

/* The step at which the scenario's mishap comes: the first pour, since who practises may end when it is over. */
static bool mishap_due(const struct practice *p)
{
    return !p->happened && p->bench->batch && p->bench->batch->state == BATCH_POUR &&
           p->bench->batch->now == NOW_STEP && p->bench->batch->open >= 0;
}

/* Another tin of the same formula, which a hand may well take. */
static const char *other_tin(const struct batch *b)
{
    int open = b->recipe.step[b->open].part;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.step[s].part != open && b->recipe.part[b->recipe.step[s].part].role == PART_COLOUR)
            return b->recipe.part[b->recipe.step[s].part].toner;
    return b->recipe.part[open].toner;
}

/* What pours when nobody says how much: what is to go, with the mishap where it is due. Grams, and what is told. */
static double usual_pour(struct practice *p, struct said *said)
{
    const struct batch *b = p->bench->batch;
    double to_go = b && b->asked.open && !isnan(b->asked.aim_g)
                       ? b->asked.aim_g - b->asked.counted_g - (double)track_pour_ug(&p->bench->track) / 1e6
                       : 5;
    if (!mishap_due(p))
        return fmax(0, to_go);
    const char *toner = b->recipe.part[b->recipe.step[b->open].part].toner;
    p->happened = true;
    switch (p->scenario) {
    case PRACTICE_OVERPOUR:
        *said = say("practice_over toner=%s", toner);
        return to_go * 1.12 + 4 * p->config.d_g;
    case PRACTICE_LIFTED:
        *said = say("practice_lifted");
        p->lift_at_g = p->paint_g + to_go * 0.6;
        return to_go;
    case PRACTICE_EMPTY_TIN:
        *said = say("practice_empty toner=%s", toner);
        return to_go * 0.6;
    default:
        utf8_copy(p->wrong, sizeof p->wrong, other_tin(b));
        *said = say("practice_wrong toner=%s instead=%s", p->wrong, toner);
        return to_go * 0.3;
    }
}

/* In a few readings, as a hand does: paint that came at once would be taken for a jump. */
static void pour(struct practice *p, double grams)
{
    p->to_g = p->paint_g + grams;
    p->step_g = fabs(grams) / POUR_READINGS;
}

bool practice_hand(struct bench *b, enum practice_act act, double grams, struct said *said, struct fault *fault)
{
    struct practice *p = b->practice;
    *said = (struct said){.used = 0};
    p->acted_ms = (int64_t)uv_now(b->daemon->loop);
    if (act == HAND_REMOVE && isnan(grams))
        grams = practice_removal_g(p);
    if (act == HAND_REMOVE && isnan(grams))
        return fault_said(fault, FAULT_INVALID, "grams", "missing", "member_missing field=%s", "grams");
    if (p->off && (act == HAND_POUR || act == HAND_REMOVE))
        return fault_said(fault, FAULT_STATE, NULL, "lifted", "practice_no_cup");
    if (act == HAND_PUT && !(p->cup_g > 0))
        return fault_said(fault, FAULT_STATE, NULL, "no_cup", "practice_no_cup");
    p->paint_g = p->to_g; /* what was on its way has come */
    p->still = 0;
    if (act == HAND_CUP) {
        p->cup_g = isnan(grams) ? USUAL_CUP_G : grams;
        p->paint_g = p->to_g = 0;
        p->off = false;
    } else if (act == HAND_POUR) {
        pour(p, isnan(grams) ? usual_pour(p, said) : grams);
    } else if (act == HAND_REMOVE) {
        pour(p, -fmin(grams, p->paint_g));
    } else {
        p->off = act == HAND_LIFT;
    }
    show(p);
    return true;
}

/* ---- begin and end ---- */

/* NULL: the first free one. PRACTICES_MAX: none. */
static size_t slot_of(const struct daemon *d, const struct bench *b)
{
    size_t i = 0;
    while (i < PRACTICES_MAX && d->practice[i] != b)
        i++;
    return i;
}

/* That scale as it is set, by itself accepting as well, but with nothing that would write, ask for a real scale or for
 * a second person: who practises is alone. */
static void config_of(const struct daemon *d, size_t slot, const struct config_station *as, struct config_station *c)
{
    *c = as ? *as : d->config.station_count ? d->config.station[0] : config_station_defaults;
    if (isnan(c->tolerance_g))
        c->tolerance_g = c->d_g;
    snprintf(c->name, sizeof c->name, "learn-%zu", slot + 1);
    snprintf(c->port, sizeof c->port, "practice");
    snprintf(c->profile, sizeof c->profile, "practice");
    c->check_days = 100000;
    c->glance_hardener = false;
}

struct bench *practice_begin(struct daemon *d, enum practice_scenario scenario, const char *painter,
                             const struct config_station *as, struct fault *fault)
{
    size_t slot = slot_of(d, NULL);
    struct practice *p = slot < PRACTICES_MAX ? calloc(1, sizeof *p) : NULL;
    if (slot == PRACTICES_MAX)
        fault_said(fault, FAULT_STATE, NULL, "busy", "practice_many most=%d", PRACTICES_MAX);
    if (slot < PRACTICES_MAX && !p)
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    if (!p)
        return NULL;
    config_of(d, slot, as, &p->config);
    p->bench = bench_create(d, &p->config, fault);
    if (!p->bench) {
        free(p);
        return NULL;
    }
    p->bench->practice = p;
    p->scenario = scenario;
    p->lift_at_g = NAN;
    p->off = true;
    p->acted_ms = (int64_t)uv_now(d->loop);
    snprintf(p->bench->signed_in, sizeof p->bench->signed_in, "%s", painter);
    d->practice[slot] = p->bench;
    snprintf(d->practice_name[slot], sizeof d->practice_name[slot], "%s", p->config.name);
    uv_timer_init(d->loop, &p->timer);
    p->timer.data = p;
    uv_timer_start(&p->timer, on_timer, 1, READING_MS);
    return p->bench;
}

/* The memory goes with the last callback of its timer, as everywhere with libuv. */
static void timer_closed(uv_handle_t *handle)
{
    struct practice *p = handle->data;
    for (size_t i = 0; i < p->ends; i++) {
        batch_finish(p->ended[i]);
        free(p->ended[i]);
    }
    for (size_t i = 0; i < PRACTICE_ANSWERS; i++)
        json_decref(p->answers[i].answer);
    free(p);
}

/* The bench's last handle is back: nothing points to the practice any more. */
static void bench_gone(void *arg)
{
    struct practice *p = arg;
    uv_close((uv_handle_t *)&p->timer, timer_closed);
}

/* The last screen goes out before the bench does: whoever watches must not wait for weights that never come, nor be
 * told of the next practice of that name. */
void practice_end(struct bench *b, struct practice_verdict *verdict)
{
    struct practice *p = b->practice;
    struct daemon *d = b->daemon;
    size_t slot = slot_of(d, b);
    practice_tell(p);
    practice_judge(p, verdict);
    p->ending = true;
    b->revision++; /* a screen of the same revision may be left out for a client that is slow */
    show(p);
    hub_drop(&d->hub, p->config.name);
    if (slot < PRACTICES_MAX)
        d->practice[slot] = NULL;
    bench_close(b, bench_gone, p);
    practice_tell(p);
}

void practice_end_all(struct daemon *d)
{
    struct practice_verdict nobody_reads;
    for (size_t i = 0; i < PRACTICES_MAX; i++)
        if (d->practice[i])
            practice_end(d->practice[i], &nobody_reads);
}
