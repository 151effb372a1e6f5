/* decode_auto.h - which family do these bytes speak? The guess of the drivers decides, and where there are too few
 * frames for it, the only family that reads them all.
 *
 * Owner   create and destroy; the bytes handed out live until destroy.
 */
#pragma once

#include "client/output.h"

#include "drivers/scale.h"

struct decode_auto;

struct decode_auto *decode_auto_create(void);
void decode_auto_destroy(struct decode_auto *found);

bool decode_auto_room(const struct decode_auto *found); /* false: as many bytes as are kept are there */
/* At most 4096 bytes at a time. */
void decode_auto_push(struct decode_auto *found, const uint8_t *bytes, size_t len);
/* The family, where it is plain before the end; else NULL. */
const struct scale_family *decode_auto_early(const struct decode_auto *found);
/* At the end. 0 with the family (NULL where there were no bytes at all), or 65 after a line on stderr: a tie with the
 * names, or nobody. */
int decode_auto_settle(struct decode_auto *found, struct output_style style, const struct scale_family **family);

const uint8_t *decode_auto_bytes(const struct decode_auto *found);
size_t decode_auto_count(const struct decode_auto *found);
