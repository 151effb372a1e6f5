/* styles.h - a weight written as the frame of a family, and the questions that such a scale understands.
 *
 * A family is one or more rows of the table in styles.c: a shape for each case (stable, moving, over, under, error).
 * Styles of one family are the variants that real scales send; the first is the default. To teach the simulator a
 * family add rows there, and its questions below them; nothing else changes.
 *
 * A shape is text as it is; what begins with % is filled in from the weight:
 *   %+ %-      sign: + or -, space or -
 *   %Nd %0Nd   digits with point, N wide, padded with blanks or zeros (no N: as long as they are); %,0Nd decimal comma
 *   %Ns %0Ns   the same with a - in front where negative, inside the width
 *   %NP        as %Nd, and a weight below zero does not fit
 *   %Nb        as %Nd with the last digit in brackets      %NR  as %0Ns, read from right to left
 *   %ND %0ND   digits without the point   %NT  those of the tare   %p  how many follow the point   %Nn  all nines
 *   %Nu %Nr    unit, padded on its right, on its left      %U   unit in capitals     %k  unit as one capital
 *   %(a|b)     a when stable, b when moving      %[a|b]  a when gross, b when net     %z  Z at zero, else a blank
 *   %x %c      exclusive or of all bytes since the last STX (since the start without one): two hex digits, one byte
 *   %y         the byte that makes the sum of all a multiple of 128      %A  three status bytes of stx18
 *   %h %H      two, three status bytes of scp     %m %M  that of retail, with bit 5      %L  lamp byte of hdr2g22
 * A shape is ours, in a const table: a fault in one shows as a frame of length 0.
 *
 * What is no question is skipped (and kept for the word `heard`): a simulated scale never tares or zeroes because
 * somebody sent a letter, so a test can see that nobody did.
 * Owner   The tables are const. The caller owns the buffer.
 */
#pragma once
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SIM_FRAME_MAX = 64 };

/* The simulator's own, not scale.h's: what checks the decoders must not share their tables. */
enum sim_unit { SIM_G, SIM_KG, SIM_LB, SIM_OZ, SIM_MG, SIM_T, SIM_GR, SIM_PCS, SIM_UNITS };
enum sim_status { SIM_OK, SIM_OVER, SIM_UNDER, SIM_ERROR, SIM_STATUSES };

/* What is to be written: a decimal, exactly as its digits shall be sent. */
struct sim_weight {
    uint64_t digits; /* the weight without its point */
    bool negative;
    int decimals; /* places after the point, 0 to 6; -1: the last digit counts tens (stx18 alone can say so) */
    int step;     /* what the last digit moves by: 1, 2, 5; 0: not told */
    uint64_t tare_digits;
    enum sim_unit unit;
    enum sim_status status;
    bool stable;
    bool net;
};

/* One style of one family. A shape that is NULL: such a frame is not known, nothing is sent. */
struct sim_style {
    const char *family;
    const char *style; /* "" is the default */
    const char *stable;
    const char *moving; /* NULL: as stable (the shape itself tells them apart, or the family does not) */
    const char *over;
    const char *under;
    const char *error;
};

/* In the order of --help; styles of one family stand together. */
extern const struct sim_style sim_styles[];
extern const size_t sim_styles_count;

/* The row of a family; style NULL or "" is its default. NULL: not known. */
const struct sim_style *sim_style_find(const char *family, const char *style);

/* Writes one frame. Returns its length; 0 when the family has no such frame or the digits do not fit its width. A
 * weight below zero that does not fit (there is no sign, or no room for it) is written as under. */
size_t sim_write(const struct sim_style *style, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX]);

/* "ok", "over", "under", "error"; "g", "kg", ... */
extern const char *const sim_status_names[SIM_STATUSES];
extern const char *const sim_unit_names[SIM_UNITS];

/* Fills a shape in (pattern.c). Returns the length, 0 when something does not fit or the shape is at fault. */
size_t sim_shape(const char *shape, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX]);

enum sim_ask {
    SIM_ASK_NOTHING, /* nothing whole in the buffer */
    SIM_ASK_NOW,     /* one weight, moving or not */
    SIM_ASK_STABLE,  /* one weight once it is stable */
    SIM_ASK_STREAM,  /* weights from now on */
    SIM_ASK_STOP,    /* no more of them */
    SIM_ASK_HELLO,   /* ENQ of the two-step exchange: answered with ACK, the weight comes after the next */
};

/* Takes the first question out of what a host sent: *len shrinks by it and by what was skipped before it. */
enum sim_ask sim_ask_take(const char *family, uint8_t *bytes, size_t *len);
