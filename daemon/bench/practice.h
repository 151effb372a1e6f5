/* practice.h - a bench to practise at: a simulated scale and hand, a real station behind them, and nothing written.
 *
 * A practice is a bench of its own whose name begins with `learn-` and whose batches bear `L` before their number. Its
 * acts are decided, folded and shown as any bench's; where another writes, it only answers. It ends by practice_end,
 * ten minutes after its last act, or with the daemon. Owner   struct daemon, through the bench. Thread: the loop's.
 */
#pragma once

#include "daemon.h"
#include "station/batch.h"

enum practice_scenario {
    PRACTICE_OVERPOUR,
    PRACTICE_LIFTED,
    PRACTICE_EMPTY_TIN,
    PRACTICE_WRONG_TIN,
    PRACTICE_SCENARIOS
};
extern const char *const practice_scenarios[]; /* by that; ends with NULL */
enum practice_act { HAND_CUP, HAND_POUR, HAND_LIFT, HAND_PUT, HAND_REMOVE, HAND_ACTS };
extern const char *const practice_acts[];

/* Begins one for this painter, with the scale and the settings of that station; NULL: of the shop's first. NULL: *fault
 * (too many of them, or no memory). */
struct bench *practice_begin(struct daemon *d, enum practice_scenario scenario, const char *painter,
                             const struct config_station *as, struct fault *fault);
/* What the hand does; grams NaN: a usual cup, or what the open step asks, with the scenario's mishap at its moment; to
 * be taken out: what a dip asks. *said tells of the mishap, nothing else. False: *fault. */
bool practice_hand(struct bench *b, enum practice_act act, double grams, struct said *said, struct fault *fault);
/* What was done well, and what to do next time; the bench is then gone. */
enum { PRACTICE_SAIDS = 8 };
struct practice_verdict {
    struct said well[PRACTICE_SAIDS], next_time[PRACTICE_SAIDS];
    size_t wells, next_times;
};
void practice_end(struct bench *b, struct practice_verdict *verdict);
/* The member `practice` of a bench's screen; null of a bench that is none. */
json_t *practice_view(const struct bench *b);
/* A batch of a practice that is still there, by its number in whatever case, and its bench; NULL: there is none. */
const struct batch *practice_batch(const struct daemon *d, const char *id, const struct bench **at);
/* With the daemon. */
void practice_end_all(struct daemon *d);
