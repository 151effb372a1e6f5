/* Recordings: their times, their chunks, and faults that name the line. */
#include "drivers/sim/script.h"
#include "tests/unit/sim/written.h"

static const char sample[] = "# family: hdr2\n"
                             "# settings: 9600 8N1\n"
                             "\n"
                             "0 53 54 2C\n"
                             "100 2b3030\r\n"
                             "250 3031\n";
static const char sample_bytes[] = "ST,+0001";

static int read_text(const char *text, struct replay *out, double speed, size_t chunk, struct script_fault *fault)
{
    write_text(text);
    return replay_read(out, path, speed, chunk, fault);
}

static const struct {
    const char *name;
    double speed;
    size_t chunk;
    int at_ms[6];       /* looked at these times */
    const char *got[6]; /* all that was due at each, writes parted by | */
} plays[] = {
    {"as recorded", 1, 0, {0, 99, 100, 249, 250, 999}, {"ST,", "", "+00", "", "01", ""}},
    {"twice as fast", 2, 0, {0, 49, 50, 124, 125, 126}, {"ST,", "", "+00", "", "01", ""}},
    {"at once", 0, 0, {0, 1, 2, 3, 4, 5}, {"ST,|+00|01", "", "", "", "", ""}},
    {"in ones", 1, 1, {0, 99, 100, 249, 250, 999}, {"S|T|,", "", "+|0|0", "", "0|1", ""}},
    {"in fours, the rest at the end", 1, 4, {0, 99, 100, 249, 250, 999}, {"", "", "ST,+", "", "0001", ""}},
    {"in sevens", 1, 7, {0, 99, 100, 249, 250, 999}, {"", "", "", "", "ST,+000|1", ""}},
    {"in more than there are", 0, 300, {0, 1, 2, 3, 4, 5}, {"ST,+0001", "", "", "", "", ""}},
};

static void bytes_come_at_their_times_in_their_chunks(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof plays / sizeof *plays; i++) {
        struct replay replay;
        struct script_fault fault;
        char all[64] = "";
        assert_int_equal(read_text(sample, &replay, plays[i].speed, plays[i].chunk, &fault), 0);
        replay_start(&replay, 5000000);
        for (int k = 0; k < 6; k++) {
            char got[64] = "";
            const uint8_t *bytes;
            size_t len;
            while ((len = replay_due(&replay, 5000000 + plays[i].at_ms[k] * 1000, &bytes))) {
                snprintf(got + strlen(got), sizeof got - strlen(got), "%s%.*s", *got ? "|" : "", (int)len,
                         (const char *)bytes);
                strncat(all, (const char *)bytes, len);
            }
            if (strcmp(got, plays[i].got[k]) != 0)
                fail_msg("%s: at %d ms <%s>, want <%s>", plays[i].name, plays[i].at_ms[k], got, plays[i].got[k]);
        }
        assert_string_equal(all, sample_bytes);
        assert_int_equal(replay_next_us(&replay), -1);
        replay_finish(&replay);
    }
}

static const struct {
    const char *text, *says;
} faults[] = {
    {"# only a head\n", ": no bytes are in it."},
    {"0 5354\nsoon 2c\n", ":2: soon: no time, or before that of the line above. Write MS HEXBYTES"},
    {"100 53\n99 54\n", ":2: 99: no time, or before that of the line above."},
    {"0 535\n", ":1: 535: these are no bytes in hex."},
    {"0\n", ":1: : these are no bytes in hex."},
    {"0 ST,+\n", ":1: ST,+: these are no bytes in hex."},
    {"-5 53\n", ":1: -5: no time"},
};

static void faults_name_line_and_mend(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct replay replay;
        struct script_fault fault;
        size_t name = strlen(path);
        assert_int_equal(read_text(faults[i].text, &replay, 1, 0, &fault), 65);
        char why[2 * SAID_TEXT_MAX];
        script_fault_text(&fault, path, WORDS_EN, why, sizeof why);
        if (strncmp(why, path, name) != 0 || strncmp(why + name, faults[i].says, strlen(faults[i].says)) != 0)
            fail_msg("<%s> gave <%s>", faults[i].text, why);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bytes_come_at_their_times_in_their_chunks),
        cmocka_unit_test(faults_name_line_and_mend),
    };
    return cmocka_run_group_tests(tests, make_path, remove_path);
}
