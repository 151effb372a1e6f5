/* listen.c - bytes to frames to readings, and the second of silence that makes a scale stale. */
#include "drivers/port_own.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum {
    STALE_MS = 1000,
    /* Between a frame and the byte that closes it: a byte takes 17 ms at 600 baud, a USB adapter holds it for 16 ms
     * (common practice, no source). */
    QUIET_MS = 100,
    BROKEN_MS = 500, /* no frame pauses so long: a plug was pulled and put in again between its halves */
    /* Of our own process: stopped, swapped out, or a laptop that was suspended. A timer that is so late tells of it. */
    AWAY_MS = 500,
    WAKE_MS = 300, /* what waited in the driver, or on its way from a network adapter, has come by then */
    POLL_MS = 200,
    POLL_LEAST_MS = 20,
    READ_BYTES = 1024, /* a few frames; more would spread each reading's way over more pages of the stack */
    READS_A_WAKE = 16, /* a flood waits for the loop's other work after so many reads */
    EMPTY_WAKES = 3,   /* a terminal that wakes us so often with nothing to read is gone */
    ACK = 0x06
};

/* What comes and is not believed. A scale whose menu was changed, or a slip in the configuration, is told by name. */
static struct said strange(const struct port *p)
{
    char names[GUESS_NAMES];
    if (!guess_bytes(p->strange, p->strange_len, names))
        return say("port_strange family=%s", p->family->name);
    if (strchr(names, ','))
        return say("port_strange_tie family=%s families=%s", p->family->name, names);
    return say("port_strange_other family=%s other=%s", p->family->name, names);
}

/* Where the family was found out and another one is heard now, the scale was changed for another: true, and it is found
 * out anew. */
static bool is_another_scale(struct port *p)
{
    char names[GUESS_NAMES];
    if (!p->found_out || !guess_bytes(p->strange, p->strange_len, names) || strchr(names, ','))
        return false;
    seeking_again(p);
    return p->family == NULL;
}

/* Keeps the first bytes that nobody believes; when there are enough of them the words may become better. */
static void keep_strange(struct port *p, const uint8_t *bytes, size_t len)
{
    size_t room = sizeof p->strange - p->strange_len, n = len < room ? len : room;
    if (p->state == PORT_LIVE || n == 0)
        return;
    memcpy(p->strange + p->strange_len, bytes, n);
    p->strange_len += n;
    if (p->strange_len < sizeof p->strange || p->state != PORT_STALE || is_another_scale(p))
        return;
    p->strange_told = true;
    port_change(p, PORT_STALE, strange(p));
}

/* The loop's clock stands still while the machine is suspended; this one goes on. */
static uint64_t boot_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_BOOTTIME, &t);
    return (uint64_t)t.tv_sec * 1000 + (uint64_t)t.tv_nsec / 1000000;
}

static void on_stale(uv_timer_t *timer);

static void look_after(struct port *p, uint64_t ms)
{
    p->beat_at = boot_ms() + ms;
    uv_timer_start(&p->stale, on_stale, ms, 0);
}

/* We were away, not the scale: its second of silence begins anew. What it said meanwhile is thrown away, since a driver
 * keeps the oldest bytes and nobody knows their age. True: so it was. */
__attribute__((hot)) static bool late(struct port *p)
{
    if (p->state != PORT_LIVE || boot_ms() < p->beat_at + AWAY_MS)
        return false;
    p->valid_at = uv_now(p->loop);
    p->deaf_until = p->valid_at + WAKE_MS;
    framer_break(&p->framer);
    look_after(p, STALE_MS);
    return true;
}

/* The timer runs on while frames come and looks at the time itself: to restart it per frame cost more. */
static void on_stale(uv_timer_t *timer)
{
    struct port *p = timer->data;
    if (late(p))
        return;
    uint64_t age = uv_now(p->loop) - p->valid_at;
    if (age < STALE_MS) {
        look_after(p, STALE_MS - age);
        return;
    }
    if (p->heard > 0 && is_another_scale(p))
        return;
    p->strange_told = p->heard > 0;
    port_change(p, PORT_STALE, p->strange_told ? strange(p) : p->tare_said ? say("port_tare") : say("port_silent"));
}

__attribute__((hot)) static void on_frame(void *arg, const struct scale_reading *reading, const uint8_t *frame,
                                          size_t len)
{
    struct port *p = arg;
    if (p->step != OPEN)
        return; /* closed by the callback of the frame before */
    p->heard = p->strange_len = 0;
    p->tare_said = reading->kind == SCALE_KIND_TARE;
    p->backoff_ms = PORT_BACKOFF_FIRST_MS;
    if (p->tare_said) { /* a tare is no load: it keeps no older weight live */
        if (p->state == PORT_STALE)
            port_change(p, PORT_STALE, say("port_tare"));
        return;
    }
    p->valid_at = p->heard_at; /* no later than that, wherever the frame was closed by what came after it */
    if (reading->digits[0]) {
        memcpy(p->digits, reading->digits, sizeof p->digits);
        p->unit = reading->unit;
    }
    if (p->state != PORT_LIVE && !uv_is_active((uv_handle_t *)&p->stale)) /* while live it runs */
        look_after(p, STALE_MS);
    if (p->state != PORT_LIVE || !p->told)
        port_change(p, PORT_LIVE, (struct said){.used = 0});
    if (p->step != OPEN)
        return;
    struct scale_reading stamped = *reading;
    stamped.at_ms = p->valid_at;
    p->events.reading(p->owner, &stamped, frame, len);
}

/* A question may be lost; the next follows, so none is repeated and no answer is waited for. */
static void on_ask(uv_timer_t *timer)
{
    struct port *p = timer->data;
    p->asked = p->family->ask_next != NULL;
    port_say(p, p->settings.poll, p->settings.poll_len);
}

/* A frame that waits for its last byte is as old as the silence. */
static void on_quiet(uv_timer_t *timer)
{
    struct port *p = timer->data;
    framer_quiet(&p->framer, on_frame, p);
}

/* One chunk. Any callback may close the port, so `step` is looked at again after each. */
static void take(struct port *p, const uint8_t *bytes, size_t len)
{
    if (p->events.bytes)
        p->events.bytes(p->owner, bytes, len, uv_now(p->loop));
    if (p->step != OPEN)
        return;
    if (!p->family) {
        if (seeking_take(p, bytes, len))
            port_listen(p);
        return;
    }
    late(p);
    if (uv_now(p->loop) < p->deaf_until) {
        p->heard_at = uv_now(p->loop);
        framer_break(&p->framer); /* the frame that is cut by the end of this is no frame */
        return;
    }
    if (p->asked && memchr(bytes, ACK, len)) {
        p->asked = false;
        port_say(p, p->family->ask_next, strlen(p->family->ask_next));
    }
    p->heard += len;
    if (uv_now(p->loop) - p->heard_at >= BROKEN_MS)
        framer_break(&p->framer);
    p->heard_at = uv_now(p->loop);
    uint8_t frame[SCALE_FRAME_MAX];
    if (p->transport->convert) {
        len = p->transport->convert(&p->channel, bytes, len, frame, sizeof frame);
        bytes = frame;
    }
    framer_push(&p->framer, bytes, len, on_frame, p);
    if (p->step == OPEN && p->framer.len > 0 && framer_waits(&p->framer))
        uv_timer_start(&p->quiet, on_quiet, QUIET_MS, 0);
    if (p->step == OPEN && p->heard > 0)
        keep_strange(p, bytes, len);
}

/* read() said 0: the end of a stream; of a terminal also that it has run dry, or that the cable was pulled. */
static void nothing_read(struct port *p)
{
    struct pollfd now = {.fd = p->channel.fd, .events = POLLIN};
    int ready = poll(&now, 1, 0);
    bool hung = ready > 0 && (now.revents & (POLLHUP | POLLERR | POLLNVAL));
    if (p->transport->zero_is_gone)
        port_lose(p, say("port_closed_there"));
    else if (hung || ++p->empty_wakes >= EMPTY_WAKES)
        port_lose(p, say("port_gone"));
}

__attribute__((hot)) void port_read(struct port *p)
{
    uint8_t bytes[READ_BYTES];
    for (int i = 0; i < READS_A_WAKE && p->channel.fd >= 0; i++) {
        ssize_t n = read(p->channel.fd, bytes, sizeof bytes);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK))
            return;
        if (n < 0) {
            port_lose(p, errno == ECONNRESET ? say("port_broken_there") : say("port_gone"));
            return;
        }
        if (n == 0) {
            if (i == 0)
                nothing_read(p);
            return;
        }
        p->empty_wakes = 0;
        if (p->step == OPEN)
            take(p, bytes, (size_t)n);
        /* Less than was asked for: there is no more now, and the poll wakes again when there is. */
        if ((size_t)n < sizeof bytes)
            return;
    }
}

/* The framer begins anew but the counts go on: they are of the port since it was created. */
void port_listen(struct port *p)
{
    p->step = OPEN;
    p->valid_at = uv_now(p->loop);
    p->empty_wakes = 0;
    p->heard = p->strange_len = 0;
    p->asked = p->tare_said = false;
    if (!p->family) {
        seeking_listen(p);
        return;
    }
    uint64_t frames = p->framer.frames, refused = p->framer.refused, skipped = p->framer.skipped;
    framer_init(&p->framer, p->family, p->settings.unit, true);
    p->framer.frames = frames;
    p->framer.refused = refused;
    p->framer.skipped = skipped;
    p->deaf_until = 0;
    look_after(p, STALE_MS);
    if (p->settings.poll_len) {
        unsigned every = p->settings.poll_ms > POLL_LEAST_MS ? (unsigned)p->settings.poll_ms : POLL_LEAST_MS;
        uv_timer_start(&p->ask, on_ask, 0, p->settings.poll_ms ? every : POLL_MS);
    }
}
