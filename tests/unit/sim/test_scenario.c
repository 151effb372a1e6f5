/* Scenario files: what is said when, and faults that name file:line, what and mend. */
#include "drivers/sim/script.h"
#include "tests/unit/sim/written.h"

static int read_text(const char *text, struct scenario *out, struct sim_options *options, struct script_fault *fault)
{
    write_text(text);
    return scenario_read(out, path, options, fault);
}

static const struct {
    const char *name, *text;
    int code;
    const char *says; /* after the file's name */
} faults[] = {
    {"a word that is none", "0 cup 60\n500 pur 20\n", 65, ":2: pur: no such word. Words: cup "},
    {"a number that is none", "0 cup sixty\n", 65, ":1: cup: that is no number. Say cup G"},
    {"a number missing", "\n# x\n0 pour\n", 65, ":3: pour: a number is missing. Say pour G [G_PER_S]"},
    {"too many", "0 pour 1 2 3\n", 65, ":1: pour: too many words. Say pour G [G_PER_S]"},
    {"out of range", "0 pour -5\n", 65, ":1: pour: that number is out of range. Say pour G [G_PER_S]"},
    {"bad hex", "0 raw 4g\n", 65, ":1: raw: that is not hex"},
    {"odd hex", "0 raw 414\n", 65, ":1: raw: that is not hex"},
    {"nothing more", "0 lift now\n", 65, ":1: lift: it takes nothing more. Say lift"},
    {"no time", "0 cup 60\npour 20\n", 65, ":2: pour 20: no time stands here. Begin the line with MS, +MS or done+MS"},
    {"a time that is none", "0 cup 60\n1s pour 20\n", 65, ":2: 1s pour 20: no time stands here."},
    {"a time and no word", "0\n", 65, ":1: no word stands after the time. Write `0 cup 60`, say"},
    {"a head that is none", "colour red\n0 cup 60\n", 65, ":1: colour: no such setting. Put family, d, rate"},
    {"a head that belongs on the command line", "tcp 4000\n0 cup 60\n", 65, ":1: tcp: no such setting."},
    {"a head without a value", "family\n0 cup 60\n", 65, ":1: family: its value is missing. Give NAME"},
    {"a head out of range", "rate 0\n0 cup 60\n", 65, ":1: rate: 0 is no number from 0.1 to 20000. Give HZ"},
    {"after the loop", "0 cup 60\nloop\n5 lift\n", 65, ":3: something stands after loop. Put loop on the last line"},
    {"a loop of nothing", "loop\n", 65, ":1: loop: nothing stands before it."},
    {"nothing at all", "# family hdr2\n", 65, ": no timed line is in it."},
};

static void faults_name_line_and_mend(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct scenario scenario;
        struct sim_options options;
        struct script_fault fault;
        sim_options_init(&options);
        int code = read_text(faults[i].text, &scenario, &options, &fault);
        char why[2 * SAID_TEXT_MAX];
        size_t name = strlen(path);
        script_fault_text(&fault, path, WORDS_EN, why, sizeof why);
        if (code != faults[i].code || strncmp(why, path, name) != 0 ||
            strncmp(why + name, faults[i].says, strlen(faults[i].says)) != 0)
            fail_msg("%s: %d <%s>", faults[i].name, code, why);
    }
}

static void a_missing_file_says_so(void **state)
{
    (void)state;
    struct scenario scenario;
    struct sim_options options;
    struct script_fault fault;
    sim_options_init(&options);
    assert_int_equal(scenario_read(&scenario, "/nowhere/at-all", &options, &fault), 66);
    char why[2 * SAID_TEXT_MAX];
    script_fault_text(&fault, "/nowhere/at-all", WORDS_DE, why, sizeof why);
    assert_string_equal(why, "/nowhere/at-all: keine solche Datei. Den Pfad prüfen");
}

static void the_head_sets_what_the_command_line_left_open(void **state)
{
    (void)state;
    struct scenario scenario;
    struct sim_options options;
    struct script_fault fault;
    char *argv[] = {"poise-sim", "--rate", "50", "--tcp=0"};
    sim_options_init(&options);
    assert_int_equal(sim_options_read(&options, 4, argv, &fault.why), 0);
    assert_int_equal(read_text("family sics\n rate 5\nd\t0.1 \npoll\n0 cup 60\n", &scenario, &options, &fault), 0);
    assert_string_equal(options.family, "sics");
    assert_true(options.rate_hz > 49 && options.rate_hz < 51);
    assert_true(options.d_g > 0.09 && options.d_g < 0.11);
    assert_true(options.poll);
    scenario_finish(&scenario);
}

/* What is due at a time, or "-". */
static const char *due(struct scenario *scenario, int64_t ms, bool idle)
{
    const char *words = scenario_due(scenario, ms * 1000 + 1000000, idle);
    return words ? words : "-";
}

static void lines_are_due_at_their_times(void **state)
{
    (void)state;
    struct scenario s;
    struct sim_options options;
    struct script_fault fault;
    sim_options_init(&options);
    assert_int_equal(read_text("100 cup 60\n+50 pour 20\ndone+200 lift # no\n", &s, &options, &fault), 65);
    assert_int_equal(
        read_text("100 cup 60\n+50 pour 20\n+10 lift\ndone+200 put\n900 quit\nloop\n", &s, &options, &fault), 0);
    scenario_start(&s, 1000000);
    assert_int_equal(scenario_next_us(&s), 1100000);
    assert_string_equal(due(&s, 99, true), "-");
    assert_string_equal(due(&s, 100, true), "cup 60");
    assert_string_equal(due(&s, 149, true), "-");
    assert_string_equal(due(&s, 400, true), "pour 20"); /* late, and yet the next counts from where it was due */
    assert_string_equal(due(&s, 400, false), "lift");
    assert_string_equal(due(&s, 650, false), "-");
    assert_int_equal(scenario_next_us(&s), -1);
    assert_string_equal(due(&s, 700, true), "-"); /* now all is answered */
    assert_string_equal(due(&s, 899, true), "-");
    assert_string_equal(due(&s, 900, true), "put");
    assert_string_equal(due(&s, 900, true), "quit");
    assert_string_equal(due(&s, 901, false), "-"); /* not before the last is answered */
    assert_string_equal(due(&s, 1000, true), "-"); /* begins again here */
    assert_string_equal(due(&s, 1099, true), "-");
    assert_string_equal(due(&s, 1100, true), "cup 60");
    scenario_finish(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faults_name_line_and_mend),
        cmocka_unit_test(a_missing_file_says_so),
        cmocka_unit_test(the_head_sets_what_the_command_line_left_open),
        cmocka_unit_test(lines_are_due_at_their_times),
    };
    return cmocka_run_group_tests(tests, make_path, remove_path);
}
