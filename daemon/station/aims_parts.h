/* aims_parts.h - what aims.c and holds.c share. For these two only. */
#pragma once

#include "station/batch.h"

/* Every step of the part was poured. */
bool aims_part_done(const struct batch *b, int part);
