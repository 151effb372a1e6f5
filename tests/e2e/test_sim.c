/* poise-sim as a program: words in, answers out, frames on TCP and on a pty. Every wait is for a line, a frame or an
 * end. */
#include "tests/e2e/sim_bench.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

/* Reads frames that end with `ending` until one is the wanted; returns how many came before it. */
static int read_until(int fd, char ending, const char *want)
{
    char frame[128];
    size_t len = 0;
    for (int before = 0; before < 100000;) {
        sim_bench_wait(fd, want);
        ssize_t got = read(fd, frame + len, 1);
        if (got <= 0)
            fail_msg("the end came before %s", want);
        len++;
        frame[len] = 0;
        if (frame[len - 1] != ending && len < 120)
            continue;
        if (!strcmp(frame, want))
            return before;
        before++;
        len = 0;
    }
    fail_msg("it never came: %s", want);
    return -1;
}

static bool at_end(int fd)
{
    char bytes[4096];
    for (int reads = 0; reads < 20000; reads++) {
        sim_bench_wait(fd, "the end of a connection");
        if (read(fd, bytes, sizeof bytes) <= 0)
            return true;
    }
    return false;
}

static void a_pour_is_seen_on_tcp(void **state)
{
    struct sim_bench *b = *state;
    sim_bench_start_tcp(b, "hdr2", "50", NULL);
    int fd = sim_bench_connect(b, 0);
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    sim_bench_say(b, "cup 31.2", "ok cup");
    sim_bench_say(b, "settle", "settled 31.20");
    read_until(fd, '\n', "ST,+00031.20  g\r\n");
    sim_bench_say(b, "pour 5 20", "done 5.0000");
    read_until(fd, '\n', "ST,+00036.20  g\r\n");
    sim_bench_say(b, "weigh", "ok true 36.2000 cup 31.2000 content 5.0000 air 0.0000 shown 36.20 stable");
    sim_bench_say(b, "tare", "ok tare");
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    sim_bench_say(b, "lift", "ok lift");
    sim_bench_say(b, "settle", "settled -36.20");
    read_until(fd, '\n', "ST,-00036.20  g\r\n");
    sim_bench_say(b, "put", "ok put");
    sim_bench_say(b, "says over", "ok says");
    read_until(fd, '\n', "OL,+99999.99  g\r\n");
    close(fd);
}

static void other_words_go_on_during_a_pour(void **state)
{
    struct sim_bench *b = *state;
    char text[512];
    sim_bench_start_tcp(b, "hdr2", "50", NULL);
    int fd = sim_bench_connect(b, 0);
    sim_bench_say(b, "cup 30", "ok cup");
    dprintf(b->in, "pour 10 10\n");
    sim_bench_say(b, "lift", "ok lift");
    sim_bench_say(b, "pour 1", "error pour: a pour is under way.");
    sim_bench_say(b, "off", "error off: a pour is under way.");
    assert_non_null(strstr(sim_bench_line(b, text), "done 10.0000"));
    sim_bench_say(b, "put", "ok put");
    read_until(fd, '\n', "ST,+00040.00  g\r\n");
    dprintf(b->in, "pour 1000 10\n");
    sim_bench_say(b, "stop", "ok stop");
    assert_non_null(strstr(sim_bench_line(b, text), "done "));
    assert_true(atof(text + 5) < 500);
    close(fd);
}

static void silence_and_raw_bytes(void **state)
{
    struct sim_bench *b = *state;
    sim_bench_start_tcp(b, "sics", "50", NULL);
    int fd = sim_bench_connect(b, 0);
    read_until(fd, '\n', "S S       0.00 g\r\n");
    sim_bench_say(b, "mute", "ok mute");
    sim_bench_say(b, "raw 58 59 0d0A", "ok raw");
    read_until(fd, '\n', "XY\r\n");
    sim_bench_say(b, "raw 5a0d0a", "ok raw");
    assert_int_equal(read_until(fd, '\n', "Z\r\n"), 0); /* nothing came between */
    sim_bench_say(b, "cup 30", "ok cup");
    sim_bench_say(b, "settle", "settled 30.00");
    sim_bench_say(b, "speak", "ok speak");
    assert_int_equal(read_until(fd, '\n', "S S      30.00 g\r\n"), 0);
    sim_bench_say(b, "restart 50", "ok restart");
    read_until(fd, '\n', "S S       0.00 g\r\n");
    sim_bench_say(b, "raw 5", "error raw: that is not hex");
    sim_bench_say(b, "sing", "error sing: no such word.");
    close(fd);
}

static void each_connection_gets_the_stream_and_a_slow_one_is_dropped(void **state)
{
    struct sim_bench *b = *state;
    sim_bench_start_tcp(b, "hdr2", "20000", NULL);
    int slow = sim_bench_connect(b, 4096), one = sim_bench_connect(b, 0), two = sim_bench_connect(b, 0);
    char bytes[4096];
    size_t read_by_one = 0;
    while (read_by_one < 1000000) { /* far more than the kernel keeps for the slow one */
        sim_bench_wait(one, "the stream");
        ssize_t got = read(one, bytes, sizeof bytes);
        if (got <= 0)
            fail_msg("the quick one was dropped");
        read_by_one += (size_t)got;
        sim_bench_wait(two, "the stream");
        assert_true(read(two, bytes, sizeof bytes) > 0);
    }
    assert_true(at_end(slow));
    sim_bench_say(b, "unplug", "ok unplug");
    assert_true(at_end(one) && at_end(two));
    sim_bench_say(b, "plug", "ok plug");
    int again = sim_bench_connect(b, 0);
    read_until(again, '\n', "ST,+00000.00  g\r\n");
    close(slow);
    close(one);
    close(two);
    close(again);
}

static void a_polled_scale_speaks_when_asked(void **state)
{
    struct sim_bench *b = *state;
    sim_bench_start_tcp(b, "hdr2", "50", "--poll");
    int fd = sim_bench_connect(b, 0);
    sim_bench_say(b, "cup 30", "ok cup");
    sim_bench_say(b, "settle", "settled 30.00");
    assert_int_equal(write(fd, "T\r\nQ\r\n", 6), 6);
    assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0); /* the first and only one: nobody tared it */
    sim_bench_say(b, "heard", "ok heard 540d0a510d0a");
    sim_bench_say(b, "heard", "ok heard");
    sim_bench_say(b, "raw 2a0a", "ok raw");
    assert_int_equal(read_until(fd, '\n', "*\n"), 0);
    assert_int_equal(write(fd, "SIR\r\n", 5), 5);
    for (int i = 0; i < 3; i++)
        assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0);
    close(fd);
}

static int open_link(const struct sim_bench *b)
{
    int fd = open(b->link, O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_true(fd >= 0);
    return fd;
}

static void start_pty(struct sim_bench *b, const char *family)
{
    char text[512], want[128];
    const char *options[] = {"--link",   b->link, "--hand", "manual", "--settle", "100",
                             "--family", family,  "--rate", "50",     NULL};
    sim_bench_start(b, options, false);
    snprintf(want, sizeof want, "link %s", b->link);
    assert_string_equal(sim_bench_line(b, text), want);
}

static void a_pty_may_be_closed_and_opened_again(void **state)
{
    struct sim_bench *b = *state;
    start_pty(b, "sma");
    sim_bench_say(b, "cup 30", "ok cup");
    sim_bench_say(b, "settle", "settled 30.00");
    for (int i = 0; i < 3; i++) {
        char want[64];
        snprintf(want, sizeof want, "\n 1G       %d.00g  \r", 30 + i);
        int fd = open_link(b);
        assert_int_equal(read_until(fd, '\r', want), 0); /* no backlog from while nobody listened */
        read_until(fd, '\r', want);
        struct termios set;
        assert_int_equal(tcgetattr(fd, &set), 0);
        assert_int_equal(set.c_lflag & (ECHO | ICANON), 0);
        close(fd);
        sim_bench_say(b, "add 1", "ok add");
        snprintf(want, sizeof want, "settled %d.00", 31 + i);
        sim_bench_say(b, "settle", want);
    }
}

static void a_pulled_pty_comes_back_by_its_path(void **state)
{
    struct sim_bench *b = *state;
    struct stat st;
    start_pty(b, "hdr2");
    int fd = open_link(b);
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    sim_bench_say(b, "unplug", "ok unplug");
    assert_true(at_end(fd));
    assert_int_equal(lstat(b->link, &st), -1);
    sim_bench_say(b, "plug", "ok plug");
    int again = open_link(b);
    read_until(again, '\n', "ST,+00000.00  g\r\n");
    close(fd);
    close(again);
}

static void it_ends_with_0_and_takes_its_link_along(void **state)
{
    struct sim_bench *b = *state;
    struct stat st;
    for (int way = 0; way < 3; way++) {
        if (way == 0)
            assert_int_equal(symlink("/dev/pts/9999", b->link), 0); /* a stale one is replaced */
        start_pty(b, "hdr2");
        assert_int_equal(stat(b->link, &st), 0);
        if (way == 0)
            sim_bench_say(b, "quit", "ok quit");
        else if (way == 1)
            kill(b->pid, SIGTERM);
        close(b->in); /* way 2: the end of its input */
        b->in = -1;
        assert_int_equal(sim_bench_reap(b), 0);
        close(b->out);
        b->out = -1;
        assert_int_equal(lstat(b->link, &st), -1);
    }
}

static void what_is_not_its_own_is_left_alone(void **state)
{
    struct sim_bench *b = *state;
    char text[512];
    close(open(b->link, O_CREAT | O_WRONLY | O_CLOEXEC, 0600));
    const char *options[] = {"--link", b->link, "--hand", "manual", NULL};
    sim_bench_start(b, options, true);
    assert_non_null(strstr(sim_bench_line(b, text), "something that is not a link to a terminal is there."));
    assert_int_equal(sim_bench_reap(b), 74);
    struct stat st;
    assert_int_equal(lstat(b->link, &st), 0);
    assert_true(S_ISREG(st.st_mode));
}

static void a_fault_is_one_line_and_64(void **state)
{
    struct sim_bench *b = *state;
    char text[512];
    const char *options[] = {"--bogus", NULL};
    sim_bench_start(b, options, true);
    assert_string_equal(sim_bench_line(b, text), "poise-sim: --bogus: no such option. Try --help");
    assert_string_equal(sim_bench_line(b, text), "");
    assert_int_equal(sim_bench_reap(b), 64);
}

static void write_file(const struct sim_bench *b, const char *text)
{
    FILE *file = fopen(b->file, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static void a_recording_comes_out_as_it_was(void **state)
{
    struct sim_bench *b = *state;
    char text[512];
    write_file(b, "# family: hdr2\n0 53542c2b303030\n5 33302e3030202067 0d0a\n9 55532c2b\n");
    const char *options[] = {"--link", b->link, "--replay", b->file, "--chunk", "1", NULL};
    sim_bench_start(b, options, false);
    assert_non_null(strstr(sim_bench_line(b, text), "link "));
    int fd = open_link(b);
    assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0);
    assert_int_equal(read_until(fd, '+', "US,+"), 0);
    assert_string_equal(sim_bench_line(b, text), "done replay 21");
    kill(b->pid, SIGTERM); /* it stays, silent, until told */
    assert_int_equal(sim_bench_reap(b), 0);
    close(fd);
}

static void a_scenario_runs_to_its_end(void **state)
{
    struct sim_bench *b = *state;
    char text[512];
    write_file(b, "family fix16\nsettle 50\nrate 50\n0 cup 20\ndone+20 pour 2 20\ndone+0 weigh\n+10 quit\n");
    const char *options[] = {"--tcp", "0", "--scenario", b->file, NULL};
    sim_bench_start(b, options, false);
    static const char *const want[] = {"port ", "ok cup", "done 2.0000", "ok true 22.0000", "ok quit"};
    for (size_t i = 0; i < 5; i++)
        if (strncmp(sim_bench_line(b, text), want[i], strlen(want[i])) != 0)
            fail_msg("line %zu: %s", i, text);
    assert_int_equal(sim_bench_reap(b), 0);
}

int main(void)
{
#define EACH(test) cmocka_unit_test_setup_teardown(test, sim_bench_begin, sim_bench_end)
    const struct CMUnitTest tests[] = {
        EACH(a_pour_is_seen_on_tcp),
        EACH(other_words_go_on_during_a_pour),
        EACH(silence_and_raw_bytes),
        EACH(each_connection_gets_the_stream_and_a_slow_one_is_dropped),
        EACH(a_polled_scale_speaks_when_asked),
        EACH(a_pty_may_be_closed_and_opened_again),
        EACH(a_pulled_pty_comes_back_by_its_path),
        EACH(it_ends_with_0_and_takes_its_link_along),
        EACH(what_is_not_its_own_is_left_alone),
        EACH(a_fault_is_one_line_and_64),
        EACH(a_recording_comes_out_as_it_was),
        EACH(a_scenario_runs_to_its_end),
    };
    signal(SIGPIPE, SIG_IGN);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
