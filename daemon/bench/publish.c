/* publish.c - what the watchers of a bench are told, and when: weights, screens, the scale's state.
 *
 * Weights go out with each reading. Screens go out at once after an act; between two acts only where what a person sees
 * has changed, at most ten a second, so that a flickering weight floods nobody. Whether it has changed is asked in two
 * steps: a key of few members for each reading and each second (front/live.c), and a hash of the live members of the
 * screen where the key differs.
 * It must not know how anything is decided (front/), nor how a note travels (rpc/).
 */
#include "bench/bench_parts.h"

#include "text/utf8.h"

#include "text/number.h"

#include <math.h>
#include <string.h>

#define SHOW_MS 100 /* screens of one revision are at least so far apart */

/* Nobody looks: no screen is made, which is most of the cost of a reading. */
static bool watched(const struct bench *b)
{
    return hub_watched(&b->daemon->hub, b->config->name);
}

/* Sends it, and remembers what it said, so that the same is not sent twice. Takes screen. */
static void publish(struct bench *b, json_t *screen, uint64_t hash)
{
    b->shown.hash = hash;
    b->shown.at_ms = (int64_t)uv_now(b->daemon->loop);
    hub_publish(&b->daemon->hub, b->config->name, HUB_SCREEN, screen);
}

/* After an act: told at once, whatever the last screen said, since its revision is new. */
void bench_publish_screen(struct bench *b)
{
    if (!watched(b))
        return;
    json_t *screen = bench_screen(b);
    publish(b, screen, front_live_hash(screen));
}

/* The label belongs to a batch that has left the bench, so its trouble stands on the screen until somebody acts again.
 */
void bench_printed(struct bench *b, const struct said *why)
{
    b->printing = *why;
    if (!b->closing)
        bench_publish_screen(b);
    bench_back(b);
}

/* ---- what changes without an act ---- */

/* Makes the screen and sends it only if what changes without an act has changed. One made in vain counts as a look too:
 * where the key flickers, each reading would make one. */
static void look(struct bench *b)
{
    b->shown.at_ms = (int64_t)uv_now(b->daemon->loop);
    json_t *screen = bench_screen(b);
    uint64_t hash = front_live_hash(screen);
    if (hash != b->shown.hash)
        publish(b, screen, hash);
    else
        json_decref(screen);
}

static void look_now(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    if (watched(b))
        look(b);
}

/* At once where the last screen is old enough, else when it is: at most 10 a second. */
void bench_follow(struct bench *b)
{
    if (!watched(b) || b->closing || uv_is_active((uv_handle_t *)&b->shown.timer))
        return;
    int64_t since_ms = (int64_t)uv_now(b->daemon->loop) - b->shown.at_ms;
    if (since_ms >= SHOW_MS)
        look(b);
    else
        uv_timer_start(&b->shown.timer, look_now, (uint64_t)(SHOW_MS - since_ms), 0);
}

/* A screen costs far more than the key, so the key is compared first. */
__attribute__((hot)) void bench_follow_reading(struct bench *b)
{
    if (!watched(b))
        return;
    if (b->shown.marks_of != b->revision) {
        front_marks(b->batch, b->config->d_g, b->config->d2_g, &b->shown.marks);
        b->shown.marks_of = b->revision;
    }
    struct front_key key = {
        .cue = b->cue, .limit = b->limit, .in_s = b->count.in_s, .settled = b->settle.settled, .waiting = b->waiting};
    front_key(b->batch, &b->track, &b->shown.marks, &key);
    if (front_same_key(&key, &b->shown.key))
        return;
    b->shown.key = key;
    bench_follow(b);
}

/* Once a second: what no reading and no act tells. */
void bench_follow_clock(struct bench *b)
{
    struct front f;
    if (!watched(b))
        return;
    bench_front(b, &f);
    uint64_t clock = front_clock_key(&f);
    if (clock == b->shown.clock)
        return;
    b->shown.clock = clock;
    bench_follow(b);
}

/* ---- */

/* Beyond BENCH_LOOKING the screen is shown without the pot life that is being written: it follows by itself. */
void bench_show(struct bench *b, struct rpc_call *call)
{
    if (b->hardener_writing && b->lookers < BENCH_LOOKING)
        b->looking[b->lookers++] = call;
    else
        rpc_answer(call, bench_screen(b));
}

void bench_show_all(struct bench *b)
{
    for (size_t i = 0; i < b->lookers; i++)
        rpc_answer(b->looking[i], bench_screen(b));
    b->lookers = 0;
}

/* The note is made by hand, many a second: a printf costs more than all the rest of a reading's way. Each % is one of
 * the words that fill it. */
static const char weight_form[] =
    "{\"station\":\"%\",\"weight_g\":%,"
    "\"stable\":%,\"age_ms\":%,\"state\":\"%\",\"to_go_g\":%,\"in_cup_g\":%,\"landing_g\":%,\"cue\":%,"
    "\"settled\":%}";
enum { WEIGHT_NOTE = 480 };

/* Writes the form into out, a word for each %; never beyond the room. The length. */
static size_t fill(const char *form, const char *const *word, char out[WEIGHT_NOTE])
{
    size_t len = 0;
    for (; *form && len < WEIGHT_NOTE; form++) {
        if (*form != '%') {
            out[len++] = *form;
            continue;
        }
        for (const char *at = *word++; *at && len < WEIGHT_NOTE; at++)
            out[len++] = *at;
    }
    return len;
}

/* Grams, null for NaN. */
static const char *grams(double g, char room[NUMBER_ROOM])
{
    return isnan(g) ? "null" : number_exact_ug(llround(g * 1e6), room);
}

/* Sent for each reading to whoever watches, newest wins (hub.h). Its figures are those of the screen, by the same
 * front_now_of, so a client that draws both never sees them differ. */
__attribute__((hot)) void bench_publish_weight(struct bench *b)
{
    static const char *const cues[] = {[MIX_CUE_POUR] = "\"pour\"",
                                       [MIX_CUE_EASE] = "\"ease\"",
                                       [MIX_CUE_STOP] = "\"stop\"",
                                       [MIX_CUE_OK] = "\"ok\"",
                                       [MIX_CUE_OVER] = "\"over\""};
    char text[WEIGHT_NOTE], room[5][NUMBER_ROOM];
    if (!watched(b))
        return;
    bool weighs = b->track.has_now && !b->limit;
    int64_t age_ms = b->track.has_now ? (int64_t)uv_now(b->daemon->loop) - b->read_ms : 0;
    struct front_now now;
    front_now_of(b->batch, &b->track, &b->flow, b->scale == PORT_LIVE && !b->limit, b->config->d_g, &now);
    double none = (double)NAN;
    char *age = number_exact_ug((age_ms > 0 ? age_ms : 0) * 1000000, room[4]);
    age[strlen(age) - 2] = '\0'; /* whole milliseconds: without the .0 */
    const char *word[] = {
        b->config->name, /* an id: nothing in it needs escaping */
        weighs ? number_exact_ug(b->track.now_ug, room[0]) : "null",
        !b->track.has_now     ? "null"
        : b->track.now_stable ? "true"
                              : "false",
        age,
        port_state_name(b->scale),
        grams(now.open ? now.to_go_g : none, room[1]),
        grams(now.open ? now.in_cup_g : none, room[2]),
        grams(now.open ? now.landing_g : none, room[3]),
        now.open ? cues[b->batch->state == BATCH_OVER ? MIX_CUE_OVER : b->cue] : "null",
        b->settle.settled ? "true" : "false",
    };
    size_t len = fill(weight_form, word, text);
    hub_publish_text(&b->daemon->hub, b->config->name, HUB_WEIGHT, text, len);
}

/* The scale's row and the screen say the same state at the same time. */
void bench_note_scale(struct bench *b)
{
    if (watched(b))
        hub_publish(&b->daemon->hub, b->config->name, HUB_SCALE, bench_scale(b));
    /* A scale that has just come back sends its reading right behind; the old one must not look live till then. */
    if (b->scale != PORT_LIVE || b->limit)
        bench_publish_weight(b);
    bench_publish_screen(b);
}

void bench_settings_changed(struct daemon *d)
{
    d->settings++;
    for (size_t i = 0; i < d->config.station_count; i++)
        if (d->bench[i] && !d->bench[i]->closing)
            bench_publish_screen(d->bench[i]);
}

/* A name and no right. Everybody who watches sees it. */
void bench_sign(struct bench *b, const char *painter)
{
    utf8_copy(b->signed_in, sizeof b->signed_in, painter ? painter : "");
    if (!b->closing)
        bench_publish_screen(b);
}
