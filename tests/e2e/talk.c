/* talk.c - the harness's half that speaks: calls, answers, notifications, screens and scales. */
#include "tests/e2e/harness.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { PATIENCE_MS = 20000, STEP_MS = 50, INBOX = 1 << 18 };

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t harness_deadline(void)
{
    return now_ms() + PATIENCE_MS;
}

int harness_connect(struct harness *h)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    if (strlen(h->socket) >= sizeof at.sun_path)
        fail_msg("%s is too long for a socket", h->socket);
    memcpy(at.sun_path, h->socket, strlen(h->socket) + 1);
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || connect(fd, (struct sockaddr *)&at, sizeof at) < 0)
        fail_msg("%s: %s", h->socket, strerror(errno));
    return fd;
}

static struct harness_station *find(struct harness *h, const char *station)
{
    for (size_t i = 0; i < h->stations; i++)
        if (strcmp(h->station[i].name, station) == 0)
            return &h->station[i];
    fail_msg("this story has no station %s", station);
    return NULL;
}

static void keep(json_t **slot, json_t *newest)
{
    json_decref(*slot);
    *slot = json_incref(newest);
}

/* A notification to its station, an answer to its id. */
static void take_line(struct harness *h, const char *line, size_t len)
{
    json_error_t why;
    json_t *v = json_loadb(line, len, JSON_REJECT_DUPLICATES, &why);
    if (!v)
        fail_msg("the daemon sent no JSON (%s): %.*s", why.text, (int)len, line);
    const char *method = json_string_value(json_object_get(v, "method"));
    json_t *params = json_object_get(v, "params");
    const char *station = json_string_value(json_object_get(params, "station"));
    /* Of a practice a story asks by itself. */
    if (method && station && strncmp(station, "learn-", 6) == 0)
        ;
    else if (method && station && strcmp(method, "screen") == 0)
        keep(&find(h, station)->screen, params);
    else if (method && station && strcmp(method, "weight") == 0)
        keep(&find(h, station)->weight, params);
    else if (!method) {
        char id[24];
        snprintf(id, sizeof id, "%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(v, "id")));
        json_object_set(h->answers, id, v);
    }
    json_decref(v);
}

static void take_in(struct harness *h)
{
    if (!h->inbox)
        h->inbox = malloc(INBOX);
    if (!h->inbox)
        fail_msg("no memory");
    ssize_t got = recv(h->client, h->inbox + h->inbox_len, INBOX - h->inbox_len, MSG_DONTWAIT);
    if (got == 0 || (got < 0 && errno == ECONNRESET)) { /* the daemon is going: its end is seen on pidfd */
        close(h->client);
        h->client = -1;
        return;
    }
    h->inbox_len += got > 0 ? (size_t)got : 0;
    char *from = h->inbox, *end = h->inbox + h->inbox_len, *nl;
    while ((nl = memchr(from, '\n', (size_t)(end - from)))) {
        take_line(h, from, (size_t)(nl - from));
        from = nl + 1;
    }
    h->inbox_len = (size_t)(end - from);
    memmove(h->inbox, from, h->inbox_len);
}

void harness_step(struct harness *h, int64_t deadline_ms, const char *waiting_for)
{
    struct pollfd fds[3 + 2 * HARNESS_STATIONS];
    nfds_t n = 0;
    /* Its stdout matters until it is ready, its end once it has hung up. */
    int ours[] = {h->client, h->client < 0 ? h->pidfd : -1, h->client < 0 ? h->out : -1};
    for (size_t i = 0; i < 3; i++)
        fds[n++] = (struct pollfd){.fd = ours[i], .events = POLLIN};
    for (size_t i = 0; i < h->stations; i++) {
        fds[n++] = (struct pollfd){.fd = h->station[i].scale.listener, .events = POLLIN};
        fds[n++] = (struct pollfd){.fd = h->station[i].scale.peer, .events = POLLIN};
    }
    if (now_ms() > deadline_ms)
        fail_msg("waited in vain for %s", waiting_for);
    (void)poll(fds, n, STEP_MS);
    for (size_t i = 0; i < h->stations; i++)
        fake_scale_tick(&h->station[i].scale, now_ms());
    if (h->setup.beside)
        h->setup.beside(now_ms());
    if (h->client >= 0 && fds[0].revents)
        take_in(h);
}

int harness_send(struct harness *h, const char *method, json_t *params)
{
    int id = ++h->next_id;
    json_t *call = json_pack("{s:s,s:i,s:s,s:o}", "jsonrpc", "2.0", "id", id, "method", method, "params",
                             params ? params : json_object());
    char *line = json_dumps(call, JSON_COMPACT | JSON_REAL_PRECISION(15));
    json_decref(call);
    if (!line || h->client < 0)
        fail_msg("%s: cannot be sent", method);
    if (send(h->client, line, strlen(line), MSG_NOSIGNAL) < 0 || send(h->client, "\n", 1, MSG_NOSIGNAL) < 0)
        print_message("%s: the daemon has hung up\n", method);
    free(line);
    return id;
}

json_t *harness_answer(struct harness *h, int id)
{
    char key[24];
    snprintf(key, sizeof key, "%d", id);
    int64_t deadline = harness_deadline();
    while (!json_object_get(h->answers, key)) {
        harness_step(h, deadline, "an answer");
        if (h->client < 0)
            fail_msg("the daemon hung up before it answered");
    }
    keep(&h->last, json_object_get(h->answers, key));
    json_object_del(h->answers, key);
    return h->last;
}

json_t *harness_ask(struct harness *h, const char *method, json_t *params)
{
    return harness_answer(h, harness_send(h, method, params));
}

static void fail_with(const char *method, json_t *answer)
{
    char *text = json_dumps(answer, JSON_COMPACT | JSON_ENCODE_ANY);
    print_error("%s answered %s\n", method, text ? text : "nothing");
    free(text);
    fail();
}

json_t *harness_call(struct harness *h, const char *method, json_t *params)
{
    json_t *answer = harness_ask(h, method, params);
    if (!json_object_get(answer, "result"))
        fail_with(method, answer);
    return json_object_get(answer, "result");
}

static json_t *batch_call(struct harness *h, const char *station, const char *method, json_t *params)
{
    char request[32];
    snprintf(request, sizeof request, "story-%06d", ++h->next_request);
    json_t *with = params ? params : json_object();
    json_t *add = json_pack("{s:s,s:O,s:s}", "station", station, "revision",
                            json_object_get(harness_screen(h, station), "revision"), "request", request);
    json_object_update_missing(with, add);
    json_decref(add);
    return harness_ask(h, method, with);
}

json_t *harness_scale_row(struct harness *h, const char *station)
{
    json_t *rows = json_object_get(harness_call(h, "scale.list", NULL), "scales"), *row, *found = NULL;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        if (strcmp(json_string_value(json_object_get(row, "station")), station) == 0)
            found = row;
    }
    if (!found)
        fail_msg("no scale of %s", station);
    return found;
}

json_t *harness_act(struct harness *h, const char *station, const char *method, json_t *params)
{
    json_t *answer = batch_call(h, station, method, params);
    json_t *screen = json_object_get(answer, "result");
    if (!screen)
        fail_with(method, answer);
    /* The note that follows the answer may be here already and know more; a first answer given again knows less. */
    json_t **newest = &find(h, station)->screen;
    if (json_integer_value(json_object_get(screen, "revision")) >
        json_integer_value(json_object_get(*newest, "revision")))
        keep(newest, screen);
    return screen;
}

json_t *harness_refused(struct harness *h, const char *station, const char *method, json_t *params, int code)
{
    json_t *answer = batch_call(h, station, method, params);
    json_t *error = json_object_get(answer, "error");
    if (json_integer_value(json_object_get(error, "code")) != code)
        fail_with(method, answer);
    return error;
}

json_t *harness_screen(struct harness *h, const char *station)
{
    json_t *screen = find(h, station)->screen;
    if (!screen)
        fail_msg("no screen of %s yet", station);
    return screen;
}

const char *harness_text(struct harness *h, const char *station, const char *member)
{
    const char *text = json_string_value(json_object_get(harness_screen(h, station), member));
    return text ? text : "";
}

double harness_number(struct harness *h, const char *station, const char *path)
{
    json_t *at = harness_screen(h, station);
    for (const char *from = path; at && *from;) {
        size_t len = strcspn(from, ".");
        char *end;
        unsigned long index = strtoul(from, &end, 10);
        char key[64];
        snprintf(key, sizeof key, "%.*s", (int)len, from);
        at = end == from + len && len ? json_array_get(at, index) : json_object_get(at, key);
        from += len + (from[len] == '.');
    }
    return json_is_number(at) ? json_number_value(at) : (double)NAN;
}

json_t *harness_wait_screen(struct harness *h, const char *station, bool (*holds)(json_t *screen, const void *with),
                            const void *with)
{
    struct harness_station *s = find(h, station);
    int64_t deadline = harness_deadline();
    while (!s->screen || !holds(s->screen, with))
        harness_step(h, deadline, "a screen");
    return s->screen;
}

static bool in_state(json_t *screen, const void *state)
{
    const char *is = json_string_value(json_object_get(screen, "state"));
    return is && strcmp(is, state) == 0;
}

json_t *harness_wait_state(struct harness *h, const char *station, const char *state)
{
    return harness_wait_screen(h, station, in_state, state);
}

static bool scale_state(json_t *screen, const void *state)
{
    return in_state(json_object_get(screen, "scale"), state);
}

void harness_wait_scale(struct harness *h, const char *station, const char *state)
{
    harness_wait_screen(h, station, scale_state, state);
}

struct fake_scale *harness_scale(struct harness *h, const char *station)
{
    return &find(h, station)->scale;
}

void harness_weigh(struct harness *h, const char *station, double grams)
{
    struct harness_station *s = find(h, station);
    keep(&s->weight, NULL);
    fake_scale_show(&s->scale, grams, true);
    int64_t deadline = harness_deadline();
    for (;;) {
        double seen = json_number_value(json_object_get(s->weight, "weight_g"));
        if (s->weight && json_is_true(json_object_get(s->weight, "stable")) && fabs(seen - grams) < 1e-6)
            return;
        harness_step(h, deadline, "the weight on the scale");
    }
}
