/* call_tap.c - see call_tap.h. It must not know what an act means. */
#include "tests/e2e/call_tap.h"

#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cmocka.h>

enum { TURN_MS = 20 };

static struct sockaddr_un address(const char *path)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    assert_true(strlen(path) < sizeof at.sun_path);
    memcpy(at.sun_path, path, strlen(path));
    return at;
}

/* What goes through whole is told; a line that is no call is the daemon's to refuse. */
static void keep(struct call_tap *t)
{
    json_t *call = json_loadb(t->line, t->len, 0, NULL), *params = json_object_get(call, "params");
    pthread_mutex_lock(&t->lock);
    if (json_object_get(params, "request") && t->n < TAP_ACTS)
        t->acts[t->n++] = json_pack("{s:O, s:O}", "method", json_object_get(call, "method"), "params", params);
    pthread_mutex_unlock(&t->lock);
    json_decref(call);
}

static void hear(struct call_tap *t, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (bytes[i] == '\n') {
            keep(t);
            t->len = 0;
        } else if (t->len < sizeof t->line) {
            t->line[t->len++] = bytes[i];
        }
    }
}

static void hang_up(struct call_tap *t)
{
    close(t->client);
    close(t->daemon);
    t->client = t->daemon = -1;
    t->len = 0;
}

static void meet(struct call_tap *t)
{
    struct sockaddr_un at = address(t->to);
    t->client = accept(t->listener, NULL, NULL);
    t->daemon = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (t->client < 0 || connect(t->daemon, (struct sockaddr *)&at, sizeof at) != 0)
        hang_up(t);
}

/* One way; false: its end. */
static bool carry(struct call_tap *t, int from, int to)
{
    char bytes[16384];
    ssize_t got = recv(from, bytes, sizeof bytes, 0);
    if (got <= 0)
        return false;
    if (from == t->client)
        hear(t, bytes, (size_t)got);
    for (ssize_t sent = 0, n; sent < got; sent += n)
        if ((n = send(to, bytes + sent, (size_t)(got - sent), MSG_NOSIGNAL)) <= 0)
            return false;
    return true;
}

static bool over(struct call_tap *t)
{
    pthread_mutex_lock(&t->lock);
    bool ends = t->ends;
    pthread_mutex_unlock(&t->lock);
    return ends;
}

static void *run(void *arg)
{
    struct call_tap *t = arg;
    while (!over(t)) {
        struct pollfd fds[] = {{t->client < 0 ? t->listener : t->client, POLLIN, 0}, {t->daemon, POLLIN, 0}};
        if (poll(fds, t->client < 0 ? 1 : 2, TURN_MS) <= 0)
            continue;
        if (t->client < 0)
            meet(t);
        else if ((fds[0].revents && !carry(t, t->client, t->daemon)) ||
                 (fds[1].revents && !carry(t, t->daemon, t->client)))
            hang_up(t);
    }
    hang_up(t);
    return NULL;
}

void tap_begin(struct call_tap *t, const char *dir, const char *socket_path)
{
    memset(t, 0, sizeof *t);
    t->client = t->daemon = -1;
    snprintf(t->path, sizeof t->path, "%s/tap", dir);
    snprintf(t->to, sizeof t->to, "%s", socket_path);
    struct sockaddr_un at = address(t->path);
    t->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(bind(t->listener, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(t->listener, 4), 0);
    pthread_mutex_init(&t->lock, NULL);
    assert_int_equal(pthread_create(&t->thread, NULL, run, t), 0);
}

void tap_end(struct call_tap *t)
{
    pthread_mutex_lock(&t->lock);
    t->ends = true;
    pthread_mutex_unlock(&t->lock);
    pthread_join(t->thread, NULL);
    for (json_t *act; (act = tap_act(t));)
        json_decref(act);
    pthread_mutex_destroy(&t->lock);
    close(t->listener);
    unlink(t->path);
}

json_t *tap_act(struct call_tap *t)
{
    pthread_mutex_lock(&t->lock);
    json_t *act = t->n ? t->acts[0] : NULL;
    if (act) {
        t->n--;
        memmove(&t->acts[0], &t->acts[1], t->n * sizeof t->acts[0]);
    }
    pthread_mutex_unlock(&t->lock);
    return act;
}
