/* trouble.c - what ails scale, disk or clock, and what helps. It must not know how a port or a disk finds out. */
#include "front/front.h"

#include "clock.h"

#include <stdio.h>
#include <string.h>

/* Whether the port gives this as its cause. */
static bool is(const struct front *f, const char *cause)
{
    return f->scale.cause && strcmp(f->scale.cause, cause) == 0;
}

/* A trouble without figures: its code says what ails, the words of CODE.help what to do. */
static bool plain(struct front_trouble *t, const char *code, bool scale)
{
    *t = (struct front_trouble){.code = code, .scale = scale};
    snprintf(t->said.code, sizeof t->said.code, "%s", code);
    snprintf(t->fix.code, sizeof t->fix.code, "%.40s.help", code);
    return true;
}

/* NULL where the scale weighs. */
const char *front_limit_code(enum front_limit limit)
{
    static const char *const codes[] = {
        [FRONT_WEIGHS] = NULL,         [FRONT_OVER] = "scale_over",       [FRONT_UNDER] = "scale_under",
        [FRONT_ERROR] = "scale_error", [FRONT_NO_UNIT] = "scale_no_unit", [FRONT_MOVING] = "scale_moving",
        [FRONT_MIXED] = "scale_mixed"};
    return codes[limit];
}

/* A pan that moves is no trouble; net and gross in turn are one, though weights arrive. NULL: it weighs. */
static const char *scale_code(const struct front *f)
{
    switch (f->scale.state) {
    case FRONT_ABSENT:
        return "scale_absent";
    case FRONT_SEEKING:
        return is(f, "tie") ? "scale_tie" : "scale_seeking";
    case FRONT_STALE:
        return is(f, "strange") ? "scale_strange" : "scale_silent";
    default:
        return f->scale.limit == FRONT_MOVING ? NULL : front_limit_code(f->scale.limit);
    }
}

/* The scale alone: what an act that needs a weight is refused for. */
bool front_scale_trouble(const struct front *f, struct front_trouble *t)
{
    const char *code = scale_code(f);
    if (!code)
        return false;
    plain(t, code, true);
    /* The port's own words where it has any: they know more than its state does. Of a silent one it knows no more. */
    if (f->scale.state == FRONT_LIVE || strcmp(code, "scale_silent") == 0)
        return true;
    if (f->scale.why.code[0])
        t->said = f->scale.why;
    if (f->scale.fix.code[0])
        t->fix = f->scale.fix;
    return true;
}

/* Weights are shown all the same: only what must be kept is refused. */
static bool disk_trouble(const struct front *f, struct front_trouble *t)
{
    static const char *const codes[] = {[FRONT_DISK_GOOD] = NULL,
                                        [FRONT_DISK_FULL] = "disk_full",
                                        [FRONT_DISK_READONLY] = "disk_readonly",
                                        [FRONT_DISK_FAILED] = "disk_failed"};
    return codes[f->disk] && plain(t, codes[f->disk], false);
}

/* A use-by is told by this clock: it may not stand before what the batch has seen already. */
static bool clock_trouble(const struct front *f, struct front_trouble *t)
{
    const struct batch *b = front_batch(f);
    int64_t seen_ms = b ? b->begun_ms + b->clock_shift_ms : 0;
    if (b && b->hardener_ms > seen_ms)
        seen_ms = b->hardener_ms;
    if (f->wall_ms >= CLOCK_LEAST_MS && f->wall_ms >= seen_ms - CLOCK_SLACK_MS)
        return false;
    return plain(t, "clock_wrong", false);
}

/* Paper that stays white is told until the next batch: the finish itself stands. */
static bool print_trouble(const struct front *f, struct front_trouble *t)
{
    if (!f->printing.code[0])
        return false;
    plain(t, f->printing.code, false);
    t->said = t->fix = f->printing;
    snprintf(t->fix.code, sizeof t->fix.code, "%.40s.help", t->said.code);
    t->code = "print_failed";
    return true;
}

/* In idle alone: with a batch they are cautions. */
static bool check_trouble(const struct front *f, struct front_trouble *t)
{
    if (front_batch(f) || f->lead.code[0] || (!f->failed.code[0] && !f->due.code[0]))
        return false;
    plain(t, f->failed.code[0] ? "check_failed" : "check_due", false);
    t->said = t->fix = f->failed.code[0] ? f->failed : f->due;
    snprintf(t->fix.code, sizeof t->fix.code, "%.40s.help", t->said.code);
    return true;
}

/* One at a time, what stops the hand before what stops the paper. */
bool front_trouble(const struct front *f, struct front_trouble *t)
{
    return front_scale_trouble(f, t) || disk_trouble(f, t) || print_trouble(f, t) || clock_trouble(f, t) ||
           check_trouble(f, t);
}
