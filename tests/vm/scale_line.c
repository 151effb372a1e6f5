#include "tests/vm/scale_line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

/* A line that was not looked after for long does not make up for it in one burst. */
enum { LATE_BYTES = 32, BITS = 10, DATA_BITS = 8, MISREAD_MOST = 1024 };

static size_t write_report(struct scale_line *line)
{
    char hex[HID_HEX];
    struct hid_report report = {line->moving ? HID_MOTION : HID_STABLE, HID_G, -2, (unsigned)line->centigrams};
    if (line->report.unit)
        report = line->report;
    hid_report_write(&report, line->form == LINE_REPORT, hex);
    return (size_t)snprintf(line->frame, sizeof line->frame, "%.*s\n", (int)sizeof line->frame - 2, hex);
}

static void write_frame(struct scale_line *line)
{
    line->gone = 0;
    if (line->form == LINE_REPORT || line->form == LINE_REPORT_USUAL) {
        line->len = write_report(line);
        return;
    }
    line->len =
        (size_t)snprintf(line->frame, sizeof line->frame, "%s,%c%05ld.%02ld  g\r\n", line->moving ? "US" : "ST",
                         line->centigrams < 0 ? '-' : '+', labs(line->centigrams) / 100, labs(line->centigrams) % 100);
    for (size_t i = 0; i < line->len && line->form == LINE_TEXT_EVEN; i++)
        if (__builtin_parity((unsigned char)line->frame[i]))
            line->frame[i] = (char)(line->frame[i] | 0x80);
}

/* Whether the line is high `at` bits after the first byte's start bit began: start bit, bit 0 to 7, stop bit. */
static bool is_high(const char *bytes, size_t count, double at)
{
    size_t bit = (size_t)at;
    if (bit >= count * BITS || bit % BITS == BITS - 1)
        return true;
    return bit % BITS > 0 && ((unsigned char)bytes[bit / BITS] >> (bit % BITS - 1) & 1);
}

/* What a UART at far_speed makes of the bytes: a start bit is the line's fall, and each bit is looked at in its middle.
 * Times are in bits of the sender. */
static size_t misread(const struct scale_line *line, const char *bytes, size_t count, char out[MISREAD_MOST])
{
    const double bit = (double)line->speed / line->far_speed;
    size_t n = 0;
    double at = 0;
    while (at < (double)(count * BITS) && n < MISREAD_MOST) {
        if (is_high(bytes, count, at)) {
            at += bit / 16; /* as often as a UART looks */
            continue;
        }
        unsigned byte = 0;
        for (int i = 0; i < DATA_BITS; i++)
            byte |= (unsigned)is_high(bytes, count, at + (i + 1.5) * bit) << i;
        out[n++] = (char)byte;
        at += (DATA_BITS + 1.5) * bit;
    }
    return n;
}

/* As many of the bytes as the guest takes; 0 or less: none now. */
static ssize_t put(const struct scale_line *line, const char *bytes, size_t count)
{
    char other[MISREAD_MOST];
    if (line->cut)
        return (ssize_t)count;
    if (line->far_speed == 0 || line->far_speed == line->speed)
        return send(line->fd, bytes, count, MSG_DONTWAIT | MSG_NOSIGNAL);
    size_t n = misread(line, bytes, count, other);
    if (n > 0 && send(line->fd, other, n, MSG_DONTWAIT | MSG_NOSIGNAL) < 0)
        return -1;
    return (ssize_t)count;
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
    if (line->mute || (line->asked_by && line->unanswered == 0))
        return false;
    if (line->ramp_left > 0) {
        line->ramp_left--;
        line->centigrams++;
    } else if (!line->asked_by && line->pause_ms > 0) {
        return false;
    }
    if (line->asked_by)
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
        ssize_t sent = put(line, line->frame + line->gone, n);
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

static void hear(struct scale_line *line, char byte)
{
    if (line->heard_count < sizeof line->heard)
        line->heard[line->heard_count] = byte;
    line->heard_count++;
    memmove(line->last, line->last + 1, sizeof line->last - 1);
    line->last[sizeof line->last - 1] = byte;
    size_t len = line->asked_by ? strlen(line->asked_by) : 0;
    if (len > 0 && memcmp(line->last + sizeof line->last - len, line->asked_by, len) == 0) {
        line->questions++;
        line->unanswered++;
    }
}

void line_hear(struct scale_line *line)
{
    char bytes[256];
    ssize_t got = recv(line->fd, bytes, sizeof bytes, MSG_DONTWAIT);
    for (ssize_t i = 0; i < got; i++)
        hear(line, bytes[i]);
}
