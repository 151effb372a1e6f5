/* Finding out what a port speaks: scale.seek and poise seek against poise-sim on a pseudo-terminal; poise record. */
#include "tests/e2e/harness.h"
#include "tests/e2e/raw_client.h"
#include "tests/e2e/sim_bench.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct world {
    struct sim_bench *sim;
    char config[256];
} world;

static char out[16384], err[2048];

static void scale_begins(const char *family, const char *more)
{
    char text[512];
    const char *options[] = {"--link",   world.sim->link, "--hand", "manual", "--settle", "100",
                             "--family", family,          "--rate", "20",     more,       NULL};
    sim_bench_start(world.sim, options, false);
    sim_bench_line(world.sim, text);
    sim_bench_say(world.sim, "cup 123.4", "ok");
}

static void scale_ends(void)
{
    sim_bench_say(world.sim, "quit", "ok");
    assert_int_equal(sim_bench_reap(world.sim), 0);
    close(world.sim->in);
    close(world.sim->out);
    world.sim->in = world.sim->out = -1;
}

static int seek(struct harness *h, const char *more)
{
    const char *argv[] = {"poise", "seek", world.sim->link, more, NULL};
    return harness_run(h, argv, NULL, out, sizeof out, err, sizeof err);
}

static void has(const char *text, const char *words)
{
    if (!strstr(text, words))
        fail_msg("no \"%s\" in:\n%s%s", words, out, err);
}

/* What was printed, pasted into a configuration, is one. */
static void pastes(struct harness *h)
{
    char path[HARNESS_PATH + 16], section[16384], wrong[1024];
    const char *begins = strstr(out, "[station other]\n");
    assert_non_null(begins);
    snprintf(path, sizeof path, "%s/seek.ini", h->dir);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(begins, f);
    fclose(f);
    const char *argv[] = {"poised", "--config", path, "--check", NULL};
    if (harness_run(h, argv, NULL, section, sizeof section, wrong, sizeof wrong) != 0)
        fail_msg("%s\n%s", wrong, begins);
}

static void each_family_is_found_by_listening(void **state)
{
    struct harness *h = *state;
    static const char *const families[] = {"sics", "sics-b", "hdr2", "hdr2g", "fix16",   "stx18",
                                           "scp",  "retail", "sma",  "plain", "stx-pol", "wg-xor"};
    int found = 0;
    for (size_t i = 0; i < sizeof families / sizeof *families; i++) {
        char profile[64], heard[512];
        snprintf(profile, sizeof profile, "profile = %s\n", families[i]);
        scale_begins(families[i], NULL);
        int code = seek(h, NULL);
        has(out, "listening for 2.5 s");
        if (code == 65) { /* at rest some kin read alike: then it must be among those to choose from */
            snprintf(profile, sizeof profile, "  %s  ", families[i]);
            has(out, "These read it alike");
        } else if (code != 0) {
            fail_msg("%s: exit %d\n%s%s", families[i], code, out, err);
        } else {
            found++;
            pastes(h);
        }
        has(out, profile);
        dprintf(world.sim->in, "heard\n");
        assert_string_equal(sim_bench_line(world.sim, heard), "ok heard"); /* not a byte was sent to it */
        scale_ends();
    }
    assert_true(found >= 10);
}

static void one_that_speaks_only_when_asked(void **state)
{
    struct harness *h = *state;
    scale_begins("sma", "--poll");
    assert_int_equal(seek(h, NULL), 75);
    has(err, "nothing came at all");
    has(err, "cable");
    assert_int_equal(seek(h, "--ask"), 0);
    has(out, "asked LF W CR");
    has(out, "profile = sma\npoll = \\nW\\r\n");
    pastes(h);
    scale_ends();
}

/* Of these the first line that comes could be a tail, so it is not counted: one answer more is needed than of `sma`. */
static void one_whose_first_answer_could_be_a_tail_is_asked_on(void **state)
{
    struct harness *h = *state;
    static const struct {
        const char *family, *question, *poll;
    } asked[] = {{"sics", "SI CR LF", "poll = SI\n"}, {"plain-14", "IP CR LF", "poll = IP\n"}};
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        scale_begins(asked[i].family, "--poll");
        if (seek(h, "--ask") != 0)
            fail_msg("%s\n%s%s", asked[i].family, out, err);
        has(out, asked[i].question);
        has(out, asked[i].family);
        has(out, asked[i].poll);
        pastes(h);
        scale_ends();
    }
}

static void noise_is_told_from_silence(void **state)
{
    struct harness *h = *state;
    char text[512];
    const char *options[] = {"--link", world.sim->link, "--hand", "manual", NULL};
    sim_bench_start(world.sim, options, false);
    sim_bench_line(world.sim, text);
    sim_bench_say(world.sim, "mute", "ok");
    int id = harness_send(h, "scale.seek", json_pack("{s:s}", "port", world.sim->link));
    json_t *answer = NULL;
    for (int64_t until = harness_deadline(); !answer;) {
        char key[24];
        snprintf(key, sizeof key, "%d", id);
        sim_bench_say(world.sim, "raw 80ff00a5c3", "ok");
        harness_step(h, until, "the end of the round");
        answer = json_object_get(h->answers, key);
    }
    const json_t *result = json_object_get(answer, "result");
    assert_true(json_is_false(json_object_get(result, "found")));
    assert_string_equal(json_string_value(json_object_get(result, "heard")), "noise");
    assert_true(json_integer_value(json_object_get(json_array_get(json_object_get(result, "tried"), 0), "bytes")) > 0);
    scale_ends();
}

static void a_tie_names_the_candidates(void **state)
{
    struct harness *h = *state;
    scale_begins("nu", NULL);
    assert_int_equal(seek(h, NULL), 65);
    has(out, "These read it alike");
    has(out, "  nu     123.4"); /* as the scale's display shows it */
    has(err, "choose by the scale's manual");
    const char *as_json[] = {"poise", "seek", world.sim->link, "--json", NULL};
    assert_int_equal(harness_run(h, as_json, NULL, out, sizeof out, err, sizeof err), 65);
    for (char *line = strtok(out, "\n"); line; line = strtok(NULL, "\n")) {
        json_t *one = json_loads(line, 0, NULL); /* nothing else on stdout */
        if (!json_is_object(one))
            fail_msg("%s", line);
        json_decref(one);
    }
    const json_t *chosen =
        harness_call(h, "scale.seek", json_pack("{s:s,s:s}", "port", world.sim->link, "profile", "nu"));
    assert_non_null(strstr(json_string_value(json_object_get(chosen, "section")), "profile = nu\n"));
    scale_ends();
}

/* The port is open, and nothing on it reads as the family of station `other`. */
static void other_waits_there(struct harness *h)
{
    for (int64_t until = harness_deadline();;) {
        const json_t *row = json_array_get(json_object_get(harness_call(h, "scale.list", NULL), "scales"), 1);
        if (strcmp(json_string_value(json_object_get(row, "state")), "stale") == 0)
            return;
        harness_step(h, until, "the port of the other station");
    }
}

static void a_port_in_use_is_refused_and_a_silent_one_is_lent(void **state)
{
    struct harness *h = *state;
    char port[64];
    snprintf(port, sizeof port, "tcp:127.0.0.1:%d", harness_scale(h, "bench")->port);
    harness_weigh(h, "bench", 12.5);
    json_t *error = json_object_get(harness_ask(h, "scale.seek", json_pack("{s:s}", "port", port)), "error");
    assert_int_equal(json_integer_value(json_object_get(error, "code")), -32004);
    assert_non_null(strstr(json_string_value(json_object_get(error, "message")), "station bench"));
    assert_non_null(strstr(json_string_value(json_object_get(error, "message")), "is live there"));
    scale_begins("sma", NULL); /* station `other` waits for another family there */
    assert_int_equal(seek(h, NULL), 0);
    has(out, "[station other]\n");
    has(out, "profile = sma\n");
    other_waits_there(h); /* and has its port back */
    scale_ends();
}

static void a_station_that_finds_out_in_vain_lends_its_port_too(void **state)
{
    struct harness *h = *state;
    scale_begins("sma", "--poll"); /* never speaks by itself, so that station `finder` would seek for ever */
    assert_int_equal(seek(h, "--ask"), 0);
    has(out, "[station finder]\n");
    has(out, "profile = sma\n");
    for (int64_t until = harness_deadline();;) {
        const json_t *row = json_array_get(json_object_get(harness_call(h, "scale.list", NULL), "scales"), 1);
        if (strcmp(json_string_value(json_object_get(row, "state")), "seeking") == 0)
            break; /* and has it back */
        harness_step(h, until, "the port of the other station");
    }
    scale_ends();
}

/* A hundred rounds were asked for; whoever wanted them has gone, so the port is free after the try that runs. */
static void a_search_ends_with_its_caller(void **state)
{
    struct harness *h = *state;
    char call[512];
    const char *options[] = {"--link", world.sim->link, "--hand", "manual", NULL};
    sim_bench_start(world.sim, options, false);
    sim_bench_line(world.sim, call);
    sim_bench_say(world.sim, "mute", "ok");
    struct raw_client *caller = raw_client_open(h);
    snprintf(call, sizeof call,
             "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"scale.seek\",\"params\":{\"port\":\"%s\",\"passes\":100}}",
             world.sim->link);
    assert_true(raw_client_say(caller, call));
    json_t *trying = raw_client_answer(caller);
    assert_string_equal(json_string_value(json_object_get(trying, "method")), "scale");
    json_decref(trying);
    raw_client_close(caller);
    for (int64_t until = harness_deadline();;) {
        json_t *answer = harness_ask(h, "scale.seek", json_pack("{s:s}", "port", world.sim->link));
        if (json_object_get(answer, "result"))
            break;
        harness_step(h, until, "the port that its caller left");
    }
    scale_ends();
}

static void what_is_no_port_is_refused(void **state)
{
    struct harness *h = *state;
    static const struct {
        const char *params;
        int code;
    } bad[] = {
        {"{\"port\":\"/dev/null\"}", -32005},
        {"{\"port\":\"/etc/passwd\"}", -32005},
        {"{\"port\":\"hid:/dev/null\"}", -32005},
        {"{\"port\":\"pty:/dev/null\"}", -32005},
        {"{\"port\":\"scale\"}", -32005},
        {"{\"port\":\"tcp:nowhere\"}", -32005},
        {"{\"port\":\"/dev/ttyNONE9\",\"passes\":0}", -32005},
        {"{\"port\":\"/dev/ttyNONE9\",\"speed\":-1}", -32005},
        {"{\"port\":\"/dev/ttyNONE9\",\"profile\":\"nosuch\"}", -32005},
        {"{\"port\":\"/dev/ttyNONE9\"}", -32002},
        {"{}", -32602},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        json_t *error = json_object_get(harness_ask(h, "scale.seek", json_loads(bad[i].params, 0, NULL)), "error");
        if (json_integer_value(json_object_get(error, "code")) != bad[i].code)
            fail_msg("%s: %s", bad[i].params, json_dumps(error, 0));
    }
}

static void the_ports_of_the_machine_are_listed_when_asked(void **state)
{
    struct harness *h = *state;
    const char *argv[] = {"poise", "scales", NULL};
    assert_null(json_object_get(harness_call(h, "scale.list", NULL), "ports"));
    json_t *ports =
               json_incref(json_object_get(harness_call(h, "scale.list", json_pack("{s:b}", "ports", 1)), "ports")),
           *port;
    assert_true(json_is_array(ports));
    assert_int_equal(harness_run(h, argv, NULL, out, sizeof out, err, sizeof err), 0);
    has(out, "bench");
    size_t i;
    json_array_foreach(ports, i, port) has(out, json_string_value(json_object_get(port, "port")));
    json_decref(ports);
}

/* Both are open calls with a port and a timer of their own; nothing of them may be left. */
static void the_daemon_stops_while_a_search_and_a_check_wait(void **state)
{
    struct harness *h = *state;
    scale_begins("sma", "--poll");
    harness_wait_scale(h, "bench", "live");
    harness_send(h, "scale.check", json_pack("{s:s,s:b}", "station", "bench", "drift", 1));
    harness_send(h, "scale.seek", json_pack("{s:s}", "port", world.sim->link)); /* lent by `other` */
    harness_call(h, "daemon.info", NULL);                                       /* both are under way */
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    scale_ends();
}

static void a_recording_is_made_and_read_again(void **state)
{
    struct harness *h = *state;
    char file[HARNESS_PATH + 16], head[256] = "";
    snprintf(file, sizeof file, "%s/made.rec", h->dir);
    scale_begins("hdr2", NULL);
    const char *record[] = {"poise", "record", world.sim->link, file, "--seconds", "1", "--profile",
                            "hdr2",  "--what", "a cup at rest", NULL};
    other_waits_there(h);
    assert_int_equal(harness_run(h, record, NULL, out, sizeof out, err, sizeof err), 75);
    has(err, "poised (process"); /* who holds the port */
    assert_int_equal(access(file, F_OK), -1);
    assert_int_equal(harness_stop(h, SIGTERM), 0); /* it needs no daemon */
    if (harness_run(h, record, NULL, out, sizeof out, err, sizeof err) != 0)
        fail_msg("%s", err);
    assert_int_equal(harness_run(h, record, NULL, out, sizeof out, err, sizeof err), 74); /* never over another */
    FILE *f = fopen(file, "r");
    assert_non_null(f);
    assert_non_null(fgets(head, sizeof head, f));
    assert_string_equal(head, "# family: hdr2\n");
    bool frame = false, what = false;
    while (fgets(head, sizeof head, f)) {
        frame = frame || strstr(head, "53542c2b"); /* ST,+ */
        what = what || strcmp(head, "# what: a cup at rest\n") == 0;
    }
    fclose(f);
    assert_true(frame && what);
    static const struct {
        const char *port, *option, *value, *says;
        int code;
    } never[] = {
        {"/dev/ttyNONE9", NULL, NULL, "record: /dev/ttyNONE9 is not there. Is the cable", 75},
        {"ttyNONE9", NULL, NULL, "record: no such port: ttyNONE9. Give /dev/serial", 65},
        {"/etc/passwd", NULL, NULL, "record: no such port: /etc/passwd", 65},
        {"tcp:nowhere", NULL, NULL, "tcp:HOST:PORT", 65},
        {"/dev/ttyNONE9", "--profile", "nosuch", "--profile: no scale family is called nosuch. One of auto, sics", 64},
        {"/dev/ttyNONE9", "--profile", "auto", "--profile: a recording is of one family", 64},
        {"/dev/ttyNONE9", "--seconds", "0", "--seconds: 0 is too small", 64},
        {"/dev/ttyNONE9", "--speed", "-1", "--speed: -1 is too small", 64},
        {"/dev/ttyNONE9", "--frame", "8X1", "a frame is data bits", 65},
        {"/dev/ttyNONE9", "--poll", "\\q", "--poll: not a text to send", 64},
    };
    for (size_t i = 0; i < sizeof never / sizeof *never; i++) {
        const char *argv[] = {"poise",         "record",       never[i].port, "/tmp/poise-never-made",
                              never[i].option, never[i].value, NULL};
        if (harness_run(h, argv, NULL, out, sizeof out, err, sizeof err) != never[i].code)
            fail_msg("row %zu: %s", i, err);
        has(err, never[i].says);
        assert_int_equal(access("/tmp/poise-never-made", F_OK), -1);
    }
    scale_ends();
}

static int begin_with(void **state, const char *station, const char *profile)
{
    void *sim = NULL;
    if (sim_bench_begin(&sim) != 0)
        return -1;
    world.sim = sim;
    snprintf(world.config, sizeof world.config, "[station %s]\nport = pty:%s\nprofile = %s\nd_g = 0.01\n", station,
             world.sim->link, profile);
    return harness_begin(state, &(struct harness_setup){.config_lines = world.config});
}

static int begin(void **state)
{
    return begin_with(state, "other", "eq-fwd");
}

static int begin_finding(void **state)
{
    return begin_with(state, "finder", "auto");
}

static int end(void **state)
{
    void *sim = world.sim;
    int code = harness_end(state);
    return sim_bench_end(&sim) || code ? -1 : 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_family_is_found_by_listening, begin, end),
        cmocka_unit_test_setup_teardown(one_that_speaks_only_when_asked, begin, end),
        cmocka_unit_test_setup_teardown(one_whose_first_answer_could_be_a_tail_is_asked_on, begin, end),
        cmocka_unit_test_setup_teardown(noise_is_told_from_silence, begin, end),
        cmocka_unit_test_setup_teardown(a_tie_names_the_candidates, begin, end),
        cmocka_unit_test_setup_teardown(a_port_in_use_is_refused_and_a_silent_one_is_lent, begin, end),
        cmocka_unit_test_setup_teardown(a_station_that_finds_out_in_vain_lends_its_port_too, begin_finding, end),
        cmocka_unit_test_setup_teardown(a_search_ends_with_its_caller, begin, end),
        cmocka_unit_test_setup_teardown(what_is_no_port_is_refused, begin, end),
        cmocka_unit_test_setup_teardown(the_ports_of_the_machine_are_listed_when_asked, begin, end),
        cmocka_unit_test_setup_teardown(the_daemon_stops_while_a_search_and_a_check_wait, begin, end),
        cmocka_unit_test_setup_teardown(a_recording_is_made_and_read_again, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
