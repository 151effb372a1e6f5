/* story_hid.c - a USB scale of the HID class on the kernel's own hidraw, made through /dev/uhid. */
#include "tests/vm/stories.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>

#include <cmocka.h>

/* A microgram: what a reading is kept in. */
static const double EXACT_G = 0.0000005;

static bool shows(const struct machine *m, double grams, bool steady)
{
    json_t *note = m->station[LINE_HID].weight, *weight = json_object_get(note, "weight_g");
    const char *state = json_string_value(json_object_get(note, "state"));
    return state && strcmp(state, "live") == 0 && json_is_number(weight) &&
           fabs(json_number_value(weight) - grams) < EXACT_G && json_is_true(json_object_get(note, "stable")) == steady;
}

static void say_report(struct machine *m, struct hid_report report)
{
    m->line[LINE_HID].report = report;
    m->line[LINE_HID].mute = false;
}

static void read_report(struct machine *m, struct hid_report report, double grams)
{
    char what[80];
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    snprintf(what, sizeof what, "%u, 10^%d of unit %d, to be read as %.6f g", report.weight, report.exponent,
             report.unit, grams);
    say_report(m, report);
    while (!shows(m, grams, report.state != HID_MOTION))
        machine_step(m, deadline, what);
}

/* Until the station's screen says why it has no weight. */
static void wait_why(struct machine *m, const char *text)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    for (;;) {
        json_t *scale = json_object_get(m->station[LINE_HID].screen, "scale");
        const char *why = json_string_value(json_object_get(scale, "why"));
        if (why && strstr(why, text))
            return;
        machine_step(m, deadline, text);
    }
}

static void wait_no_weight(struct machine *m)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    while (!json_is_null(json_object_get(m->station[LINE_HID].weight, "weight_g")))
        machine_step(m, deadline, "a note without a weight");
}

static void plug(struct machine *m, enum machine_line line, const char *node)
{
    char text[64];
    snprintf(text, sizeof text, "vm: scale %s is %s", line == LINE_HID ? "bench" : "other", node);
    machine_plug(m, line);
    machine_wait_console(m, text, MACHINE_WAIT_MS);
}

static void pull(struct machine *m, enum machine_line line)
{
    machine_pull(m, line);
    machine_wait_console(m, line == LINE_HID ? "vm: scale bench is empty" : "vm: scale other is empty",
                         MACHINE_WAIT_MS);
}

static void reads_weights(struct machine *m)
{
    static const struct {
        struct hid_report report;
        double grams;
    } rows[] = {
        {{HID_STABLE, HID_G, -2, 12345}, 123.45},
        {{HID_STABLE, HID_KG, -3, 1234}, 1234},
        {{HID_STABLE, HID_KG, -4, 12345}, 1234.5},
        {{HID_MOTION, HID_G, -1, 1236}, 123.6},
        {{HID_STABLE, HID_G, 2, 9}, 900},
        {{HID_STABLE, HID_G, -2, 65535}, 655.35},
        {{HID_ZERO, HID_G, -2, 0}, 0},
        /* An ounce is 28.349523125 g, a pound 453.59237 g (NIST Handbook 44, appendix C); kept to a microgram. */
        {{HID_STABLE, HID_OZ, -1, 35}, 99.223331},
        {{HID_STABLE, HID_LB, -2, 150}, 680.388555},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        read_report(m, rows[i].report, rows[i].grams);
}

static void has_no_weight(struct machine *m)
{
    static const struct {
        enum hid_state state;
        const char *why;
    } rows[] = {{HID_OVER, "too heavy for the scale"},
                {HID_UNDER, "below its range"},
                {HID_FAULT, "reports an error"},
                {HID_REZERO, "reports an error"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        read_report(m, (struct hid_report){HID_STABLE, HID_G, -2, 20000}, 200);
        say_report(m, (struct hid_report){rows[i].state, HID_G, -2, 65535});
        wait_why(m, rows[i].why);
        wait_no_weight(m);
    }
}

/* A report of another kind, one cut short, and one in a unit that no cup is weighed in, whose weight looks like the
 * beginning of another report: none of them becomes a weight. */
static void takes_nothing_else_for_a_weight(struct machine *m)
{
    static const char others[] = "0207\n0939\n09";
    struct machine_station *s = &m->station[LINE_HID];
    read_report(m, (struct hid_report){HID_STABLE, HID_G, -2, 20000}, 200);
    s->seen_count = 0;
    say_report(m, (struct hid_report){HID_STABLE, HID_CARAT, -2, 0x0403});
    painter_wait_scale(m, LINE_HID, "stale");
    m->line[LINE_HID].mute = true;
    while (m->line[LINE_HID].gone < m->line[LINE_HID].len)
        machine_step(m, machine_deadline(MACHINE_WAIT_MS), "the report before to go");
    assert_int_equal(sizeof others - 3, send(m->line[LINE_HID].fd, others, sizeof others - 3, MSG_NOSIGNAL));
    read_report(m, (struct hid_report){HID_STABLE, HID_G, -2, 22222}, 222.22);
    for (size_t i = 0; i < s->seen_count; i++)
        if (s->seen[i] != 20000 && s->seen[i] != 22222)
            fail_msg("%ld.%02ld g was never on it", s->seen[i] / 100, s->seen[i] % 100);
}

/* Its own node is no unused port; another's is, and says what it is. */
static void is_listed(struct machine *m)
{
    char said[4096];
    plug(m, LINE_OTHER_HID, "hidraw1");
    assert_int_equal(0, machine_shell(m, "poise scales", said, sizeof said));
    if (!strstr(said, "hid:/dev/scales/bench") || !strstr(said, "222.22 g stable") ||
        !strstr(said, "hid:/dev/hidraw1") || !strstr(said, "USB scale") || strstr(said, "/dev/hidraw0"))
        fail_msg("%s", said);
    line_show(&m->line[LINE_OTHER_HID], 3.21, false);
    m->line[LINE_OTHER_HID].mute = false;
    assert_says(m, "poise seek hid:/dev/hidraw1",
                "\n[station bench]\nport = hid:/dev/hidraw1\nprofile = hid\nd_g = 0.01 ;");
    assert_says(m, "poise seek hid:/dev/hidraw0", "station hid is live there");
    m->line[LINE_OTHER_HID].mute = true;
    pull(m, LINE_OTHER_HID);
}

void reads_a_usb_scale_by_its_description(void **state)
{
    struct machine *m = *state;
    painter_wait_scale(m, LINE_HID, "absent");
    plug(m, LINE_HID, "hidraw0");
    assert_says(m, "readlink /sys/class/hidraw/hidraw0/device/driver", "/hid-generic");
    reads_weights(m);
    has_no_weight(m);
    takes_nothing_else_for_a_weight(m);
    is_listed(m);
    m->line[LINE_HID].report = (struct hid_report){0};
}

void pours_through_a_pulled_usb_scale(void **state)
{
    struct machine *m = *state;
    painter_weigh(m, LINE_HID, 0);
    struct half_pour half = pour_half(m, LINE_HID);
    pull(m, LINE_HID);
    painter_wait_scale(m, LINE_HID, "absent");
    assert_int_equal(NO_SCALE, painter_refused(m, LINE_HID, "batch.accept", NULL));
    /* Another scale takes the number that has become free, with a weight that no cup here has. */
    plug(m, LINE_OTHER_HID, "hidraw0");
    line_show(&m->line[LINE_OTHER_HID], 555.55, false);
    m->line[LINE_OTHER_HID].mute = false;
    m->line[LINE_HID].mute = true;
    plug(m, LINE_HID, "hidraw1");
    painter_wait_scale(m, LINE_HID, "stale"); /* it is open, and has said nothing yet */

    poured_on(m, LINE_HID, &half);
    finish(m, LINE_HID);
    assert_false(painter_saw(m, LINE_HID, 555.55));
}

/* Without its rule a scale belongs to root; the daemon runs as somebody. */
void says_who_may_not_use_a_usb_scale(void **state)
{
    struct machine *m = *state;
    char said[4096];
    machine_shell(m, "touch /run/no-rules", said, sizeof said);
    pull(m, LINE_HID);
    painter_wait_scale(m, LINE_HID, "absent");
    plug(m, LINE_HID, "hidraw1");
    wait_why(m, "user poise may not use /dev/scales/bench (owner root, group root, mode 0600)");
    assert_says(m, "poise seek hid:/dev/scales/bench",
                "user poise may not use /dev/scales/bench (owner root, group root, mode 0600)");
    assert_says(m, "poise seek hid:/dev/scales/bench", "Install the udev rule in docs/scales.md");
    painter_wait_scale(m, LINE_HID, "absent");
    assert_says(m, "poise scales", "user poise may not use /dev/scales/bench (owner root, group root, mode 0600)");
    machine_shell(m, "chgrp scales /dev/hidraw1; chmod 660 /dev/hidraw1", said, sizeof said);
    assert_says(m, "poise seek hid:/dev/scales/bench", "(owner root, group scales, mode 0660)");
    assert_says(m, "poise seek hid:/dev/scales/bench", "`adduser poise scales`");
    machine_shell(m, "rm /run/no-rules; chgrp dialout /dev/hidraw1", said, sizeof said);
    painter_weigh(m, LINE_HID, 7.89);
}
