/* loop.c - the screen at work: socket and keys in, model, page out, until the painter leaves it. It decides nothing
 * itself. With term.c, first.c and once.c this is all of the screen that touches the world. */
#include "client/screen/screen.h"

#include "client/ask.h"
#include "client/options.h"
#include "client/output.h"
#include "client/screen/calls.h"
#include "client/screen/first.h"
#include "client/screen/late.h"
#include "client/screen/learn.h"
#include "client/screen/note.h"
#include "client/screen/redraw.h"
#include "client/screen/scanner.h"
#include "client/screen/term.h"
#include "client/socket.h"
#include "text/utf8.h"

#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <time.h>
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
    struct redraw redraw; /* of the grid */
    struct calls calls;
    struct scanner scanner; /* of bar codes */
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

/* The link has broken: what was asked for is forgotten but for a move, which is sent again with its request once the
 * link is back. So an accept is done once, whether or not its answer was lost. */
static void lose(struct session *s, struct moment now)
{
    struct call call;
    socket_close(&s->socket);
    s->m->linked = false;
    s->redraw.other = true;
    s->retry_ms = now.ms + RETRY_MS;
    for (size_t i = 0; i < s->n_flying; i++)
        keep_move(s, s->flying[i].call);
    s->n_flying = 0;
    while (calls_take(&s->calls, &call))
        keep_move(s, call);
}

/* Params of a move are kept until its answer has come; those of a read are the socket's. */
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

/* As many as may fly at once; the others wait in the queue. */
static void send_all(struct session *s, struct moment now)
{
    struct call call;
    if (s->m->elsewhere && s->m->linked)
        calls_read(&s->calls, s->m, CALL_WATCH);
    s->m->elsewhere = s->m->elsewhere && !s->m->linked;
    while (s->m->linked && s->n_flying < FLYING && calls_take(&s->calls, &call))
        send_call(s, call, now);
}

/* What every page needs and no screen brings: the shop, its scales, the day's batches. */
static void ask_all(struct session *s)
{
    calls_read(&s->calls, s->m, CALL_INFO);
    calls_read(&s->calls, s->m, CALL_SCALES);
    calls_read(&s->calls, s->m, CALL_TODAY);
}

/* Tries again each 2 s. A daemon that came back may begin at a lower revision, so the next screen is taken as it is.
 * */
static void try_link(struct session *s, struct moment now)
{
    if (s->m->linked || now.ms < s->retry_ms)
        return;
    s->retry_ms = now.ms + RETRY_MS;
    if (!socket_open(&s->socket, s->opt.socket))
        return;
    s->m->linked = s->m->relinked = s->redraw.other = true;
    calls_read(&s->calls, s->m, CALL_WATCH);
    ask_all(s);
    if (s->has_pending) {
        s->has_pending = false;
        send_call(s, s->pending, now);
    }
}

/* A new request in s->request. False, and said: the system has no randomness to make one. */
static bool new_request(struct session *s)
{
    char request[REQUEST_SIZE];
    if (!request_make(request, s->request)) {
        model_say(s->m, true, model_word(s->m, "page.no_request"));
        return false;
    }
    memcpy(s->request, request, sizeof request);
    return true;
}

/* A move with a new request, unless the system has no randomness to make one. */
static bool act(struct session *s, struct move move, struct moment now)
{
    if (move.act == ACT_CALL && !new_request(s))
        return true;
    return act_do(s->m, move, now, s->request, &s->calls);
}

/* A weight, as it comes with each frame. In a practice our own bench is watched as well, so there take_note looks whose
 * it is. */
static bool take_weight(void *arg, const char *line, size_t len)
{
    struct session *s = arg;
    struct weighing w;
    if (s->m->home[0] || !note_line(line, len, &w))
        return false;
    model_weigh(s->m, &w, moment_now());
    return true;
}

/* The three notes of a watch. A screen of the same revision and state brings nothing new to read, unless a setting was
 * changed: the shop may speak or write its numbers otherwise from now on. */
static void take_note(struct session *s, const char *method, json_t *params, struct moment now)
{
    struct model *m = s->m;
    const char *station = member_text(params, "station");
    if (station[0] && strcmp(station, m->station) != 0)
        return; /* a practice is watched beside our own bench */
    if (strcmp(method, "weight") == 0) {
        model_weight(m, params, now);
    } else if (strcmp(method, "scale") == 0) {
        model_scale(m, params, now);
    } else if (strcmp(method, "screen") == 0) {
        int64_t revision = m->bench.revision, settings = m->bench.settings;
        enum bench_state state = m->bench.state;
        if (model_screen(m, params, now) && (m->bench.revision != revision || m->bench.state != state))
            calls_after_screen(&s->calls, m);
        if (m->bench.settings != settings)
            calls_read(&s->calls, m, CALL_INFO);
        learn_see(m, now);
    }
}

/* A code that was scanned: its Enter is a key after all only where a field keeps what nothing else knows. */
static void take_scanned(struct session *s, const json_t *found, const json_t *error, struct moment now)
{
    struct press enter = {.kind = PRESS_ENTER};
    if (new_request(s) && !scanned(s->m, found, error, s->request, &s->calls, now))
        act(s, keys_move(s->m, enter, now), now);
}

/* An answer goes to the call that it belongs to; one that nobody waits for is dropped. */
static void take_answer(struct session *s, const json_t *message, struct moment now)
{
    json_int_t id = json_integer_value(json_object_get(message, "id"));
    for (size_t i = 0; i < s->n_flying; i++) {
        if (s->flying[i].id != id)
            continue;
        struct call call = s->flying[i].call;
        s->flying[i] = s->flying[--s->n_flying];
        const json_t *error = json_object_get(message, "error");
        if (call.kind == CALL_SCAN)
            take_scanned(s, json_object_get(message, "result"), error, now);
        else
            calls_answer(&s->calls, s->m, &call, json_object_get(message, "result"), error, now);
        json_decref(call.params);
        return;
    }
}

/* Everything that has come, before the page is drawn once. */
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
        s->redraw.other = s->redraw.other || message;
        if (method)
            take_note(s, method, json_object_get(message, "params"), now);
        else if (message)
            take_answer(s, message, now);
        json_decref(message);
        if (s->socket.inbox_len == 0)
            return; /* it ended with this message: should more have come meanwhile, poll tells */
    }
}

/* Model to page to terminal. The bell rings once for each cue that asks for it. */
static void draw(struct session *s, struct moment now)
{
    int cols, rows, from, to;
    term_size(&s->term, &cols, &rows);
    model_tick(s->m, now);
    redraw_page(&s->redraw, s->m, now, cols, rows, s->grid, &from, &to);
    term_show(&s->term, s->grid, from, to);
    if (s->m->bell)
        term_bell(&s->term);
    s->m->bell = false;
}

/* What a key asks for. Enter takes the pour, every other key says that a hand is at it. False: leave the screen. */
static bool play(struct session *s, struct press press, struct moment now)
{
    if (s->m->bench.next_in_s > 0 && press.kind != PRESS_ENTER)
        calls_read(&s->calls, s->m, CALL_WAIT);
    bool stays = act(s, keys_move(s->m, press, now), now);
    if (press.kind == PRESS_ENTER)
        s->m->entered_ms = now.ms;
    return stays;
}

/* Keys that were held back and are a hand's after all. So many at once without an Enter are a reader's that was set up
 * wrongly: they choose nothing, but letters on an idle bench begin a search as ever. */
static bool let_go(struct session *s, struct moment now)
{
    struct press keys[SCANNER_ROOM];
    int n = scanner_let(&s->scanner, keys);
    s->redraw.other = true;
    bool stays = true, lost = n >= SCANNER_LEAST && keys_move(s->m, keys[0], now).act != ACT_TYPE;
    for (int i = 0; i < n && stays && !lost; i++)
        stays = play(s, keys[i], now);
    if (lost) {
        model_say(s->m, true, model_word(s->m, "page.scan_lost"));
        s->m->bell = true;
    }
    return stays;
}

/* Asks what the code is. The field that it was written into is remembered as it was. */
static void ask_scanned(struct session *s)
{
    struct model *m = s->m;
    m->scan.in_field = s->scanner.in_field;
    m->scan.page = m->view.page;
    m->scan.line = m->view.line;
    memcpy(m->scan.before, s->scanner.before, sizeof m->scan.before);
    scanner_code(&s->scanner, m->scan.code);
    calls_read(&s->calls, m, CALL_SCAN);
}

/* All keys that are there. False: leave the screen. */
static bool take_keys(struct session *s)
{
    struct press press;
    struct moment now = moment_now();
    bool stays = true;
    while (stays && term_key(&s->term, &press)) {
        s->redraw.other = true;
        if (scanner_is_over(&s->scanner, &press, now.ms))
            stays = let_go(s, now);
        if (!stays)
            break;
        enum scanner_says says = scanner_take(&s->scanner, press, now.ms, act_field(s->m));
        if (says == SCANNER_SCANNED)
            ask_scanned(s);
        else if (says == SCANNER_PASSES)
            stays = play(s, press, now);
    }
    if (stays && scanner_is_over(&s->scanner, NULL, now.ms))
        stays = let_go(s, now);
    s->redraw.other = s->redraw.other || s->m->early.waits;
    if (stays && late_is_due(s->m, now, &press))
        stays = play(s, press, now);
    return stays;
}

/* One turn: link, what is to be sent, the page, then sleep until a key or a message comes; all of what has come is
 * taken before the next page, so a flood of notes costs one drawing. Draws at least ten times a second: a weight that
 * stops coming must grey by itself. */
static void loop(struct session *s)
{
    for (;;) {
        struct moment now = moment_now();
        try_link(s, now);
        send_all(s, now);
        draw(s, now);
        struct pollfd fds[] = {{.fd = STDIN_FILENO, .events = POLLIN}, {.fd = s->socket.fd, .events = POLLIN}};
        int wait_ms = late_sleep_ms(s->m, now, s->scanner.n > 0 ? SCANNER_FAST_MS : LOOK_MS);
        int ready = poll(fds, s->m->linked ? 2 : 1, wait_ms); /* a signal (a resize) ends it early, and is drawn */
        if (fds[0].revents & (POLLHUP | POLLERR | POLLNVAL))
            return; /* the terminal is gone */
        take_all(s);
        bool key = ready <= 0 || fds[0].revents || s->scanner.n > 0 ||
                   s->m->early.waits; /* of a message alone there is none */
        if (key && !take_keys(s))
            return;
    }
}

/* Each part may not have been begun; the order is that of who points to whom. */
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

/* The link that ask.c opened becomes ours, so that what was watched stays watched. */
static int begin(struct session *s, struct ask *a, const char *station)
{
    if (station)
        s->opt.station = station;
    int code = first_screen(a, &s->opt, s->m, s->opt.style.utf8);
    if (code == 0) {
        s->socket = a->socket; /* from here on it is ours */
        s->socket.takes = take_weight;
        s->socket.takes_arg = s;
        a->socket = (struct poise_socket){.fd = -1};
        ask_all(s);
        calls_after_screen(&s->calls, s->m);
    }
    return code;
}

/* The terminal is opened last: an error before it is a plain line on stderr. home: NULL, or the bench in whose place
 * this one is to practise at; then *how is the answer to its end, where it ended. */
static int run(const struct poise_options *opt, const char *station, const char *home, json_t **how)
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
    if (code == 0 && home)
        utf8_copy(s.m->home, sizeof s.m->home, home);
    ask_close(&a);
    if (code == 0 && !term_open(&s.term, s.opt.color))
        code = failure_say(opt->style, EX_USAGE, "bench", "terminal_unknown");
    if (code == 0) {
        loop(&s);
        term_close(&s.term);
        if (how)
            *how = json_incref(s.m->lists.answer[LIST_LEARNT]);
    }
    finish(&s);
    return code;
}

int screen_run(const struct poise_options *opt, const char *station)
{
    return run(opt, station, NULL, NULL);
}

int screen_practise(const struct poise_options *opt, const char *station, const char *home, json_t **how)
{
    *how = NULL;
    return run(opt, station, home, how);
}
