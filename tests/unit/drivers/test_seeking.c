/* Finding out what a port speaks, on a real connection: heard, asked, tied, silent. */
#include "drivers/seek.h"
#include "tests/unit/drivers/far_end.h"

static void open_auto(struct far_end *f)
{
    char port[64];
    far_end_listen(f);
    snprintf(port, sizeof port, "tcp:127.0.0.1:%d", f->tcp_port);
    far_end_open(f, port, "auto", "");
    far_end_until(f, far_end_accepted(f));
}

static void a_scale_that_talks_is_found_by_three_frames(void **state)
{
    struct far_end *f = *state;
    char section[400];
    open_auto(f);
    far_end_say(f->peer, "3.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\n");
    far_end_until(f, f->states == 1);
    assert_int_equal(f->state[0], PORT_SEEKING);
    assert_string_equal(port_profile(f->port), "auto");
    assert_false(port_section(f->port, "bench", section, sizeof section));
    assert_int_equal(f->readings, 0);
    far_end_say(f->peer, "US,+00124.00  g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND]);
    assert_string_equal(f->families, "hdr2");
    assert_string_equal(port_profile(f->port), "hdr2");
    assert_int_equal(f->readings, 0); /* what was believed only afterwards is not shown as live */
    far_end_say(f->peer, "US,+00125.00  g\r\n");
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 125000000);
    assert_int_equal(port_state(f->port), PORT_LIVE);
    char want[200];
    snprintf(want, sizeof want, "[station bench]\nport = tcp:127.0.0.1:%d\nprofile = hdr2\nd_g = 0.01 ;", f->tcp_port);
    assert_true(port_section(f->port, "bench", section, sizeof section));
    assert_memory_equal(section, want, strlen(want));
    assert_false(port_section(f->port, "bench", section, 20));
}

static void past(uv_timer_t *timer)
{
    *(bool *)timer->data = true;
}

/* A frame a second or less: what was whole at the end of a try is heard out instead of begun anew. */
static void a_slow_scale_is_heard_out(void **state)
{
    struct far_end *f = *state;
    bool over = false;
    uv_timer_t time;
    open_auto(f);
    far_end_say(f->peer, "ST,+00123.45  g\r\nST,+00123.45  g\r\n");
    uv_timer_init(&f->loop, &time);
    time.data = &over;
    uv_timer_start(&time, past, SEEK_LISTEN_MS + SEEK_LISTEN_MS / 4, 0);
    far_end_until(f, over);
    far_end_say(f->peer, "ST,+00123.45  g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND] || f->notes[PORT_SOUGHT_NOISE]);
    uv_close((uv_handle_t *)&time, NULL);
    uv_run(&f->loop, UV_RUN_NOWAIT); /* it lives on this stack */
    assert_int_equal(f->notes[PORT_SOUGHT_FOUND], 1);
    assert_int_equal(f->notes[PORT_SOUGHT_TRYING], 1);
}

static void what_was_found_is_kept_when_the_port_comes_back(void **state)
{
    struct far_end *f = *state;
    open_auto(f);
    far_end_say(f->peer, "ST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND]);
    far_end_shut(&f->peer);
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, "ST,+00123.45  g\r\n");
    far_end_until(f, f->readings > 0 && port_state(f->port) == PORT_LIVE);
    assert_int_equal(f->notes[PORT_SOUGHT_FOUND], 1);
}

/* The bench got another scale; nobody said so. One stray line of another family is no other scale. */
static void another_scale_is_found_out_anew(void **state)
{
    struct far_end *f = *state;
    open_auto(f);
    far_end_say(f->peer, "ST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND] == 1);
    far_end_say(f->peer, "ST,+00123.45  g\r\n");
    far_end_until(f, port_state(f->port) == PORT_LIVE);
    far_end_say(f->peer, "S S     100.00 g\r\n");
    far_end_until(f, port_state(f->port) == PORT_STALE);
    assert_string_equal(port_profile(f->port), "hdr2");
    far_end_say(f->peer, "ST,+00123.45  g\r\n");
    far_end_until(f, port_state(f->port) == PORT_LIVE);
    far_end_until(f, port_state(f->port) == PORT_STALE);
    for (int i = 0; i < 30; i++)
        far_end_say(f->peer, "S S     100.00 g\r\n");
    far_end_until(f, port_state(f->port) == PORT_SEEKING);
    assert_string_equal(port_profile(f->port), "auto");
    far_end_shut(&f->peer);
    far_end_until(f, far_end_accepted(f));
    far_end_say(f->peer, "S S     100.00 g\r\nS S     100.00 g\r\nS S     100.00 g\r\nS S     100.00 g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND] == 2);
    far_end_say(f->peer, "S S     100.00 g\r\nS S     100.00 g\r\n"); /* the first could be a tail */
    far_end_until(f, port_state(f->port) == PORT_LIVE);
    assert_string_equal(port_profile(f->port), "sics");
}

static void frames_that_several_read_are_a_tie_for_the_user(void **state)
{
    struct far_end *f = *state;
    open_auto(f);
    for (int i = 0; i < 5; i++)
        far_end_say(f->peer, "+00123.45\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_TIE]);
    assert_string_equal(f->families, "plain, nu");
    assert_string_equal(said_word(port_why(f->port), "families"), "plain, nu");
    assert_int_equal(port_state(f->port), PORT_SEEKING);
    assert_string_equal(port_cause(f->port), "tie");
    assert_int_equal(f->readings, 0);
}

static void silence_is_told_after_a_round_and_the_search_goes_on(void **state)
{
    struct far_end *f = *state;
    open_auto(f);
    far_end_until(f, f->notes[PORT_SOUGHT_NOTHING]);
    assert_int_equal(f->notes[PORT_SOUGHT_NOISE], 0);
    far_end_say(f->peer, "who?\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_NOISE]);
    char said[20];
    assert_true(read(f->peer, said, sizeof said) < 0); /* without consent nothing is sent */
    far_end_say(f->peer, "\r\nST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\n");
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND]);
}

static bool asked(struct far_end *f)
{
    char said[20] = "";
    return read(f->peer, said, sizeof said - 1) == 3 && strcmp(said, "\nW\r") == 0;
}

/* The scale answers only when asked, and the line echoes the question. */
static void with_consent_it_is_asked_and_the_echo_does_not_count(void **state)
{
    struct far_end *f = *state;
    char section[400];
    f->may_ask = true;
    open_auto(f);
    for (int i = 0; i < 3; i++) {
        far_end_until(f, asked(f));
        far_end_say(f->peer, "\nW\r");
        far_end_say(f->peer, "\n 1G       5.025lb \r");
    }
    far_end_until(f, f->notes[PORT_SOUGHT_FOUND]);
    assert_string_equal(f->families, "sma");
    assert_string_equal(f->question, "LF W CR");
    assert_int_equal(port_settings(f->port)->poll_len, 3);
    far_end_until(f, asked(f)); /* and polls so from now on */
    far_end_say(f->peer, "\n 1G       5.025lb \r");
    far_end_until(f, f->readings > 0);
    assert_true(port_section(f->port, "bench", section, sizeof section));
    assert_non_null(strstr(section, "poll = \\nW\\r\n"));
    assert_non_null(strstr(section, "d_g = 0.453592 ;"));
}

static void the_two_step_question_waits_for_ack(void **state)
{
    struct far_end *f = *state;
    char said[40] = "";
    far_end_listen(f);
    char port[64];
    snprintf(port, sizeof port, "tcp:127.0.0.1:%d", f->tcp_port);
    far_end_open(f, port, "enq-bcc", "\5");
    far_end_until(f, far_end_accepted(f));
    far_end_until(f, read(f->peer, said, 1) == 1 && said[0] == 5);
    far_end_say(f->peer, "\6");
    do
        far_end_until(f, read(f->peer, said, 1) == 1); /* more ENQ may come before it */
    while (said[0] == 5);
    assert_int_equal(said[0], 0x11);
    far_end_say(f->peer, "\1\2S 01.234kge\3\4");
    far_end_until(f, f->readings == 1);
    assert_true(f->last.weight_ug == 1234000000);
}

#define LIFE(test) cmocka_unit_test_setup_teardown(test, far_end_begin, far_end_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LIFE(a_scale_that_talks_is_found_by_three_frames),
        LIFE(a_slow_scale_is_heard_out),
        LIFE(what_was_found_is_kept_when_the_port_comes_back),
        LIFE(another_scale_is_found_out_anew),
        LIFE(frames_that_several_read_are_a_tie_for_the_user),
        LIFE(silence_is_told_after_a_round_and_the_search_goes_on),
        LIFE(with_consent_it_is_asked_and_the_echo_does_not_count),
        LIFE(the_two_step_question_waits_for_ack),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
