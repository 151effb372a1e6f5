/* scale_line.h - a scale at the far end of a serial line, played by the test at the pace of its speed.
 *
 * The bytes go to the other end of a socket, which qemu gives to the UART or the USB adapter of the guest. A line sends
 * as many bytes as its speed allows for the time that passed (10 bits a byte), so that a frame arrives in pieces as on
 * a real line. Frames are of the family hdr2: `ST,+00123.45  g` CR LF. It repeats its frame with a pause between; a
 * ramp goes without pauses, each frame once; a scale that must be asked says one frame for each whole question. qemu's
 * UART knows no speed, so where both ends have different ones, the line makes of the bytes what a UART would.
 * A USB scale is a line as well: its frames are reports in hexadecimal, which usb_scale.c in the guest reads.
 */
#pragma once

#include "tests/vm/hid_report.h"

#include <stdbool.h>
#include <stddef.h>

enum { LINE_FRAME_BYTES = 17, LINE_PAUSE_MS = 60, LINE_HEARD = 1024 };

enum line_form {
    LINE_TEXT,      /* bit 7 is not set */
    LINE_TEXT_EVEN, /* bit 7 makes each byte even, as 7E1 puts it on the wire */
    LINE_REPORT,    /* a USB scale in its own order, LINE_REPORT_USUAL in the usual one */
    LINE_REPORT_USUAL,
};

struct scale_line {
    int fd; /* ours; not blocking */
    enum line_form form;
    int speed;                /* baud */
    int far_speed;            /* the other end's; 0: the same */
    bool cut;                 /* the cable is out: what it says goes nowhere */
    bool mute;                /* begins no new frame */
    const char *asked_by;     /* says a frame for each of these questions; NULL: talks by itself */
    struct hid_report report; /* a USB scale says this instead of centigrams; unit 0: it does not */
    long centigrams;          /* what it shows, 0.01 g each */
    bool moving;              /* the frame's mark */
    long ramp_left;           /* frames still to go, each 0.01 g more than the one before */
    char frame[32];           /* the frame on its way, and how much of it has gone */
    size_t len, gone;
    double due;             /* bytes that the line's speed allows by now */
    int pause_ms;           /* before the next frame */
    long begun;             /* frames begun */
    long questions;         /* whole questions heard */
    long unanswered;        /* of these */
    char heard[LINE_HEARD]; /* the first bytes heard, and how many in all */
    size_t heard_count;
    char last[8]; /* the last bytes heard */
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
