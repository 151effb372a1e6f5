/* clock.c - the clocks of the machine. How a time is written stands in text/timestamp.h. */
#include "clock.h"

#include "text/timestamp.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* May jump, both ways, when somebody sets the clock: for what a person reads, never for how long something took. */
int64_t clock_wall_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* CLOCK_BOOTTIME counts while the machine sleeps, so that a pot life runs on; it begins anew with each start. */
int64_t clock_mono_ns(void)
{
    struct timespec t;
    clock_gettime(CLOCK_BOOTTIME, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

void clock_text(int64_t wall_ms, char out[CLOCK_TEXT])
{
    timestamp_text(wall_ms, out);
}

int64_t clock_parse(const char *text)
{
    return timestamp_parse(text);
}

/* Two mono_ns may be compared only where their boot ids are the same. */
void clock_boot_id(char out[40])
{
    snprintf(out, 40, "unknown");
    FILE *f = fopen("/proc/sys/kernel/random/boot_id", "re");
    if (!f)
        return;
    if (!fgets(out, 40, f))
        snprintf(out, 40, "unknown");
    out[strcspn(out, "\n")] = '\0';
    fclose(f);
}

void clock_watch_begin(struct clock_watch *w, int64_t wall_ms, int64_t mono_ns, bool same_boot)
{
    int64_t now_ms = clock_wall_ms();
    w->begun = true;
    w->known = same_boot && wall_ms >= 0;
    w->offset_ms = wall_ms - mono_ns / 1000000;
    w->wrong = now_ms < CLOCK_LEAST_MS || (!same_boot && now_ms < wall_ms - CLOCK_SLACK_MS);
}

/* A small step is taken over without a word, so that many of them never add up to a large one. */
int64_t clock_watch_look(struct clock_watch *w, int64_t wall_ms, int64_t mono_ns)
{
    int64_t offset_ms = wall_ms - mono_ns / 1000000, step_ms = offset_ms - w->offset_ms;
    bool known = w->known;
    w->known = true;
    w->offset_ms = offset_ms;
    if (!known || llabs(step_ms) < CLOCK_STEP_MS)
        return 0;
    w->wrong = wall_ms < CLOCK_LEAST_MS || (w->wrong && step_ms < 0);
    return step_ms;
}
