/* linelayout.h - a family told by its words: what a profile file says about a line of text, and how such a line is
 * read.
 *
 * The words of a line stand in `order`. A value may be replaced by a word for over, under or error. Spaces and the
 * separators may stand between any two words. Whatever is left over makes the line one of another family.
 * Owner   The caller's; profile.h fills it from a file.
 */
#pragma once

#include "drivers/scale.h"

enum { LINE_WORDS = 6, LINE_WORD_BYTES = 12, LINE_ORDER = 8, LINE_MARK_BYTES = 4 };

/* Words that mean the same. */
struct line_words {
    size_t count;
    char word[LINE_WORDS][LINE_WORD_BYTES]; /* no NULs within */
    bool blank;                             /* nothing at all may stand for it, too */
};

/* The words that may stand in `order`; SKIP is one that says nothing to us. */
enum line_part { LINE_SIGN, LINE_VALUE, LINE_UNIT, LINE_MARK, LINE_KIND, LINE_SKIP };

struct scale_line {
    char start[LINE_MARK_BYTES + 1];     /* bytes that begin a frame, "" where it begins after the end before */
    char delimiter[LINE_MARK_BYTES + 1]; /* bytes that end it, at least one */
    size_t parts;
    enum line_part order[LINE_ORDER];
    char separators[8]; /* beside the space */
    char point;         /* of the value: `.` or `,` */
    struct line_words stable, moving, over, under, error, net, gross, tare;
    struct line_words unit[SCALE_UNIT_PCS + 1]; /* spelling of each unit beside its own */
    bool unit_tells_stability;                  /* it is left out while the weight moves, as blank_unit_means_moving */
    enum scale_unit unit_unsaid;                /* of a line that names none; SCALE_UNIT_NONE: the station's */
};

/* As the slots of scale_family. */
size_t line_frame(const struct scale_line *line, const uint8_t *buf, size_t len, size_t *skip);
bool line_decode(const struct scale_line *line, const uint8_t *frame, size_t len, struct scale_reading *out);

/* What a declared line lacks, or what in it does not go together: each would be read wrongly, or never. */
struct profile_gap {
    bool (*is)(const struct scale_line *line);
    const char *field, *code; /* the key at fault, and the code that says why */
};

/* The first one. NULL: the line is whole. */
const struct profile_gap *profile_gap_of(const struct scale_line *line);
