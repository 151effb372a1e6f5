#include "client/screen/trouble.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum {
    LINE_ROOM = 72, /* columns of a reason on a page of 80 */
    HAND_ROOM = 52, /* columns of what the hand must do, beside `0 other pages` */
};

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

/* What the daemon says of a scale, `what is wrong: what mends it`, in its two halves. The port's path is left out: a
 * line has no room for it, and the page of scales shows it. */
struct why {
    char what[BENCH_TEXT]; /* "": nothing was said */
    char mend[BENCH_TEXT]; /* "": no mend was named */
};

static void split(const char *text, struct why *why)
{
    size_t n = 0;
    const char *colon = strstr(text, ": ");
    snprintf(why->mend, sizeof why->mend, "%s", colon ? colon + 2 : "");
    for (const char *end = colon ? colon : text + strlen(text); text < end && n + 10 < sizeof why->what;) {
        size_t path = *text == '/' && (n == 0 || why->what[n - 1] == ' ') ? strcspn(text, " ,:)") : 0;
        if (path) {
            n += (size_t)snprintf(why->what + n, sizeof why->what - n, "its port");
            text += path;
        } else {
            why->what[n++] = *text++;
        }
    }
    why->what[n] = '\0';
}

/* `LEAD: what.` where a page of 80 columns has room for it, else the second half below. */
static void say_what(struct trouble *t, const char *lead, const struct why *why)
{
    if (strlen(lead) + strlen(why->what) + 3 <= LINE_ROOM) {
        snprintf(t->reason, sizeof t->reason, "%.80s: %.80s.", lead, why->what);
        return;
    }
    snprintf(t->reason, sizeof t->reason, "%.80s.", lead);
    snprintf(t->detail, sizeof t->detail, "%.150s.", why->what);
    capital(t->detail);
}

static void say_by_hand(struct trouble *t, const struct why *why, const char *otherwise)
{
    size_t len = strlen(why->mend);
    bool told = len > 0 && len < HAND_ROOM;
    bench_copy(t->by_hand, sizeof t->by_hand,
               told  ? why->mend
               : len ? "the page of scales tells what mends it"
                     : otherwise);
}

static const char *stop(const struct model *m)
{
    return m->bench.state == BENCH_POUR ? "Stop pouring. " : "";
}

static void stale(const struct model *m, struct moment now, struct trouble *t)
{
    struct why why;
    char lead[80], for_s[40] = "";
    long long seconds = m->weight.known ? (now.ms - m->weight.at_ms) / 1000 : 0;
    t->kind = TROUBLE_STALE;
    last_weight(m, now, t->last, sizeof t->last);
    if (m->weight.known)
        snprintf(for_s, sizeof for_s, " for %lld s", seconds);
    if (strcmp(m->scale_cause, "strange") == 0) {
        split(m->scale_why, &why);
        snprintf(lead, sizeof lead, "%sNo weight%s", stop(m), for_s);
        say_what(t, lead, &why);
        say_by_hand(t, &why, "check profile and speed");
        return;
    }
    snprintf(t->reason, sizeof t->reason, "%sThe scale has sent nothing%s.", stop(m), for_s[0] ? for_s : " yet");
    bench_copy(t->by_hand, sizeof t->by_hand, "is it on, its cable in?");
}

static void absent(const struct model *m, struct moment now, struct trouble *t)
{
    struct why why;
    char at[16], lead[80];
    t->kind = TROUBLE_ABSENT;
    words_clock(m->scale_since_s, false, at, sizeof at);
    last_weight(m, now, t->last, sizeof t->last);
    split(m->scale_why[0] ? m->scale_why : "the port is gone: look at the cable and the plug", &why);
    snprintf(lead, sizeof lead, "%sNo scale since %s", stop(m), at);
    say_what(t, lead, &why);
    say_by_hand(t, &why, "look at the cable and the plug");
}

/* What is tried, or what several families read alike. */
static void seeking(const struct model *m, struct trouble *t)
{
    struct why why;
    t->kind = TROUBLE_SEEKING;
    split(m->scale_why, &why);
    if (strcmp(m->scale_cause, "tie") == 0) {
        snprintf(t->reason, sizeof t->reason, "%s%.150s.", stop(m), why.what);
        capital(t->reason + strlen(stop(m)));
        say_by_hand(t, &why, "wait");
        return;
    }
    /* Behind the colon stands what is tried, if anything. */
    snprintf(t->reason, sizeof t->reason, "%sFinding out what the scale speaks%s%.100s.", stop(m),
             why.mend[0] ? ": " : "", why.mend);
    bench_copy(t->by_hand, sizeof t->by_hand, "wait");
}

static void lost(struct trouble *t)
{
    t->kind = TROUBLE_LOST;
    bench_copy(t->reason, sizeof t->reason, "This screen has lost Poise. What was accepted is kept.");
    bench_copy(t->detail, sizeof t->detail, "Read the scale's own display.");
    bench_copy(t->by_hand, sizeof t->by_hand, "wait, it tries again every 2 s");
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
