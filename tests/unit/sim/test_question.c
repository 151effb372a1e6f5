/* What a polled scale understands: questions that read, and nothing else. */
#include "drivers/sim/styles.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static const struct {
    const char *family, *sent;
    enum sim_ask asks[4]; /* in their order, then SIM_ASK_NOTHING */
    size_t kept;          /* bytes that may become a question yet */
} rows[] = {
    {"sics", "S\r\n", {SIM_ASK_STABLE}, 0},
    {"sics", "SI\r\nSIR\r\n", {SIM_ASK_NOW, SIM_ASK_STREAM}, 0},
    {"sics", "SI", {SIM_ASK_NOTHING}, 2},
    {"sics", "Z\r\nT\r\n@\r\n", {SIM_ASK_NOTHING}, 0},
    {"hdr2", "Q\r\nC\r\n", {SIM_ASK_NOW, SIM_ASK_STOP}, 0},
    {"hdr2", "xxQ\r\nRW\r", {SIM_ASK_NOW}, 3},
    {"fix16", "\033P", {SIM_ASK_NOW}, 0},
    {"fix16", "\033T\033", {SIM_ASK_NOTHING}, 1},
    {"fix16", "P", {SIM_ASK_NOTHING}, 0},
    {"scp", "W\r", {SIM_ASK_NOW}, 0},
    {"scp-ecr", "W\r", {SIM_ASK_NOW}, 0},
    {"retail", "WW", {SIM_ASK_NOW, SIM_ASK_NOW}, 0},
    {"sma", "\nW\r\nZ\r", {SIM_ASK_NOW}, 0},
    {"plain-su", "IP\r\nw", {SIM_ASK_NOW, SIM_ASK_NOW}, 0},
    {"enq-bcc", "\005\021", {SIM_ASK_HELLO, SIM_ASK_NOW}, 0},
    {"eq-rev", "SI\r\n\005W", {SIM_ASK_NOTHING}, 0},
};

static void questions_are_told_from_noise(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        uint8_t bytes[64];
        size_t len = strlen(rows[i].sent);
        memcpy(bytes, rows[i].sent, len);
        for (int k = 0;; k++) {
            enum sim_ask ask = sim_ask_take(rows[i].family, bytes, &len);
            if (ask != rows[i].asks[k])
                fail_msg("row %zu: question %d is %d, want %d", i, k, (int)ask, (int)rows[i].asks[k]);
            if (ask == SIM_ASK_NOTHING)
                break;
        }
        assert_int_equal(len, rows[i].kept);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(questions_are_told_from_noise),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
