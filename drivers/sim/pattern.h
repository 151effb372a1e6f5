/* pattern.h - a small language for frames: text as it is, and what begins with % is filled in from the weight.
 *
 *   %+ %-      sign: + or -, space or -
 *   %Nd %0Nd   digits with point, N wide, padded with blanks or zeros (no N: as long as they are); %,0Nd decimal comma
 *   %Ns %0Ns   the same with a - in front where negative, inside the width
 *   %NP        as %Nd, and a weight below zero does not fit
 *   %Nb        as %Nd with the last digit in brackets      %NR  as %0Ns, read from right to left
 *   %ND %0ND   digits without the point   %NT  those of the tare   %p  how many follow the point   %Nn  all nines
 *   %Nu %Nr    unit, padded on its right, on its left      %U   unit in capitals     %k  unit as one capital
 *   %(a|b)     a when stable, b when moving      %[a|b]  a when gross, b when net     %z  Z at zero, else a blank
 *   %x %c      exclusive or of all bytes since the last STX (since the start where there is none): two hex digits, one
 * byte %y         the byte that makes the sum of all a multiple of 128 %A         three status bytes of stx18     %h %H
 * two, three status bytes of scp     %m %M  that of retail, with bit 5 %L         lamp byte of hdr2g22 A shape is ours,
 * in a const table: a fault in one shows as a frame of length 0.
 */
#pragma once
#include "drivers/sim/styles.h"

/* Fills the shape in. Returns the length, 0 when something does not fit or the shape is at fault. */
size_t sim_shape(const char *shape, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX]);
