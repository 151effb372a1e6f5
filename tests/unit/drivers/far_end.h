/* far_end.h - the other end of a port under test: a pty's master or a loopback listener, and a loop that runs until
 * something has happened. Header only, since each unit test is one program.
 */
#ifndef TESTS_UNIT_DRIVERS_FAR_END_H
#define TESTS_UNIT_DRIVERS_FAR_END_H

#include "drivers/port.h"

#include <setjmp.h>
#include <stdarg.h>

#include <arpa/inet.h>
#include <cmocka.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

enum { FAR_END_LIMIT_MS = 30000, FAR_END_STATES = 16 };

struct far_end {
    uv_loop_t loop;
    uv_timer_t limit;
    bool late; /* the limit has passed: whatever was waited for never came */
    struct port *port;
    bool closed;
    bool close_at_reading;
    bool may_ask;
    size_t notes[PORT_SOUGHT_FOUND + 1]; /* how many of each kind */
    char families[160];                  /* of the last TIE or FOUND */
    char question[16];                   /* of the last TRYING */
    size_t readings, chunks;
    struct scale_reading last;
    char last_frame[100];
    size_t states;
    enum port_state state[FAR_END_STATES];
    char why[256];
    int master, listener, peer;
    int tcp_port;
    char path[128]; /* a link to the pty's slave, in dir */
    char dir[64];
};

static inline void far_end_on_closed(void *owner)
{
    ((struct far_end *)owner)->closed = true;
}

static inline void far_end_on_reading(void *owner, const struct scale_reading *reading, const uint8_t *frame,
                                      size_t len)
{
    struct far_end *f = owner;
    assert_false(f->closed);
    f->readings++;
    f->last = *reading;
    snprintf(f->last_frame, sizeof f->last_frame, "%.*s", (int)len, (const char *)frame);
    if (f->close_at_reading)
        port_close(f->port, far_end_on_closed);
}

static inline void far_end_on_state(void *owner, enum port_state state, const struct said *why)
{
    struct far_end *f = owner;
    assert_false(f->closed);
    if (f->states < FAR_END_STATES)
        f->state[f->states] = state;
    f->states++;
    port_words(why, WORDS_EN, f->why, sizeof f->why);
    assert_true(state == PORT_LIVE || words_find(why->code));
}

static inline void far_end_on_sought(void *owner, const struct port_note *note)
{
    struct far_end *f = owner;
    f->notes[note->what]++;
    if (note->what == PORT_SOUGHT_TIE || note->what == PORT_SOUGHT_FOUND)
        snprintf(f->families, sizeof f->families, "%s", note->families);
    if (note->what == PORT_SOUGHT_TRYING)
        snprintf(f->question, sizeof f->question, "%s", note->question);
}

static inline void far_end_on_bytes(void *owner, const uint8_t *bytes, size_t len, uint64_t at_ms)
{
    (void)bytes;
    (void)at_ms;
    ((struct far_end *)owner)->chunks += len > 0;
}

static inline void far_end_on_limit(uv_timer_t *limit)
{
    ((struct far_end *)limit->data)->late = true;
}

static inline int far_end_begin(void **state)
{
    struct far_end *f = calloc(1, sizeof *f);
    signal(SIGPIPE, SIG_IGN);
    uv_loop_init(&f->loop);
    uv_timer_init(&f->loop, &f->limit);
    f->limit.data = f;
    uv_timer_start(&f->limit, far_end_on_limit, FAR_END_LIMIT_MS, 0);
    f->master = f->listener = f->peer = -1;
    snprintf(f->dir, sizeof f->dir, "/tmp/poise-far-end-XXXXXX");
    *state = f;
    if (!mkdtemp(f->dir))
        return -1;
    snprintf(f->path, sizeof f->path, "%s/scale", f->dir);
    return 0;
}

/* Runs the loop until `holds`; fails the test when the limit passes first. */
#define far_end_until(f, holds)                                                                                        \
    do {                                                                                                               \
        while (!(holds) && !(f)->late)                                                                                 \
            uv_run(&(f)->loop, UV_RUN_ONCE);                                                                           \
        if ((f)->late)                                                                                                 \
            fail_msg("never came: %s", #holds);                                                                        \
    } while (0)

static inline int far_end_end(void **state)
{
    struct far_end *f = *state;
    if (!f->closed)
        port_close(f->port, far_end_on_closed);
    while (f->port && !f->closed && !f->late)
        uv_run(&f->loop, UV_RUN_ONCE);
    uv_close((uv_handle_t *)&f->limit, NULL);
    uv_run(&f->loop, UV_RUN_DEFAULT);
    int left = uv_loop_close(&f->loop);
    for (int *fd = &f->master; fd <= &f->peer; fd++) {
        if (*fd >= 0)
            close(*fd);
    }
    unlink(f->path);
    rmdir(f->dir);
    free(f);
    return left;
}

static inline void far_end_open(struct far_end *f, const char *port, const char *profile, const char *poll)
{
    static const struct port_events events = {.reading = far_end_on_reading,
                                              .state = far_end_on_state,
                                              .sought = far_end_on_sought,
                                              .bytes = far_end_on_bytes};
    struct port_settings settings = {.unit = SCALE_UNIT_G, .poll_ms = 20, .may_ask = f->may_ask};
    snprintf(settings.port, sizeof settings.port, "%s", port);
    snprintf(settings.profile, sizeof settings.profile, "%s", profile);
    settings.poll_len = strlen(poll);
    memcpy(settings.poll, poll, settings.poll_len);
    f->port = port_create(&f->loop, &settings, &events, f);
    assert_non_null(f->port);
}

/* A new pty whose slave the link names. */
static inline void far_end_plug_pty(struct far_end *f)
{
    char slave[64];
    struct termios mode;
    f->master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_true(f->master >= 0 && grantpt(f->master) == 0 && unlockpt(f->master) == 0);
    assert_int_equal(ptsname_r(f->master, slave, sizeof slave), 0);
    assert_int_equal(tcgetattr(f->master, &mode), 0);
    cfmakeraw(&mode); /* also on the slave: no echo before the port sets it */
    assert_int_equal(tcsetattr(f->master, TCSANOW, &mode), 0);
    assert_int_equal(symlink(slave, f->path), 0);
}

static inline void far_end_unplug_pty(struct far_end *f)
{
    close(f->master);
    f->master = -1;
    unlink(f->path);
}

/* Listens on a free loopback port, or again on the one it had. */
static inline void far_end_listen(struct far_end *f)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)f->tcp_port)};
    socklen_t size = sizeof at;
    int yes = 1;
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    f->listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    setsockopt(f->listener, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    assert_int_equal(bind(f->listener, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(f->listener, 4), 0);
    assert_int_equal(getsockname(f->listener, (struct sockaddr *)&at, &size), 0);
    f->tcp_port = ntohs(at.sin_port);
}

static inline bool far_end_accepted(struct far_end *f)
{
    if (f->peer < 0)
        f->peer = accept4(f->listener, NULL, NULL, SOCK_CLOEXEC | SOCK_NONBLOCK);
    return f->peer >= 0;
}

static inline void far_end_shut(int *fd)
{
    close(*fd);
    *fd = -1;
}

static inline void far_end_say(int fd, const char *text)
{
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
}

#endif
