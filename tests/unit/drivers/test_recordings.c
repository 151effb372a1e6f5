/* Every recording of tests/data/recordings, played to a port through a pty and a TCP connection in chunks of 1, 7 and
 * 300 bytes: exactly the readings that stand beside it. */
#include "tests/unit/drivers/rows.h"

#include "drivers/decode/profile.h"
#include "drivers/decode/recording.h"
#include "tests/unit/drivers/far_end.h"

#include <errno.h>
#include <glob.h>

enum { RECORDED_MOST = 8192, WANTED_MOST = 40 };

struct story {
    char path[200];
    char family[16];
    bool declared;
    struct scale_profile profile;
    uint8_t bytes[RECORDED_MOST];
    size_t len;
    size_t wanted;
    struct row want[WANTED_MOST];
    /* while it is played */
    size_t heard, seen;
};

static struct story story;

static void read_recording(void)
{
    static struct recording_line line;
    char text[2000];
    FILE *file = fopen(story.path, "r");
    assert_non_null(file);
    for (int at = 1; fgets(text, sizeof text, file); at++) {
        struct profile_fault fault;
        switch (recording_parse(text, &line)) {
        case RECORDING_HEAD:
            if (strcmp(line.key, "family") == 0)
                snprintf(story.family, sizeof story.family, "%.15s", line.value);
            if (strcmp(line.key, "profile") == 0)
                story.declared = profile_load(line.value, NULL, &story.profile, &fault);
            break;
        case RECORDING_CHUNK:
            assert_true(story.len + line.len <= sizeof story.bytes);
            memcpy(story.bytes + story.len, line.bytes, line.len);
            story.len += line.len;
            break;
        case RECORDING_FAULT:
            fail_msg("%s:%d: neither head nor bytes", story.path, at);
            break;
        case RECORDING_NOTHING:
            break;
        }
    }
    fclose(file);
    if (story.len == 0 || (!story.declared && !scale_family_find(story.family)))
        fail_msg("%s: no bytes, or no family `%s`", story.path, story.family);
}

static void read_wanted(void)
{
    char path[220], text[200];
    snprintf(path, sizeof path, "%.*s.want", (int)(strlen(story.path) - 4), story.path);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    while (fgets(text, sizeof text, file)) {
        char value[SCALE_DIGITS], unit[8], stable, kind[16], status[8];
        struct row *row = &story.want[story.wanted];
        if (text[0] == '#')
            continue;
        assert_true(story.wanted < WANTED_MOST);
        assert_int_equal(sscanf(text, "%23s %7s %c %15s %7s", value, unit, &stable, kind, status), 5);
        row_value(&row->want[0], value, unit, stable);
        row_kind_status(&row->want[0], kind, status);
        row->wanted = 1;
        story.wanted++;
    }
    fclose(file);
    assert_true(story.wanted > 0);
}

static void load(const char *path)
{
    memset(&story, 0, sizeof story);
    snprintf(story.path, sizeof story.path, "%s", path);
    read_recording();
    read_wanted();
}

static void on_reading(void *owner, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    (void)owner;
    (void)frame;
    (void)len;
    size_t i = story.seen++;
    if (i < story.wanted && !row_matches(&story.want[i], 0, reading))
        fail_msg("%s: reading %zu is `%s` %s, stability %d, %s, %s", story.path, i + 1, reading->digits,
                 scale_unit_name(reading->unit), (int)reading->stability, scale_kind_name(reading->kind),
                 scale_status_name(reading->status));
}

static void on_bytes(void *owner, const uint8_t *bytes, size_t len, uint64_t at_ms)
{
    (void)owner;
    (void)bytes;
    (void)at_ms;
    story.heard += len;
}

static void play(struct far_end *f, bool pty, size_t chunk)
{
    static const struct port_events events = {.reading = on_reading, .bytes = on_bytes};
    struct port_settings settings = {.declared = story.declared ? &story.profile.family : NULL};
    snprintf(settings.profile, sizeof settings.profile, "%s", story.family);
    story.heard = story.seen = 0;
    if (pty) {
        far_end_plug_pty(f);
        snprintf(settings.port, sizeof settings.port, "pty:%s", f->path);
    } else {
        far_end_listen(f);
        snprintf(settings.port, sizeof settings.port, "tcp:127.0.0.1:%d", f->tcp_port);
    }
    f->closed = false;
    f->port = port_create(&f->loop, &settings, &events, f);
    assert_non_null(f->port);
    if (!pty)
        far_end_until(f, far_end_accepted(f));
    for (size_t at = 0; at < story.len;) {
        size_t n = story.len - at < chunk ? story.len - at : chunk;
        assert_int_equal(write(pty ? f->master : f->peer, story.bytes + at, n), (ssize_t)n);
        at += n;
        far_end_until(f, story.heard == at); /* so that each chunk is a read of its own */
    }
    if (story.seen != story.wanted)
        fail_msg("%s: %zu readings of %zu, %s, chunks of %zu", story.path, story.seen, story.wanted,
                 pty ? "pty" : "tcp", chunk);
    port_close(f->port, far_end_on_closed);
    far_end_until(f, f->closed);
    if (pty) {
        far_end_unplug_pty(f);
    } else {
        far_end_shut(&f->peer);
        far_end_shut(&f->listener);
        f->tcp_port = 0;
    }
}

static void play_all(struct far_end *f, bool pty)
{
    static const size_t chunks[] = {1, 7, 300};
    glob_t found;
    assert_int_equal(glob("tests/data/recordings/*.rec", 0, NULL, &found), 0);
    assert_true(found.gl_pathc > 30);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        load(found.gl_pathv[i]);
        for (size_t c = 0; c < sizeof chunks / sizeof *chunks; c++)
            play(f, pty, chunks[c]);
    }
    globfree(&found);
}

static void recordings_read_as_they_say_through_a_pty(void **state)
{
    play_all(*state, true);
}

static void recordings_read_as_they_say_through_tcp(void **state)
{
    play_all(*state, false);
}

static void every_family_has_a_recording(void **state)
{
    (void)state;
    for (size_t i = 0; scale_families[i]; i++) {
        char path[200];
        snprintf(path, sizeof path, "tests/data/recordings/%s.rec", scale_families[i]->name);
        if (access(path, R_OK) != 0)
            fail_msg("no %s", path);
    }
}

static void a_recording_made_reads_back_the_same(void **state)
{
    struct far_end *f = *state;
    static struct recording_line line;
    uint8_t bytes[300];
    char path[100], text[1200];
    size_t heads = 0, got = 0;
    const struct recording_head head = {.family = "sma",
                                        .frame = "7E1",
                                        .port = "/dev/ttyS0",
                                        .speed = 4800,
                                        .date = "2026-11-25",
                                        .what = "a cup\nput on"};
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (uint8_t)i;
    snprintf(path, sizeof path, "%s/a.rec", f->dir);
    struct record *record = record_create(path, &head);
    assert_non_null(record);
    assert_null(record_create(path, &head)); /* never writes over one */
    assert_int_equal(errno, EEXIST);
    record_bytes(record, bytes, 7, 5000);
    record_bytes(record, bytes + 7, sizeof bytes - 7, 5120);
    assert_int_equal(record_fault(record), 0);
    assert_int_equal(record_destroy(record), 0);
    FILE *file = fopen(path, "r");
    while (fgets(text, sizeof text, file)) {
        enum recording_kind kind = recording_parse(text, &line);
        assert_true(kind == RECORDING_HEAD || kind == RECORDING_CHUNK);
        heads += kind == RECORDING_HEAD;
        if (kind == RECORDING_CHUNK) {
            assert_memory_equal(line.bytes, bytes + got, line.len);
            assert_int_equal(line.ms, got ? 120 : 0);
            got += line.len;
        }
    }
    fclose(file);
    unlink(path);
    assert_int_equal(heads, 5);
    assert_int_equal(got, sizeof bytes);
    assert_int_equal(record_destroy(NULL), 0);
}

static void what_is_no_recording_is_told(void **state)
{
    (void)state;
    static struct recording_line line;
    static const struct {
        const char *text;
        enum recording_kind kind;
    } rows[] = {
        {"", RECORDING_NOTHING},
        {"   \n", RECORDING_NOTHING},
        {"# a remark\n", RECORDING_NOTHING},
        {"# family: sma\n", RECORDING_HEAD},
        {"0 41\n", RECORDING_CHUNK},
        {"12 41 42 43", RECORDING_CHUNK},
        {"12\n", RECORDING_FAULT},
        {"12 aBcDeF Ab\n", RECORDING_CHUNK},
        {"\t12\t41\t42\r\n", RECORDING_CHUNK},
        {"\r\n", RECORDING_NOTHING},
        {"# \n", RECORDING_NOTHING},
        {"# Family: sma\n", RECORDING_NOTHING}, /* a key is of small letters */
        {"12\t41\t\r", RECORDING_CHUNK},
        {"1241\n", RECORDING_FAULT},
        {"12,41\n", RECORDING_FAULT},
        {"12 /0\n", RECORDING_FAULT},
        {"12 :0\n", RECORDING_FAULT},
        {"12 G0\n", RECORDING_FAULT},
        {"12 @0\n", RECORDING_FAULT},
        {"12 `0\n", RECORDING_FAULT},
        {"12 4\n", RECORDING_FAULT},
        {"12 4g\n", RECORDING_FAULT},
        {"-1 41\n", RECORDING_FAULT},
        {"x 41\n", RECORDING_FAULT},
        {"12345678901234567 41\n", RECORDING_FAULT},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (recording_parse(rows[i].text, &line) != rows[i].kind)
            fail_msg("`%s`", rows[i].text);
    }
    assert_int_equal(recording_parse("12 aBcD\n", &line), RECORDING_CHUNK);
    assert_memory_equal(line.bytes, "\xab\xcd", line.len);
}

static void a_line_holds_so_many_bytes_and_no_more(void **state)
{
    (void)state;
    static struct recording_line line;
    char text[2 * RECORDING_BYTES + 8] = "0 ";
    memset(text + 2, '4', 2 * RECORDING_BYTES);
    assert_int_equal(recording_parse(text, &line), RECORDING_CHUNK);
    assert_int_equal(line.len, RECORDING_BYTES);
    memcpy(text + 2 + 2 * RECORDING_BYTES, "44", 3);
    assert_int_equal(recording_parse(text, &line), RECORDING_FAULT);
}

#define LIFE(test) cmocka_unit_test_setup_teardown(test, far_end_begin, far_end_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LIFE(recordings_read_as_they_say_through_a_pty), LIFE(recordings_read_as_they_say_through_tcp),
        cmocka_unit_test(every_family_has_a_recording),  LIFE(a_recording_made_reads_back_the_same),
        cmocka_unit_test(what_is_no_recording_is_told),  cmocka_unit_test(a_line_holds_so_many_bytes_and_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
