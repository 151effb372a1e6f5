/* seeking.c - finding out what an open port speaks: does what seek.h says, shows the bytes to guess.h, and takes what
 * is believed. It knows no family by name. */
#include "drivers/port_own.h"

#include <stdio.h>
#include <string.h>

/* QUICK_MS: a turn of the loop for the old descriptor to go. STAY_MOST: a step lasts at most four times its time. */
enum { QUICK_MS = 1, STAY_MOST = 3 };

/* For who watches the finding out; a port that closes tells nothing more, as its owner may be gone. */
static void tell(struct port *p, enum port_sought what, const char *families)
{
    const struct port_note note = {
        .what = what,
        .speed = p->trying.speed,
        .frame = p->settings.frame,
        .question = p->trying.spoken,
        .families = families,
        .pass = p->trying.pass,
        .ms = p->trying.ms,
    };
    if (p->events.sought && p->step != CLOSING)
        p->events.sought(p->owner, &note);
}

/* The next step; what it needs of the port goes into the settings, for the next opening. */
static bool choose(struct port *p)
{
    bool over;
    p->trying = seek_next(&p->seek, &over);
    p->settings.speed = p->trying.speed;
    snprintf(p->settings.frame, sizeof p->settings.frame, "8N1");
    return over;
}

/* False: no memory for the guess; without one nothing could be found out. */
bool seeking_begin(struct port *p)
{
    p->guess = guess_create();
    seek_init(&p->seek, p->transport == &transport_serial, p->settings.may_ask, p->settings.speed);
    choose(p);
    return p->guess != NULL;
}

/* ENQ alone is answered with ACK and wants an answer to that (scale.h, ask_next). */
static void ask(struct port *p)
{
    p->echo = 0;
    p->heard_asked = guess_heard(p->guess);
    p->asked = strcmp(p->trying.question, "\5") == 0;
    port_say(p, p->trying.question, strlen(p->trying.question));
}

static void on_ask_again(uv_timer_t *timer)
{
    ask(timer->data);
}

/* The time of a step is up: stay, tell a tie, or go on to the next settings. */
static void step_over(uv_timer_t *timer);

/* A scale that weighs once a second has not said three frames by now: where one was whole, hear it out. */
static bool stay(struct port *p)
{
    if (p->step != OPEN || guess_frames(p->guess) == 0 || p->stayed >= STAY_MOST)
        return false;
    p->stayed++;
    uv_timer_start(&p->stale, step_over, p->trying.ms, 0);
    return true;
}

static void step_over(uv_timer_t *timer)
{
    struct port *p = timer->data;
    const struct scale_family *family = NULL;
    char names[GUESS_NAMES];
    if (guess_result(p->guess, &family) == GUESS_NOTHING && stay(p))
        return;
    if (guess_result(p->guess, &family) == GUESS_TIE) {
        guess_names(p->guess, names);
        bool told = p->tie_told;
        p->tie_told = true;
        port_change(p, PORT_SEEKING, say("port_tie families=%s", names));
        if (!told)
            tell(p, PORT_SOUGHT_TIE, names);
        if (p->step == OPEN)
            seeking_listen(p); /* stay: a weight that moves may yet tell them apart */
        return;
    }
    p->tie_told = false;
    p->round_heard = p->round_heard || guess_heard(p->guess) > 0;
    if (!p->trying.question && guess_clean(p->guess))
        seek_heard_clean(&p->seek);
    int before = p->trying.speed;
    if (choose(p)) {
        tell(p, p->round_heard ? PORT_SOUGHT_NOISE : PORT_SOUGHT_NOTHING, "");
        p->round_heard = false;
    }
    if (p->step != OPEN)
        return;
    if (p->trying.speed == before) {
        seeking_listen(p);
        return;
    }
    port_drop(p);
    port_open_later(p, QUICK_MS);
}

/* What a person reads meanwhile. Four codes, since a slot is no word. */
static struct said trying(const struct port *p)
{
    const struct seek_step *now = &p->trying;
    if (now->speed && now->question)
        return say("port_seeking_speed_asked speed=%d question=%s", now->speed, now->spoken);
    if (now->question)
        return say("port_seeking_asked question=%s", now->spoken);
    return now->speed ? say("port_seeking_speed speed=%d", now->speed) : say("port_seeking");
}

/* One turn at one speed with one question, or with none. Where two families stay alike the turn is not told again: the
 * person knows, and only a weight that moves can part them. */
void seeking_listen(struct port *p)
{
    guess_reset(p->guess);
    p->stayed = 0;
    uv_timer_stop(&p->ask);
    uv_timer_start(&p->stale, step_over, p->trying.ms, 0);
    if (!p->tie_told) {
        port_change(p, PORT_SEEKING, trying(p));
        tell(p, PORT_SOUGHT_TRYING, "");
    }
    if (p->step == OPEN && p->trying.question)
        ask(p);
}

/* Speaks it from now on. True: the port is open as it should be, and can be listened to at once. */
static bool found(struct port *p, const struct scale_family *family)
{
    const struct scale_reading *sample = guess_sample(p->guess);
    const char *frame = guess_frame(p->guess);
    bool reopen = p->transport == &transport_serial && strcmp(frame, p->settings.frame) != 0;
    snprintf(p->settings.frame, sizeof p->settings.frame, "%s", frame);
    snprintf(p->settings.profile, sizeof p->settings.profile, "%.47s", family->name);
    p->found_out = true;
    p->found_poll = p->trying.question && p->settings.poll_len == 0;
    if (p->found_poll) {
        p->settings.poll_len = strlen(p->trying.question);
        memcpy(p->settings.poll, p->trying.question, p->settings.poll_len);
    }
    if (sample) {
        memcpy(p->digits, sample->digits, sizeof p->digits);
        p->unit = sample->unit;
    }
    guess_destroy(p->guess);
    p->guess = NULL;
    p->family = family;
    uv_timer_stop(&p->ask);
    framer_init(&p->framer, family, p->settings.unit, true);
    tell(p, PORT_SOUGHT_FOUND, family->name);
    if (p->step != OPEN || !reopen)
        return p->step == OPEN;
    port_drop(p);
    port_open_later(p, QUICK_MS);
    return false;
}

/* Takes the local echo of the question off the front: it is no answer, and would break the row. */
static size_t skip_echo(struct port *p, const uint8_t *bytes, size_t len)
{
    const char *question = p->trying.question;
    size_t n = 0;
    if (!question || p->echo == SIZE_MAX)
        return 0;
    while (n < len && question[p->echo] && (bytes[n] & 0x7f) == question[p->echo]) {
        n++;
        p->echo++;
    }
    if (question[p->echo] == '\0') {
        p->echo = SIZE_MAX;
        return n;
    }
    if (n == len)
        return n; /* may go on in the next chunk */
    /* An answer that begins as the question did: give back what was held. */
    size_t held = p->echo - n;
    p->echo = SIZE_MAX;
    guess_push(p->guess, (const uint8_t *)question, held);
    return 0;
}

bool seeking_take(struct port *p, const uint8_t *bytes, size_t len)
{
    static const char go_on[] = "\x11";
    const struct scale_family *family = NULL;
    size_t echo = skip_echo(p, bytes, len);
    bytes += echo;
    len -= echo;
    if (p->asked && memchr(bytes, 0x06, len)) {
        p->asked = false;
        port_say(p, go_on, strlen(go_on));
    }
    guess_push(p->guess, bytes, len);
    /* Again after any answer, a whole frame or not: of many families the first is dropped, as it may be a tail. */
    if (guess_result(p->guess, &family) == GUESS_FOUND)
        return found(p, family);
    if (p->trying.question && guess_heard(p->guess) > p->heard_asked && !uv_is_active((uv_handle_t *)&p->ask))
        uv_timer_start(&p->ask, on_ask_again, SEEK_ASK_AGAIN_MS, 0);
    return false;
}

/* What was found is given up, with the question that came with it; one that the file set stays. */
void seeking_again(struct port *p)
{
    if (!seeking_begin(p))
        return; /* no memory: it stays as it was */
    p->family = NULL;
    snprintf(p->settings.profile, sizeof p->settings.profile, "auto");
    if (p->found_poll)
        p->settings.poll_len = 0;
    p->found_out = p->found_poll = p->tie_told = p->round_heard = false;
    port_drop(p);
    port_open_later(p, QUICK_MS);
    port_change(p, PORT_SEEKING, say("port_seeking"));
}
