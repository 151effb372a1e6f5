/* bench_state.c - what a bench is at this moment: its screen, its scale's row, its refusals. Every other file of a
 * bench may ask it. It must not know a call, nor who watches. */
#include "bench/bench_parts.h"
#include "bench/practice_parts.h"

#include "catalogue/catalogue.h"
#include "clock.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a shop has changed; NaN: as usual, and a beginning need not carry it. */
static double unusual(double value, double usual)
{
    return fabs(value - usual) > 1e-12 ? value : NAN;
}

/* What a beginning carries of its station: a later change of poised.ini does not change a batch under way. */
struct event_settings bench_settings(const struct daemon *d, const struct config_station *config)
{
    const struct bench *b = daemon_bench(d, config->name);
    double repeats = b ? bench_doubt_repeatability_g(b) : (double)NAN,
           drifts = b ? bench_doubt_drift_g(b) : (double)NAN;
    return (struct event_settings){
        .d_g = config->d_g,
        .capacity_g = config->capacity_g,
        .range1_g = config->range1_g,
        .d2_g = config->d2_g,
        .tolerance_g = config->tolerance_g,
        .tolerance_pct = config->tolerance_pct,
        .auto_grow_pct = config->auto_grow_pct,
        .error_pct = config->error_pct,
        .repeatability_g = isnan(repeats) ? unusual(config->repeatability_g, config->d_g) : repeats,
        .drop_g = unusual(config->drop_g, config_station_defaults.drop_g),
        .drift_g = drifts > 0 ? drifts : unusual(config->drift_g, config_station_defaults.drift_g),
        .comma = d->config.decimal_comma};
}

const struct config_station *bench_config(const struct bench *b)
{
    return b->config;
}

/* Pot life runs on the clock that goes on while the machine sleeps; across a restart of the machine only the wall
 * clock is left. */
static int64_t use_by_ms(const struct bench *b)
{
    if (!b->batch || batch_use_by_ms(b->batch) == 0)
        return 0;
    int64_t life_ms = (int64_t)(b->batch->recipe.pot_life_min * 60000);
    if (strcmp(b->daemon->boot, b->batch->hardener_boot) != 0)
        return b->batch->hardener_ms + life_ms;
    /* The wall clock may have been set since; how long ago the hardener came is what holds. */
    int64_t gone_ms = (clock_mono_ns() - b->batch->hardener_mono_ns) / 1000000;
    int64_t at = clock_wall_ms() - gone_ms + life_ms;
    /* Both clocks tick a little apart: a use-by that trembles by a millisecond would be a new screen each time. */
    return llabs(at - b->batch->hardener_ms - life_ms) < 1000 ? b->batch->hardener_ms + life_ms : at;
}

/* The scale's own trouble (over, under) is told in words alone. */
static const char *cause(const struct bench *b)
{
    return b->port && !b->lent && !b->limit ? port_cause(b->port) : "";
}

/* What the frames say (over, no unit, in motion) comes before what the port says: the port is fine then. */
static const char *why(const struct bench *b)
{
    return b->limit ? words_of(WORDS_EN, front_limit_code(b->limit)) : b->scale_why;
}

/* The tares of all cups of the catalogue, in grams; those without a tare cannot be known by their weight. */
void bench_read_cups(struct bench *b)
{
    b->cups.count = 0;
    if (!b->batch || b->batch->state != BATCH_CUP)
        return;
    json_t *list = catalogue_list(b->daemon->store, "cup", NULL), *cup;
    size_t i;
    json_array_foreach(list, i, cup)
    {
        double tare_g = json_number_value(json_object_get(cup, "tare_g"));
        if (tare_g > 0 && b->cups.count < CUP_TARES)
            b->cups.g[b->cups.count++] = tare_g;
    }
    json_decref(list);
}

/* The tolerance, the aims and every word follow from this in front/: nothing here decides. It is valid until the bench
 * is touched again. */
void bench_front(const struct bench *b, struct front *f)
{
    static const enum front_state states[] = {[PORT_LIVE] = FRONT_LIVE,
                                              [PORT_STALE] = FRONT_STALE,
                                              [PORT_ABSENT] = FRONT_ABSENT,
                                              [PORT_SEEKING] = FRONT_SEEKING};
    *f = (struct front){
        .station = b->config->name,
        .revision = b->revision,
        .batch = b->batch,
        .track = &b->track,
        .flow = &b->flow,
        .cups = &b->cups,
        .cue = b->batch && b->batch->state == BATCH_OVER ? MIX_CUE_OVER : b->cue,
        .settled = b->settle.settled,
        .waiting = b->waiting,
        .in_s = b->count.revision == b->revision ? b->count.in_s : 0,
        .scale = {.state = states[b->scale], .limit = b->limit, .text = why(b), .cause = cause(b)},
        .disk = b->disk,
        .wall_ms = clock_wall_ms(),
        .use_by_ms = use_by_ms(b),
        .d_g = config_station_d_g(b->config, (double)b->track.now_ug / 1e6),
        .comma = b->daemon->config.decimal_comma,
        .currency = b->daemon->config.currency,
    };
    f->glance = bench_glance_due(b);
    f->scale.why = b->why;
    f->scale.fix = port_mend(&b->why);
    f->lead = bench_check_lead(b);
    f->came = jump_said(&b->jump);
    f->failed = bench_check_failed(b);
    f->due = bench_check_due(b);
    f->printing = b->printing;
    f->unkept = b->practice != NULL;
    /* The batch that this very act holds is not on disk yet. */
    f->holds =
        (b->practice ? practice_holds(b->practice) : b->daemon->holds) || (b->batch && b->batch->state == BATCH_HELD);
}

/* Who is signed in and how the shop is set belong to the bench, not to what is poured there. */
static json_t *screen_with_name(const struct bench *b, const struct front *f)
{
    json_t *screen = front_screen(f);
    json_object_set_new(screen, "settings", json_integer((json_int_t)b->daemon->settings));
    json_object_set_new(screen, "practice", practice_view(b));
    json_object_set_new(screen, "signed_in", b->signed_in[0] ? json_string(b->signed_in) : json_null());
    return screen;
}

json_t *bench_screen(const struct bench *b)
{
    struct front f;
    bench_front(b, &f);
    return screen_with_name(b, &f);
}

/* "": nobody. A batch then has no painter unless its call names one. */
const char *bench_signed_in(const struct bench *b)
{
    return b->signed_in;
}

/* What came down the line since the port was made: a shop that loses readings sees here whether the line garbles them.
 * null: there is no port now. */
static json_t *heard(const struct bench *b)
{
    if (!b->port)
        return json_null();
    return json_pack("{s:I, s:I, s:I}", "frames", (json_int_t)port_frames(b->port), "refused",
                     (json_int_t)port_refused(b->port), "stray_bytes", (json_int_t)port_skipped(b->port));
}

/* Only what an act moves is put in its place; front/ reads nothing else of a batch. */
json_t *bench_screen_of(const struct bench *b, const struct batch *after, const struct track *track, int64_t revision)
{
    struct front f;
    bench_front(b, &f);
    f.batch = after;
    f.track = track;
    f.revision = revision;
    f.cue = front_resting_cue(after, track);
    f.came = (struct said){.used = 0};
    f.use_by_ms = batch_use_by_ms(after);
    f.waiting = false;
    f.in_s = 0;
    return screen_with_name(b, &f);
}

/* The bytes as they came, of the last reading or of what nobody believes since; null: nothing came yet. */
static json_t *sent(const struct bench *b)
{
    char text[4 * SCALE_FRAME_MAX + 1];
    size_t len = 0;
    const uint8_t *bytes = b->port ? port_strange(b->port, &len) : NULL;
    if (len == 0) {
        bytes = b->bare_len ? b->bare : b->frame;
        len = b->bare_len ? b->bare_len : b->frame_len;
    }
    return len > 0 ? json_string(utf8_escape(text, sizeof text, bytes, len < SCALE_FRAME_MAX ? len : SCALE_FRAME_MAX))
                   : json_null();
}

/* A reading keeps being told while it is old; age_ms says so, and the state says stale. */
json_t *bench_scale(const struct bench *b)
{
    bool weight = b->track.has_now && !b->limit;
    return json_pack("{s:s, s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "station",
                     b->config->name, "port", b->config->port, "profile",
                     b->port ? port_profile(b->port) : b->config->profile, "state", port_state_name(b->scale),
                     "weight_g", weight ? number_json_ug(b->track.now_ug) : json_null(), "stable",
                     weight ? json_boolean(b->track.now_stable) : json_null(), "age_ms",
                     b->track.has_now ? json_integer((json_int_t)uv_now(b->daemon->loop) - b->read_ms) : json_null(),
                     "d_g", number_json(b->config->d_g), "capacity_g", number_json(b->config->capacity_g), "why",
                     view_text(why(b)), "cause", view_text(cause(b)), "check", bench_check_row(b), "heard", heard(b),
                     "sent", sent(b), "doubt", bench_doubt_said(b));
}

/* In micrograms, of the open step; with none, of the bench. Asked at each frame, so it is no function of the recipe. */
__attribute__((hot)) int64_t bench_tolerance_ug(const struct bench *b)
{
    double asked = b->batch && b->batch->asked.open ? b->batch->asked.tolerance_g : (double)NAN;
    return (int64_t)((isnan(asked) ? fmax(b->config->d_g, b->config->tolerance_g) : asked) * 1e6);
}

/* SCALE_FRAME_MAX bytes make 2 digits each; the journal keeps them so that a wrong decoding can be proved years later.
 */
void bench_frame_hex(const struct bench *b, char out[200])
{
    static const char digits[] = "0123456789abcdef";
    size_t n = 0;
    for (size_t i = 0; i < b->frame_len; i++) {
        out[n++] = digits[b->frame[i] >> 4];
        out[n++] = digits[b->frame[i] & 15];
    }
    out[n] = '\0';
}

/* Both forms are kept: the said for screens of any language, the English line for `scale.why`, which the contract has
 * as text. */
void bench_scale_says(struct bench *b, const struct said *why)
{
    b->why = why ? *why : say("port_not_opened");
    port_words(&b->why, WORDS_EN, b->scale_why, sizeof b->scale_why);
}

/* ---- refusals ---- */

/* Always false, so that a refusal may return it. */
bool bench_put_state(const struct bench *b, struct fault *f)
{
    snprintf(f->state, sizeof f->state, "%s", b->batch ? screen_state_names[b->batch->state] : "idle");
    return false;
}

bool bench_fault_said(struct fault *f, const char *why, const struct said *said, const struct said *help)
{
    return fault_from(f, FAULT_SCALE, NULL, why, said, help);
}

bool bench_fault_port(struct fault *f, const char *field, const char *why, const struct said *said)
{
    struct said help = port_mend(said);
    const struct said look = say("scale_absent.help");
    bench_fault_said(f, why, said, help.code[0] ? &help : &look);
    snprintf(f->field, sizeof f->field, "%s", field ? field : "");
    return false;
}

/* Says what ails the port, and where it has said nothing yet, that no weight came. */
bool bench_not_live(const struct bench *b, struct fault *f)
{
    const struct said none_yet = say("port_no_weight");
    return bench_fault_port(f, NULL, port_state_name(b->scale), b->why.code[0] ? &b->why : &none_yet);
}

/* ---- the end ---- */

/* The last handle frees all; closed() is called behind it, since main then closes the store that a write would still
 * need. */
void bench_back(struct bench *b)
{
    if (--b->open_handles > 0)
        return;
    void (*closed)(void *) = b->closed;
    void *arg = b->closed_arg;
    if (b->batch) {
        batch_finish(b->batch);
        free(b->batch);
    }
    free(b->declared);
    free(b);
    closed(arg);
}
