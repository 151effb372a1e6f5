/* bench.c - a bench made, its scale listened to, its port lent and closed. It must not know what a call asks for. */
#include "bench/bench_parts.h"

#include "bench/batch_journal.h"
#include "drivers/scale.h"
#include "log.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Readings of before say nothing of what comes: every window begins anew. */
static void windows_anew(struct bench *b)
{
    track_gap(&b->track);
    mix_flow_forget(&b->flow);
    jump_gap(&b->jump);
    b->track.now_stable = false;
    settle_lost(&b->settle);
}

/* The scale says itself that it has no weight: over, under, an error, in motion, or a count. */
static void no_weight(struct bench *b, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    b->bare_len = len < sizeof b->bare ? len : sizeof b->bare;
    memcpy(b->bare, frame, b->bare_len);
    enum front_limit was = b->limit;
    b->limit = r->status == SCALE_OVER        ? FRONT_OVER
               : r->status == SCALE_UNDER     ? FRONT_UNDER
               : r->status == SCALE_ERROR     ? FRONT_ERROR
               : r->stability == SCALE_MOVING ? FRONT_MOVING
                                              : FRONT_NO_UNIT;
    b->track.now_stable = false;
    track_gap(&b->track);
    settle_lost(&b->settle);
    if (was != b->limit)
        bench_note_scale(b);
}

/* The cue of this reading. True: something came at once, or has gone again. */
static bool cue(struct bench *b)
{
    double aim, in_cup, tolerance;
    enum mix_cue before = b->cue;
    if (!b->batch)
        return false; /* nothing is poured: a new batch starts with a new flow */
    double rise_g = mix_flow_add(&b->flow, (double)b->track.now_ug / 1e6, b->track.now_ms);
    if (!front_asked(b->batch, &b->track, &aim, &in_cup, &tolerance)) {
        b->cue = MIX_CUE_POUR;
        return false;
    }
    bool said = false;
    if (b->batch->state == BATCH_POUR && b->batch->now != NOW_TAKE_OUT && !b->track.lifted)
        said = jump_add(&b->jump, rise_g, b->track.now_ug, b->track.now_stable);
    if (isnan(tolerance) || b->track.lifted)
        b->cue = MIX_CUE_POUR;
    else
        b->cue = mix_cue_of(aim - in_cup, tolerance, &b->flow, before);
    if (b->cue == MIX_CUE_STOP && before != MIX_CUE_STOP)
        mix_flow_stop_shown(&b->flow);
    return said;
}

/* Pot life counts from here: the first reading of hardener, more than the scale's noise. */
static void first_hardener(struct bench *b)
{
    const struct batch *k = b->batch;
    if (!k || k->state != BATCH_POUR || k->now != NOW_STEP || k->open < 0 || k->hardener_ms || b->track.lifted)
        return;
    if (k->recipe.part[k->recipe.step[k->open].part].role != PART_HARDENER)
        return;
    if ((double)track_pour_ug(&b->track) / 1e6 > 2 * b->config->d_g) {
        b->hardener_due = true;
        bench_note_due(b);
    }
}

/* The interval that holds at this load, micrograms: of a multi-interval scale above its first range the coarser one. */
static int64_t d_ug_at(const struct config_station *c, int64_t weight_ug)
{
    return (int64_t)llround(config_station_d_g(c, (double)weight_ug / 1e6) * 1e6);
}

/* Whatever is `hot` lies on a frame's way and in one place of the program: between two frames the caches have gone
 * cold. */
__attribute__((hot)) static void on_reading(void *owner, const struct scale_reading *r, const uint8_t *frame,
                                            size_t len)
{
    struct bench *b = owner;
    if (!r->has_weight || r->status != SCALE_OK) {
        no_weight(b, r, frame, len);
        return;
    }
    enum front_limit was = b->limit;
    /* Live all the while, but nothing for a second: we slept (drivers/listen.c), and what stood before proves nothing.
     */
    if (was == FRONT_WEIGHS && (int64_t)r->at_ms - b->read_ms > BENCH_READING_MS)
        windows_anew(b);
    struct track_context context = {.tare_ug = -1};
    struct track_reading reading = {.weight_ug = r->weight_ug,
                                    .stable = r->stability == SCALE_STABLE   ? 1
                                              : r->stability == SCALE_MOVING ? 0
                                                                             : -1,
                                    .kind = r->kind == SCALE_KIND_NET     ? TRACK_KIND_NET
                                            : r->kind == SCALE_KIND_GROSS ? TRACK_KIND_GROSS
                                                                          : TRACK_KIND_UNKNOWN,
                                    .at_ms = (int64_t)r->at_ms};
    b->limit = FRONT_WEIGHS;
    b->read_ms = (int64_t)r->at_ms; /* the port's stamp: when its bytes came, not when this loop got to them */
    b->bare_len = 0;
    b->frame_len = len < sizeof b->frame ? len : sizeof b->frame;
    memcpy(b->frame, frame, b->frame_len);
    if (b->batch)
        batch_track_context(b->batch, &context);
    /* What came at once may go again: then the fall is no lift, and the tracker must know before it looks. */
    context.came = jump_may_go(&b->jump, &context.before_ug);
    /* The interval at this load; without a batch the host's own rule is all that asks for it. */
    if (b->batch ? b->config->d2_g > 0 : reading.stable < 0)
        context.d_ug = d_ug_at(b->config, r->weight_ug);
    int64_t base_ug = b->track.base_ug;
    enum track_note note = track_add(&b->track, &reading, &context);
    if (b->track.mixed)
        b->limit = FRONT_MIXED;
    if (note != TRACK_NOTHING)
        mix_flow_forget(&b->flow); /* a cup lifted or put back is no flow, and no jump */
    if (note == TRACK_LIFTED)
        jump_lifted(&b->jump);
    jump_moved(&b->jump, b->track.base_ug - base_ug);
    settle_add(&b->settle, &b->track, bench_tolerance_ug(b));
    bool news = cue(b);
    bench_count_reading(b);
    /* Watchers first: what follows may write, and a cue is worth most when it is young. */
    bench_publish_weight(b);
    if (was != b->limit)
        bench_note_scale(b);
    else if (news)
        bench_publish_screen(b);
    else
        bench_follow_reading(b);
    bench_note_lift(b, note);
    first_hardener(b);
    bench_try_waiting(b);
    if (b->count.due)
        bench_accept_by_itself(b);
    bench_check_reading(b);
}

/* The pan of a practice is always live; its frame is no scale's. */
void bench_hear(struct bench *b, const struct scale_reading *r)
{
    static const uint8_t frame[] = "practice";
    b->scale = PORT_LIVE;
    b->why = (struct said){.used = 0};
    b->scale_why[0] = '\0';
    on_reading(b, r, frame, sizeof frame - 1);
}

/* Everybody who watches sees that the count has ended. */
void bench_wait(struct bench *b, struct rpc_call *call)
{
    bench_count_stop(b);
    bench_follow(b);
    bench_show(b, call);
}

/* The port went live, silent or away. */
static void on_state(void *owner, enum port_state state, const struct said *why)
{
    struct bench *b = owner;
    char line[SAID_TEXT_MAX];
    if (state == PORT_LIVE)
        log_info("station %s: the scale is live (%s)", b->config->name, port_profile(b->port));
    else
        log_warnx("station %s: the scale is %s: %s", b->config->name, port_state_name(state),
                  port_words(why, WORDS_EN, line, sizeof line));
    b->scale = state;
    bench_scale_says(b, why);
    snprintf(b->profile, sizeof b->profile, "%s", port_profile(b->port));
    if (state != PORT_LIVE) {
        windows_anew(b);
        b->limit = FRONT_WEIGHS;
    }
    if (b->closing)
        return;
    bench_look_soon(b);
    bench_note_scale(b);
    bench_try_waiting(b);
}

/* A write has come back: first what was noted meanwhile, then the next call, or the accept that waits. */
static void go_on(struct bench *b)
{
    bench_note_due(b);
    bench_next_turn(b);
    bench_try_waiting(b);
}

/* At start: the revision and the open batch, folded from the journal. Nothing to restore is true as well; a store that
 * cannot be read never passes for an idle bench. */
static bool restore(struct bench *b, struct fault *fault)
{
    struct store *s = b->daemon->store;
    char id[STORE_NUMBER];
    enum store_found found = store_revision(s, b->config->name, &b->revision);
    if (found != STORE_UNREAD)
        found = store_open_batch(s, b->config->name, id);
    if (found == STORE_UNREAD)
        return store_say_unread(s, fault);
    if (found == STORE_NONE)
        return true;
    if (journal_load(b->daemon->store, id, b->config->name, &b->track, &b->batch) != STORE_FOUND)
        fault_said(fault, FAULT_STORE, NULL, "io", "journal_unreadable batch=%s", id);
    bench_read_cups(b);
    bench_read_glances(b);
    keep_known(&b->keep, &b->track);
    return b->batch != NULL;
}

/* The port is opened later (bench_open_port): all benches are restored before the first reading comes, so that a
 * damaged journal ends the start and leaves no scale half read. */
struct bench *bench_create(struct daemon *d, const struct config_station *config, struct fault *fault)
{
    struct bench *b = calloc(1, sizeof *b);
    if (!b) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        return NULL;
    }
    b->daemon = d;
    b->config = config;
    b->scale = PORT_ABSENT;
    b->go_on = go_on;
    bench_scale_says(b, NULL);
    store_signed_in(d->store, config->name, b->signed_in, sizeof b->signed_in);
    b->shown.marks_of = -1;
    track_init(&b->track);
    mix_flow_init(&b->flow);
    if (!restore(b, fault)) {
        free(b);
        return NULL;
    }
    uv_timer_init(d->loop, &b->patience);
    uv_timer_init(d->loop, &b->slow);
    uv_timer_init(d->loop, &b->check.timer);
    uv_timer_init(d->loop, &b->shown.timer);
    b->patience.data = b->slow.data = b->check.timer.data = b->shown.timer.data = b;
    b->open_handles = 4;
    bench_check_init(b);
    bench_look_soon(b);
    return b;
}

/* ---- its port ---- */

/* Whether that folder has a file for the family; out is its path. */
static bool path_of(const char *folder, const char *name, char *out, size_t size)
{
    int n = snprintf(out, size, "%s/profiles/%s.ini", folder, name);
    return folder[0] && n > 0 && (size_t)n < size && access(out, F_OK) == 0;
}

/* The shop's own profiles come after the built-in families, so that none of them changes what a known name means. NULL
 * without a fault: the name is no file's. */
struct scale_profile *declared_family(const struct config *c, const struct config_station *s, struct file_fault *fault)
{
    char path[512];
    struct profile_fault wrong;
    *fault = (struct file_fault){.line = 0};
    if (strcmp(s->profile, "auto") == 0 || strncmp(s->port, "hid:", 4) == 0 || scale_family_find(s->profile))
        return NULL;
    if (!path_of(c->data, s->profile, path, sizeof path) && !path_of(c->folder, s->profile, path, sizeof path)) {
        file_fault_set(fault, c->path, s->profile_line, "profile", say("profile_unknown name=%s", s->profile));
        return NULL;
    }
    struct scale_profile *declared = malloc(sizeof *declared);
    if (declared && profile_load(path, s->profile, declared, &wrong))
        return declared;
    if (declared)
        file_fault_set(fault, path, wrong.line, wrong.field, wrong.said);
    else
        file_fault_set(fault, path, 0, NULL, say("out_of_memory"));
    free(declared);
    return NULL;
}

/* Settings that are left out come from the declared family; what is given wins, since a scale is often set otherwise
 * than its manual says. */
bool bench_open_port(struct bench *b, struct fault *fault)
{
    static const struct port_events events = {.reading = on_reading, .state = on_state};
    const struct config_station *c = b->config;
    struct port_settings s = {
        .speed = c->speed, .poll_len = c->poll_len, .poll_ms = c->poll_ms, .d_ug = (int64_t)llround(c->d_g * 1e6)};
    snprintf(s.port, sizeof s.port, "%s", c->port);
    snprintf(s.profile, sizeof s.profile, "%s", c->profile);
    memcpy(s.frame, c->frame, sizeof s.frame);
    memcpy(s.poll, c->poll, sizeof s.poll);
    s.flow = strcmp(c->flow, "xonxoff") == 0  ? PORT_FLOW_XONXOFF
             : strcmp(c->flow, "rtscts") == 0 ? PORT_FLOW_RTSCTS
                                              : PORT_FLOW_NONE;
    scale_unit_find(c->unit, &s.unit);
    struct file_fault wrong;
    b->declared = declared_family(&b->daemon->config, c, &wrong);
    if (wrong.why[0]) {
        bench_fault_port(fault, "profile", "unknown", &wrong.said);
        fault->kind = FAULT_INVALID;
        fault_in_file(fault, wrong.file, wrong.line);
        return false;
    }
    if (b->declared) {
        s.declared = &b->declared->family;
        if (!c->speed)
            s.speed = b->declared->speed;
        if (!c->frame[0])
            memcpy(s.frame, b->declared->frame, sizeof s.frame);
    }
    const struct said wrong_port = port_settings_fault(&s);
    b->port = wrong_port.code[0] ? NULL : port_create(b->daemon->loop, &s, &events, b);
    if (b->port)
        return true;
    if (!wrong_port.code[0])
        return fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    bench_fault_port(fault, "profile", "unknown", &wrong_port);
    fault->kind = FAULT_INVALID;
    return false;
}

/* A scale that is live is never taken from its bench. */
bool bench_may_lend_port(const struct bench *b)
{
    return b->port && !b->lent && !b->closing && b->scale != PORT_LIVE;
}

/* The port is closed: whoever borrows the device may open it now. */
static void port_lent(void *owner)
{
    struct bench *b = owner;
    void (*lent)(void *) = b->lent;
    b->lent = NULL;
    b->port = NULL;
    free(b->declared);
    b->declared = NULL;
    lent(b->lent_arg);
    bench_back(b);
}

/* The port says port_lent() once its descriptor is closed: two descriptors on one serial line would steal each other's
 * bytes. */
void bench_lend_port(struct bench *b, void (*lent)(void *arg), void *arg)
{
    b->lent = lent;
    b->lent_arg = arg;
    b->open_handles++;
    b->scale = PORT_ABSENT;
    const struct said why = say("port_lent");
    bench_scale_says(b, &why);
    bench_note_scale(b);
    port_close(b->port, port_lent);
}

/* A port that cannot be opened again stays absent; it was fine at start, so the configuration is not to blame and the
 * daemon goes on. */
void bench_take_port_back(struct bench *b)
{
    struct fault f = {0};
    if (!b->closing && !bench_open_port(b, &f))
        log_warnx("station %s: its port cannot be opened again: %s", b->config->name, f.message);
}

/* libuv has let go of a timer; the last one back frees the bench. */
static void timer_closed(uv_handle_t *handle)
{
    bench_back(handle->data);
}

/* The counterpart of timer_closed for the port, which counts as one handle. */
static void port_closed(void *owner)
{
    bench_back(owner);
}

/* Calls that wait are refused now; what is being written comes back first, since each write holds a handle too. */
void bench_close(struct bench *b, void (*closed)(void *arg), void *arg)
{
    struct fault f = {0};
    fault_said(&f, FAULT_STATE, NULL, "busy", "stopping");
    b->closing = true;
    bench_drop_turns(b, &f);
    bench_check_stop(b, &f);
    b->closed = closed;
    b->closed_arg = arg;
    if (b->port && !b->lent) {
        b->open_handles++;
        port_close(b->port, port_closed);
    }
    uv_close((uv_handle_t *)&b->patience, timer_closed);
    uv_close((uv_handle_t *)&b->slow, timer_closed);
    uv_close((uv_handle_t *)&b->check.timer, timer_closed);
    uv_close((uv_handle_t *)&b->shown.timer, timer_closed);
}
