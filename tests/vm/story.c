/* story.c - the daemon on the kernel's own drivers: a pour on a UART, one through a pulled USB cable, and slow lines.
 *
 * story KERNEL INITRD LOG. One machine boots for all stories, which follow each other in it; those of USB scales are in
 * story_hid.c, those of finding out in story_seek.c. */
#include "tests/vm/stories.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#include <cmocka.h>

/* For the group's set-up, which cmocka gives nothing. */
static const struct machine_files *files;
static bool booted;

void assert_near(double want, double got, double within)
{
    if (!(fabs(want - got) <= within))
        fail_msg("%.6f is not within %.6f of %.6f", got, within, want);
}

void assert_says(struct machine *m, const char *command, const char *text)
{
    char said[4096];
    machine_shell(m, command, said, sizeof said);
    if (!strstr(said, text))
        fail_msg("%s does not say `%s`, but: %s", command, text, said);
}

static void the_drivers_are_the_kernels_own(void **state)
{
    struct machine *m = *state;
    assert_says(m, "grep ^1: /proc/tty/driver/serial", "uart:16550A");
    assert_says(m, "grep ^4: /proc/tty/driver/serial", "uart:16550A");
    assert_says(m, "readlink /sys/class/tty/ttyUSB0/device/driver", "/ftdi_sio");
    for (enum machine_line i = 0; i < MACHINE_LINES; i++)
        if (m->station[i].name && i != LINE_HID)
            painter_weigh(m, i, 0);
    assert_says(m, "stty -a -F /dev/ttyS1", "speed 9600 baud");
    assert_says(m, "stty -a -F /dev/ttyS1", "cs8");
    assert_says(m, "stty -a -F /dev/ttyS4", "speed 1200 baud");
    assert_says(m, "stty -a -F /dev/ttyS4", "cs7");
    assert_says(m, "stty -a -F /dev/ttyS4", "\nparenb -parodd");
    assert_says(m, "stty -a -F /dev/ttyUSB0", "speed 9600 baud");
}

/* Root may open what another has for itself alone; a painter's own program may not. */
static void a_port_is_ours_alone(void **state)
{
    struct machine *m = *state;
    char said[4096];
    assert_int_equal(0, machine_shell(m, "chmod 666 /dev/ttyS1 /dev/ttyUSB0", said, sizeof said));
    assert_says(m, "opener /dev/ttyS1", "busy");
    assert_says(m, "opener /dev/ttyUSB0", "busy");
    painter_weigh(m, LINE_UART, 1.23);
    painter_weigh(m, LINE_USB, 4.56);
}

static void pours_on_the_uart(void **state)
{
    struct machine *m = *state;
    begin_with_cup(m, LINE_UART);
    finish(m, LINE_UART);
}

/* A UART's cable cannot be felt: its bytes end. */
static void the_uarts_cable_falls_out(void **state)
{
    struct machine *m = *state;
    begin_with_cup(m, LINE_UART);
    pour_step(m, LINE_UART);
    double first = painter_poured(m, LINE_UART, 0);
    m->line[LINE_UART].mute = true;
    painter_wait_scale(m, LINE_UART, "stale");
    assert_int_equal(NO_SCALE, painter_refused(m, LINE_UART, "batch.accept", NULL));
    m->line[LINE_UART].mute = false;
    painter_wait_scale(m, LINE_UART, "live");
    assert_near(first, painter_poured(m, LINE_UART, 0), 0);
    finish(m, LINE_UART);
}

/* The cable goes in the middle of a frame, at a reading that would be 199.99 g. */
static void pull_in_mid_frame(struct machine *m)
{
    char said[8];
    struct scale_line *line = &m->line[LINE_USB];
    line->mute = true;
    while (line->gone < line->len)
        machine_step(m, machine_deadline(MACHINE_WAIT_MS), "the frame before to go");
    line_half(line, 199.99, false);
    machine_shell(m, ":", said, sizeof said); /* the guest has had its turn at the bytes */
    machine_pull(m, LINE_USB);
    machine_wait_console(m, "vm: socket 1:1.0 is empty", MACHINE_WAIT_MS);
}

/* Another adapter takes the number that has become free; it says a weight that no cup here has. */
static void another_takes_the_number(struct machine *m)
{
    machine_plug(m, LINE_OTHER_USB);
    machine_wait_console(m, "vm: socket 2:1.0 is ttyUSB0", MACHINE_WAIT_MS);
    line_show(&m->line[LINE_OTHER_USB], 888.88, false);
    m->line[LINE_OTHER_USB].mute = false;
}

static void pours_through_a_pulled_usb_cable(void **state)
{
    struct machine *m = *state;
    struct half_pour half = pour_half(m, LINE_USB);
    pull_in_mid_frame(m);
    painter_wait_scale(m, LINE_USB, "absent");
    assert_int_equal(NO_SCALE, painter_refused(m, LINE_USB, "batch.accept", NULL));
    another_takes_the_number(m);
    machine_plug(m, LINE_USB);
    machine_wait_console(m, "vm: socket 1:1.0 is ttyUSB1", MACHINE_WAIT_MS);
    painter_wait_scale(m, LINE_USB, "stale"); /* it is open, and nothing has come yet */
    line_half(&m->line[LINE_USB], 199.99, true);

    poured_on(m, LINE_USB, &half);
    assert_false(painter_saw(m, LINE_USB, 199.99));
    finish(m, LINE_USB);
    assert_false(painter_saw(m, LINE_USB, 888.88));
    assert_says(m, "readlink /dev/serial/by-path/*-usb-0:1:1.0-port0", "/dev/ttyUSB1");
}

/* How many frames of a station the daemon has read, by its own count; those that it refused and the bytes that belonged
 * to none must stay what they were. */
static long frames_read(struct machine *m, enum machine_line line, long *spoilt)
{
    json_t *answer = machine_call(m, "scale.list", NULL), *scale;
    size_t i;
    json_array_foreach(json_object_get(json_object_get(answer, "result"), "scales"), i, scale)
    {
        json_t *heard = json_object_get(scale, "heard");
        if (strcmp(json_string_value(json_object_get(scale, "station")), m->station[line].name) != 0)
            continue;
        *spoilt = (long)(json_integer_value(json_object_get(heard, "refused")) +
                         json_integer_value(json_object_get(heard, "stray_bytes")));
        return (long)json_integer_value(json_object_get(heard, "frames"));
    }
    fail_msg("no scale %s in scale.list", m->station[line].name);
    return 0;
}

/* A line's ramp: count readings, each 0.01 g above the one before. */
struct ramp {
    enum machine_line line;
    long count;
    double from_g;
    long before, spoilt; /* the daemon's counts as it began */
};

static void begin_ramp(struct machine *m, struct ramp *r)
{
    r->before = frames_read(m, r->line, &r->spoilt);
    m->station[r->line].seen_count = 0;
    line_ramp(&m->line[r->line], r->from_g, r->count);
}

/* The frames of it that the daemon has read; the line falls silent behind the last. */
static long read_of(struct machine *m, const struct ramp *r)
{
    long spoilt;
    if (m->line[r->line].ramp_left == 0)
        m->line[r->line].mute = true;
    return frames_read(m, r->line, &spoilt) - r->before;
}

/* A note gives way to a newer one where a busy machine is late to take it. So fewer may be told than were read, but
 * they come in their order, none is made up, and the last is told. */
static void told_in_order(struct machine *m, const struct ramp *r)
{
    const struct machine_station *s = &m->station[r->line];
    long from = lround(r->from_g * 100), last = from + r->count, before = from;
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    while (s->seen_count == 0 || s->seen[s->seen_count - 1] != last)
        machine_step(m, deadline, "the last of a ramp to be told");
    for (size_t i = 0; i < s->seen_count; before = s->seen[i++])
        if (s->seen[i] <= from || s->seen[i] > last || s->seen[i] < before)
            fail_msg("%s told %ld after %ld", s->name, s->seen[i], before);
}

/* Both at once, the quick one eight times as fast, without a pause: every frame is read, also where one dribbles in
 * byte by byte. */
static void each_frame_of_a_slow_and_a_quick_line_is_read(void **state)
{
    struct machine *m = *state;
    enum { FRAMES = 40, TIMES = 9600 / 1200 };
    struct ramp ramps[] = {{.line = LINE_SLOW, .count = FRAMES, .from_g = 100},
                           {.line = LINE_UART, .count = FRAMES * TIMES, .from_g = 500}};
    for (size_t i = 0; i < 2; i++)
        m->line[ramps[i].line].mute = true;
    for (size_t i = 0; i < 2; i++)
        painter_wait_scale(m, ramps[i].line, "stale");
    for (size_t i = 0; i < 2; i++)
        begin_ramp(m, &ramps[i]);
    for (size_t i = 0; i < 2; i++)
        m->line[ramps[i].line].mute = false;

    long slow = 0, quick = 0, quick_at_first = 0, quick_at_half = 0;
    int64_t deadline = machine_deadline(2 * MACHINE_WAIT_MS);
    while (slow < ramps[0].count || quick < ramps[1].count) {
        machine_step(m, deadline, "each frame of both ramps to be read");
        slow = read_of(m, &ramps[0]);
        quick = read_of(m, &ramps[1]);
        if (slow > 0 && quick_at_first == 0)
            quick_at_first = quick;
        if (slow >= FRAMES / 2 && quick_at_half == 0)
            quick_at_half = quick;
    }
    for (size_t i = 0; i < 2; i++) {
        long spoilt;
        assert_int_equal(ramps[i].before + ramps[i].count, frames_read(m, ramps[i].line, &spoilt));
        assert_int_equal(ramps[i].spoilt, spoilt);
        told_in_order(m, &ramps[i]);
    }
    /* Neither waits for the other: of the quick one some come between the first half of the slow one. */
    assert_true(quick_at_half > quick_at_first);
}

/* XOFF, with a part of the frame still to come. */
static void say_stop(struct machine *m, struct scale_line *line)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    while (line->gone == 0 || line->gone >= line->len / 2)
        machine_step(m, deadline, "an answer to be under way");
    assert_int_equal(1, send(line->fd, "\x13", 1, MSG_NOSIGNAL));
}

/* One reading a question, though the answer takes half the time between two questions at 1200 baud; and a scale that
 * says stop (XOFF) in mid-answer is asked nothing until it says go, whatever else it says. */
static void a_scale_that_is_asked(void **state)
{
    struct machine *m = *state;
    struct scale_line *line = &m->line[LINE_ASKED];
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    line->mute = true;
    painter_wait_scale(m, LINE_ASKED, "stale");
    line->unanswered = 0;
    m->station[LINE_ASKED].seen_count = 0;
    long begun = line->begun, asked = line->questions;
    line_ramp(line, 300, 15);
    line->mute = false;
    while (m->station[LINE_ASKED].seen_count < 15)
        machine_step(m, deadline, "fifteen answers");
    for (long n = 0; n < 15; n++)
        assert_int_equal(30000 + n + 1, m->station[LINE_ASKED].seen[n]);
    assert_true(line->questions - asked >= line->begun - begun);

    say_stop(m, line);
    painter_wait_scale(m, LINE_ASKED, "stale");
    asked = line->questions;
    painter_weigh(m, LINE_UART, 12.34); /* meanwhile the others are read */
    assert_int_equal(asked, line->questions);
    assert_int_equal(1, send(line->fd, "\x11", 1, MSG_NOSIGNAL));
    painter_weigh(m, LINE_ASKED, 301);
}

/* A far end that said stop must not hold the daemon back: the kernel would wait 30 s for what was not sent. */
static void stops_at_once_though_a_far_end_takes_nothing(void **state)
{
    struct machine *m = *state;
    char said[64];
    say_stop(m, &m->line[LINE_ASKED]);
    painter_wait_scale(m, LINE_ASKED, "stale");
    assert_int_equal(0, machine_shell(m, "kill $(cat /run/poised.pid)", said, sizeof said));
    machine_wait_console(m, "vm: poised ended with 0", STOP_MS);
}

static int boot(void **state)
{
    static struct machine machine;
    *state = &machine;
    machine_begin(&machine, files);
    machine_wait_console(&machine, "vm: up", MACHINE_BOOT_MS);
    painter_watch(&machine);
    begin_long_searches(&machine);
    booted = true;
    return 0;
}

static int halt(void **state)
{
    machine_end(*state);
    return 0;
}

int main(int argc, char **argv)
{
    static const struct CMUnitTest stories[] = {
        cmocka_unit_test(the_drivers_are_the_kernels_own),
        cmocka_unit_test(a_port_is_ours_alone),
        cmocka_unit_test(pours_on_the_uart),
        cmocka_unit_test(the_uarts_cable_falls_out),
        cmocka_unit_test(pours_through_a_pulled_usb_cable),
        cmocka_unit_test(reads_a_usb_scale_by_its_description),
        cmocka_unit_test(pours_through_a_pulled_usb_scale),
        cmocka_unit_test(says_who_may_not_use_a_usb_scale),
        cmocka_unit_test(finds_out_what_a_port_speaks),
        cmocka_unit_test(leaves_alone_what_a_station_reads),
        cmocka_unit_test(finds_out_by_asking),
        cmocka_unit_test(reads_by_what_was_found_out),
        cmocka_unit_test(says_that_nothing_was_heard),
        cmocka_unit_test(each_frame_of_a_slow_and_a_quick_line_is_read),
        cmocka_unit_test(a_scale_that_is_asked),
        cmocka_unit_test(stops_at_once_though_a_far_end_takes_nothing),
    };
    const int all = (int)(sizeof stories / sizeof *stories);
    if (argc != 4) {
        fprintf(stderr, "usage: story KERNEL INITRD LOG\n");
        return 64;
    }
    struct machine_files given = {.kernel = argv[1], .initrd = argv[2], .log = argv[3]};
    files = &given;
    int failed = cmocka_run_group_tests(stories, boot, halt);
    if (!booted)
        failed = all;
    fflush(stderr);
    printf("%d passed, %d failed\n", all - failed, failed);
    return failed == 0 ? 0 : 1;
}
