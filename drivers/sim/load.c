/* load.c - a pan, a cup, a hand that pours, and the electronics of a scale. It knows no frames and no wire. */
#include "drivers/sim/load.h"
#include <math.h>
#include <string.h>

/* A hand needs this long to reach full flow, and slows down when what is left would last EASE_S at that rate;
 * the stream never thins below TRICKLE of its full flow (common practice, no source). */
static const double RAMP_MS = 300, EASE_S = 0.25, TRICKLE = 0.06;
static const double STEP_S = LOAD_STEP_MS / 1000.0;
static const int NOISE_MS = 50; /* a new draw of the noise: a converter of 20 readings a second */

/* By a power of ten: kept as two ints, so that d is exact and never drifts. */
double load_interval_g(struct load_interval d)
{
    return d.step * pow(10, d.exponent);
}

/* Within a billionth: 0.01 as typed is no exact double. */
bool load_interval_of(double g, struct load_interval *out)
{
    static const int steps[] = {1, 2, 5};
    for (int exponent = -6; exponent <= 2; exponent++)
        for (int i = 0; i < 3; i++) {
            struct load_interval d = {steps[i], exponent};
            if (fabs(g - load_interval_g(d)) <= 1e-9 * g) {
                *out = d;
                return true;
            }
        }
    return false;
}

/* splitmix64: small, and good enough for noise. Constants from its public-domain description, from memory. */
static double uniform(struct load *load)
{
    uint64_t z = load->random += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    z ^= z >> 31;
    return ((double)(z >> 11) + 0.5) / 9007199254740992.0; /* 2^53: never 0, never 1 */
}

/* Box and Muller, Ann. Math. Stat. 29 (1958) 610. */
static double normal(struct load *load)
{
    double radius = sqrt(-2 * log(uniform(load)));
    return radius * cos(2 * acos(-1) * uniform(load));
}

/* At rest for a second already, so that the first frame is stable. */
void load_init(struct load *load, const struct load_settings *set)
{
    memset(load, 0, sizeof *load);
    load->set = *set;
    load->random = set->seed;
    load->band_ms = set->settle_ms + 1000; /* it has stood there for a while */
}

/* The truth, grams, with the cup in the hand not counted. What the scale shows of it lags behind and trembles. */
double load_on_pan_g(const struct load *load)
{
    return load->lifted ? 0 : load->cup_g + load->content_g;
}

/* Grams that have left the tin and not landed: what a hand cannot take back once it sees the weight it wants. */
double load_in_air_g(const struct load *load)
{
    double sum = 0;
    for (int i = 0; i < LOAD_FALL_STEPS; i++)
        sum += load->air_g[i];
    return sum;
}

/* Ramp at the beginning, ease at the end, the smaller of the two; g/s. */
static double flow_now(const struct load_pour *pour)
{
    double ramp = fmin(1, (pour->age_ms + LOAD_STEP_MS) / RAMP_MS);
    double ease = fmax(pour->left_g / EASE_S, TRICKLE * pour->flow_g_per_s);
    return fmin(pour->flow_g_per_s * ramp, ease);
}

/* One step of the stream: out of the tin at one end of the ring, into the cup at the other. */
static void pour_step(struct load *load)
{
    struct load_pour *pour = &load->pour;
    if (!pour->open)
        return;
    double lands = load->air_g[load->air_at];
    double leaves = fmin(pour->left_g, flow_now(pour) * STEP_S);
    pour->left_g -= leaves;
    load->air_g[load->air_at] = leaves;
    load->air_at = (load->air_at + 1) % LOAD_FALL_STEPS;
    load->content_g += lands;
    pour->landed_g += lands;
    pour->age_ms += LOAD_STEP_MS;
    if (pour->left_g <= 0 && load_in_air_g(load) <= 0)
        pour->open = false;
}

/* The reading that the display rounds: with noise, above the zero. */
static double above_zero_g(const struct load *load)
{
    return load->filtered_g + load->noise_g - load->zero_g;
}

/* The mark: all readings within one d for two fifths of the settling time (the filter takes the rest). */
static void band_step(struct load *load)
{
    double now = above_zero_g(load);
    load->band_low_g = fmin(load->band_low_g, now);
    load->band_high_g = fmax(load->band_high_g, now);
    if (load->band_high_g - load->band_low_g >= load_interval_g(load->set.d)) {
        load->band_low_g = load->band_high_g = now;
        load->band_ms = 0;
    } else if (load->band_ms < 1000000) {
        load->band_ms += LOAD_STEP_MS;
    }
}

/* Never below 50 ms: even the quickest scale looks twice. */
static int band_wanted_ms(const struct load *load)
{
    int ms = load->set.settle_ms * 2 / 5;
    return ms < 50 ? 50 : ms;
}

/* With this time constant a step of 6,000 d is within one d after three fifths of the settling time. */
static double time_constant_ms(const struct load *load)
{
    return load->set.settle_ms / 14.5;
}

/* In the order of the real thing: paint moves, the cell lags, the filter smooths, noise is added, the mark is judged.
 */
void load_step(struct load *load)
{
    pour_step(load);
    load->drift_g += load->set.drift_g_per_min * STEP_S / 60;
    load->past_g[load->past_at] = load_on_pan_g(load);
    int back = load->set.lag_ms / LOAD_STEP_MS;
    double seen = load->past_g[(load->past_at + LOAD_LAG_STEPS - back) % LOAD_LAG_STEPS] + load->drift_g;
    load->past_at = (load->past_at + 1) % LOAD_LAG_STEPS;
    double constant = time_constant_ms(load);
    double keep = constant > 0 ? exp(-LOAD_STEP_MS / constant) : 0;
    load->filtered_g = seen + (load->filtered_g - seen) * keep;
    load->noise_age_ms += LOAD_STEP_MS;
    if (load->set.noise_g > 0 && load->noise_age_ms >= NOISE_MS) {
        load->noise_g = load->set.noise_g * normal(load);
        load->noise_age_ms = 0;
    }
    band_step(load);
}

/* Over is 9 d above the capacity, as is usual for weighing instruments (OIML R 76-1, from memory);
 * under is so far below that no cup explains it. */
struct load_reading load_read(const struct load *load)
{
    double d = load_interval_g(load->set.d), above = above_zero_g(load);
    struct load_reading reading = {
        .steps = llround((above - load->tare_g) / d),
        .tare_steps = llround(load->tare_g / d),
        .stable = load->band_ms >= band_wanted_ms(load),
    };
    reading.net = reading.tare_steps != 0;
    if (above > load->set.capacity_g + 9.5 * d)
        reading.status = LOAD_OVER;
    else if (above < -load->set.capacity_g)
        reading.status = LOAD_UNDER;
    return reading;
}

/* Arrived as well as stable: a slow drift is shown as stable while the filter is still on its way. */
bool load_settled(const struct load *load)
{
    double off = load->filtered_g - load_on_pan_g(load) - load->drift_g;
    bool arrived = fabs(off) < load_interval_g(load->set.d) / 4 + fabs(load->set.drift_g_per_min) / 60;
    return !load->pour.open && arrived && load_read(load).stable;
}

/* Whatever stood there is gone with its content, and so is what the hand held; the zero and the tare stay. */
const char *load_cup(struct load *load, double g)
{
    if (load->pour.open)
        return "sim_pouring";
    load->cup_g = g;
    load->content_g = 0;
    load->lifted = false;
    return NULL;
}

const char *load_off(struct load *load)
{
    return load_cup(load, 0);
}

/* The content stays in the cup; what is in the air still lands in it, as a painter follows with the tin. */
const char *load_lift(struct load *load)
{
    if (load->lifted)
        return "sim_in_hand";
    if (load->cup_g + load->content_g <= 0)
        return "sim_pan_empty";
    load->lifted = true;
    return NULL;
}

/* At once: the shock of a cup put down is left to the filter, as is that of one taken off. */
const char *load_put(struct load *load)
{
    if (!load->lifted)
        return "sim_hand_empty";
    load->lifted = false;
    return NULL;
}

/* One hand, one pour. The grams are what leaves the tin in all; what is in the air at `stop` lands and counts. */
const char *load_pour(struct load *load, double g, double flow)
{
    if (load->pour.open)
        return "sim_pouring";
    load->pour = (struct load_pour){.open = true, .left_g = g, .flow_g_per_s = flow};
    return NULL;
}

/* What is in the air lands all the same: that is the painter's overpour. */
const char *load_stop(struct load *load)
{
    if (!load->pour.open)
        return "sim_no_pour";
    load->pour.left_g = 0;
    return NULL;
}

/* It may be done in mid-pour: a stick is laid on the rim, a check weight is put beside the cup. */
const char *load_add(struct load *load, double g)
{
    load->content_g += g;
    return NULL;
}

/* A hair of rounding is forgiven, so that all of it can be taken out. */
const char *load_remove(struct load *load, double g)
{
    if (g > load->content_g + 1e-9)
        return "sim_cup_holds_less";
    load->content_g = fmax(0, load->content_g - g);
    return NULL;
}

/* The key takes the reading of the filter, not the truth: a tare too soon is a wrong one, as in life. */
void load_tare(struct load *load)
{
    load->tare_g = load->filtered_g - load->zero_g;
}

/* The zero moves and the tare goes, as at the key of a real scale. */
void load_zero(struct load *load)
{
    load->zero_g = load->filtered_g;
    load->tare_g = 0;
    load->band_low_g = load->band_high_g = above_zero_g(load);
}

/* Whatever stands on the pan becomes zero; real scales refuse more than a part of their capacity, this one not. */
void load_power_up(struct load *load)
{
    double now = load_on_pan_g(load);
    for (int i = 0; i < LOAD_LAG_STEPS; i++)
        load->past_g[i] = now;
    load->filtered_g = now + load->drift_g;
    load->band_ms = 0;
    load_zero(load);
}
