/* seek.c - the order of speeds and questions, and where a pass stands. Pure: no port, no clock. */
#include "drivers/seek.h"

#include <string.h>

/* What scales are delivered with, the most frequent first (common practice, no source). */
static const int usual_speeds[SEEK_SPEEDS] = {9600, 2400, 1200, 4800, 19200, 38400, 115200, 600};

/* All of them read a weight and change nothing; ENQ is one byte, and its answer ACK wants another. */
static const struct {
    const char *bytes, *spoken;
} questions[] = {
    {"\nW\r", "LF W CR"}, {"SI\r\n", "SI CR LF"}, {"\033P", "ESC P"}, {"IP\r\n", "IP CR LF"}, {"\5", "ENQ"},
};
enum { QUESTIONS = sizeof questions / sizeof *questions };

const char *seek_question(size_t i)
{
    return i < QUESTIONS ? questions[i].bytes : NULL;
}

/* The user's own speed goes first where it is not among the usual ones; else its turn comes with them. */
void seek_init(struct seek *seek, bool has_speeds, bool may_ask, int chosen_speed)
{
    memset(seek, 0, sizeof *seek);
    seek->has_speeds = has_speeds;
    seek->may_ask = may_ask;
    seek->chosen_speed = chosen_speed;
    seek->pass = 1;
    bool usual = false;
    for (size_t i = 0; i < SEEK_SPEEDS; i++)
        usual = usual || usual_speeds[i] == chosen_speed;
    if (chosen_speed > 0 && !usual)
        seek->speeds[seek->speed_count++] = chosen_speed;
    for (size_t i = 0; i < SEEK_SPEEDS; i++)
        seek->speeds[seek->speed_count++] = usual_speeds[i];
    if (!has_speeds)
        seek->speed_count = 1;
}

/* A port without speeds has the settings that the user gave it. */
static bool may_ask_here(const struct seek *seek)
{
    return !seek->has_speeds || seek->clean[seek->speed] || seek->speeds[seek->speed] == seek->chosen_speed;
}

/* Moves on within the second half of a pass; false: it is over. */
static bool next_question(struct seek *seek)
{
    if (++seek->question <= QUESTIONS && seek->asking)
        return true;
    seek->question = 1;
    for (seek->speed += seek->asking; seek->speed < seek->speed_count; seek->speed++) {
        if (may_ask_here(seek)) {
            seek->asking = true;
            return true;
        }
    }
    return false;
}

/* First half: listen at each speed. Second half: ask where it is allowed. False: a new pass begins. */
static bool advance(struct seek *seek)
{
    if (!seek->asking && seek->speed + 1 < seek->speed_count) {
        seek->speed++;
        return true;
    }
    if (seek->may_ask) {
        if (!seek->asking)
            seek->speed = 0;
        if (next_question(seek))
            return true;
    }
    seek->asking = false;
    seek->speed = 0;
    seek->question = 0;
    seek->pass++;
    return false;
}

struct seek_step seek_next(struct seek *seek, bool *round_over)
{
    *round_over = seek->begun && !advance(seek);
    seek->begun = true;
    struct seek_step step = {
        .speed = seek->has_speeds ? seek->speeds[seek->speed] : 0,
        .spoken = "",
        .ms = SEEK_LISTEN_MS,
        .pass = seek->pass,
    };
    if (seek->asking) {
        step.question = questions[seek->question - 1].bytes;
        step.spoken = questions[seek->question - 1].spoken;
        step.ms = SEEK_ASK_MS;
    }
    return step;
}

void seek_heard_clean(struct seek *seek)
{
    seek->clean[seek->speed] = true;
}
