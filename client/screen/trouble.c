#include "client/screen/trouble.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void capital(char *c)
{
    if (*c >= 'a' && *c <= 'z')
        *c = (char)(*c - 'a' + 'A');
}

/* `Last weight 52.6 g in cup at 10:42:07.` */
static void last_weight(const struct model *m, struct moment now, char *buf, size_t size)
{
    buf[0] = '\0';
    if (!m->weight.known)
        return;
    if (m->scale == SCALE_ABSENT && now.ms - m->weight.at_ms > FORGET_MS)
        return;
    char g[48], at[16];
    double in_cup = model_in_cup_g(m);
    bool pouring = m->bench.state == BENCH_POUR && isfinite(in_cup);
    words_weight(&m->words, pouring ? in_cup : m->weight.g, g, sizeof g);
    words_clock(m->weight.at_wall_s, true, at, sizeof at);
    snprintf(buf, size, "Last weight %s g%s at %s.", g, pouring ? " in cup" : "", at);
}

static void stale(const struct model *m, struct moment now, struct trouble *t)
{
    t->kind = TROUBLE_STALE;
    int64_t seconds = m->weight.known ? (now.ms - m->weight.at_ms) / 1000 : 0;
    const char *stop = m->bench.state == BENCH_POUR ? "Stop pouring. " : "";
    if (m->weight.known)
        snprintf(t->reason, sizeof t->reason, "%sThe scale has sent nothing for %lld s.", stop, (long long)seconds);
    else
        snprintf(t->reason, sizeof t->reason, "%sThe scale has sent nothing yet.", stop);
    char last[96];
    last_weight(m, now, last, sizeof last);
    snprintf(t->detail, sizeof t->detail, "%s%sLook at its cable.", last, last[0] ? " " : "");
    bench_copy(t->by_hand, sizeof t->by_hand, "plug the scale in again");
}

static void absent(const struct model *m, struct moment now, struct trouble *t)
{
    t->kind = TROUBLE_ABSENT;
    char at[16];
    words_clock(m->scale_since_s, false, at, sizeof at);
    const char *stop = m->bench.state == BENCH_POUR ? "Stop pouring. " : "";
    snprintf(t->reason, sizeof t->reason, "%sThe scale's port is gone since %s.", stop, at);
    char last[96];
    last_weight(m, now, last, sizeof last);
    const char *why = m->scale_why[0] ? m->scale_why : "look at the cable and the plug";
    snprintf(t->detail, sizeof t->detail, "%s%s%.120s.", last, last[0] ? " " : "", why);
    capital(&t->detail[strlen(last) + (last[0] != '\0')]);
    bench_copy(t->by_hand, sizeof t->by_hand, "put the cable in");
}

static void seeking(const struct model *m, struct trouble *t)
{
    t->kind = TROUBLE_SEEKING;
    const char *why = m->scale_why;
    snprintf(t->reason, sizeof t->reason, "Finding out what the scale speaks%s%.120s", why[0] ? ": " : ".", why);
    bench_copy(t->by_hand, sizeof t->by_hand, "wait");
}

static void lost(struct trouble *t)
{
    t->kind = TROUBLE_LOST;
    bench_copy(t->reason, sizeof t->reason, "This screen has lost Poise. What was accepted is kept.");
    bench_copy(t->detail, sizeof t->detail, "Read the scale's own display.");
    bench_copy(t->by_hand, sizeof t->by_hand, "wait: it tries again every 2 s");
}

/* The scale's own state, in the station's words: `too heavy for the scale: take something off`. */
static void limit(const struct model *m, struct trouble *t)
{
    t->kind = TROUBLE_LIMIT;
    const char *why = m->scale_why[0] ? m->scale_why : "the scale gives no weight: look at its own display";
    const char *colon = strstr(why, ": ");
    size_t n = colon ? (size_t)(colon - why) : strlen(why);
    snprintf(t->reason, sizeof t->reason, "%.*s.", (int)(n < 200 ? n : 200), why);
    capital(t->reason);
    bench_copy(t->by_hand, sizeof t->by_hand, colon ? colon + 2 : "look at the scale");
}

static void lifted(const struct model *m, struct trouble *t)
{
    t->kind = TROUBLE_LIFTED;
    char shows[48], before[48];
    words_weight(&m->words, m->weight.g, shows, sizeof shows);
    bench_copy(t->reason, sizeof t->reason, "The cup is off the scale. The count stands.");
    const struct bench_now *n = &m->bench.now;
    if (m->weight.known && isfinite(n->scale_shows_g) && isfinite(n->to_go_g)) {
        words_weight(&m->words, n->scale_shows_g - n->to_go_g, before, sizeof before);
        snprintf(t->detail, sizeof t->detail, "The scale shows %s g; before that it was %s g.", shows, before);
    } else if (m->weight.known) {
        snprintf(t->detail, sizeof t->detail, "The scale shows %s g.", shows);
    }
    bench_copy(t->by_hand, sizeof t->by_hand, "put the cup back");
}

void trouble_of(const struct model *m, struct moment now, struct trouble *t)
{
    memset(t, 0, sizeof *t);
    if (!m->linked)
        lost(t);
    else if (m->scale == SCALE_LIVE && m->weight.none)
        limit(m, t);
    else if (m->scale == SCALE_ABSENT)
        absent(m, now, t);
    else if (m->scale == SCALE_SEEKING)
        seeking(m, t);
    else if (model_life(m, now) == LIFE_DEAD)
        stale(m, now, t);
    else if (m->bench.lifted)
        lifted(m, t);
}
