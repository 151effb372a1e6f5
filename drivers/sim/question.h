/* question.h - the questions that a scale of each family understands, all of which only read.
 *
 * What is not a question is skipped (and kept for the word `heard`): a simulated scale never tares or zeroes because
 * somebody sent a letter, so a test can see that nobody did.
 */
#pragma once
#include <stddef.h>
#include <stdint.h>

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
