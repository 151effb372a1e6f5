/* The cue: flow and lag from readings, and whole pours by a simulated hand. */
#include "mix/cue.h"

#include "published.h"

#include <math.h>

/* Readings of a steady flow, every_ms apart. */
static void steady(struct mix_flow *flow, double g_per_s, double from_g, int64_t from_ms, int64_t every_ms, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        int64_t ms = every_ms * (int64_t)i;
        mix_flow_add(flow, from_g + g_per_s * (double)ms / 1000, from_ms + ms);
    }
}

static void flow_by_least_squares(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    near_to("no reading", mix_flow_g_per_s(&flow), 0, 0);
    near_to("nor a landing", mix_flow_landing_g(&flow), 0, 0);
    mix_flow_add(&flow, 12, 5);
    near_to("one reading", mix_flow_g_per_s(&flow), 0, 0);
    near_to("lands where it is", mix_flow_landing_g(&flow), 12, 0);
    static const int64_t every_ms[] = {1, 5, 20, 100, 400, 900};
    for (size_t i = 0; i < sizeof every_ms / sizeof *every_ms; i++) {
        mix_flow_init(&flow);
        steady(&flow, 7.5, 1000, INT64_C(86400000000), every_ms[i], 1000);
        near_to("steady", mix_flow_g_per_s(&flow), 7.5, 1e-6);
    }
    /* Only the last half second counts. */
    mix_flow_init(&flow);
    steady(&flow, 20, 0, 0, 50, 21);
    steady(&flow, 2, 20, 1050, 50, 12);
    near_to("slower now", mix_flow_g_per_s(&flow), 2, 1e-6);
}

static void silence_and_clocks_begin_anew(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    steady(&flow, 20, 0, 0, 50, 10);
    mix_flow_add(&flow, 500, 5000);
    near_to("after silence", mix_flow_g_per_s(&flow), 0, 0);
    steady(&flow, 20, 0, 6000, 50, 10);
    mix_flow_add(&flow, 9, 100);
    near_to("time went back", mix_flow_g_per_s(&flow), 0, 0);
    steady(&flow, 20, 0, 200, 50, 10);
    mix_flow_forget(&flow);
    near_to("forgotten", mix_flow_g_per_s(&flow), 0, 0);
    steady(&flow, 20, 0, 300, 0, 10);
    near_to("ten readings at one time tell nothing", mix_flow_g_per_s(&flow), 0, 0);
}

/* 200 g put on the pan at once must not look like a flow of 4 kg/s that lands kilograms further on. What is only
 * doubtful is said, but the cue goes on: it may be a tin poured out, and then stop matters. */
static void a_jump_that_cannot_be_a_pour_begins_anew(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double rise_g;
        int64_t after_ms;
        bool said, anew;
    } rows[] = {
        {"a cup put on", 200, 50, true, true},
        {"in one frame of a fast scale", 20, 1, true, true},
        {"a lid, through a slow filter", 20, 50, true, false},
        {"a large tin poured out", 9, 50, false, false},
        {"a drop", 0.05, 1, false, false},
        {"a gush after a pause", 150, 900, false, false},
        {"something taken off", -200, 50, false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_flow flow;
        mix_flow_init(&flow);
        steady(&flow, 10, 0, 0, 50, 10);
        double jump_g = mix_flow_add(&flow, 4.5 + rows[i].rise_g, 450 + rows[i].after_ms);
        if ((jump_g > 0) != rows[i].said)
            fail_msg("%s: %.3f g are said to be doubtful", rows[i].name, jump_g);
        if (rows[i].said)
            near_to(rows[i].name, jump_g, rows[i].rise_g, 2); /* and what ran in within those 200 ms */
        if ((flow.count == 1) != rows[i].anew)
            fail_msg("%s: %zu readings are kept", rows[i].name, flow.count);
        if (rows[i].anew)
            near_to(rows[i].name, mix_flow_landing_g(&flow), 4.5 + rows[i].rise_g, 1e-9);
    }
}

/* A scale of 50 Hz shows a stick of 40 g in four steps of 10 g: each alone could be a pour, together they cannot. */
static void a_jump_spread_over_frames_is_a_jump(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    steady(&flow, 5, 0, 0, 20, 50);
    double first_g = mix_flow_add(&flow, 15, 1000);
    near_to("10 g may be a gush", first_g, 0, 0);
    double most_g = 0;
    for (int i = 1; i < 4; i++)
        most_g = fmax(most_g, mix_flow_add(&flow, 15 + 10 * i, 1000 + 15 * i));
    assert_true(most_g >= MIX_JUMP_G);
    near_to("what stands afterwards is no jump", mix_flow_add(&flow, 45, 1070), 0, 0);
}

static void nothing_is_learnt_across_a_jump(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    steady(&flow, 10, 0, 0, 50, 20);
    mix_flow_stop_shown(&flow);
    assert_true(mix_flow_add(&flow, 60, 1000) > 0);
    mix_flow_stopped(&flow, 60);
    near_to("the lag is as it was", flow.lag_ms, MIX_LAG_FIRST_MS, 0);
}

static void a_fall_lands_where_it_is(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    steady(&flow, -5, 100, 0, 100, 6);
    near_to("flow", mix_flow_g_per_s(&flow), -5, 1e-9);
    near_to("landing", mix_flow_landing_g(&flow), 97.5, 1e-9);
}

static void the_lag_is_learnt_from_stops(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    mix_flow_stopped(&flow, 100);
    near_to("no stop, nothing learnt", flow.lag_ms, MIX_LAG_FIRST_MS, 0);
    for (int i = 0; i < 40; i++) {
        mix_flow_forget(&flow);
        steady(&flow, 10, 0, 0, 100, 11); /* stands at 10 g, 10 g/s */
        mix_flow_stop_shown(&flow);
        mix_flow_add(&flow, 11, 1100);
        mix_flow_stop_shown(&flow); /* the first one counts */
        mix_flow_stopped(&flow, 19);
    }
    near_to("9 g at 10 g/s", flow.lag_ms, 900, 0.1);
    near_to("lands by it", mix_flow_landing_g(&flow), 11 + 9, 0.01);
    double before_ms = flow.lag_ms;
    mix_flow_stop_shown(&flow);
    mix_flow_stopped(&flow, 5); /* a fall */
    mix_flow_forget(&flow);
    steady(&flow, 0, 7, 0, 100, 11);
    mix_flow_stop_shown(&flow);
    mix_flow_stopped(&flow, 8); /* no flow */
    near_to("a fall or a trickle teaches nothing", flow.lag_ms, before_ms, 0);
    for (int i = 0; i < 80; i++) {
        mix_flow_forget(&flow);
        steady(&flow, 10, 0, 0, 100, 11);
        mix_flow_stop_shown(&flow);
        mix_flow_stopped(&flow, i < 40 ? 1000 : 10);
        assert_true(flow.lag_ms >= MIX_LAG_LEAST_MS && flow.lag_ms <= MIX_LAG_MOST_MS);
        if (i == 39)
            near_to("at most", flow.lag_ms, MIX_LAG_MOST_MS, 1);
    }
    near_to("at least", flow.lag_ms, MIX_LAG_LEAST_MS, 1);
}

/* To go, tolerance 0.1, a flow, the cue before: the cue now. Lag 600 ms, readings 100 ms apart. */
static void cues_by_hand(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double to_go_g, g_per_s;
        enum mix_cue before, want;
    } rows[] = {
        {"nothing flows, all to go", 50, 0, MIX_CUE_POUR, MIX_CUE_POUR},
        {"a fast start", 50, 10, MIX_CUE_POUR, MIX_CUE_POUR},
        {"two seconds before it lands", 25.9, 10, MIX_CUE_POUR, MIX_CUE_EASE},
        {"not quite two", 26.1, 10, MIX_CUE_POUR, MIX_CUE_POUR},
        {"eased: stays so", 26.1, 10, MIX_CUE_EASE, MIX_CUE_EASE},
        {"eased: far away again", 307, 10, MIX_CUE_EASE, MIX_CUE_POUR},
        {"lands short by less than half a reading", 6.4, 10, MIX_CUE_EASE, MIX_CUE_STOP},
        {"lands a hair shorter", 6.52, 10, MIX_CUE_EASE, MIX_CUE_EASE},
        {"a hair does not end a stop", 6.52, 10, MIX_CUE_STOP, MIX_CUE_STOP},
        {"half a tolerance does", 6.56, 10, MIX_CUE_STOP, MIX_CUE_EASE},
        {"lands on it", 6, 10, MIX_CUE_EASE, MIX_CUE_STOP},
        {"lands past", 3, 10, MIX_CUE_EASE, MIX_CUE_STOP},
        {"slower: more time", 6, 3, MIX_CUE_EASE, MIX_CUE_EASE},
        {"little left", 0.7, 0, MIX_CUE_POUR, MIX_CUE_EASE},
        {"stopped too soon", 0.7, 0, MIX_CUE_STOP, MIX_CUE_EASE},
        {"stopped far too soon", 5, 0, MIX_CUE_STOP, MIX_CUE_POUR},
        {"there, nothing flows", 0.1, 0, MIX_CUE_STOP, MIX_CUE_OK},
        {"there, but much still comes", 0.1, 2, MIX_CUE_EASE, MIX_CUE_STOP},
        {"a little past", -0.1, 0, MIX_CUE_OK, MIX_CUE_OK},
        {"past, and more comes", -0.05, 1, MIX_CUE_OK, MIX_CUE_STOP},
        {"over", -0.11, 0, MIX_CUE_OK, MIX_CUE_OVER},
        {"over while it flows", -0.2, 5, MIX_CUE_STOP, MIX_CUE_OVER},
        {"a fall is no flow", 0.7, -5, MIX_CUE_STOP, MIX_CUE_EASE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_flow flow;
        mix_flow_init(&flow);
        flow.lag_ms = 600;
        steady(&flow, rows[i].g_per_s, 0, 0, 100, 11);
        enum mix_cue got = mix_cue_of(rows[i].to_go_g, 0.1, &flow, rows[i].before);
        if (got != rows[i].want)
            fail_msg("%s: got %s, want %s", rows[i].name, mix_cue_name(got), mix_cue_name(rows[i].want));
    }
}

static void names(void **state)
{
    (void)state;
    static const char *const want[] = {"pour", "ease", "stop", "ok", "over"};
    for (int i = 0; i <= MIX_CUE_OVER; i++)
        assert_string_equal(mix_cue_name((enum mix_cue)i), want[i]);
    assert_non_null(mix_cue_name((enum mix_cue)77));
}

/* ---- whole pours ---- */

#define REACTION_MS 250 /* reaction to what is seen: row A33 of the ergonomics literature has 180 to 250 */

struct pour {
    const char *name;
    double aim_g, tolerance_g, d_g;
    double fast_g_per_s, eased_g_per_s;
    int64_t reading_ms, air_ms, filter_ms;
};

struct outcome {
    double true_g; /* all that left the tin and has landed */
    bool over_shown;
    int changes; /* of the cue */
    int64_t took_ms;
};

/* What the hand does: the flow that answers a cue. Once stopped, it only dribbles what is left over 2 s. */
static double hand_g_per_s(const struct pour *pour, enum mix_cue cue, double to_go_g, bool stopped)
{
    if (cue == MIX_CUE_POUR)
        return pour->fast_g_per_s;
    if (cue != MIX_CUE_EASE)
        return 0;
    return stopped ? fmin(pour->eased_g_per_s, to_go_g / 2) : pour->eased_g_per_s;
}

/* Time in steps of 1 ms. The hand sees a cue REACTION_MS late, paint falls for air_ms, the scale shows a
 * first-order filter of it, rounded to d, every reading_ms. Ends when the cue is ok or over and all has stood still. */
static struct outcome pour_once(const struct pour *pour, struct mix_flow *flow)
{
    enum { PAST = 4096 };
    static double asked[PAST]; /* flow asked for at each of the last ms */
    static double falling[PAST];
    struct outcome out = {0};
    enum mix_cue cue = MIX_CUE_POUR;
    double filtered_g = 0;
    double shown_g = 0;
    bool stopped = false;
    int64_t still_ms = 0;
    memset(asked, 0, sizeof asked);
    memset(falling, 0, sizeof falling);
    mix_flow_forget(flow);
    for (int64_t ms = 0; ms < 120000 && still_ms < 1500; ms++) {
        asked[ms % PAST] = hand_g_per_s(pour, cue, pour->aim_g - shown_g, stopped);
        falling[ms % PAST] = ms < REACTION_MS ? 0 : asked[(ms - REACTION_MS) % PAST];
        double lands = ms < pour->air_ms ? 0 : falling[(ms - pour->air_ms) % PAST];
        out.true_g += lands / 1000;
        filtered_g += (out.true_g - filtered_g) / (double)pour->filter_ms;
        bool ended = cue == MIX_CUE_OK || cue == MIX_CUE_OVER;
        still_ms = ended && !(lands > 0) ? still_ms + 1 : 0;
        out.took_ms = ms;
        if (ms % pour->reading_ms != 0)
            continue;
        shown_g = round(filtered_g / pour->d_g) * pour->d_g;
        mix_flow_add(flow, shown_g, ms);
        enum mix_cue now = mix_cue_of(pour->aim_g - shown_g, pour->tolerance_g, flow, cue);
        if (now == MIX_CUE_STOP)
            mix_flow_stop_shown(flow);
        stopped = stopped || now == MIX_CUE_STOP;
        out.changes += now != cue;
        out.over_shown = out.over_shown || now == MIX_CUE_OVER;
        cue = now;
    }
    mix_flow_stopped(flow, out.true_g);
    return out;
}

static const struct pour pours[] = {
    /*                             aim   tol   d     fast eased  read air filter */
    {"binder, steady hand", 268, 1.34, 0.1, 20, 5, 100, 100, 150},
    {"toner", 84, 0.42, 0.1, 10, 2, 100, 100, 150},
    {"toner on a fast scale", 84, 0.42, 0.01, 10, 2, 20, 100, 150},
    {"toner on a slow scale", 84, 0.42, 0.1, 10, 1, 200, 150, 400},
    {"small toner", 12.8, 0.1, 0.1, 3, 0.5, 100, 100, 150},
    {"small toner, fine scale", 6.4, 0.05, 0.01, 2, 0.3, 100, 100, 150},
    {"drops", 2.4, 0.05, 0.01, 1, 0.2, 100, 100, 150},
    {"least", 0.5, 0.05, 0.01, 0.5, 0.1, 50, 80, 100},
    {"hundred readings a second", 26.4, 0.13, 0.01, 5, 1, 10, 100, 300},
    {"slow filter", 84, 0.42, 0.1, 10, 2, 100, 100, 800},
    {"quick filter", 84, 0.42, 0.1, 10, 2, 100, 50, 30},
};

static void landed(const struct pour *pour, const struct outcome *out, double lag_ms)
{
    if (!(fabs(out->true_g - pour->aim_g) <= pour->tolerance_g + pour->d_g / 2) || out->over_shown)
        fail_msg("%s, %g then %g g/s, filter %d ms: %.3f of %.3f +- %.2f, lag %.0f ms", pour->name, pour->fast_g_per_s,
                 pour->eased_g_per_s, (int)pour->filter_ms, out->true_g, pour->aim_g, pour->tolerance_g, lag_ms);
    if (out->changes > 6)
        fail_msg("%s: the cue changed %d times", pour->name, out->changes);
}

/* A practised station: what it learnt from a dozen pours is its lag now. */
static void a_hand_that_follows_lands_in_tolerance(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof pours / sizeof *pours; i++) {
        struct mix_flow flow;
        mix_flow_init(&flow);
        for (int j = 0; j < 12; j++) {
            struct outcome out = pour_once(&pours[i], &flow);
            if (j >= 5)
                landed(&pours[i], &out, flow.lag_ms);
        }
    }
}

/* A station that has learnt nothing yet must not spoil a batch either, but for a filter slower than its
 * first guess. */
static void the_first_pour_of_a_station(void **state)
{
    (void)state;
    size_t tried = 0;
    for (size_t i = 0; i < sizeof pours / sizeof *pours; i++) {
        struct mix_flow flow;
        mix_flow_init(&flow);
        if ((double)(REACTION_MS + pours[i].air_ms + pours[i].filter_ms) > MIX_LAG_FIRST_MS)
            continue;
        struct outcome out = pour_once(&pours[i], &flow);
        landed(&pours[i], &out, flow.lag_ms);
        tried++;
    }
    assert_true(tried >= 9);
}

/* A cue is seen only at a reading: the last flow must bring less than two tolerances between two of them. */
static void sensible_flows_and_filters(void **state)
{
    (void)state;
    static const int64_t filters_ms[] = {30, 150, 400, 800};
    static const int64_t readings_ms[] = {20, 50, 100, 200};
    static const double eased[] = {0.3, 0.5, 1, 2, 4};
    for (size_t i = 0; i < 4 * 4 * 5; i++) {
        struct pour pour = {"sweep", 84, 0.42, 0.01, 0, eased[i % 5], readings_ms[i / 5 % 4], 100, filters_ms[i / 20]};
        pour.fast_g_per_s = 5 * pour.eased_g_per_s;
        if (pour.eased_g_per_s * (double)pour.reading_ms / 1000 > 2 * pour.tolerance_g)
            continue;
        struct mix_flow flow;
        mix_flow_init(&flow);
        struct outcome out = {0};
        for (int j = 0; j < 8; j++)
            out = pour_once(&pour, &flow);
        landed(&pour, &out, flow.lag_ms);
    }
}

/* A large tin at 100 g/s on a scale of 10 Hz, whose frames the network held back: five come in one piece. */
static void readings_that_come_in_one_piece_are_no_jump(void **state)
{
    (void)state;
    struct mix_flow flow;
    mix_flow_init(&flow);
    steady(&flow, 100, 0, 0, 100, 10);
    for (int i = 1; i <= 5; i++)
        if (mix_flow_add(&flow, 90 + 10 * i, 1400) > 0)
            fail_msg("reading %d of the piece is said to be doubtful", i);
    assert_true(flow.count > 10); /* nor does the flow begin anew */
    /* A lid among them is still one: against what came before the piece. */
    near_to("a lid", mix_flow_add(&flow, 300, 1400), 210, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flow_by_least_squares),
        cmocka_unit_test(silence_and_clocks_begin_anew),
        cmocka_unit_test(a_jump_that_cannot_be_a_pour_begins_anew),
        cmocka_unit_test(a_jump_spread_over_frames_is_a_jump),
        cmocka_unit_test(readings_that_come_in_one_piece_are_no_jump),
        cmocka_unit_test(nothing_is_learnt_across_a_jump),
        cmocka_unit_test(a_fall_lands_where_it_is),
        cmocka_unit_test(the_lag_is_learnt_from_stops),
        cmocka_unit_test(cues_by_hand),
        cmocka_unit_test(names),
        cmocka_unit_test(a_hand_that_follows_lands_in_tolerance),
        cmocka_unit_test(the_first_pour_of_a_station),
        cmocka_unit_test(sensible_flows_and_filters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
