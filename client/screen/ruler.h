/* ruler.h - the ruler with a notch, and the tooth that rides along it.
 *
 * Graduated by ratio: each halving of what is left takes the same length, so a tooth that walks at a steady pace is
 * a pour that brakes rightly. With r = to go and t = tolerance, x = notch - sign(r) log2(1 + |r|/t) U; the notch is
 * one U wide on each side and is the tolerance itself; inside it the tooth moves linearly and sits low.
 * The scale is the step's own: a toner of 2 g has as long a ruler as one of 200 g, so the hand brakes alike for both.
 * Pure; lengths are columns from the page's left edge. */
#pragma once

#include "client/screen/grid.h"

struct ruler {
    int cols;           /* the ruler's whole length */
    double notch;       /* middle of the notch */
    double unit;        /* U */
    double tolerance_g; /* above 0 */
    double aim_g;       /* weight at the left end: what this step has to pour */
};

/* A ruler `cols` long for a step. The notch stands at 0.79 of the length; U is such that the aim stands at 0.035 of the
 * length, at most 0.17 of it. False (no ruler can be drawn) where aim or tolerance is not above 0 or cols is below 20.
 */
bool ruler_make(struct ruler *ruler, int cols, double aim_g, double tolerance_g);

/* Middle of the tooth for a weight still to go; outside the notch by the formula above, inside (|to go| at most the
 * tolerance) linearly within the play that the notch leaves it. */
double ruler_x(const struct ruler *ruler, double to_go_g);

/* Columns of the tooth: 0.65 of the notch, at least 3. */
int ruler_tooth_cols(const struct ruler *ruler);

/* Walls of the notch, the first and the last column of the gap's two sides. */
int ruler_wall_left(const struct ruler *ruler);
int ruler_wall_right(const struct ruler *ruler);

struct ruler_look {
    bool dead;          /* no weight: hatched, no graduation, an empty tooth */
    bool thin;          /* one row of tooth instead of two */
    bool mute;          /* no tooth at all (nothing is known of the weight) */
    bool on_aim;        /* the daemon's cue: the tooth sits in the notch */
    double to_go_g;     /* the newest weight, or the last one if dead */
    double lands_at_g;  /* to go after what is in the air has landed; NAN: not drawn */
    char point;         /* decimal sign of the graduation */
    unsigned tooth_ink; /* of enum ink */
};

/* Draws rows [row, row + 4): two of the tooth, the ruler, the notch's floor; three rows where thin. */
void ruler_draw(struct grid *g, int row, const struct ruler *ruler, const struct ruler_look *look);
