/* styles.h - a weight written as the frame of a family.
 *
 * A family is one or more rows of the table in styles.c: a shape for each case (stable, moving, over, under,
 * error), in the small language of pattern.h. Styles of one family are the variants that real scales send; the first is
 * the default. To teach the simulator a family add rows there; nothing else changes.
 * Owner   The table is const. The caller owns the buffer.
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
