/* A port's whole life on a real pty and a real loopback connection. Every wait is for an event of the loop. */
#include "tests/unit/drivers/far_end.h"

#define FRAME "ST,+00123.45  g\r\n"

static void open_tcp(struct far_end *f, const char *profile, const char *poll)
{
    char port[64];
    snprintf(port, sizeof port, "tcp:127.0.0.1:%d", f->tcp_port);
    far_end_open(f, port, profile, poll);
}

static void open_pty(struct far_end *f, const char *profile, const char *poll)
{
    char port[160];
    snprintf(port, sizeof port, "pty:%s", f->path);
    far_end_open(f, port, profile, poll);
}

static void a_frame_on_a_pty_is_a_reading(void **state)
{
    struct far_end *f = *state;
    far_end_plug_pty(f);
    open_pty(f, "hdr2", "");
    uint64_t begun = uv_now(&f->loop);
    far_end_say(f->master, FRAME);
    far_end_until(f, f->readings == 1);
    assert_true(f->last.has_weight && f->last.weight_ug == 123450000);
    assert_int_equal(f->last.stability, SCALE_STABLE);
    assert_string_equal(f->last_frame, FRAME);
    assert_in_range(f->last.at_ms, begun, uv_now(&f->loop));
    assert_int_equal(f->states, 1);
    assert_int_equal(port_state(f->port), PORT_LIVE);
    assert_string_equal(port_why(f->port)->code, "");
    assert_string_equal(port_profile(f->port), "hdr2");
    assert_true(f->chunks > 0);
}

static void silence_is_stale_and_told_once_each_way(void **state)
{
    struct far_end *f = *state;
    far_end_plug_pty(f);
    open_pty(f, "hdr2", "");
    far_end_say(f->master, FRAME);
    far_end_until(f, f->readings == 1);
    far_end_say(f->master, "ST,+00"); /* half a frame is silence */
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_STALE);
    assert_non_null(strstr(f->why, "none read as hdr2"));
    far_end_say(f->master, "12.30  g\r\n" FRAME); /* the halves of two frames: 0012.30 was never sent */
    far_end_until(f, f->readings == 2);
    assert_true(f->last.weight_ug == 123450000);
    assert_int_equal(f->states, 3);
    assert_int_equal(f->state[2], PORT_LIVE);
}

static void an_open_port_that_says_nothing_is_stale(void **state)
{
    struct far_end *f = *state;
    far_end_plug_pty(f);
    open_pty(f, "hdr2", "");
    far_end_until(f, f->states == 1);
    assert_int_equal(f->state[0], PORT_STALE);
    assert_non_null(strstr(f->why, "sends nothing"));
}

static void a_pulled_pty_is_absent_and_comes_back_by_its_path(void **state)
{
    struct far_end *f = *state;
    far_end_plug_pty(f);
    open_pty(f, "hdr2", "");
    far_end_say(f->master, FRAME "ST,+00");
    far_end_until(f, f->readings == 1);
    far_end_unplug_pty(f);
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_ABSENT);
    assert_non_null(strstr(f->why, "gone"));
    far_end_plug_pty(f);
    /* Open again, and silent: what is written to a pty before somebody has it open may be lost by the kernel. */
    far_end_until(f, f->states == 3);
    assert_int_equal(f->state[2], PORT_STALE);
    far_end_say(f->master, "111.11  g\r\n" FRAME); /* must not be glued to the half frame of before */
    far_end_until(f, f->readings == 2);
    assert_true(f->last.weight_ug == 123450000);
    assert_int_equal(f->states, 4);
    assert_int_equal(f->state[3], PORT_LIVE);
}

static void a_missing_pty_is_told_once_and_tried_for_ever(void **state)
{
    struct far_end *f = *state;
    open_pty(f, "hdr2", "");
    far_end_until(f, f->states == 1);
    assert_int_equal(f->state[0], PORT_ABSENT);
    assert_non_null(strstr(f->why, "is not there"));
    far_end_plug_pty(f);
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_STALE);
    far_end_say(f->master, FRAME);
    far_end_until(f, f->readings == 1);
    assert_int_equal(f->states, 3);
}

static void a_refused_connection_comes_up_by_itself(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    far_end_shut(&f->listener);
    open_tcp(f, "hdr2", "");
    far_end_until(f, f->states == 1);
    assert_int_equal(f->state[0], PORT_ABSENT);
    assert_non_null(strstr(f->why, "nothing answers at 127.0.0.1"));
    far_end_listen(f);
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, FRAME);
    far_end_until(f, f->readings == 1);
    assert_int_equal(f->states, 2);
    assert_int_equal(f->state[1], PORT_LIVE);
}

static void a_closed_connection_is_absent_and_comes_back(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    open_tcp(f, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, FRAME "ST,+001");
    far_end_until(f, f->readings == 1);
    far_end_shut(&f->peer);
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_ABSENT);
    assert_non_null(strstr(f->why, "closed the connection"));
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, "11.11  g\r\n" FRAME);
    far_end_until(f, f->readings == 2);
    assert_true(f->last.weight_ug == 123450000);
    assert_int_equal(f->states, 3);
}

static void a_reset_connection_is_absent(void **state)
{
    struct far_end *f = *state;
    struct linger now = {1, 0};
    far_end_listen(f);
    open_tcp(f, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, FRAME);
    far_end_until(f, f->readings == 1);
    setsockopt(f->peer, SOL_SOCKET, SO_LINGER, &now, sizeof now);
    far_end_shut(&f->peer);
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_ABSENT);
}

static void a_host_by_name_is_found(void **state)
{
    struct far_end *f = *state;
    char port[64];
    far_end_listen(f);
    snprintf(port, sizeof port, "tcp:localhost:%d", f->tcp_port); /* ::1 may come first, and refuse */
    far_end_open(f, port, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, FRAME);
    far_end_until(f, f->readings == 1);
}

static bool heard(struct far_end *f, char *said, size_t size)
{
    ssize_t n = read(f->peer, said + strlen(said), size - 1 - strlen(said));
    return n > 0 && strstr(said, "SI\r\nSI\r\n");
}

static void the_poll_is_sent_and_its_echo_is_no_answer(void **state)
{
    struct far_end *f = *state;
    char said[200] = "";
    far_end_listen(f);
    open_tcp(f, "sics", "SI\r\n");
    far_end_until(f, far_end_accepted(f));
    far_end_until(f, heard(f, said, sizeof said));
    far_end_say(f->peer, "SI\r\nS D      12.34 g\r\n");
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 12340000);
    assert_int_equal(f->last.stability, SCALE_MOVING);
}

/* Issue 8: a line that said it was a tare kept the weight before it live for as long as it came. */
static void a_tare_keeps_no_older_weight_live(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    open_tcp(f, "hdr2g", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, "ST,NT,+00001.5  g\r\n");
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 1500000);
    while (f->states < 2) { /* it goes on to say its tare */
        far_end_say(f->peer, "ST,TR,+00031.2  g\r\n");
        uv_run(&f->loop, UV_RUN_ONCE);
    }
    assert_int_equal(f->readings, 1);
    assert_int_equal(f->state[1], PORT_STALE);
    assert_true(said_is(port_why(f->port), "port_tare"));
    assert_string_equal(port_cause(f->port), "tare");
    far_end_say(f->peer, "ST,NT,+00001.6  g\r\n");
    far_end_until(f, f->readings == 2);
    assert_int_equal(port_state(f->port), PORT_LIVE);
}

/* Issue 8: of a scale whose lines end with a CR alone the weight of one press of its print key came out at the next. */
static void a_print_key_is_answered_at_once(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    open_tcp(f, "plain", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, "\r"); /* the end of the line that was joined in its middle */
    far_end_say(f->peer, "12.3g\r");
    uint64_t said = uv_now(&f->loop);
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 12300000);
    assert_in_range(f->last.at_ms, said, said + 99); /* when its last byte came, not when it was sure */
}

static void count_turn(uv_timer_t *timer)
{
    ++*(size_t *)timer->data;
}

/* A megabyte at once: each frame counts, and the loop's other work goes on between. */
static void a_flood_starves_nobody(void **state)
{
    struct far_end *f = *state;
    enum { FRAMES = 60000 };
    size_t turns = 0, sent = 0, total = FRAMES * strlen(FRAME);
    char *flood = malloc(total);
    uv_timer_t other;
    for (size_t i = 0; i < FRAMES; i++)
        memcpy(flood + i * strlen(FRAME), FRAME, strlen(FRAME));
    far_end_listen(f);
    open_tcp(f, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, FRAME);
    far_end_until(f, f->readings == 1);
    uv_timer_init(&f->loop, &other);
    other.data = &turns;
    uv_timer_start(&other, count_turn, 0, 1);
    size_t most = 0;
    while (f->readings < FRAMES + 1 && !f->late) {
        ssize_t n = sent < total ? write(f->peer, flood + sent, total - sent) : 0;
        size_t before = f->readings;
        sent += n > 0 ? (size_t)n : 0;
        uv_run(&f->loop, UV_RUN_ONCE);
        most = f->readings - before > most ? f->readings - before : most;
    }
    uv_close((uv_handle_t *)&other, NULL);
    uv_run(&f->loop, UV_RUN_NOWAIT); /* its close callback, before its memory goes */
    free(flood);
    assert_false(f->late);
    assert_true(turns > 0);
    assert_in_range(most, 1, 4 * 4096 / strlen(FRAME) + 1); /* four reads a wake */
    assert_true(port_frames(f->port) == FRAMES + 1);
}

static void noise_is_counted_and_harms_nothing(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    open_tcp(f, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    for (int i = 0; i < 1000; i++)
        far_end_say(f->peer, "\x80\xff,+12 gST");
    far_end_say(f->peer, "\r\nXX,12.3 g\r\n" FRAME);
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 123450000);
    assert_true(port_skipped(f->port) > 0);
    assert_true(port_refused(f->port) > 0);
}

static void a_port_may_be_closed_by_its_own_reading(void **state)
{
    struct far_end *f = *state;
    far_end_listen(f);
    open_tcp(f, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    f->close_at_reading = true;
    far_end_say(f->peer, FRAME FRAME FRAME);
    far_end_until(f, f->closed);
    assert_int_equal(f->readings, 1);
}

static void a_port_may_be_closed_at_any_step(void **state)
{
    struct far_end *f = *state;
    static const char *const ports[] = {"tcp:127.0.0.1:9", "tcp:localhost:9", "pty:/nowhere/at/all", "/dev/null"};
    for (size_t i = 0; i < sizeof ports / sizeof *ports; i++) {
        for (int turns = 0; turns < 3; turns++) {
            f->closed = false;
            far_end_open(f, ports[i], "sics", "SI\r\n");
            for (int t = 0; t < turns; t++)
                uv_run(&f->loop, UV_RUN_NOWAIT);
            port_close(f->port, far_end_on_closed);
            far_end_until(f, f->closed);
        }
    }
    port_close(NULL, far_end_on_closed);
}

static void a_pty_held_by_another_is_told(void **state)
{
    struct far_end *f = *state;
    far_end_plug_pty(f);
    open_pty(f, "hdr2", "");
    far_end_say(f->master, FRAME);
    far_end_until(f, f->readings == 1);
    struct far_end *second;
    assert_int_equal(far_end_begin((void **)&second), 0);
    char port[160];
    snprintf(port, sizeof port, "pty:%s", f->path);
    far_end_open(second, port, "hdr2", "");
    far_end_until(second, second->states == 1);
    assert_int_equal(second->state[0], PORT_ABSENT);
    assert_non_null(strstr(second->why, "another station has"));
    assert_int_equal(far_end_end((void **)&second), 0);
}

static void settings_that_cannot_be_are_named(void **state)
{
    (void)state;
    static const struct {
        struct port_settings settings;
        const char *fault; /* its code, "": sound */
    } rows[] = {
        {{.port = "/dev/ttyS0", .profile = "hdr2", .frame = "7E1", .speed = 2400}, ""},
        {{.port = "tcp:[::1]:4001", .profile = "sics"}, ""},
        {{.port = "/dev/ttyS0", .profile = "hdr3"}, "port_no_profile"},
        {{.port = "", .profile = "hdr2"}, "port_unnamed"},
        {{.port = "tcp:host", .profile = "hdr2"}, "port_bad_address"},
        {{.port = "tcp::1", .profile = "hdr2"}, "port_bad_address"},
        {{.port = "tcp:host:x1", .profile = "hdr2"}, "port_bad_address"},
        {{.port = "/dev/ttyS0", .profile = "hdr2", .frame = "9N1"}, "port_bad_frame"},
        {{.port = "/dev/ttyS0", .profile = "hdr2", .frame = "8X1"}, "port_bad_frame"},
        {{.port = "/dev/ttyS0", .profile = "hdr2", .speed = -1}, "port_bad_numbers"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct said fault = port_settings_fault(&rows[i].settings);
        if (!said_is(&fault, rows[i].fault) || (fault.code[0] && !words_find(fault.code)))
            fail_msg("row %zu: %s", i, fault.code);
    }
    assert_string_equal(port_state_name(PORT_SEEKING), "seeking");
    assert_string_equal(port_state_name(PORT_LIVE), "live");
}

/* A slip in the configuration, or somebody in the scale's menu: what comes is told by its name. */
static void another_family_is_named(void **state)
{
    struct far_end *f = *state;
    char port[64];
    far_end_listen(f);
    snprintf(port, sizeof port, "tcp:127.0.0.1:%d", f->tcp_port);
    far_end_open(f, port, "hdr2", "");
    far_end_until(f, far_end_accepted(f));
    for (int i = 0; i < 4; i++)
        far_end_say(f->peer, "ST,GS,+00123.45kg\r\n");
    far_end_until(f, f->states == 1);
    assert_int_equal(f->state[0], PORT_STALE);
    assert_non_null(strstr(f->why, "reads as hdr2g, not as hdr2"));
    assert_string_equal(port_cause(f->port), "strange");
    far_end_say(f->peer, "ST,+00123.45  g\r\n");
    far_end_until(f, f->states == 2);
    assert_int_equal(f->state[1], PORT_LIVE);
    assert_int_equal(f->readings, 1);
    far_end_until(f, f->states == 3); /* silent */
    assert_non_null(strstr(f->why, "sends nothing"));
    assert_string_equal(port_cause(f->port), "silent");
    for (int i = 0; i < 30; i++)
        far_end_say(f->peer, "S S     100.00 g\r\n");
    far_end_until(f, said_is(port_why(f->port), "port_strange_other") &&
                         strcmp(said_word(port_why(f->port), "other"), "sics") == 0);
    assert_int_equal(f->states, 3);
    assert_int_equal(f->readings, 1);
}

#define LIFE(test) cmocka_unit_test_setup_teardown(test, far_end_begin, far_end_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LIFE(another_family_is_named),
        LIFE(a_frame_on_a_pty_is_a_reading),
        LIFE(silence_is_stale_and_told_once_each_way),
        LIFE(an_open_port_that_says_nothing_is_stale),
        LIFE(a_pulled_pty_is_absent_and_comes_back_by_its_path),
        LIFE(a_missing_pty_is_told_once_and_tried_for_ever),
        LIFE(a_refused_connection_comes_up_by_itself),
        LIFE(a_closed_connection_is_absent_and_comes_back),
        LIFE(a_reset_connection_is_absent),
        LIFE(a_host_by_name_is_found),
        LIFE(the_poll_is_sent_and_its_echo_is_no_answer),
        LIFE(a_tare_keeps_no_older_weight_live),
        LIFE(a_print_key_is_answered_at_once),
        LIFE(a_flood_starves_nobody),
        LIFE(noise_is_counted_and_harms_nothing),
        LIFE(a_port_may_be_closed_by_its_own_reading),
        LIFE(a_port_may_be_closed_at_any_step),
        LIFE(a_pty_held_by_another_is_told),
        cmocka_unit_test(settings_that_cannot_be_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
