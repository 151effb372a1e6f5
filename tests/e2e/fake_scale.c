#include "tests/e2e/fake_scale.h"

#include <arpa/inet.h>
#include <errno.h>
#include <math.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum { REPEAT_MS = 50 };

/* A listener on 127.0.0.1:port (0: any free one), -1 with errno. */
static int listen_on(int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (fd < 0)
        return -1;
    int on = 1;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (bind(fd, (struct sockaddr *)&at, sizeof at) < 0 || listen(fd, 4) < 0) {
        int why = errno;
        close(fd);
        errno = why;
        return -1;
    }
    return fd;
}

static void hang_up(struct fake_scale *scale)
{
    if (scale->peer >= 0)
        close(scale->peer);
    scale->peer = -1;
}

bool fake_scale_init(struct fake_scale *scale)
{
    *scale = (struct fake_scale){.listener = -1, .peer = -1, .decimals = 2};
    scale->listener = listen_on(0);
    struct sockaddr_in at = {0};
    socklen_t len = sizeof at;
    if (scale->listener < 0 || getsockname(scale->listener, (struct sockaddr *)&at, &len) < 0)
        return false;
    scale->port = ntohs(at.sin_port);
    return true;
}

void fake_scale_finish(struct fake_scale *scale)
{
    fake_scale_unplug(scale);
}

void fake_scale_unplug(struct fake_scale *scale)
{
    hang_up(scale);
    if (scale->listener >= 0)
        close(scale->listener);
    scale->listener = -1;
}

bool fake_scale_plug(struct fake_scale *scale)
{
    if (scale->listener < 0)
        scale->listener = listen_on(scale->port);
    return scale->listener >= 0;
}

void fake_scale_raw(struct fake_scale *scale, const void *bytes, size_t len)
{
    /* Not one byte more than the kernel takes: a daemon that reads nothing must not hang the test. */
    if (scale->peer >= 0 && send(scale->peer, bytes, len, MSG_NOSIGNAL | MSG_DONTWAIT) < 0 && errno != EAGAIN)
        hang_up(scale);
}

void fake_scale_show(struct fake_scale *scale, double grams, bool stable)
{
    snprintf(scale->frame, sizeof scale->frame, "%s,%c%08.*f  g\r\n", stable ? "ST" : "US", grams < 0 ? '-' : '+',
             scale->decimals, fabs(grams));
    scale->next_ms = 0;
    fake_scale_raw(scale, scale->frame, strlen(scale->frame));
}

void fake_scale_mute(struct fake_scale *scale)
{
    scale->frame[0] = '\0';
}

void fake_scale_tick(struct fake_scale *scale, int64_t now_ms)
{
    if (scale->listener >= 0) {
        int peer = accept4(scale->listener, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC);
        if (peer >= 0) {
            hang_up(scale);
            scale->peer = peer;
            scale->next_ms = 0;
        }
    }
    char asked[256];
    if (scale->peer >= 0 && recv(scale->peer, asked, sizeof asked, MSG_DONTWAIT) == 0)
        hang_up(scale);
    if (scale->frame[0] && now_ms >= scale->next_ms) {
        fake_scale_raw(scale, scale->frame, strlen(scale->frame));
        scale->next_ms = now_ms + REPEAT_MS;
    }
}
