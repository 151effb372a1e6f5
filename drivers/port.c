/* port.c - a port's life from create to close, and its public face. Opening is in opening.c, listening in listen.c. */
#include "drivers/port_own.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Opens nothing yet: the first try runs from the loop, so that its owner has the port before the first event of it.
 * NULL: settings that port_settings_fault refuses, or no memory. */
struct port *port_create(uv_loop_t *loop, const struct port_settings *settings, const struct port_events *events,
                         void *owner)
{
    struct port *p = port_settings_fault(settings).code[0] ? NULL : calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->loop = loop;
    p->settings = *settings;
    p->events = *events;
    p->owner = owner;
    p->family = port_family_of(settings);
    p->transport = transport_find(settings->port);
    p->open = port_open;
    p->channel.fd = -1;
    p->state = PORT_ABSENT;
    p->backoff_ms = PORT_BACKOFF_FIRST_MS;
    p->why = say("port_not_opened");
    if (p->family) {
        framer_init(&p->framer, p->family, settings->unit, true);
    } else if (!seeking_begin(p)) {
        free(p);
        return NULL;
    }
    uv_timer_init(loop, &p->turn);
    uv_timer_init(loop, &p->stale);
    uv_timer_init(loop, &p->ask);
    uv_timer_init(loop, &p->quiet);
    p->turn.data = p->stale.data = p->ask.data = p->quiet.data = p;
    p->handles = 4;
    port_open_later(p, 0);
    return p;
}

/* The last of its four timers frees the port. */
static void on_closed(uv_handle_t *handle)
{
    port_handle_back(handle->data);
}

/* The timers go now, the descriptor has gone in port_drop(); the memory goes with the last callback of them all. */
void port_close(struct port *port, void (*closed)(void *owner))
{
    if (!port || port->step == CLOSING)
        return;
    port_drop(port);
    port_forget_far_ends(port);
    port->step = CLOSING;
    port->closed = closed;
    if (port->looking)
        uv_cancel((uv_req_t *)&port->lookup);
    uv_close((uv_handle_t *)&port->turn, on_closed);
    uv_close((uv_handle_t *)&port->stale, on_closed);
    uv_close((uv_handle_t *)&port->ask, on_closed);
    uv_close((uv_handle_t *)&port->quiet, on_closed);
}

enum port_state port_state(const struct port *port)
{
    return port->state;
}

/* In the order of enum port_state; a protocol has the same words. */
__attribute__((hot)) const char *port_state_name(enum port_state state)
{
    static const char *const names[] = {"live", "stale", "absent", "seeking"};
    return (size_t)state < sizeof names / sizeof *names ? names[state] : "absent";
}

const struct said *port_why(const struct port *port)
{
    return &port->why;
}

/* The help of the same code with the same slots; a code without help gives an empty said. */
struct said port_mend(const struct said *why)
{
    struct said fix = *why;
    int n = snprintf(fix.code, sizeof fix.code, "%s.help", why->code);
    return n > 0 && (size_t)n < sizeof fix.code && words_find(fix.code) ? fix : (struct said){.used = 0};
}

/* As one sentence: in English the second half begins small, which no German noun would stand. */
const char *port_words(const struct said *why, enum words_language language, char *out, size_t size)
{
    char what[SAID_TEXT_MAX], fix[SAID_TEXT_MAX];
    said_text(why, language, NULL, what, sizeof what);
    said_part(why, "help", language, NULL, fix, sizeof fix);
    size_t len = strlen(fix);
    if (len > 1 && fix[len - 1] == '.')
        fix[len - 1] = '\0';
    if (language == WORDS_EN && len > 1)
        fix[0] = (char)tolower((unsigned char)fix[0]);
    snprintf(out, size, "%s%s%s", what, fix[0] ? ": " : "", fix);
    return out;
}

/* Why it is seeking or stale, as a word for programs; "" where the state says all. */
const char *port_cause(const struct port *port)
{
    if (port->state == PORT_SEEKING)
        return port->tie_told ? "tie" : "trying";
    if (port->state != PORT_STALE)
        return "";
    return port->strange_told ? "strange" : port->tare_said ? "tare" : "silent";
}

/* While it is being found out there is no family yet. */
const char *port_profile(const struct port *port)
{
    return port->family ? port->family->name : "auto";
}

const struct port_settings *port_settings(const struct port *port)
{
    return &port->settings;
}

const uint8_t *port_strange(const struct port *port, size_t *len)
{
    *len = port->state == PORT_LIVE ? 0 : port->strange_len;
    return port->strange;
}

uint64_t port_frames(const struct port *port)
{
    return port->framer.frames;
}

uint64_t port_refused(const struct port *port)
{
    return port->framer.refused;
}

uint64_t port_skipped(const struct port *port)
{
    return port->framer.skipped;
}
