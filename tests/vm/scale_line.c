#include "tests/vm/scale_line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

/* A line that was not looked after for long does not make up for it in one burst. */
enum { LATE_BYTES = 32, BITS = 10 };

static void write_frame(struct scale_line *line)
{
    line->len =
        (size_t)snprintf(line->frame, sizeof line->frame, "%s,%c%05ld.%02ld  g\r\n", line->moving ? "US" : "ST",
                         line->centigrams < 0 ? '-' : '+', labs(line->centigrams) / 100, labs(line->centigrams) % 100);
    line->gone = 0;
}

void line_show(struct scale_line *line, double grams, bool moving)
{
    line->centigrams = lround(grams * 100);
    line->moving = moving;
}

void line_ramp(struct scale_line *line, double grams, long count)
{
    line_show(line, grams, true);
    line->ramp_left = count;
}

/* Whether a new frame may begin; makes it. */
static bool begin_frame(struct scale_line *line)
{
    if (line->mute || (line->asked_only && line->unanswered == 0))
        return false;
    if (line->ramp_left > 0) {
        line->ramp_left--;
        line->centigrams++;
    } else if (!line->asked_only && line->pause_ms > 0) {
        return false;
    }
    if (line->asked_only)
        line->unanswered--;
    write_frame(line);
    line->begun++;
    line->pause_ms = LINE_PAUSE_MS;
    return true;
}

void line_tick(struct scale_line *line, int ms)
{
    line->due = fmin(line->due + (double)line->speed / BITS * ms / 1000, LATE_BYTES);
    if (line->gone == line->len)
        line->pause_ms -= ms;
    while (line->due >= 1) {
        if (line->gone == line->len && !begin_frame(line)) {
            line->due = 1; /* time without anything to say is not made up for */
            return;
        }
        size_t most = line->len - line->gone;
        size_t n = line->due < (double)most ? (size_t)line->due : most;
        ssize_t sent = (ssize_t)n;
        if (!line->cut)
            sent = send(line->fd, line->frame + line->gone, n, MSG_DONTWAIT | MSG_NOSIGNAL);
        if (sent <= 0)
            return; /* the guest takes nothing now: it goes on when it does */
        line->gone += (size_t)sent;
        line->due -= (double)sent;
    }
}

void line_half(struct scale_line *line, double grams, bool second)
{
    size_t half = LINE_FRAME_BYTES / 2;
    line_show(line, grams, false);
    write_frame(line);
    const char *from = second ? line->frame + half : line->frame;
    (void)send(line->fd, from, second ? line->len - half : half, MSG_NOSIGNAL);
    line->gone = line->len;
}

void line_hear(struct scale_line *line)
{
    char bytes[256];
    ssize_t got = recv(line->fd, bytes, sizeof bytes, MSG_DONTWAIT);
    for (ssize_t i = 0; i < got; i++) {
        memmove(line->heard, line->heard + 1, sizeof line->heard - 1);
        line->heard[sizeof line->heard - 1] = bytes[i];
        if (memcmp(line->heard + sizeof line->heard - 3, "Q\r\n", 3) == 0) {
            line->questions++;
            line->unanswered++;
        }
    }
}
