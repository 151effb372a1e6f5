/* live.c - what may change on a screen between two acts, told cheaply: by each reading, and by the clock.
 *
 * A screen costs some hundred times as much as a weight, so one is made only where its foot line, moves or trouble can
 * differ from the last one's. Here stands from what they follow; what they say is next.c, moves.c and trouble.c. It
 * must not know who watches, nor when a screen is sent.
 */
#include "front/front.h"

#include <math.h>
#include <string.h>

#define HASH_BASIS UINT64_C(14695981039346656037)
#define CUP_UG     1000000 /* less than 1 g is no cup; as next.c and decide_accept.c have it */

/* The first microgram beyond g: marks are compared with >=. */
static void add_mark(struct front_marks *m, double g)
{
    if (m->count < FRONT_MARKS)
        m->ug[m->count++] = (int64_t)floor(g * 1e6) + 1;
}

/* Of a scale with two intervals both halves count, whichever holds at this load: a mark too many costs one look. */
void front_marks(const struct batch *b, double d_g, double d2_g, struct front_marks *m)
{
    m->count = 0;
    if (!b || b->state != BATCH_POUR)
        return;
    const double d[] = {d_g, d2_g, b->set.d_g};
    for (size_t i = 0; i < sizeof d / sizeof *d; i++)
        if (d[i] > 0) {
            add_mark(m, d[i] / 2);                      /* something was poured */
            add_mark(m, -d[i] / 2);                     /* or taken out */
            add_mark(m, d[i] / 2 - b->asked.counted_g); /* the cup holds something of it */
        }
    add_mark(m, decide_uncounted_g(b));
    decide_marks(b, &m->ug[m->count], &m->ug[m->count + 1]);
    m->count += 2;
}

/* Whether foot line or moves show the weight itself, once it stands still. */
__attribute__((hot)) static bool tells_weight(const struct batch *b, enum mix_cue cue)
{
    if (!b || b->state != BATCH_POUR)
        return b && b->state == BATCH_CUP;
    return b->now != NOW_STEP || cue == MIX_CUE_OK || cue == MIX_CUE_OVER;
}

/* A few numbers in place of a screen: what the members that change by themselves depend on. The same key: the same
 * screen, so none is made. */
__attribute__((hot)) void front_key(const struct batch *b, const struct track *t, const struct front_marks *m,
                                    struct front_key *key)
{
    int64_t pour_ug = track_pour_ug(t);
    key->lifted = t->lifted;
    key->weight_ug = key->settled && tells_weight(b, key->cue) ? t->now_ug : 0;
    key->past = (t->now_ug >= CUP_UG ? 1U : 0U) | (t->now_ug <= -CUP_UG ? 2U : 0U);
    for (size_t i = 0; i < m->count; i++)
        if (pour_ug >= m->ug[i])
            key->past |= 4U << i;
}

/* By member: the padding of a struct may differ where nothing else does. */
__attribute__((hot)) bool front_same_key(const struct front_key *a, const struct front_key *b)
{
    return a->cue == b->cue && a->limit == b->limit && a->settled == b->settled && a->lifted == b->lifted &&
           a->past == b->past && a->weight_ug == b->weight_ug && a->in_s == b->in_s && a->waiting == b->waiting;
}

/* ---- hashes ---- */

/* Eight bytes at a step, the step of FNV-1a; the shift brings what the product moved up back down. */
static void add_to_hash(const char *text, size_t len, uint64_t *hash)
{
    uint64_t h = *hash ^ len;
    for (size_t i = 0; i < len; i += 8) {
        uint64_t piece = 0;
        memcpy(&piece, text + i, len - i < 8 ? len - i : 8);
        h = (h ^ piece) * UINT64_C(1099511628211);
        h ^= h >> 29;
    }
    *hash = h;
}

static void add_number(uint64_t *hash, int64_t number)
{
    add_to_hash((const char *)&number, sizeof number, hash);
}

/* Code and slots; the rest of the room means nothing. */
static void add_said(uint64_t *hash, const struct said *s)
{
    add_to_hash(s->code, strlen(s->code), hash);
    add_to_hash(s->room, s->code[0] ? s->used : 0, hash);
}

/* By value, without a text of it: that took as long as the rest of the screen. */
static void add_json(uint64_t *hash, const json_t *json)
{
    json_t *object = (json_t *)(uintptr_t)json; /* it is only walked */
    add_number(hash, json ? (int64_t)json_typeof(json) : -1);
    for (void *at = json_object_iter(object); at; at = json_object_iter_next(object, at)) {
        const char *name = json_object_iter_key(at);
        add_to_hash(name, strlen(name), hash);
        add_json(hash, json_object_iter_value(at));
    }
    for (size_t i = 0; i < json_array_size(json); i++)
        add_json(hash, json_array_get(json, i));
    if (json_is_string(json))
        add_to_hash(json_string_value(json), json_string_length(json), hash);
    if (json_is_integer(json))
        add_number(hash, json_integer_value(json));
    if (json_is_real(json)) {
        double real = json_real_value(json);
        add_to_hash((const char *)&real, sizeof real, hash);
    }
}

/* Over what is told, not over what it was made of: a screen is sent where a person would see another one. */
uint64_t front_live_hash(const json_t *screen)
{
    static const char *const live[] = {"next", "moves", "trouble", "said", "cautions"};
    uint64_t hash = HASH_BASIS;
    for (size_t i = 0; i < sizeof live / sizeof *live; i++)
        add_json(&hash, json_object_get(screen, live[i]));
    const json_t *life = json_object_get(screen, "pot_life");
    add_json(&hash, json_object_get(life, "from"));
    add_json(&hash, json_object_get(life, "until"));
    return hash;
}

/* All that a screen is made of, but batch, weight and revision. */
uint64_t front_clock_key(const struct front *f)
{
    const struct said *const said[] = {&f->lead, &f->came, &f->failed, &f->due, &f->printing, &f->scale.why};
    struct said pot_life = {.used = 0};
    struct front_trouble trouble;
    uint64_t hash = HASH_BASIS;
    bool news = false;
    for (size_t i = 0; i < sizeof said / sizeof said[0]; i++)
        add_said(&hash, said[i]);
    if (front_pot_life(f, &pot_life, &news))
        add_said(&hash, &pot_life);
    add_number(&hash, news);
    add_number(&hash, f->use_by_ms);
    add_number(&hash, f->waiting);
    if (front_trouble(f, &trouble))
        add_to_hash(trouble.code, strlen(trouble.code), &hash);
    return hash;
}
