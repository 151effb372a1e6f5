/* scale_line.h - a scale at the far end of a serial line, played by the test at the pace of its speed.
 *
 * The bytes go to the other end of a socket, which qemu gives to the UART or the USB adapter of the guest. A line sends
 * as many bytes as its speed allows for the time that passed (10 bits a byte), so that a frame arrives in pieces as on
 * a real line. Frames are of the family hdr2: `ST,+00123.45  g` CR LF. It repeats its frame with a pause between; a
 * ramp goes without pauses, each frame once; a scale that must be asked says one frame for each whole question.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum { LINE_FRAME_BYTES = 17, LINE_PAUSE_MS = 60 };

struct scale_line {
    int fd;          /* ours; not blocking */
    int speed;       /* baud */
    bool cut;        /* the cable is out: what it says goes nowhere */
    bool mute;       /* begins no new frame */
    bool asked_only; /* says a frame for each question `Q` CR LF */
    long centigrams; /* what it shows, 0.01 g each */
    bool moving;     /* the frame's mark */
    long ramp_left;  /* frames still to go, each 0.01 g more than the one before */
    char frame[32];  /* the frame on its way, and how much of it has gone */
    size_t len, gone;
    double due;      /* bytes that the line's speed allows by now */
    int pause_ms;    /* before the next frame */
    long begun;      /* frames begun */
    long questions;  /* whole questions heard */
    long unanswered; /* of these */
    char heard[8];   /* the last bytes heard */
};

/* Shows `grams` from now on. */
void line_show(struct scale_line *line, double grams, bool moving);
/* Sends `count` frames without a pause, the first 0.01 g above `grams`, then repeats the last. */
void line_ramp(struct scale_line *line, double grams, long count);
/* Sends what is due after `ms` more of time. Never blocks. */
void line_tick(struct scale_line *line, int ms);
/* Takes in what the guest sent. */
void line_hear(struct scale_line *line);
/* Sends the first half of the frame for `grams` at once, whatever the speed, and drops the rest; then the second half.
 */
void line_half(struct scale_line *line, double grams, bool second);
