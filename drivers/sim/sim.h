/* sim.h - the simulated scale as a whole: the load on it, the frames it writes, the wire they go out on.
 *
 * Start at sim_tick(). hand.h tells it what to do; main.c gives it the time.
 * Time    Microseconds of one monotonic clock, given by the caller. The load moves in steps of LOAD_STEP_MS and is
 *         brought up to the time at hand before it is looked at.
 * Owner   The caller owns struct sim (it is large: not on a small stack); sim_finish() closes the link.
 */
#pragma once
#include "drivers/sim/arguments.h"
#include "drivers/sim/link.h"
#include "drivers/sim/load.h"
#include "drivers/sim/styles.h"

struct sim {
    struct sim_nature nature;
    double rate_hz;
    struct load load;
    struct sim_link link;
    bool muted;            /* the word mute: frames stop, the load goes on */
    bool sends_frames;     /* false in a replay */
    int64_t dark_until_us; /* the power is off until then, comes back with its zero taken anew; 0: it is on */
    enum sim_status says;  /* a status forced by the word `says`; SIM_OK: the load's own */
    int64_t load_us;       /* the load stands as of then */
    int64_t first_us;      /* frame number 0 was due then */
    int64_t frames;        /* due so far */
    bool frame_is_settled; /* what went out last was the settled weight, marked stable (or nothing could go out) */
};

/* A finite decimal number and nothing else. */
bool sim_number(const char *text, double *out);

/* A reading as the digits of a unit. False for a unit that is no weight. */
bool sim_weight_of(const struct load_reading *reading, struct load_interval d, enum sim_unit unit,
                   struct sim_weight *out);

/* Everything but the link, which the caller has opened or opens. */
void sim_init(struct sim *sim, const struct sim_nature *nature, double rate_hz, int64_t now_us);
/* Ends every connection and takes the symlink away. */
void sim_finish(struct sim *sim);

/* Brings the load up to now. */
void sim_advance(struct sim *sim, int64_t now_us);

/* Sends the frames that are due (those long overdue are left out), and answers what was asked. */
void sim_tick(struct sim *sim, int64_t now_us);

/* When the next frame is due. */
int64_t sim_next_us(const struct sim *sim);

/* Bytes as they are, to everyone who listens. wait as in sim_link_send. */
void sim_send_raw(struct sim *sim, const uint8_t *bytes, size_t len, bool wait);

/* True when the load is at rest and the last frame said so. */
bool sim_settled(const struct sim *sim);
