/* loop.c - the loop of the screen: socket and keys in, model, page out. It decides nothing itself. */
#include "client/screen/screen.h"

#include "client/ask.h"
#include "client/failure.h"
#include "client/options.h"
#include "client/screen/act.h"
#include "client/screen/moment.h"
#include "client/screen/page.h"
#include "client/screen/term.h"
#include "client/socket.h"

#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

enum { FLYING = 24, RETRY_MS = 2000, LOOK_MS = 100 };

struct flight {
    json_int_t id;
    struct call call; /* its params are those of a move, kept to be sent again; else NULL */
};

struct session {
    struct poise_options opt; /* our own copy, with the station meant */
    struct poise_socket socket;
    struct term term;
    struct model *m;
    struct grid *grid;
    struct calls calls;
    struct flight flying[FLYING];
    size_t n_flying;
    struct call pending; /* a move that a broken link left without an answer */
    bool has_pending;
    int64_t retry_ms;
    char request[REQUEST_SIZE];
};

/* A move that the broken link left without an answer, or unsent, waits to be sent again; other calls are forgotten. */
static void keep_move(struct session *s, struct call call)
{
    if (call.kind == CALL_MOVE && !s->has_pending) {
        s->pending = call;
        s->has_pending = true;
    } else {
        json_decref(call.params);
    }
}

static void lose(struct session *s, struct moment now)
{
    struct call call;
    socket_close(&s->socket);
    s->m->linked = false;
    s->retry_ms = now.ms + RETRY_MS;
    for (size_t i = 0; i < s->n_flying; i++)
        keep_move(s, s->flying[i].call);
    s->n_flying = 0;
    while (calls_take(&s->calls, &call))
        keep_move(s, call);
}

static void send_call(struct session *s, struct call call, struct moment now)
{
    struct flight *f = &s->flying[s->n_flying];
    json_t *params = call.kind == CALL_MOVE ? json_deep_copy(call.params) : json_incref(call.params);
    if (call.kind != CALL_MOVE) {
        json_decref(call.params);
        call.params = NULL;
    }
    f->call = call;
    s->n_flying++; /* before it is sent: a link that breaks under it keeps the move */
    if (socket_send(&s->socket, call.method, params, &f->id) != SOCKET_OK)
        lose(s, now);
}

static void send_all(struct session *s, struct moment now)
{
    struct call call;
    while (s->m->linked && s->n_flying < FLYING && calls_take(&s->calls, &call))
        send_call(s, call, now);
}

static void ask_all(struct session *s)
{
    calls_read(&s->calls, s->m, CALL_INFO);
    calls_read(&s->calls, s->m, CALL_SCALES);
    calls_read(&s->calls, s->m, CALL_TODAY);
}

static void try_link(struct session *s, struct moment now)
{
    if (s->m->linked || now.ms < s->retry_ms)
        return;
    s->retry_ms = now.ms + RETRY_MS;
    if (!socket_open(&s->socket, s->opt.socket))
        return;
    s->m->linked = s->m->relinked = true;
    calls_read(&s->calls, s->m, CALL_WATCH);
    ask_all(s);
    if (s->has_pending) {
        s->has_pending = false;
        send_call(s, s->pending, now);
    }
}

/* A move with a new request, unless the system has no randomness to make one. */
static bool act(struct session *s, struct move move, struct moment now)
{
    char request[REQUEST_SIZE];
    if (move.act == ACT_CALL) {
        if (!request_make(request, s->request)) {
            model_say(s->m, true, model_word(s->m, "page.no_request"));
            return true;
        }
        memcpy(s->request, request, sizeof request);
    }
    return act_do(s->m, move, now, s->request, &s->calls);
}

static void take_note(struct session *s, const char *method, json_t *params, struct moment now)
{
    struct model *m = s->m;
    if (strcmp(method, "weight") == 0) {
        model_weight(m, params, now);
    } else if (strcmp(method, "scale") == 0) {
        model_scale(m, params, now);
    } else if (strcmp(method, "screen") == 0) {
        int64_t revision = m->bench.revision;
        enum bench_state state = m->bench.state;
        if (model_screen(m, params, now) && (m->bench.revision != revision || m->bench.state != state))
            calls_after_screen(&s->calls, m);
    }
}

static void take_answer(struct session *s, const json_t *message, struct moment now)
{
    json_int_t id = json_integer_value(json_object_get(message, "id"));
    for (size_t i = 0; i < s->n_flying; i++) {
        if (s->flying[i].id != id)
            continue;
        struct call call = s->flying[i].call;
        s->flying[i] = s->flying[--s->n_flying];
        calls_answer(&s->calls, s->m, &call, json_object_get(message, "result"), json_object_get(message, "error"),
                     now);
        json_decref(call.params);
        return;
    }
}

static void take_all(struct session *s)
{
    while (s->m->linked) {
        json_t *message = NULL;
        enum socket_outcome outcome = socket_receive(&s->socket, &message, 0);
        struct moment now = moment_now();
        if (outcome == SOCKET_LATE)
            return;
        if (outcome != SOCKET_OK) {
            lose(s, now);
            return;
        }
        const char *method = json_string_value(json_object_get(message, "method"));
        if (method)
            take_note(s, method, json_object_get(message, "params"), now);
        else
            take_answer(s, message, now);
        json_decref(message);
    }
}

static void draw(struct session *s, struct moment now)
{
    int cols, rows;
    term_size(&s->term, &cols, &rows);
    model_tick(s->m, now);
    page_draw(s->m, now, cols, rows, s->grid);
    term_show(&s->term, s->grid);
    if (s->m->bell)
        term_bell(&s->term);
    s->m->bell = false;
}

static void loop(struct session *s)
{
    for (;;) {
        struct moment now = moment_now();
        try_link(s, now);
        send_all(s, now);
        draw(s, now);
        struct pollfd fds[] = {{.fd = STDIN_FILENO, .events = POLLIN}, {.fd = s->socket.fd, .events = POLLIN}};
        (void)poll(fds, s->m->linked ? 2 : 1, LOOK_MS); /* a signal (a resize) ends it early, and is drawn */
        if (fds[0].revents & (POLLHUP | POLLERR | POLLNVAL))
            return; /* the terminal is gone */
        take_all(s);
        struct press press;
        now = moment_now();
        while (term_key(&s->term, &press))
            if (!act(s, keys_move(s->m, press, now), now))
                return;
    }
}

static void finish(struct session *s)
{
    socket_close(&s->socket);
    for (size_t i = 0; i < s->n_flying; i++)
        json_decref(s->flying[i].call.params);
    if (s->has_pending)
        json_decref(s->pending.params);
    calls_finish(&s->calls);
    if (s->m)
        model_finish(s->m);
    free(s->m);
    free(s->grid);
}

/* The link, the bench and its first screen, with the faults that every command has. */
static int begin(struct session *s, struct ask *a, const char *station)
{
    if (station)
        s->opt.station = station;
    json_t *screen = NULL;
    int code = ask_open(a, &s->opt);
    if (code == 0)
        code = ask_station(a);
    if (code == 0)
        code = ask_screen(a, &screen);
    if (code == 0) {
        struct moment now = moment_now();
        model_init(s->m, a->station, s->opt.style.utf8, now);
        model_fix_language(s->m, s->opt.text[OPTION_LANGUAGE]);
        s->m->linked = true;
        model_screen(s->m, screen, now);
        s->socket = a->socket; /* from here on it is ours */
        a->socket = (struct poise_socket){.fd = -1};
        ask_all(s);
        calls_after_screen(&s->calls, s->m);
    }
    json_decref(screen);
    return code;
}

int screen_run(const struct poise_options *opt, const char *station)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return failure_say(opt->style, EX_USAGE, "bench", "no_terminal");
    struct session s = {.opt = *opt, .socket = {.fd = -1}};
    struct ask a = {.socket = {.fd = -1}};
    s.m = calloc(1, sizeof *s.m);
    s.grid = calloc(1, sizeof *s.grid);
    int code = s.m && s.grid ? 0 : EX_OSERR;
    if (code == 0)
        code = begin(&s, &a, station);
    ask_close(&a);
    if (code == 0 && !term_open(&s.term, s.opt.color))
        code = failure_say(opt->style, EX_USAGE, "bench", "terminal_unknown");
    if (code == 0) {
        loop(&s);
        term_close(&s.term);
    }
    finish(&s);
    return code;
}
