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

/* FNV-1a, 64 bits. */
static int add_to_hash(const char *text, size_t len, void *hash)
{
    uint64_t h;
    memcpy(&h, hash, sizeof h);
    for (size_t i = 0; i < len; i++)
        h = (h ^ (unsigned char)text[i]) * UINT64_C(1099511628211);
    memcpy(hash, &h, sizeof h);
    return 0;
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

/* Over what is told, not over what it was made of: a screen is sent where a person would see another one. */
uint64_t front_live_hash(const json_t *screen)
{
    static const char *const live[] = {"next", "moves", "trouble", "said", "cautions"};
    uint64_t hash = HASH_BASIS;
    for (size_t i = 0; i < sizeof live / sizeof *live; i++)
        json_dump_callback(json_object_get(screen, live[i]), add_to_hash, &hash, JSON_COMPACT | JSON_ENCODE_ANY);
    const json_t *life = json_object_get(screen, "pot_life");
    json_dump_callback(json_object_get(life, "from"), add_to_hash, &hash, JSON_ENCODE_ANY);
    json_dump_callback(json_object_get(life, "until"), add_to_hash, &hash, JSON_ENCODE_ANY);
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
