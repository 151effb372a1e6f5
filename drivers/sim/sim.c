/* sim.c - the scale as a whole, moved by the time it is given. It has no clock of its own and no words. */
#include "drivers/sim/sim.h"
#include "drivers/sim/styles.h"
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ACK = 6, BURST = 200 }; /* more frames than this in one go are left out: the program was stopped, not slow */

/* strtod alone would take hex, inf and nan, and blanks in front. */
bool sim_number(const char *text, double *out)
{
    if (!*text || strspn(text, "+-.0123456789eE") != strlen(text))
        return false;
    char *end;
    errno = 0;
    *out = strtod(text, &end);
    return !*end && !errno && isfinite(*out);
}

/* Grams in one of it. International pound of 1959: 0.45359237 kg; an ounce is a 16th, a grain a 7000th of it. */
static const double grams[SIM_UNITS] = {[SIM_LB] = 453.59237, [SIM_OZ] = 28.349523125, [SIM_GR] = 0.06479891};
/* By how many tens the unit moves the point; exact, unlike the factors above. */
static const int thousands[SIM_UNITS] = {[SIM_KG] = -3, [SIM_MG] = 3, [SIM_T] = -6};

/* Steps of d as digits, with zeros where the unit has fewer places than d. */
static uint64_t shifted(int64_t steps, int step, int exponent)
{
    uint64_t digits = (uint64_t)(steps < 0 ? -steps : steps) * (uint64_t)step;
    for (int i = 0; i < exponent; i++)
        digits *= 10;
    return digits;
}

/* Pounds, ounces and grains get the first power of ten that is as fine as d. */
bool sim_weight_of(const struct load_reading *reading, struct load_interval d, enum sim_unit unit,
                   struct sim_weight *out)
{
    static const enum sim_status status[] = {[LOAD_OK] = SIM_OK, [LOAD_OVER] = SIM_OVER, [LOAD_UNDER] = SIM_UNDER};
    *out = (struct sim_weight){.unit = unit,
                               .status = status[reading->status],
                               .stable = reading->stable,
                               .net = reading->net,
                               .step = d.step};
    int exponent = d.exponent + thousands[unit];
    if (grams[unit] > 0) { /* as fine as d or finer */
        double g = load_interval_g(d), factor = grams[unit];
        exponent = (int)floor(log10(g / factor));
        double scale = pow(10, -exponent) / factor;
        out->digits = (uint64_t)llround(fabs((double)reading->steps * g * scale));
        out->tare_digits = (uint64_t)llround(fabs((double)reading->tare_steps * g * scale));
        out->step = 1;
    } else {
        out->digits = shifted(reading->steps, d.step, exponent);
        out->tare_digits = shifted(reading->tare_steps, d.step, exponent);
    }
    out->decimals = exponent < 0 ? -exponent : 0;
    out->negative = reading->steps < 0 && out->digits;
    return unit != SIM_PCS && exponent <= 6;
}

/* The load and the frames begin at the same moment, so the first frame shows an empty pan at rest. */
void sim_init(struct sim *sim, const struct sim_nature *nature, double rate_hz, int64_t now_us)
{
    memset(sim, 0, sizeof *sim);
    sim->nature = *nature;
    sim->rate_hz = rate_hz;
    sim->sends_frames = true;
    sim->load_us = sim->first_us = now_us;
    load_init(&sim->load, &nature->load);
}

/* The pty or port goes now; the load is plain memory, and the caller's. */
void sim_finish(struct sim *sim)
{
    sim_link_close(&sim->link);
}

/* In whole steps: what is left of the time stays for the next call, so the rate of calls changes nothing. */
void sim_advance(struct sim *sim, int64_t now_us)
{
    static const int64_t step_us = (int64_t)LOAD_STEP_MS * 1000;
    for (; now_us - sim->load_us >= step_us; sim->load_us += step_us)
        load_step(&sim->load);
}

/* The frame of this moment; 0 when the family has none for it. */
static size_t frame_now(const struct sim *sim, uint8_t frame[SIM_FRAME_MAX])
{
    struct load_reading reading = load_read(&sim->load);
    struct sim_weight weight;
    sim_weight_of(&reading, sim->nature.load.d, sim->nature.unit, &weight);
    if (sim->says != SIM_OK) {
        weight.status = sim->says;
        weight.negative = sim->says == SIM_UNDER; /* stx18 tells over from under by the sign alone */
    }
    size_t len = sim_write(sim->nature.style, &weight, frame);
    for (size_t i = 0; i < len && sim->nature.parity; i++) {
        bool odd = __builtin_parity(frame[i] & 0x7f);
        frame[i] = (uint8_t)((frame[i] & 0x7f) | (odd == (sim->nature.parity == 1) ? 0x80 : 0));
    }
    return len;
}

/* What a host asked of a scale that only speaks when asked. A stable weight may be asked for now and come later. */
static void answer(struct sim *sim, struct sim_connection *connection, const uint8_t *frame, size_t len)
{
    const char *family = sim->nature.style->family;
    switch (sim_ask_take(family, connection->asked, &connection->asked_len)) {
    case SIM_ASK_NOTHING:
        break;
    case SIM_ASK_NOW:
        sim_connection_send(&sim->link, connection, frame, len);
        break;
    case SIM_ASK_STABLE:
        connection->wants_stable = true;
        break;
    case SIM_ASK_STREAM:
        connection->streams = true;
        break;
    case SIM_ASK_STOP:
        connection->streams = false;
        break;
    case SIM_ASK_HELLO:
        sim_connection_send(&sim->link, connection, &(uint8_t){ACK}, 1);
        break;
    }
    if (connection->wants_stable && load_read(&sim->load).stable) {
        connection->wants_stable = false;
        sim_connection_send(&sim->link, connection, frame, len);
    }
}

/* As they are, between two frames, to whoever listens: noise, a scale of another kind, a cut frame. */
void sim_send_raw(struct sim *sim, const uint8_t *bytes, size_t len, bool wait)
{
    sim_link_send(&sim->link, SIM_TO_ALL, bytes, len, wait);
}

/* Counted from the first frame, not from the one before: a rate of 3 Hz does not drift by rounding. */
int64_t sim_next_us(const struct sim *sim)
{
    return sim->first_us + (int64_t)((double)sim->frames * 1e6 / sim->rate_hz);
}

/* Frames that are long overdue are left out, as after a stop of the process: a scale sends no backlog. */
void sim_tick(struct sim *sim, int64_t now_us)
{
    uint8_t frame[SIM_FRAME_MAX];
    sim_advance(sim, now_us);
    if (sim->dark_until_us && now_us >= sim->dark_until_us) {
        sim->dark_until_us = 0;
        load_power_up(&sim->load);
    }
    /* All frames due in one tick are alike: the load has moved already. */
    size_t len = frame_now(sim, frame);
    bool speaks = sim->sends_frames && !sim->muted && !sim->dark_until_us;
    bool due = false;
    for (int sent = 0; sim_next_us(sim) <= now_us; sim->frames++) {
        due = true;
        if (speaks && len && sent++ < BURST)
            sim_link_send(&sim->link, SIM_TO_STREAMING, frame, len, false);
    }
    if (due)
        sim->frame_is_settled = load_settled(&sim->load);
    for (int i = 0; speaks && sim->link.polled && i < SIM_CONNECTIONS; i++)
        if (sim->link.connection[i].fd >= 0)
            answer(sim, &sim->link.connection[i], frame, len);
}

/* Both: the load may rest while the frame that says so is not out yet. */
bool sim_settled(const struct sim *sim)
{
    return sim->frame_is_settled && load_settled(&sim->load);
}
