/* replay.h - plays a recording: bytes that a real scale sent, with their times.
 *
 *   # family: hdr2          head lines, all of them for people (and for the tests); none is needed
 *   # settings: 9600 8N1
 *   MS HEXBYTES             milliseconds since the start, never falling; blanks between bytes allowed
 * It begins when somebody listens, waits for who is slow, and when it is over the link stays open and silent.
 * Owner   replay_read() allocates; replay_finish() frees.
 */
#pragma once
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct replay_line {
    int64_t ms;
    size_t end; /* in bytes[]: up to where they are due at ms */
};

struct replay {
    uint8_t *bytes;
    struct replay_line *lines;
    size_t count;
    double speed; /* 0: all is due at once */
    size_t chunk; /* 0: as recorded */
    /* where it is */
    int64_t start_us;
    size_t next; /* line */
    size_t sent; /* bytes */
};

/* Returns 0, 65 bad data, 66 no such file, 70 no memory; why names file:line. */
int replay_read(struct replay *replay, const char *path, double speed, size_t chunk, char *why, size_t room);
/* Frees both blocks; harmless on one that was never read. */
void replay_finish(struct replay *replay);
void replay_start(struct replay *replay, int64_t now_us);

/* The next bytes to write in one go, and how many; 0 when none are due. */
size_t replay_due(struct replay *replay, int64_t now_us, const uint8_t **bytes);
/* When more are due; -1 at the end. */
int64_t replay_next_us(const struct replay *replay);
