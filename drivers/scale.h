/* scale.h - what a scale says, and how a family of scales is spoken to.
 *
 * A family turns bytes into readings and knows nothing of paint, ports or clocks. To add one start with DEVELOPERS.md,
 * "A new scale family"; decode/sma.c is a good one to read. All families stand in decode/families.c.
 * Units   weight_ug is micrograms, exact; at_ms is the loop's monotonic clock (uv_now).
 * Owner   A table is const and lives for ever (but a declared one: decode/profile.h). The caller owns the buffer and
 *         the reading; a family keeps no pointer to either after it returns.
 * Thread  Any, in the daemon the loop's. No slot may block, sleep, allocate, log or exit.
 * Errors  frame() and decode() never stop the daemon: bad bytes are skipped and counted by decode/framer.h.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Units as a frame names them. Printed names: scale_unit_name. */
enum scale_unit {
    SCALE_UNIT_NONE, /* the frame names none */
    SCALE_UNIT_G,
    SCALE_UNIT_KG,
    SCALE_UNIT_LB,
    SCALE_UNIT_OZ, /* avoirdupois */
    SCALE_UNIT_MG,
    SCALE_UNIT_T,
    SCALE_UNIT_GR, /* grain */
    SCALE_UNIT_PCS /* a count, not a weight */
};

enum scale_stability {
    SCALE_STABLE,
    SCALE_MOVING,
    SCALE_STABILITY_UNKNOWN /* the frame says nothing: the host applies its own rule */
};

enum scale_kind { SCALE_KIND_UNKNOWN, SCALE_KIND_NET, SCALE_KIND_GROSS, SCALE_KIND_TARE };

enum scale_status { SCALE_OK, SCALE_OVER, SCALE_UNDER, SCALE_ERROR };

#define SCALE_DIGITS    24 /* room for a value as text and its NUL */
#define SCALE_FRAME_MAX 96 /* no frame of any family is longer; what is longer is noise */

/* One frame's content. decode() fills all but the last three, which scale_reading_weigh and the port fill. */
struct scale_reading {
    char digits[SCALE_DIGITS]; /* decimal text as sent, leading zeros and spaces dropped, `-` kept but before a zero;
                                  "" where the frame carries no weight (always so for over, under, error) */
    enum scale_unit unit;      /* as sent */
    enum scale_stability stability;
    enum scale_kind kind;
    enum scale_status status;
    bool has_weight;   /* weight_ug holds */
    int64_t weight_ug; /* micrograms, rounded where lb, oz or gr have finer parts */
    uint64_t at_ms;    /* when the frame's last byte was read, uv_now */
};

struct scale_line; /* the words of a declared family, decode/profile.h */

struct scale_family {
    const char *name; /* as in `--profile NAME`; the shape of its frames, never a maker's name */

    /* Length of the first whole frame in buf, at buf + *skip; 0 if more bytes are needed. *skip counts the bytes before
     * it that belong to no frame. Called again and again with the same start until it is whole, so it looks only at
     * what it is given. NULL only where `line` is set. */
    size_t (*frame)(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip);

    /* One whole frame, as frame() cut it, to a reading; *out comes zeroed and stability unknown. False: the frame lied
     * (failed check, a shape not of this family), drop it. NULL only where `line` is set. */
    bool (*decode)(const uint8_t *frame, size_t len, struct scale_reading *out);

    /* The first and the last byte of a frame, for text_between() alone. */
    uint8_t first, last;

    /* A declared family: what its profile says, read by decode/line.c in place of the two above. NULL: built in. */
    const struct scale_line *line;

    /* Bytes that ask for one weight and change nothing. NULL: it speaks by itself, only listen. */
    const char *ask;

    /* Bytes that follow once the scale has answered `ask` with ACK (0x06). NULL: one step is enough. */
    const char *ask_next;

    /* Longest frame in bytes, terminator included, at most SCALE_FRAME_MAX. Longer runs without an end are noise. */
    size_t max_frame;

    /* A blank unit marks a moving weight: its unit is then the last one that this scale named; before the first the
     * frame carries no weight. */
    bool blank_unit_means_moving;

    /* Text of 7 bits: a 7E1 or 7O1 sender read as 8N1 sets bit 7, which is masked before frame() and decode() see the
     * bytes. False for binary frames and lamp bytes. */
    bool seven_bit;

    /* The tail of a frame may look like a whole one (a number with its first digits cut off): after opening a port,
     * what comes before the first line end is dropped unseen. False where a frame begins with a mark of its own. */
    bool tail_looks_whole;

    /* The next frame's first byte, where nothing else closes a frame: before a silence and at the end of a recording
     * the last one ends without it. Its width must then be fixed, or a cut frame would pass. 0: a frame ends by itself.
     */
    char closing;

    /* A check byte may follow a frame, or not: frame() reports the longer one when it is there. The framer waits for
     * the byte after a frame until it has learnt that none comes. */
    bool optional_check;

    /* Syntax cannot tell this family from a kin (digits reversed or not): it is never found out, only configured. */
    bool never_sought;
};

/* Printed names: g kg lb oz mg t gr pcs, "" for none; net gross tare unknown; ok over under error. Never NULL. */
const char *scale_unit_name(enum scale_unit unit);
const char *scale_kind_name(enum scale_kind kind);
const char *scale_status_name(enum scale_status status);
/* The unit of a printed name (`g`, as in a configuration; exactly those above). False: no such unit. */
bool scale_unit_find(const char *name, enum scale_unit *out);

/* Decimal text such as "-12.345" (no exponent, `.` as the point) with its unit to micrograms. Exact: no double is
 * involved; a half of a microgram and more rounds away from zero. False: not such a number, no unit of weight, or
 * beyond int64. Factors: 1 lb = 453.59237 g, 1 oz = 28.349523125 g, 1 gr = 64.79891 mg, all exact by definition
 * (GNU units 2.22; NIST SP 811 and Handbook 44, appendix C). */
bool scale_weight_ug(const char *digits, enum scale_unit unit, int64_t *out_ug);

/* Fills has_weight and weight_ug from digits and unit; `assumed` is the unit of a frame that names none. */
void scale_reading_weigh(struct scale_reading *reading, enum scale_unit assumed);

/* All built-in families, ended with NULL: a new one is a file in decode/ and one line in decode/families.c; nothing
 * registers itself at run time. The order is that of the frames page: it decides nothing. */
extern const struct scale_family *const scale_families[];
/* By name, as in `profile = hdr2`. NULL: none such (declared families are found by decode/profile.h). */
const struct scale_family *scale_family_find(const char *name);
