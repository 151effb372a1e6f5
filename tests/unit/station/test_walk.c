/* Thousands of random walks of a hand at a bench: it pours, puts a lid on and takes it off, lifts the cup, presses and
 * pulls at it, accepts. After each move a simple model knows what the cup holds; flow, jump and tracker, wired as the
 * bench wires them, must say the same. */
#include "mix/cue.h"
#include "station/track.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { WALKS = 5000, MOVES = 12, TRAIL = 1000 };

struct bench {
    struct track track;
    struct jump jump;
    struct mix_flow flow;
    uint64_t random;
    char trail[TRAIL]; /* what was done so far, for a failure */
    /* the scale */
    int64_t now_ms, every_ms;
    double filter; /* how much of the way to the load a frame goes */
    double inside_g, shows_g;
    int still; /* frames in a row that show the same */
    double zero_g, tare_g;
    bool tare_known;
    /* the model */
    double counted_g, paint_g, lid_g;
    bool lid_seen; /* through a slow filter, or on a slow scale, it may come unseen */
};

static double between(struct bench *b, double least, double most)
{
    b->random = b->random * 6364136223846793005u + 1442695040888963407u;
    return least + (most - least) * (double)(b->random >> 40) / (double)(1 << 24);
}

static void reading(struct bench *b, bool stable)
{
    struct track_context c = {.d_ug = 10000, .tare_ug = b->tare_known ? llround(b->tare_g * 1e6) : -1};
    const struct track_reading r = {
        .weight_ug = llround(b->shows_g * 1e6), .stable = stable, .at_ms = b->now_ms += b->every_ms};
    int64_t base_ug = b->track.base_ug;
    c.came = jump_may_go(&b->jump, &c.before_ug);
    enum track_note note = track_add(&b->track, &r, &c);
    if (note != TRACK_NOTHING)
        mix_flow_forget(&b->flow);
    if (note == TRACK_LIFTED)
        jump_lifted(&b->jump);
    jump_moved(&b->jump, b->track.base_ug - base_ug);
    double rise_g = mix_flow_add(&b->flow, b->shows_g, b->now_ms);
    if (!b->track.lifted)
        jump_add(&b->jump, rise_g, r.weight_ug, stable);
}

static void frame(struct bench *b, double load_g)
{
    double before_g = b->shows_g, load = b->zero_g + load_g;
    b->inside_g += (load - b->inside_g) * b->filter;
    if (fabs(load - b->inside_g) < 0.004)
        b->inside_g = load;
    b->shows_g = round(b->inside_g * 100) / 100;
    b->still = fabs(b->shows_g - before_g) < 0.005 ? b->still + 1 : 0;
    reading(b, b->still >= 3);
}

static void frames(struct bench *b, double load_g, int count)
{
    for (int i = 0; i < count; i++)
        frame(b, load_g);
}

static void settle(struct bench *b, double load_g)
{
    do
        frame(b, load_g);
    while (!b->track.now_stable || fabs(b->zero_g + load_g - b->inside_g) > 1e-9);
}

static double load_g(const struct bench *b)
{
    return b->tare_g + b->counted_g + b->paint_g + b->lid_g;
}

static void start(struct bench *b)
{
    track_start(&b->track, llround(b->shows_g * 1e6), llround(b->shows_g * 1e6));
    mix_flow_forget(&b->flow);
    jump_clear(&b->jump);
    b->counted_g += b->paint_g;
    b->paint_g = 0;
}

static void begin(struct bench *b, uint64_t seed)
{
    static const int64_t every_ms[] = {20, 50, 100, 200, 1000};
    static const double filters[] = {1, 0.7, 0.4};
    memset(b, 0, sizeof *b);
    b->random = seed;
    between(b, 0, 1);
    track_init(&b->track);
    mix_flow_init(&b->flow);
    b->tare_g = round(between(b, 20, 150));
    b->zero_g = between(b, 0, 3) < 1 ? -b->tare_g : 0;
    b->tare_known = between(b, 0, 4) > 1;
    b->every_ms = every_ms[(size_t)between(b, 0, 5)];
    b->filter = filters[(size_t)between(b, 0, 3)];
    settle(b, load_g(b));
    start(b);
    settle(b, load_g(b));
    snprintf(b->trail, sizeof b->trail, "cup %g, zero %g, a frame in %d ms, filter %g:", b->tare_g, b->zero_g,
             (int)b->every_ms, b->filter);
}

static void say_it(struct bench *b, const char *what, double grams)
{
    size_t len = strlen(b->trail);
    snprintf(b->trail + len, sizeof b->trail - len, " %s %.1f", what, grams);
}

static void pour(struct bench *b)
{
    double end_g = b->paint_g + between(b, 1, 150), step_g = between(b, 2, 90) * (double)b->every_ms / 1000;
    say_it(b, "pour", end_g - b->paint_g);
    while (b->paint_g < end_g) {
        b->paint_g = fmin(b->paint_g + step_g, end_g);
        frame(b, load_g(b));
    }
}

/* 30 g are one frame's 20 g through the filters at hand, but for the slowest. */
static void lid(struct bench *b)
{
    if (b->lid_g > 0 && (!b->lid_seen || fabs(b->zero_g + load_g(b) - b->lid_g) < 0.02))
        return; /* taken off down to 0 it may be a tare by hand: that asks */
    b->lid_g = b->lid_g > 0 ? 0 : between(b, 30, 200);
    say_it(b, "lid", b->lid_g);
    settle(b, load_g(b));
    b->lid_seen = (b->every_ms < 200 && b->filter > 0.5) || b->jump.standing;
}

static void lift(struct bench *b)
{
    say_it(b, "lift", load_g(b));
    settle(b, 0);
    if (!b->track.lifted)
        fail_msg("%s: and that is no lift", b->trail);
}

static void move(struct bench *b)
{
    double pull_g = between(b, 0.1, 0.45) * (b->tare_known ? b->tare_g : 20), press_g = between(b, 30, 150);
    switch ((int)between(b, 0, 7)) {
    case 0:
    case 1:
        pour(b);
        break;
    case 2:
        lid(b);
        break;
    case 3:
        lift(b);
        break;
    case 4:
        say_it(b, "press", press_g);
        frames(b, load_g(b) + press_g, 2);
        break;
    case 5:
        say_it(b, "pull", pull_g);
        frames(b, load_g(b) - pull_g, 2);
        break;
    default:
        if (b->lid_g > 0 || b->track.lifted)
            return;
        say_it(b, "accept", b->paint_g);
        settle(b, load_g(b));
        start(b);
        break;
    }
}

static void look(struct bench *b)
{
    settle(b, load_g(b));
    double want_g = b->paint_g + b->lid_g, counts_g = (double)track_pour_ug(&b->track) / 1e6;
    if (b->track.lifted)
        fail_msg("%s: it asks, though all is there", b->trail);
    if (fabs(want_g - counts_g) > 0.3 + want_g / 200) /* each lift may take 2 d and 0.1 % with it */
        fail_msg("%s: %.2f g are there, it counts %.2f", b->trail, want_g, counts_g);
    bool says = b->jump.standing, there = b->lid_g > 0 && b->lid_seen;
    if (says != there || (there && fabs(jump_g(&b->jump) - b->lid_g) > 10)) /* paint may have been running meanwhile */
        fail_msg("%s: a lid of %.2f g, and it says %.2f", b->trail, b->lid_g, says ? jump_g(&b->jump) : 0);
}

static void the_count_is_what_stands_there(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= WALKS; seed++) {
        struct bench b;
        begin(&b, seed);
        for (int i = 0; i < MOVES; i++) {
            move(&b);
            look(&b);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_count_is_what_stands_there)};
    return cmocka_run_group_tests_name("walk", tests, NULL, NULL);
}
