/* framer.h - a stream of bytes, however it is chopped, to readings of one family.
 *
 * It holds what has come of a frame so far, takes bit 7 off where the family is text, checks that bit 7 came as a
 * parity would set it, remembers the unit last named, and counts what it throws away.
 * Owner   The caller owns the struct; the family must outlive it.
 * Thread  Any, one at a time. No I/O, no clock, no memory of its own.
 */
#pragma once

#include "drivers/scale.h"

#define FRAMER_ROOM 4096

struct framer {
    const struct scale_family *family;
    enum scale_unit unit; /* of a frame that names none; SCALE_UNIT_NONE: not known yet */
    bool fragment;        /* what comes before the next line end may be a frame's tail: drop it unseen */
    bool first;           /* of a file: the first frame has not come yet, and may be a tail */
    bool cr_last;         /* a CR alone ended the last frame, and the byte after it has not come */
    unsigned cr_alone;    /* frames in a row that a CR alone ended */
    unsigned bare;        /* frames in a row that came without their optional check byte */
    uint64_t frames;      /* believed */
    uint64_t refused;     /* whole, but they lied */
    uint64_t skipped;     /* bytes that belonged to no frame */
    size_t kept;          /* bytes in keep */
    size_t len;
    uint8_t raw[FRAMER_ROOM];      /* as they came */
    uint8_t text[FRAMER_ROOM + 1]; /* what the family sees */
    uint8_t keep[SCALE_FRAME_MAX]; /* the first frame of a file, judged once the second has come */
};

/* `unit` is that of a frame which names none (SCALE_UNIT_NONE: g; but where a blank unit means moving, such a frame
 * then carries no weight until one has named a unit). `opened`: the stream is joined in the middle, as a port is when
 * it is opened. False where it may begin with a whole frame, as a file does: where its first line may as well be the
 * tail of one, it is kept until the second has come, and dropped if it is that line with its front cut off.
 */
void framer_init(struct framer *framer, const struct scale_family *family, enum scale_unit unit, bool opened);

/* Called for each believed frame: the reading with its weight (at_ms is 0), and the frame's bytes as they came. */
typedef void framer_found(void *arg, const struct scale_reading *reading, const uint8_t *frame, size_t len);

/* Takes any number of bytes. */
void framer_push(struct framer *framer, const uint8_t *bytes, size_t len, framer_found *found, void *arg);
/* True: what has come is a whole frame, but for a byte that only some scales send behind it. */
bool framer_waits(struct framer *framer);
/* Nothing came for longer than a scale pauses between a frame and the byte that closes it: such a frame counts now, not
 * when the next one comes, which may be when somebody presses the print key again. Half a frame goes on waiting. */
void framer_quiet(struct framer *framer, framer_found *found, void *arg);
/* The stream was silent for longer than any frame takes: what has come of a frame is never glued to what comes next. */
void framer_break(struct framer *framer);
/* The stream has ended for good: where only the next frame's first byte closes a frame, the last one is whole now.
 * Never for a pause in a live stream. */
void framer_finish(struct framer *framer, framer_found *found, void *arg);
