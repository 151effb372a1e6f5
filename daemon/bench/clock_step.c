/* clock_step.c - somebody sets the clock of this computer: journalled once for the shop, and of each batch that is
 * open. It must not know how the clocks are read (clock.h).
 *
 * The look comes before each act and once a second (of a shop at rest once a minute), so a step stands in the journal
 * before whatever is told by the new time. Who reads a record then knows between which of its lines the times do not
 * count.
 */
#include "bench/bench_parts.h"

#include "clock.h"
#include "log.h"
#include "text/json_write.h"
#include "text/version.h"

#include <stdlib.h>
#include <string.h>

/* Nothing is undone where it cannot be written: the batches noted it by themselves, and the log has it. */
static void shop_written(void *arg, const struct store_outcome *o)
{
    (void)arg;
    if (o->result != STORE_DONE)
        log_warnx("that the clock was set could not be journalled: %s", o->why ? o->why : "disk");
}

/* One event of no batch: also where nobody mixes just then. */
static void write_shop(struct daemon *d, int64_t wall_ms, int64_t step_ms)
{
    char before[CLOCK_TEXT], after[CLOCK_TEXT];
    clock_text(wall_ms - step_ms, before);
    clock_text(wall_ms, after);
    json_t *body =
        json_pack("{s:i, s:I, s:s, s:s}", "v", 1, "step_ms", (json_int_t)step_ms, "before", before, "after", after);
    char *text = json_write(body, JSON_COMPACT);
    struct store_event e = {.kind = "clock.set",
                            .revision = -1,
                            .time = after,
                            .mono_ns = clock_mono_ns(),
                            .boot = d->boot,
                            .client = "poised",
                            .version = POISE_VERSION,
                            .body = text};
    json_decref(body);
    store_submit(d->store, &(struct store_write){.events = &e, .event_count = 1}, shop_written, NULL);
    free(text);
}

/* The first look is against the journal: the clock may have been set while nobody looked. */
static void begin(struct daemon *d)
{
    struct store_moment last;
    bool known = store_last_moment(d->store, &last) == STORE_FOUND;
    clock_watch_begin(&d->clock, known ? clock_parse(last.time) : -1, last.mono_ns,
                      known && strcmp(last.boot, d->boot) == 0);
    if (d->clock.wrong)
        log_warnx("the clock of this computer is wrong: batches begun from now on are marked");
}

/* Before each act and once a second: a batch must not get a time of the new clock before it knows of the step. */
void bench_look_at_clock(struct daemon *d)
{
    if (!d->clock.begun)
        begin(d);
    int64_t wall_ms = clock_wall_ms(), step_ms = clock_watch_look(&d->clock, wall_ms, clock_mono_ns());
    if (step_ms == 0)
        return;
    log_warnx("the clock of this computer was set by %+.3f s", (double)step_ms / 1000);
    write_shop(d, wall_ms, step_ms);
    for (size_t i = 0; i < d->config.station_count; i++) {
        struct bench *b = d->bench[i];
        if (!b || !b->batch)
            continue;
        b->clock_due = true; /* noted with its next turn, or within a second */
        b->clock_due_ms += step_ms;
    }
}
