/* story_seek.c - finding out what a port speaks, on the kernel's own UARTs. The guest's shell asks as a person does. */
#include "tests/vm/stories.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { SAID = 8192 };

/* `poise seek WORDS` beside the story; what it prints goes to /run/NAME. */
static void begin_search(struct machine *m, const char *name, const char *words)
{
    char command[320], said[256];
    snprintf(
        command, sizeof command,
        "mkfifo /run/%s.done; (poise seek %s >/run/%s 2>&1; echo \"ended with $?\" >>/run/%s; echo >/run/%s.done) &",
        name, words, name, name, name);
    assert_int_equal(0, machine_shell(m, command, said, sizeof said));
}

/* Waits for its end; all that it printed. */
static void end_search(struct machine *m, const char *name, char said[SAID])
{
    char command[80];
    snprintf(command, sizeof command, "cat /run/%s.done /run/%s", name, name);
    machine_shell(m, command, said, SAID);
}

static void assert_holds(const char *said, const char *text)
{
    if (!strstr(said, text))
        fail_msg("`%s` is not in: %s", text, said);
}

void begin_long_searches(struct machine *m)
{
    line_show(&m->line[LINE_SHY], 45.67, false);
    m->line[LINE_SHY].mute = false;
    begin_search(m, "shy", "/dev/ttyS7 --ask --speed 1200");
    begin_search(m, "silent", "/dev/ttyS8");
}

/* The line follows the speed that the guest's UART has, as a real one would, until that is the scale's own. */
static void follow_speed(struct machine *m, struct scale_line *line)
{
    char said[512];
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    do {
        machine_shell(m, "stty -F /dev/ttyS6", said, sizeof said);
        if (sscanf(said, "speed %d", &line->far_speed) != 1)
            fail_msg("stty said: %s", said);
        machine_step(m, deadline, "the UART to come to the scale's speed");
    } while (line->far_speed != line->speed);
}

void finds_out_what_a_port_speaks(void **state)
{
    struct machine *m = *state;
    char said[SAID];
    struct scale_line *line = &m->line[LINE_FOUND];
    line_show(line, 123.45, false);
    line->mute = false;
    assert_says(m, "poise seek /dev/ttyS6",
                "\n[station bench]\nport = /dev/ttyS6\nprofile = hdr2\nspeed = 9600\nframe = 8N1\nd_g = 0.01 ;");

    line->mute = true;
    while (line->gone < line->len)
        machine_step(m, machine_deadline(MACHINE_WAIT_MS), "the frame before to go");
    line->speed = 2400;
    line->far_speed = 9600;
    line->form = LINE_TEXT_EVEN;
    line->mute = false;
    begin_search(m, "even", "/dev/ttyS6");
    follow_speed(m, line);
    end_search(m, "even", said);
    assert_holds(said, "round 1, 9600 baud, listening");
    if (strstr(said, "    nothing\n")) /* it heard what reads as nothing there */
        fail_msg("bytes came at each speed, but: %s", said);
    assert_holds(said, "round 1, 2400 baud, listening");
    assert_holds(said, "\n[station bench]\nport = /dev/ttyS6\nprofile = hdr2\nspeed = 2400\nframe = 7E1\nd_g = 0.01 ;");
    assert_holds(said, "ended with 0");
}

/* A station that reads its scale keeps the port; one that hears nothing there lends it. */
void leaves_alone_what_a_station_reads(void **state)
{
    struct machine *m = *state;
    char said[SAID];
    painter_weigh(m, LINE_UART, 12.34);
    begin_search(m, "taken", "/dev/ttyS1");
    end_search(m, "taken", said);
    assert_holds(said, "station uart is live there");
    assert_holds(said, "ended with 65");
    painter_weigh(m, LINE_UART, 12.35);

    m->line[LINE_UART].mute = true;
    painter_wait_scale(m, LINE_UART, "stale");
    begin_search(m, "lent", "/dev/ttyS1");
    painter_wait_scale(m, LINE_UART, "absent");
    m->line[LINE_UART].mute = false;
    end_search(m, "lent", said);
    assert_holds(said, "\n[station uart]\nport = /dev/ttyS1\nprofile = hdr2\nspeed = 9600\nframe = 8N1\nd_g = 0.01 ;");
    assert_holds(said, "ended with 0");
    painter_weigh(m, LINE_UART, 12.36);
}

void finds_out_by_asking(void **state)
{
    struct machine *m = *state;
    char said[SAID];
    static const char *const questions[] = {"\nW\r", "SI\r\n"};
    const struct scale_line *line = &m->line[LINE_SHY];
    end_search(m, "shy", said);
    assert_holds(said, "round 1, 1200 baud, asked LF W CR for 3.0 s\n    nothing");
    assert_holds(said, "round 1, 1200 baud, asked SI CR LF");
    assert_holds(said, "\n[station bench]\nport = /dev/ttyS7\nprofile = hdr2\nspeed = 1200\nframe = 8N1\npoll = SI\n"
                       "d_g = 0.01 ;");
    assert_holds(said, "ended with 0");
    /* It was sent these two, in this order, and not a byte else. */
    size_t at = 0;
    assert_true(line->heard_count < LINE_HEARD);
    for (size_t q = 0; q < 2; q++) {
        size_t len = strlen(questions[q]), count = 0;
        for (; at + len <= line->heard_count && memcmp(line->heard + at, questions[q], len) == 0; at += len)
            count++;
        assert_true(count > 0);
    }
    assert_int_equal(line->heard_count, at);
}

/* The sections that were printed, pasted into a configuration as they stand: a second daemon reads by them. */
void reads_by_what_was_found_out(void **state)
{
    struct machine *m = *state;
    char said[SAID], held[80];
    struct scale_line *line = &m->line[LINE_FOUND];
    line->mute = true;
    machine_shell(m,
                  "{ printf '[shop]\\nname = Found\\n'; for s in even shy; do "
                  "sed -n \"/^.station/,/^d_g/s/station bench/station $s/p\" /run/$s; "
                  "sed -n '/^port/,/^d_g/p' /run/$s; done; } >/tmp/found.ini; cat /tmp/found.ini",
                  said, sizeof said);
    assert_holds(said, "[station even]\nport = /dev/ttyS6\n");
    machine_shell(m,
                  "(su poise -c 'exec poised --config /tmp/found.ini --state /tmp/found --socket /tmp/found.sock "
                  "--foreground' >/dev/console 2>&1 & echo $! >/run/found.pid; wait $!; "
                  "echo \"vm: found ended with $?\" >/dev/console) &",
                  said, sizeof said);
    machine_wait_console(m, "station shy: the scale is live (hdr2)", MACHINE_WAIT_MS);
    line->mute = false;
    machine_wait_console(m, "station even: the scale is live (hdr2)", MACHINE_WAIT_MS);
    assert_says(m, "poise --socket /tmp/found.sock scales", "123.45 g stable");
    assert_says(m, "poise --socket /tmp/found.sock scales", "45.67 g stable");
    assert_says(m, "stty -a -F /dev/ttyS6", "speed 2400 baud");
    assert_says(m, "stty -a -F /dev/ttyS6", "cs7");
    assert_says(m, "stty -a -F /dev/ttyS6", "\nparenb -parodd");
    /* To the first daemon it is another program that holds the port. */
    machine_shell(m, "echo \"poised (process $(cat /run/found.pid)) uses /dev/ttyS6\"", said, sizeof said);
    snprintf(held, sizeof held, "%.*s", (int)strcspn(said, "\n"), said);
    assert_says(m, "poise seek /dev/ttyS6", held);
    machine_shell(m, "kill $(cat /run/found.pid)", said, sizeof said);
    machine_wait_console(m, "vm: found ended with 0", STOP_MS);
}

void says_that_nothing_was_heard(void **state)
{
    struct machine *m = *state;
    char said[SAID];
    end_search(m, "silent", said);
    assert_holds(said, "round 1, 9600 baud, listening for 2.5 s\n    nothing\n");
    assert_holds(said, "round 2, 600 baud, listening for 2.5 s\n    nothing\n");
    assert_holds(said, "nothing came at all: is the scale on and set to send? Else it is the cable: a straight one "
                       "where a crossed one is needed, or the reverse");
    assert_holds(said, "ended with 75");
    assert_int_equal(0, m->line[LINE_SILENT].heard_count);
}
