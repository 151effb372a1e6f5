/* candidate.h - what one family makes of bytes that several families read: the weight that tells them apart, held
 * against the scale's own display.
 *
 * Pure: no I/O. `came` is a text as scale.seek sends it, what is not printable as \xNN.
 */
#pragma once

#include <stddef.h>

/* `123.4 g`, the last weight that the family reads in it, in the digits and unit sent; "" where it reads none, or
 * there is no such family. */
void candidate_reads(const char *family, const char *came, char *out, size_t size);
