/* question.c - what may be asked of which family. It answers nothing by itself: sim.c does. */
#include "drivers/sim/question.h"
#include <stdbool.h>
#include <string.h>

/* Sources: the `ask` column of the fact sheet that tests/data/frames.tsv goes with. A family may stand in several rows.
 */
static const struct question {
    const char *families; /* a blank before and after each name */
    const char *text;
    enum sim_ask ask;
} questions[] = {
    {" sics sics-b hdr2 hdr2g hdr2g22 ", "S\r\n", SIM_ASK_STABLE},
    {" sics sics-b hdr2 hdr2g hdr2g22 ", "SI\r\n", SIM_ASK_NOW},
    {" sics hdr2 hdr2g hdr2g22 ", "SIR\r\n", SIM_ASK_STREAM},
    {" sics-b ", "SU\r\n", SIM_ASK_STABLE},
    {" sics-b ", "SUI\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "Q\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "RW\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "C\r\n", SIM_ASK_STOP},
    {" fix16 fix22 fix16n ", "\033P", SIM_ASK_NOW},
    {" scp scp-ecr ", "W\r", SIM_ASK_NOW},
    {" retail ", "W", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "IP\r\n", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "SP\r\n", SIM_ASK_STABLE},
    {" plain plain-u plain-su plain-14 nu ", "CP\r\n", SIM_ASK_STREAM},
    {" plain plain-u plain-su plain-14 nu ", "0P\r\n", SIM_ASK_STOP},
    {" plain plain-u plain-su plain-14 nu ", "w", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "s", SIM_ASK_STABLE},
    {" sma ", "\nW\r", SIM_ASK_NOW},
    {" enq-bcc ", "\005", SIM_ASK_HELLO},
    {" enq-bcc ", "\021", SIM_ASK_NOW},
};

/* Whole names alone: `plain` must not be found in `plain-u`. */
static bool speaks(const char *families, const char *family)
{
    size_t len = strlen(family);
    for (const char *at = families; (at = strstr(at, family)); at += len)
        if (at[-1] == ' ' && at[len] == ' ')
            return true;
    return false;
}

static void take(uint8_t *bytes, size_t *len, size_t count)
{
    memmove(bytes, bytes + count, *len - count);
    *len -= count;
}

/* A byte that begins no question is skipped, so noise before one does no harm. */
enum sim_ask sim_ask_take(const char *family, uint8_t *bytes, size_t *len)
{
    while (*len) {
        bool begun = false; /* the bytes may become a question yet */
        for (size_t i = 0; i < sizeof questions / sizeof *questions; i++) {
            if (!speaks(questions[i].families, family))
                continue;
            size_t want = strlen(questions[i].text), have = *len < want ? *len : want;
            if (memcmp(bytes, questions[i].text, have) != 0)
                continue;
            if (have == want) {
                take(bytes, len, want);
                return questions[i].ask;
            }
            begun = true;
        }
        if (begun)
            return SIM_ASK_NOTHING;
        take(bytes, len, 1);
    }
    return SIM_ASK_NOTHING;
}
